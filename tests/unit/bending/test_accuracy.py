"""Expected plus and minus: propagation against parts made at random, and plain sums."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

import bend_shops
import samples
from bend_shops import block, brake, planned
from blankwright.bending.accuracy import Accuracy, expected_of
from blankwright.bending.tools import Capability

ONLY_SIGHT = Capability(cut=0.0, sight=0.4, stop=0.0, angle=0.0, k=0.0)
ONLY_K = Capability(cut=0.0, sight=0.0, stop=0.0, angle=0.0, k=0.05)
ONLY_CUT = Capability(cut=0.25, sight=0.0, stop=0.0, angle=0.0, k=0.0)
ONLY_STOP = Capability(cut=0.0, sight=0.0, stop=0.25, angle=0.0, k=0.0)


def drilled_channel():
    base = samples.channel()
    holes = (
        samples.hole("w", "web", (40.0, 25.0), 3.2),
        samples.hole("f", "front", (40.0, 15.0), 3.2),
        samples.hole("b", "back", (40.0, 15.0), 3.2),
    )
    return replace(base, holes=holes)


@pytest.fixture(scope="module")
def plan():
    return planned(drilled_channel())


def heights(plan, capability, **more):
    accuracy = Accuracy(plan, capability, {}, **more)
    return {e.name.split()[2]: e for e in accuracy.expected() if e.name.startswith("height")}


def test_values_are_as_drawn(plan):
    found = heights(plan, Capability())
    assert found["front"].value == pytest.approx(25.4, abs=1e-6)
    assert found["back"].value == pytest.approx(25.4, abs=1e-6)


def test_height_takes_all_of_the_place_and_of_the_cut(plan):
    for name in ("front", "back"):
        assert heights(plan, ONLY_SIGHT)[name].plus_minus == pytest.approx(0.4, abs=1e-6)
        assert heights(plan, ONLY_CUT)[name].plus_minus == pytest.approx(0.25, abs=1e-6)


def test_the_free_side_takes_what_the_bend_takes_more_or_less(plan):
    """±0.05 in k at 90° in 1.016 mm is ±0.0798 mm of metal: none of it on the side held."""
    taken = math.pi / 2 * 1.016 * 0.05
    found = heights(plan, ONLY_K)
    for step in plan.steps:
        (name,) = step.bends
        leg_held = name in step.held
        assert found[name].plus_minus == pytest.approx(0.0 if leg_held else taken, abs=1e-6)
    assert {name in s.held for s in plan.steps for name in s.bends} == {True, False}


def test_by_the_stop_the_held_edge_does_not_matter(plan):
    """The leg's edge lies against the stop: its height is as good as the stop, whatever the cut."""
    held = next(s.bends[0] for s in plan.steps if s.bends[0] in s.held)
    free = next(s.bends[0] for s in plan.steps if s.bends[0] not in s.held)
    assert heights(plan, ONLY_CUT, by_stop=True)[held].plus_minus == pytest.approx(0.0, abs=1e-6)
    assert heights(plan, ONLY_STOP, by_stop=True)[held].plus_minus == pytest.approx(0.25, abs=1e-6)
    assert heights(plan, ONLY_CUT, by_stop=True)[free].plus_minus >= 0.25 - 1e-6


def test_angle_moves_a_height_only_to_second_order(plan):
    only = Capability(cut=0.0, sight=0.0, stop=0.0, angle=math.radians(1), k=0.0)
    # cos 1° of 21 mm is 0.003 mm; the bend's own shift with angle is (R+T)·Δ less A/θ·Δ.
    assert heights(plan, only)["front"].plus_minus < 0.1


@pytest.mark.parametrize("by_stop", [False, True])
def test_propagation_agrees_with_parts_made_at_random(plan, by_stop):
    accuracy = Accuracy(plan, Capability(), {}, by_stop)
    tried = 0
    for number, bend in enumerate(plan.blank.bends):
        leg = accuracy.leg_measure(bend)
        holes = accuracy.holes_measure(bend)
        assert leg is not None
        assert holes is not None
        for measure, own in ((leg[0], leg[1]), (holes[1], holes[2])):
            by_sum, _ = accuracy.spread(measure, own)
            drawn = accuracy.drawn_at_random(measure, own, 1500, 11 + number)
            assert drawn == pytest.approx(by_sum, rel=0.08)
            tried += 1
    assert tried == 4


def test_order_and_gauging_change_what_is_expected():
    """A stop against a bend made before hands that bend's error on."""
    part = bend_shops.hat(crown=75.0, tall=60.0)
    plan = planned(part, brake(), block())
    by_sight = {e.name: e.plus_minus for e in expected_of(plan)}
    by_stop = {e.name: e.plus_minus for e in expected_of(plan, by_stop=True)}
    assert by_sight.keys() == by_stop.keys()
    assert any(abs(by_sight[n] - by_stop[n]) > 0.02 for n in by_sight)


def test_coupon_narrows_the_free_side(plan):
    free = next(s.bends[0] for s in plan.steps if s.bends[0] not in s.held)
    loose = {e.name: e.plus_minus for e in expected_of(plan)}
    tight = {e.name: e.plus_minus for e in expected_of(plan, {free: 0.005})}
    name = f"height of {free} over web"
    assert tight[name] < loose[name]


def test_hole_distance_across_a_bend(plan):
    """Straight sum for holes: both drilled ±0.25, the bend placed ±0.4 acts on each leg."""
    accuracy = Accuracy(plan, Capability(angle=0.0, k=0.0, sight=0.0, cut=0.25), {})
    bend = plan.blank.bend_by_name["front"]
    _, measure, own = accuracy.holes_measure(bend)
    spread, _ = accuracy.spread(measure, own)
    # Along the line between them each hole's error counts in full: √2 × 0.25, at most.
    assert 0.2 < spread <= 0.25 * math.sqrt(2) + 1e-6
