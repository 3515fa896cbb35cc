"""Expected plus and minus: propagation against parts made at random, and plain sums."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

import bend_shops
import samples
from bend_shops import block, brake, planned
from blankwright.bending.accuracy import THICKNESS, Accuracy
from blankwright.bending.measures import dimensions_of, expected_of, leg_of
from blankwright.bending.tools import Capability

NOTHING = Capability(cut=0.0, sight=0.0, stop=0.0, angle=0.0, k=0.0, thickness=0.0)
ONLY_SIGHT = replace(NOTHING, sight=0.4)
ONLY_K = replace(NOTHING, k=0.05)
ONLY_CUT = replace(NOTHING, cut=0.25)
ONLY_STOP = replace(NOTHING, stop=0.25)
ONLY_THICKNESS = replace(NOTHING, thickness=0.05)


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


def spreads(plan, capability, *, by_stop=False):
    """Plus and minus of every dimension by name, as `Spread`."""
    accuracy = Accuracy(plan, capability, {}, by_stop)
    return {d.name: accuracy.spread(d.measure, d.own) for d in dimensions_of(accuracy)}


def heights(plan, capability, **more):
    found = spreads(plan, capability, **more)
    return {name.split()[2]: s for name, s in found.items() if name.startswith("height")}


def test_values_are_as_drawn(plan):
    found = {e.name: e.value for e in expected_of(plan)}
    assert found["height of front over web"] == pytest.approx(25.4, abs=1e-6)
    assert found["height of back over web"] == pytest.approx(25.4, abs=1e-6)


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
    only = replace(NOTHING, angle=math.radians(1))
    # cos 1° of 21 mm is 0.003 mm; the bend's own shift with angle is (R+T)·Δ less A/θ·Δ.
    assert heights(plan, only)["front"].plus_minus < 0.1


@pytest.mark.parametrize("by_stop", [False, True])
def test_propagation_agrees_with_parts_made_at_random(plan, by_stop):
    found = spreads(plan, Capability(), by_stop=by_stop)
    # Two angles, two heights, holes of each two of three flats.
    assert len(found) == 7
    for spread in found.values():
        assert spread.plus_minus > 0
        assert spread.by_chance == pytest.approx(spread.plus_minus, rel=0.05)


def test_order_and_gauging_change_what_is_expected():
    """A stop against a bend made before hands that bend's error on."""
    part = bend_shops.hat(crown=75.0, tall=60.0)
    plan = planned(part, brake(), block())
    found = expected_of(plan)
    assert any(abs(e.plus_minus - e.by_stop) > 0.02 for e in found)
    assert all(e.by_stop_by_chance == pytest.approx(e.by_stop, rel=0.06) for e in found)


def test_coupon_narrows_the_free_side(plan):
    free = next(s.bends[0] for s in plan.steps if s.bends[0] not in s.held)
    loose = {e.name: e.plus_minus for e in expected_of(plan)}
    tight = {e.name: e.plus_minus for e in expected_of(plan, {free: 0.005})}
    name = f"height of {free} over web"
    assert tight[name] < loose[name]


def test_hole_distance_across_a_bend(plan):
    """Straight sum for holes: both drilled ±0.25, along the line between them in full."""
    found = spreads(plan, replace(NOTHING, cut=0.25))
    (name,) = (n for n in found if n.startswith("hole") and n.endswith("across front"))
    assert 0.2 < found[name].plus_minus <= 0.25 * math.sqrt(2) + 1e-6


def test_holes_across_both_bends_of_a_channel(plan):
    """Hole to hole straight across the web: each bend placed ±0.4 moves its leg along the web."""
    found = spreads(plan, ONLY_SIGHT)
    (name,) = (n for n in found if n.startswith("hole") and n.endswith("front and back"))
    # Both holes lie at one height over the web: what is left is the width between the legs.
    assert found[name].plus_minus == pytest.approx(0.4 * math.sqrt(2), abs=1e-4)


def test_reliefs_are_no_holes():
    plan = planned(samples.tray(returns=False), brake(leaf_depth=12.0), block())
    assert plan.blank.holes  # the reliefs at its corners
    assert plan.found
    assert not any(e.name.startswith("hole") for e in expected_of(plan))


def test_thicker_sheet_stands_higher_and_takes_more_metal(plan):
    """By hand: the nose keeps R, so a leg that is held rises by all of ΔT over the web's outside,
    one that swings by ΔT less what the bend takes more, θ·k·ΔT."""
    found = heights(plan, ONLY_THICKNESS)
    for step in plan.steps:
        (name,) = step.bends
        bend = plan.blank.bend_by_name[name]
        takes = bend.angle * bend.k * 0.05
        by_hand = 0.05 if name in step.held else 0.05 - takes
        assert found[name].plus_minus == pytest.approx(by_hand, abs=1e-6)
        assert found[name].most == THICKNESS


def test_every_leg_is_told_also_one_that_carries_a_lip():
    """A wall with a lip at its top: its height goes to the outside of the lip, as drawn."""
    plan = planned(bend_shops.hook(wall=30.0), brake(leaf_depth=12.0), block())
    found = {e.name: e for e in expected_of(plan)}
    wall = found["height of wall over web, to the fold of lip"]
    assert wall.value == pytest.approx(30.0, abs=1e-6)
    by_chance = wall.by_chance
    assert by_chance == pytest.approx(wall.plus_minus, rel=0.05)
    # Both bends land by the sight line: the wall has both errors, but what one holds.
    assert 0.4 < wall.plus_minus < 0.7


@pytest.mark.parametrize("degrees", [15.0, 20.0])
def test_a_leg_that_hardly_leans_is_measured_along_itself(degrees):
    part = samples.part(
        samples.flat("base", 80.0, 60.0),
        [samples.bend("flare", "base", "back", 80.0, 25.0, angle=degrees, radius=1.6)],
    )
    plan = planned(part)
    found = {e.name: e for e in expected_of(plan)}
    flare = found["length of flare from its own fold"]
    assert flare.value == pytest.approx(25.0, abs=1e-6)
    assert 0.4 < flare.plus_minus < 0.6


def test_with_nothing_off_nothing_is_off(plan):
    assert all(s.plus_minus == 0 and s.by_chance == 0 for s in spreads(plan, NOTHING).values())


def test_two_edges_of_a_flat_are_two_sources(plan):
    accuracy = Accuracy(plan, Capability(), {}, True)
    owns = [set(d.own) for d in dimensions_of(accuracy) if d.name.startswith("height")]
    assert owns[0].isdisjoint(owns[1])
    assert leg_of(accuracy, plan.blank.bends[0]) is not None
