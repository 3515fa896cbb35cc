"""A clip that springs through a slot: ways swept densely, proofs held against a grid of states."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import affinity

from blankwright.fit.planar import PlanarQuestion, Wall
from blankwright.fit.search import Verdict, search
from blankwright.fit.sprung import Springing, Sprung, answer_sprung

# A stem with a leg beside it; the leg's barb makes the clip 6.5 wide, springing can take 1.4 off.
LEG = shapely.Polygon([(1.4, -8), (2.5, -8), (2.5, -3), (3.5, -3), (2.5, -0.5), (1.4, -0.5)])
STEM = shapely.union_all([shapely.box(-3, -16, 0, 6), shapely.box(0, -9.5, 2.5, -8)])
CLIP = Springing(root=STEM, leg=LEG, pivot=(2.0, -8.7), features=frozenset({"leg"}))


def question(width: float) -> PlanarQuestion:
    """The clip hangs with its barb over a plate; the way out is down through the slot."""
    walls = (
        Wall(name="left", shape=shapely.box(-40, -5, -3.05, -3.1)),
        Wall(name="right", shape=shapely.box(width - 3.05, -5, 40, -3.1)),
    )
    part = shapely.union_all([STEM, LEG])
    return PlanarQuestion(
        part=part, walls=walls, side=(0.0, -1.0), window=(-40, -40, 40, 40), most_turn=0.3
    )


def meets(asked: PlanarQuestion, spring: float, middle, turn: float, x: float, y: float) -> float:
    """Area of metal in metal; nothing here comes from the search."""
    leg = affinity.rotate(LEG, spring / CLIP.reach, origin=CLIP.pivot, use_radians=True)
    part = shapely.union_all([STEM, leg])
    part = affinity.rotate(part, turn, origin=middle, use_radians=True)
    part = affinity.translate(part, x - middle[0], y - middle[1])
    return sum(float(part.intersection(wall.shape).area) for wall in asked.walls)


def swept(asked: PlanarQuestion, found: Sprung) -> float:
    """Greatest overlap along a way, its springing between the legs included."""
    worst, last = 0.0, None
    for leg in found.legs:
        middle = leg.question.middle
        if last is not None:
            before, state = last
            for spring in np.linspace(before, leg.spring, 25):
                worst = max(worst, meets(asked, spring, middle, state.turn, state.x, state.y))
        for a, b in itertools.pairwise(leg.states):
            n = 2 + int(20 * (abs(b.x - a.x) + abs(b.y - a.y) + 20 * abs(b.turn - a.turn)))
            for t in np.linspace(0.0, 1.0, min(n, 400)):
                turn, x, y = (
                    u + (v - u) * t for u, v in ((a.turn, b.turn), (a.x, b.x), (a.y, b.y))
                )
                worst = max(worst, meets(asked, leg.spring, middle, turn, x, y))
        last = (leg.spring, leg.states[-1])
    return worst


def grid_reaches(asked: PlanarQuestion, most: float) -> bool:
    """Whether steps from state to free state of a grid lead down through the slot."""
    turns = np.arange(-6, 7) * 0.02
    xs, ys = np.arange(-12, 13) * 0.1, np.arange(-28, 3) * 0.5
    springs = np.linspace(-most, most, 9)
    middle = asked.middle
    free = np.zeros((len(springs), len(turns), len(xs), len(ys)), dtype=bool)
    walls = shapely.union_all([wall.shape for wall in asked.walls])
    shapely.prepare(walls)
    for i, spring in enumerate(springs):
        leg = affinity.rotate(LEG, spring / CLIP.reach, origin=CLIP.pivot, use_radians=True)
        part = shapely.union_all([STEM, leg])
        for j, turn in enumerate(turns):
            piece = affinity.rotate(part, turn, origin=middle, use_radians=True)
            coordinates = shapely.get_coordinates(piece)
            for k, x in enumerate(xs):
                moved = shapely.set_coordinates(
                    np.repeat(np.array([piece], dtype=object), len(ys)).copy(),
                    (coordinates[None] + np.stack((np.full(len(ys), x), ys), 1)[:, None]).reshape(
                        -1, 2
                    ),
                )
                # Within a hair, so that grazing counts as free: a grid may only find too much.
                free[i, j, k] = shapely.distance(shapely.buffer(moved, -0.02), walls) > 0
    home = (len(springs) // 2, 6, 12, 28)
    assert free[home]
    seen = np.zeros_like(free)
    seen[home] = True
    while True:
        # Every free state next to one that is reached is reached.
        wider = seen.copy()
        for axis in range(4):
            ahead = [slice(None)] * 4
            behind = [slice(None)] * 4
            ahead[axis], behind[axis] = slice(1, None), slice(None, -1)
            wider[tuple(ahead)] |= seen[tuple(behind)]
            wider[tuple(behind)] |= seen[tuple(ahead)]
        wider &= free
        if (wider == seen).all():
            return bool(seen[:, :, :, 0].any())
        seen = wider


@pytest.mark.slow
def test_a_clip_goes_through_when_it_is_sprung_enough_and_the_way_stands_a_dense_sweep() -> None:
    asked = question(6.1)
    assert search(asked).verdict is Verdict.NO_WAY
    found = answer_sprung(asked, CLIP, 1.2)
    assert found.verdict is Verdict.WAY
    assert found.legs[0].spring == 0.0
    assert found.legs[-1].states[-1].y < asked.middle[1] - 20
    assert swept(asked, found) < 1e-3
    assert 0.0 <= found.none_at < found.enough <= 1.2
    # The barb is 0.4 wider than the slot; some of that tilting takes.
    assert found.enough > 0.1
    assert grid_reaches(asked, found.enough)


@pytest.mark.slow
def test_that_springing_too_little_does_not_help_is_a_proof_that_a_grid_bears_out() -> None:
    asked = question(5.9)
    found = answer_sprung(asked, CLIP, 0.1)
    assert found.verdict is Verdict.NO_WAY
    assert found.none_at == 0.1
    assert math.isinf(found.enough)
    assert not grid_reaches(asked, 0.1)


def test_what_a_range_of_springing_covers_lies_round_every_springing_in_it() -> None:
    most, least = CLIP.over(0.3, 0.05)
    for spring in np.linspace(0.25, 0.35, 11):
        part = CLIP.part(float(spring))
        assert part.difference(most).area < 1e-9
        assert least.difference(part).area < 1e-9


def test_springing_never_makes_thin_walls_melt_away() -> None:
    # A plate of 0.4 right across: no springing of the leg gets the stem through it.
    wall = Wall(name="sheet", shape=shapely.box(-60, -20, 60, -19.6))
    asked = replace(question(6.1), walls=(wall,))
    assert answer_sprung(asked, CLIP, 1.0).verdict is Verdict.NO_WAY
