"""Insertions with a known closed form.

* The ladder round a corner. Corridors of widths a and b meet at a right angle; the longest
  ladder of no thickness that passes has the length (a^(2/3) + b^(2/3))^(3/2). A standard calculus
  problem; with a thickness w the length is the least over α of (a·cos α + b·sin α − w) /
  (sin α · cos α): the far side of the ladder touches the inner corner when both ends slide on the
  outer walls. Both from memory, and re-derived here by hand.
* The peg in a hole with tilt. A straight peg of width w that stands through a hole of width W in
  a wall of thickness T tilts by θ until w + T·sin θ = W·cos θ. (The two corners that stop it are
  W·cos θ − T·sin θ apart across the peg; plane trigonometry, no source needed.)
"""

import math

import numpy as np
import pytest
import shapely

from blankwright.fit.planar import PlanarQuestion, Wall
from blankwright.fit.search import Verdict, search
from blankwright.fit.slices import Shapes
from blankwright.fit.sweep import Sweep, as_array
from blankwright.fit.way import raw_way, smoothed


def corner(a: float, b: float, length: float, width: float) -> PlanarQuestion:
    far = 3 * length
    outer = [(-far, -5), (b + 5, -5), (b + 5, far), (b, far), (b, 0), (-far, 0)]
    inner = [(-far, a), (0, a), (0, far), (-5, far), (-5, a + 5), (-far, a + 5)]
    return PlanarQuestion(
        part=shapely.box(-length - 5, a / 2 - width / 2, -5, a / 2 + width / 2),
        walls=(
            Wall(name="outer", shape=shapely.Polygon(outer)),
            Wall(name="inner", shape=shapely.Polygon(inner)),
        ),
        side=(0.0, 1.0),
        window=(-far, -5, b + 5, far),
    )


def longest(a: float, b: float, width: float) -> float:
    if width == 0.0:
        return float((a ** (2 / 3) + b ** (2 / 3)) ** 1.5)
    alpha = np.linspace(1e-3, math.pi / 2 - 1e-3, 400_001)
    c, s = np.cos(alpha), np.sin(alpha)
    return float(((a * c + b * s - width) / (s * c)).min())


def test_the_two_formulas_for_the_ladder_agree() -> None:
    assert longest(40, 30, 1e-9) == pytest.approx(longest(40, 30, 0.0), rel=1e-6)


@pytest.mark.parametrize(("a", "b", "width"), [(40, 30, 1), (25, 25, 0.5), (60, 20, 3)])
@pytest.mark.parametrize("share", [0.8, 0.98, 1.02, 1.3])
def test_ladder_round_a_corner(a: float, b: float, width: float, share: float) -> None:
    question = corner(a, b, longest(a, b, width) * share, width)
    found = search(question)
    if share > 1:
        assert found.verdict is Verdict.NO_WAY
        return
    assert found.verdict is Verdict.WAY
    sweep = Sweep(question)
    for way in (raw_way(question, found.chain), smoothed(sweep, raw_way(question, found.chain))):
        assert sweep.least(as_array(way)).surely > 0
        end = way[-1]
        assert end.y > question.bounds[3]


@pytest.mark.slow
@pytest.mark.parametrize("share", [0.999, 1.001])
def test_ladder_within_a_thousandth(share: float) -> None:
    found = search(corner(40, 30, longest(40, 30, 1) * share, 1))
    assert found.verdict is (Verdict.WAY if share < 1 else Verdict.NO_WAY)


def most_tilt(width: float, hole: float, wall: float) -> float:
    """Solve w + T·sin θ = W·cos θ by halving."""
    low, high = 0.0, math.pi / 2
    for _ in range(60):
        tilt = (low + high) / 2
        if width + wall * math.sin(tilt) < hole * math.cos(tilt):
            low = tilt
        else:
            high = tilt
    return low


@pytest.mark.parametrize(("width", "hole", "wall"), [(6, 8, 3), (10, 11, 2), (3, 3.6, 6)])
@pytest.mark.parametrize("sense", [1, -1])
def test_peg_tilts_as_far_as_the_formula_says(
    width: float, hole: float, wall: float, sense: int
) -> None:
    walls = (
        Wall(name="left", shape=shapely.box(-300, -wall / 2, -hole / 2, wall / 2)),
        Wall(name="right", shape=shapely.box(hole / 2, -wall / 2, 300, wall / 2)),
    )
    part = shapely.box(-width / 2, -100, width / 2, 100)
    shapes = Shapes(PlanarQuestion(part=part, walls=walls))
    in_the_hole = shapely.box(-hole, -20, hole, 20)

    def free(regions: list[shapely.Polygon]) -> bool:
        return any(r.intersects(in_the_hole) for r in regions)

    tilt, half = most_tilt(width, hole, wall), 1e-6
    for delta in (1e-4, 0.01):
        assert free(shapes.surely_free(sense * (tilt - delta), half))
        assert not free(shapes.maybe_free(sense * (tilt + delta), half))


@pytest.mark.parametrize(("width", "slot", "goes"), [(6, 6.2, True), (6, 5.9, False)])
def test_rod_through_a_slot(width: float, slot: float, goes: bool) -> None:
    walls = (
        Wall(name="left", shape=shapely.box(-300, 0, -slot / 2, 2)),
        Wall(name="right", shape=shapely.box(slot / 2, 0, 300, 2)),
    )
    part = shapely.box(-20, -40, 20, -40 + width)
    found = search(
        PlanarQuestion(part=part, walls=walls, side=(0.0, 1.0), window=(-300, -60, 300, 60))
    )
    assert found.verdict is (Verdict.WAY if goes else Verdict.NO_WAY)
