"""Distances between edges and regions, against fine sampling from above and proof from below."""

import math
import random

import pytest

from blankwright.geom.apart import apart, inside_by, regions_apart
from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.near import EdgeIndex
from blankwright.geom.region import Region


def random_edge(rng):
    if rng.random() < 0.5:
        return Line(
            (rng.uniform(0, 20), rng.uniform(0, 20)), (rng.uniform(0, 20), rng.uniform(0, 20))
        )
    sweep = rng.choice([-1, 1]) * rng.uniform(0.1, 2 * math.pi)
    center = (rng.uniform(0, 20), rng.uniform(0, 20))
    return Arc(center, rng.uniform(0.5, 12), rng.uniform(-3, 3), sweep)


@pytest.mark.parametrize("seed", range(60))
def test_apart_agrees_with_fine_sampling(seed):
    rng = random.Random(seed)
    a, b = random_edge(rng), random_edge(rng)
    gap = apart(a, b)
    n = 3000
    sampled = min(b.distance(a.point(i / n)) for i in range(n + 1))
    # The sample can only be too far, and by no more than half a step.
    assert gap <= sampled + 1e-7
    assert gap >= sampled - a.length / n / 2 - 1e-7
    assert apart(b, a) == pytest.approx(gap, abs=1e-9)


def test_concentric_arcs_and_circles():
    assert apart(Arc.circle((0, 0), 5), Arc.circle((0, 0), 8)) == pytest.approx(3)
    assert apart(Arc((0, 0), 5, 0, 1), Arc((0, 0), 8, 0.5, 3)) == pytest.approx(3)
    far = apart(Arc((0, 0), 5, 0, 0.1), Arc((0, 0), 8, math.pi, 0.1))
    assert far == pytest.approx(
        math.dist(
            (5 * math.cos(0.1), 5 * math.sin(0.1)),
            (8 * math.cos(math.pi + 0.1), 8 * math.sin(math.pi + 0.1)),
        ),
        abs=1.5,
    )


def test_regions_apart_sees_overlap_nesting_and_holes():
    ring = Region.of(Loop.rectangle(0, 0, 40, 40), Loop.rectangle(10, 10, 30, 30))
    small = Region(Loop.rectangle(0, 0, 5, 5))
    assert regions_apart(ring, small.moved(Move.shift(45, 0))) == pytest.approx(5)
    assert regions_apart(ring, small.moved(Move.shift(12, 13))) == pytest.approx(2)
    assert regions_apart(ring, small.moved(Move.shift(2, 2))) == 0.0
    assert regions_apart(small.moved(Move.shift(2, 2)), ring) == 0.0
    assert regions_apart(ring, small.moved(Move.shift(45, 0)), enough=3) == math.inf


def test_inside_by():
    ring = Region.of(Loop.rectangle(0, 0, 40, 40), Loop.rectangle(10, 10, 30, 30))
    small = Region(Loop.rectangle(0, 0, 5, 5))
    assert inside_by(small.moved(Move.shift(2, 2)), ring) == pytest.approx(2)
    assert inside_by(small.moved(Move.shift(12, 12)), ring) == -math.inf
    assert inside_by(small.moved(Move.shift(38, 2)), ring) == -math.inf
    assert inside_by(small, ring) == 0.0
    around_the_hole = Region(Loop.rectangle(5, 5, 35, 35))
    assert inside_by(around_the_hole, ring) == -math.inf


def test_the_index_finds_what_the_plain_search_finds():
    rng = random.Random(3)
    edges = [random_edge(rng) for _ in range(80)]
    index = EdgeIndex(edges, cell=2.5)
    for _ in range(200):
        p = (rng.uniform(-5, 25), rng.uniform(-5, 25))
        plain = min(edge.distance(p) for edge in edges)
        reach = rng.uniform(0.1, 30)
        assert index.distance(p, reach) == (plain if plain <= reach else math.inf)


def test_a_line_of_no_length_is_the_point_it_is():
    point = Line((3.0, 4.0), (3.0, 4.0))
    assert point.distance((0.0, 0.0)) == 5.0
    assert apart(point, Arc.circle((0.0, 0.0), 2.0)) == pytest.approx(3.0)
    assert apart(Line((0.0, 0.0), (10.0, 0.0)), point) == pytest.approx(4.0)
    assert apart(point, Line((3.0, 9.0), (3.0, 9.0))) == 5.0
