"""Offsets, against their definition: every point is in or out by its distance to the edge."""

import math
import random

import pytest

from blankwright.geom.boolean import difference, union
from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.offset import (
    all_grown,
    capsule,
    grown,
    left_in_corners,
    loop_shrunk,
    shrunk,
)
from blankwright.geom.region import Region

SQUARE = Region(Loop.rectangle(0, 0, 40, 30))
EXACT = 1e-6


def area(regions):
    return sum(region.area for region in regions)


def random_region(rng: random.Random) -> Region:
    regions = (Region(Loop.rectangle(0, 0, rng.uniform(30, 80), rng.uniform(20, 60))),)
    for _ in range(rng.randint(0, 5)):
        turn = rng.choice([0.0, math.pi / 2, math.pi / 6, rng.uniform(0, 6)])
        move = Move.turn(turn).then(Move.shift(rng.uniform(0, 60), rng.uniform(0, 50)))
        loop = rng.choice(
            [
                Loop.rectangle(-rng.choice([3, 6, 10]), -rng.choice([3, 5]), 8, 8),
                Loop.slot((0, 0), rng.uniform(8, 30), rng.choice([4.0, 6.0, 6.35])),
                Loop.circle((0, 0), rng.choice([1.5, 2.0, 3.175, 5.0, 9.0])),
            ]
        )
        piece = (Region(loop.moved(move).ccw()),)
        regions = (union if rng.random() < 0.5 else difference)(regions, piece)
    return max(regions, key=lambda region: region.area)


def check_against_definition(region: Region, by: float, outward: bool, rng: random.Random) -> None:
    result = grown(region, by) if outward else shrunk(region, by)
    for piece in result:
        assert piece.area > 0
        for edge in piece.edges:
            for t in (0.0, 0.17, 0.5, 0.83, 1.0):
                assert region.distance_to_edge(edge.point(t)) == pytest.approx(by, abs=5e-6)
    x0, y0, x1, y1 = region.box
    for _ in range(60):
        p = (rng.uniform(x0 - 2 * by, x1 + 2 * by), rng.uniform(y0 - 2 * by, y1 + 2 * by))
        gap = region.distance_to_edge(p)
        if abs(gap - by) < 1e-4 or gap < 1e-6:
            continue
        inside = region.contains(p)
        expected = (inside or gap < by) if outward else (inside and gap > by)
        assert any(piece.contains(p) for piece in result) == expected, (p, gap)


@pytest.mark.parametrize("seed", range(25))
def test_random_regions_grow_and_shrink_by_the_definition(seed):
    rng = random.Random(seed)
    region = random_region(rng)
    for by in (0.5, 1.5875, 2.0, 3.175, 4.0):
        check_against_definition(region, by, True, rng)
        check_against_definition(region, by, False, rng)


def test_a_grown_rectangle_has_round_corners_and_a_shrunk_one_sharp_ones():
    (big,) = grown(SQUARE, 3.0)
    assert area((big,)) == pytest.approx(40 * 30 + 2 * 3 * 70 + math.pi * 9, abs=EXACT)
    assert sorted(type(edge).__name__ for edge in big.edges) == ["Arc"] * 4 + ["Line"] * 4
    (small,) = shrunk(SQUARE, 3.0)
    assert area((small,)) == pytest.approx(34 * 24, abs=EXACT)
    assert len(small.edges) == 4


def test_growing_and_shrinking_a_convex_region_gives_it_back():
    (back,) = [r for big in grown(SQUARE, 5.0) for r in shrunk(big, 5.0)]
    assert back.area == pytest.approx(SQUARE.area, abs=EXACT)
    assert back.box == pytest.approx(SQUARE.box, abs=EXACT)


def test_a_circle_stays_one_exact_circle():
    (ring,) = grown(Region.of(Loop.circle((5, 5), 20), Loop.circle((5, 5), 8)), 3.0)
    outer, hole = ring.outer.as_circle, ring.holes[0].as_circle
    assert outer is not None
    assert hole is not None
    assert (outer.radius, hole.radius) == pytest.approx((23.0, 5.0), abs=1e-12)


def test_a_hole_narrower_than_the_cutter_closes():
    (closed,) = grown(Region.of(SQUARE.outer, Loop.circle((20, 15), 3.0)), 3.0)
    assert closed.holes == ()
    assert loop_shrunk(Loop.circle((0, 0), 3.0), 3.0) == ()


def test_a_slot_just_as_wide_as_the_cutter_leaves_no_room():
    assert loop_shrunk(Loop.slot((0, 0), 30, 6), 3.0) == ()
    (room,) = loop_shrunk(Loop.slot((0, 0), 30, 6.002), 3.0)
    assert room.box[2] - room.box[0] == pytest.approx(24.0, abs=1e-5)


def test_a_neck_narrower_than_the_cutter_parts_the_inside():
    dumbbell = union(
        (Region(Loop.rectangle(0, 0, 20, 20)),),
        (*(Region(Loop.rectangle(30, 0, 50, 20)),),),
    )
    (one,) = union(dumbbell, (Region(Loop.rectangle(19, 8, 31, 12)),))
    assert len(shrunk(one, 3.0)) == 2
    assert len(shrunk(one, 1.0)) == 1


def test_islands_that_come_together_join():
    apart = (Region(Loop.circle((0, 0), 5)), Region(Loop.circle((14, 0), 5)))
    assert len(all_grown(apart, 1.9)) == 2
    (joined,) = all_grown(apart, 2.1)
    assert joined.box == pytest.approx((-7.1, -7.1, 21.1, 7.1), abs=1e-6)


def test_what_the_cutter_leaves_in_a_sharp_inside_corner():
    ell = difference((SQUARE,), (Region(Loop.rectangle(20, 15, 50, 40)),))
    (fillet,) = left_in_corners(ell[0], 3.0)
    assert fillet.area == pytest.approx(9 * (1 - math.pi / 4), abs=EXACT)
    assert left_in_corners(SQUARE, 3.0) == ()


def test_a_concave_arc_tighter_than_the_offset_rolls_up():
    bitten = difference((SQUARE,), (Region(Loop.circle((20, 30), 2.0)),))[0]
    (big,) = grown(bitten, 3.0)
    assert not any(isinstance(e, Arc) and e.center == (20, 30) for e in big.edges)


@pytest.mark.parametrize(
    "edge",
    [
        Line((0, 0), (10, 5)),
        Arc((0, 0), 10, 0.3, 2.0),
        Arc((0, 0), 10, 0.3, -2.0),
        Arc((0, 0), 10, 0.0, 6.1),
        Arc((0, 0), 1.0, 0.0, 3.0),
        Arc((0, 0), 1.0, 0.0, 6.0),
        Arc.circle((3, 4), 10),
        Arc.circle((3, 4), 2),
    ],
)
def test_a_capsule_is_all_within_the_radius_of_its_edge(edge):
    rng = random.Random(7)
    region = capsule(edge, 2.0)
    for _ in range(400):
        p = (rng.uniform(-15, 16), rng.uniform(-15, 16))
        gap = edge.distance(p)
        if abs(gap - 2.0) > 1e-6:
            assert region.contains(p) == (gap < 2.0), p


def test_moving_first_or_offsetting_first_is_the_same():
    rng = random.Random(11)
    for seed in range(5):
        region = random_region(random.Random(seed))
        move = Move.turn(rng.uniform(0, 6)).then(Move.shift(rng.uniform(-900, 900), 33.3))
        a = area(grown(region.moved(move), 2.5))
        b = area(grown(region, 2.5))
        assert a == pytest.approx(b, rel=1e-9)
