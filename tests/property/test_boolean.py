"""Boolean operations on regions with line and arc edges, against a second way of computing them."""

from __future__ import annotations

import math
import random

import pytest
import shapely
from shapely.geometry import Polygon

from blankwright.geom.boolean import cut_out, difference, merged, overlap, union, union_all
from blankwright.geom.loop import Loop
from blankwright.geom.region import Region

SAG = 0.0005


def as_shapely(regions):
    return shapely.union_all([Polygon(*region.polygon(SAG)) for region in regions])


def random_loop(rng):
    """Shapes on whole numbers: shared edges, tangents and touching corners come up all the time."""
    x, y = rng.randrange(20), rng.randrange(20)
    match rng.randrange(4):
        case 0:
            return Loop.rectangle(x, y, x + 1 + rng.randrange(20), y + 1 + rng.randrange(20))
        case 1:
            return Loop.circle((x, y), 1 + rng.randrange(8))
        case 2:
            angle = rng.choice((0.0, math.pi / 2, 0.3, math.pi / 4))
            return Loop.slot((x, y), 3 + rng.randrange(20), 2 + rng.randrange(4), angle)
        case _:
            return Loop.polygon([(x, y), (x + 5, y), (x + 5, y + 5)])


@pytest.mark.parametrize("block", range(8))
def test_against_polygons(block):
    for seed in range(block * 100, block * 100 + 100):
        rng = random.Random(seed)
        a = union_all(Region(random_loop(rng)) for _ in range(3))
        b = union_all(Region(random_loop(rng)) for _ in range(2))
        pairs = (
            (union(a, b), as_shapely(a).union(as_shapely(b))),
            (overlap(a, b), as_shapely(a).intersection(as_shapely(b))),
            (difference(a, b), as_shapely(a).difference(as_shapely(b))),
        )
        for ours, theirs in pairs:
            # Chords stand off arcs by at most SAG, so areas differ by at most that times length.
            assert sum(r.area for r in ours) == pytest.approx(
                theirs.area, abs=0.001 + SAG * theirs.length
            ), seed
        parts = (*difference(a, b), *overlap(a, b))
        assert sum(r.area for r in merged(parts)) == pytest.approx(
            sum(r.area for r in a), abs=1e-6
        ), seed


def test_laws_of_sets():
    for seed in range(200):
        rng = random.Random(1000 + seed)
        a = union_all(Region(random_loop(rng)) for _ in range(2))
        b = union_all(Region(random_loop(rng)) for _ in range(2))
        area = {
            name: sum(r.area for r in regions)
            for name, regions in (
                ("a", a),
                ("b", b),
                ("u", union(a, b)),
                ("o", overlap(a, b)),
                ("d", difference(a, b)),
            )
        }
        assert area["u"] + area["o"] == pytest.approx(area["a"] + area["b"], abs=1e-6), seed
        assert area["d"] + area["o"] == pytest.approx(area["a"], abs=1e-6), seed


def test_arcs_stay_arcs():
    (ring,) = cut_out([Region(Loop.circle((0, 0), 10))], [Loop.circle((1, 0), 3)])
    assert ring.outer.as_circle is not None
    assert ring.holes[0].as_circle is not None
    assert ring.area == pytest.approx(math.pi * (100 - 9), rel=1e-14)


def test_hole_across_two_regions_is_one_circle_when_merged():
    left, right = Region(Loop.rectangle(0, 0, 10, 10)), Region(Loop.rectangle(10, 0, 20, 10))
    hole = Loop.circle((9, 5), 3)
    pieces = cut_out([left, right], [hole])
    (whole,) = merged(pieces)
    assert len(whole.holes) == 1
    circle = whole.holes[0].as_circle
    assert circle is not None
    assert (circle.center, circle.radius) == ((9, 5), 3)
    assert len(whole.outer.edges) == 4


def test_hole_inside_hole_is_swallowed():
    (plate,) = cut_out(
        [Region(Loop.rectangle(0, 0, 20, 20))],
        [Loop.circle((10, 10), 2), Loop.circle((10, 10), 5)],
    )
    assert plate.area == pytest.approx(400 - 25 * math.pi, rel=1e-12)
