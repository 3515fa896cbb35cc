"""Matched holes: both parts are formed and centres are measured in space."""

from __future__ import annotations

import itertools
import math
import random

import pytest

import samples
from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import form
from blankwright.geom.pose import Pose
from blankwright.holes.matched import AskedMatch, How, Meets, match_holes, with_matched_holes
from blankwright.holes.matched_order import drilling_order, temporary_fasteners
from blankwright.holes.pierce import place_of
from blankwright.holes.position_error import Placed, Tolerances

SURE = Tolerances(place=0.0, bend=0.0, angle=0.0)


def asked(holes, **more):
    keys = {
        "final": 3.264,
        "pilot": 2.489,
        "fastener": 3.175,
        "reach": 1.0,
        "edge_distance": 6.35,
        "pitch": 9.525,
        "tolerances": SURE,
    }
    return AskedMatch(holes=tuple(holes), **{**keys, **more})


def turned(seed):
    """Any place on the airplane."""
    rng = random.Random(seed)
    a, b = rng.uniform(0, math.tau), rng.uniform(-1, 1)
    axis = (math.sqrt(1 - b * b) * math.cos(a), math.sqrt(1 - b * b) * math.sin(a), b)
    turn = Pose.turn((0.0, 0.0, 0.0), axis, rng.uniform(0, math.tau))
    return turn.then(Pose(origin=tuple(rng.uniform(-500, 500) for _ in range(3))))


def nested(seed, holes, up=True):
    """An angle inside another, faces touching all along web, bend and leg."""
    rng = random.Random(seed)
    outer_t, inner_t = rng.choice((0.813, 1.016)), rng.choice((0.635, 1.016))
    radius = rng.uniform(4, 30)
    degrees = rng.uniform(30, 120)
    size = math.tan(math.radians(degrees) / 2)
    width, depth, tall = 80.0, 60.0 + 2 * size * radius, 60.0 + 2 * size * radius
    outer = samples.part(
        samples.flat("web", width, depth),
        [samples.bend("leg", "web", "back", width, tall, angle=degrees, radius=radius, up=up)],
        thickness=outer_t,
        holes=tuple(holes),
    )
    inner = samples.part(
        samples.flat("web", width, depth),
        [
            samples.bend(
                "leg", "web", "back", width, tall, angle=degrees, radius=radius - inner_t, up=up
            )
        ],
        thickness=inner_t,
    )
    # Tangent lines over one another: outside setbacks are size·(R + T).
    shift = -size * (radius + outer_t) + size * radius
    height = outer_t if up else -inner_t
    base = turned(seed)
    a = Placed(name="outer", formed=form(develop_blank(outer)), frame=base)
    b = Placed(
        name="inner",
        formed=form(develop_blank(inner)),
        frame=Pose(origin=(0.0, shift, height)).then(base),
    )
    return a, b, inner


def holes_all_over(seed, count=12):
    """Holes on web, bend and leg, in the web's frame: those beyond it run on over the bend."""
    rng = random.Random(seed)
    return [
        samples.hole(f"h{i}", "web", (rng.uniform(8, 72), rng.uniform(8, 115)), 2.489)
        for i in range(count)
    ]


@pytest.mark.parametrize("seed", range(25))
@pytest.mark.parametrize("up", [True, False])
def test_nested_angles(seed, up):
    holes = holes_all_over(seed)
    outer, inner, inner_part = nested(seed, holes, up)
    blank = outer.formed.blank
    inside = [h.name for h in blank.holes if blank.outline.outer.contains(h.center)]
    matches = match_holes(outer, inner, asked(inside))
    places = set()
    for match in matches:
        hole = next(h for h in blank.holes if h.name == match.hole)
        place = place_of(blank, hole.center, hole.flat)
        if match.how is How.NO_METAL:
            continue
        places.add(place)
        # Both parts formed, centres on the faces that touch, measured in space.
        face = blank.thickness if up else 0.0
        here = outer.frame(outer.formed.point(hole.center, face, place))
        other_face = 0.0 if up else inner.formed.blank.thickness
        there = inner.frame(inner.formed.point(match.point, other_face, match.place))
        assert math.dist(here, there) < 1e-6
        assert abs(match.gap) < 1e-6
        assert match.tilt < 1e-6
        assert match.how is How.ON_THE_FLAT
    assert len(places) >= 2
    # Drilled so and formed again, every hole is there already.
    drilled = with_matched_holes(inner_part, inner, asked(inside), matches, "", "#40")
    again = Placed(name="inner", formed=form(develop_blank(drilled)), frame=inner.frame)
    for before, after in zip(matches, match_holes(outer, again, asked(inside)), strict=True):
        if before.how is How.ON_THE_FLAT:
            assert after.how is How.THERE_ALREADY
            assert after.meets[0].off < 1e-6


@pytest.mark.parametrize("seed", range(10))
def test_there_and_back_again(seed):
    outer, inner, inner_part = nested(seed, holes_all_over(seed))
    blank = outer.formed.blank
    names = [h.name for h in blank.holes if blank.outline.outer.contains(h.center)]
    matches = match_holes(outer, inner, asked(names))
    drilled = with_matched_holes(inner_part, inner, asked(names), matches, "", "#40")
    back = Placed(name="inner", formed=form(develop_blank(drilled)), frame=inner.frame)
    carried = [h.name for h in back.formed.blank.holes]
    for match in match_holes(back, outer, asked(carried)):
        name = match.hole.removeprefix("matched ")
        hole = next(h for h in blank.holes if h.name == name)
        assert math.dist(match.point, hole.center) < 1e-6


def plates(gap=0.0, hole_at=(30.0, 20.0), **inner):
    a = samples.part(samples.flat("a", 60, 40), holes=(samples.hole("h", "a", hole_at, 2.489),))
    b = samples.part(samples.flat("b", 60, 40), **inner)
    lower = Placed(name="a", formed=form(develop_blank(a)), frame=Pose())
    upper = Placed(
        name="b", formed=form(develop_blank(b)), frame=Pose(origin=(0.0, 0.0, 1.016 + gap))
    )
    return lower, upper


def test_gap_reach_and_missing_metal():
    (match,) = match_holes(*plates(0.4), asked(["h"]))
    assert match.gap == pytest.approx(0.4)
    (match,) = match_holes(*plates(1.5), asked(["h"]))
    assert match.how is How.NO_METAL
    (match,) = match_holes(*plates(-0.3), asked(["h"]))
    assert match.gap == pytest.approx(-0.3)


def test_error_of_the_place_decides_flat_or_assembly():
    # Pilot #40 to #30: (3.264 - 2.489)/2 = 0.3875 mm may be off.
    for place, how in ((0.38, How.ON_THE_FLAT), (0.40, How.ON_ASSEMBLY)):
        sure = Tolerances(place=place, bend=0.0, angle=0.0)
        (match,) = match_holes(*plates(), asked(["h"], tolerances=sure))
        assert match.clearance == pytest.approx(0.3875)
        assert match.how is how


def test_bends_between_add_to_the_error():
    # Leg up by 90°: an angle error a turns the hole about the bend's axis; square to the hole's
    # axis it moves by a·(height over the bend's axis). The bend line moves it along the leg.
    part = samples.part(
        samples.flat("web", 60, 40),
        [samples.bend("leg", "web", "back", 60, 40, radius=3.175)],
        holes=(samples.hole("h", "leg", (30.0, 30.0), 2.489),),
    )
    placed = Placed(name="a", formed=form(develop_blank(part)), frame=Pose())
    plate = samples.part(samples.flat("b", 80, 80))
    beside = Pose((1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0), (-10.0, 41.016, -10.0))
    other = Placed(name="b", formed=form(develop_blank(plate)), frame=beside)
    both = Tolerances(place=0.3, bend=0.4, angle=0.0)
    (match,) = match_holes(placed, other, asked(["h"], tolerances=both, reach=2.0))
    assert match.error == pytest.approx(math.hypot(0.3, 0.4), rel=1e-6)
    turned_only = Tolerances(place=0.0, bend=0.0, angle=0.01)
    (match,) = match_holes(placed, other, asked(["h"], tolerances=turned_only, reach=2.0))
    # While the angle changes the neutral fibre keeps its length A = ρ·θ (docs/architecture.md), so
    # along the leg the hole moves by ρ(1 - 1/θ) for the bend's end, and by its height over the
    # neutral fibre for the turn: at 90° ρ(1 - 2/π) + (1 - k)·T.
    bend = placed.formed.blank.bends[0]
    neutral = bend.allowance / bend.angle
    above = (1.0 - bend.k) * 1.016
    assert match.error / 0.01 == pytest.approx(neutral * (1 - 2 / math.pi) + above, rel=1e-3)


@pytest.mark.parametrize(
    ("off", "diameter", "what", "length"),
    [
        (0.0, 2.489, Meets.EXACT, 0.0),
        (0.2, 2.489, Meets.CLEANED_UP, 0.0),
        (1.0, 2.489, Meets.ELONGATED, 1.0 + (3.264 + 2.489) / 2),
        (6.0, 3.264, Meets.SPOILED_PITCH, 0.0),
    ],
)
def test_existing_holes(off, diameter, what, length):
    there = samples.hole("old", "b", (30.0 + off, 20.0), diameter)
    (match,) = match_holes(*plates(holes=(there,)), asked(["h"]))
    (met,) = match.meets
    assert met.what is what
    assert met.off == pytest.approx(off, abs=1e-9)
    assert met.length == pytest.approx(length)


def test_spoiled_edge_distance():
    (match,) = match_holes(*plates(hole_at=(30.0, 6.0)), asked(["h"]))
    assert match.spoiled_edge
    assert match.edge == pytest.approx(6.0)
    (match,) = match_holes(*plates(hole_at=(30.0, 6.36)), asked(["h"]))
    assert not match.spoiled_edge


def test_ends_are_piloted_first_then_the_middle():
    row = [(10.0 * i, 0.0, 0.0) for i in range(9)]
    order = drilling_order(row)
    assert set(order[:2]) == {0, 8}
    assert order[2] == 4
    assert sorted(order) == list(range(9))


def test_temporary_fasteners_hold_every_third_hole():
    row = [(10.0 * i, 0.0, 0.0) for i in range(25)]
    held = temporary_fasteners(row)
    assert {0, 24} <= set(held)
    assert max(b - a for a, b in itertools.pairwise(held)) <= 3
    assert len(held) <= 13
    assert temporary_fasteners(row[:2]) == (0, 1)
