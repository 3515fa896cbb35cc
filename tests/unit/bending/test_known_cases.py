"""Parts whose answer a builder knows, worked out by hand from the tool's sizes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import bend_shops
import samples
from bend_shops import block, brake, order, planned, solid, vise

TRAY = samples.tray(returns=False)  # 120 × 80, walls of 30, closed corners


def test_tray_goes_with_fingers_that_fit_between_the_walls():
    plan = planned(TRAY)
    assert plan.found
    assert plan.proved
    assert sorted(order(plan)) == ["back", "front", "left", "right"]
    for step in plan.steps:
        # The last wall stands between two others: the run must fit between their insides.
        walls = sum(step.before >> j & 1 for j in range(4))
        if walls == 3:
            inside = {"front": 120.0, "back": 120.0, "left": 80.0, "right": 80.0}[step.bends[0]]
            assert step.run <= inside - 2 * 1.016


def test_tray_does_not_go_with_one_solid_bar():
    plan = planned(TRAY, solid())
    assert not plan.found
    assert plan.proved
    # A bar can work past one standing wall at its end, not past two: any three walls can be made
    # (two that are opposite, and between them the third first), all four can't.
    assert len(plan.blocking.bends) == 4


def test_two_opposite_walls_go_with_one_solid_bar():
    base = samples.tray(returns=False)
    two = replace(base, bends=tuple(b for b in base.bends if b.name in ("left", "right")))
    two = replace(two, corners=())
    assert planned(two, solid()).found


@pytest.mark.parametrize(
    ("widths", "goes"),
    [
        ((110.0,), True),  # all four: long walls last
        ((113.0, 73.0), True),  # long walls first with both, short ones between them
        ((119.0, 77.0), False),  # neither gets down between the bends of standing walls
        ((77.0,), False),  # too short for the long walls
    ],
)
def test_widths_decide(widths, goes):
    """The bends are 111.6 and 71.6 long, and the bar may stop 3 mm short at each end.

    Between standing walls the bar must get down to the floor beside their inside radii: it may
    be longer than the flat floor by no more than the radius leaves, about 1.5 mm an end.
    """
    plan = planned(TRAY, brake(widths=widths))
    assert plan.found == goes
    assert plan.proved


def test_z_whose_second_bend_is_nearer_than_the_leaf():
    """Seen from the second bend the first one's flat hangs down, into a leaf of 45 mm."""
    assert not planned(bend_shops.zed(12.0)).found
    assert planned(bend_shops.zed(60.0)).found
    # Hung beyond a leaf that is shallower than the middle flat, it goes.
    assert planned(bend_shops.zed(12.0), brake(leaf_depth=5.0)).found
    assert not planned(bend_shops.zed(12.0), brake(leaf_depth=14.0)).found


def test_z_goes_in_the_vise():
    plan = planned(bend_shops.zed(12.0), brake(), vise())
    assert plan.found
    assert {step.tool.name for step in plan.steps} == {"brake", "vise"}


def test_return_flange_goes_only_first():
    plan = planned(bend_shops.hook())
    assert order(plan) == ["lip", "wall"]
    rooms = plan.rooms
    wall = 1 << [b.name for b in plan.blank.bends].index("wall")
    lips = [w for w in rooms.ways if w.lay.first.name == "lip"]
    assert lips
    for tiers in rooms(lips, np.array([wall])):
        assert all(room[0] < 0 for _, room in tiers)


def test_crown_must_be_wider_than_the_bar_is_deep():
    """The bar is 60 mm deep: behind it the other side must stand."""
    assert not planned(bend_shops.hat(crown=58.0), brake(leaf_depth=10.0)).found


def test_hat_needs_a_leaf_shallower_than_its_sides():
    """Whichever goes first, something hangs down a side's height before the bend."""
    assert not planned(bend_shops.hat(crown=75.0, tall=40.0), brake(leaf_depth=45.0)).found
    assert planned(bend_shops.hat(crown=75.0, tall=40.0), brake(leaf_depth=10.0)).found
    assert planned(bend_shops.hat(crown=75.0, tall=60.0), brake(leaf_depth=45.0)).found


def test_tube_can_not_be_made_round_a_bar():
    """The bar is 60 mm deep and 70 mm high, the tube 30 mm square."""
    plan = planned(bend_shops.tube(), brake())
    assert not plan.found
    assert plan.proved
    assert set(plan.blocking.bends) <= {0, 1, 2}
    assert len(plan.blocking.bends) >= 2
    # A slender bar that fits inside does it: the part is slid off the end.
    slender = brake(
        bar=((0.0, 0.0), (14.0, 0.0), (14.0, 12.0), (9.0, 12.0)), beam=(), widths=(), leaf_depth=8.0
    )
    through = planned(bend_shops.tube(), slender)
    assert through.found
    assert "end" in through.steps[-1].take_out.value


def test_pinned_bend_stays_last():
    free = planned(TRAY)
    first = order(free)[0]
    pinned = replace(
        TRAY,
        bends=tuple(
            replace(b, last="after trial fit") if b.name == first else b for b in TRAY.bends
        ),
    )
    plan = planned(pinned)
    assert plan.found
    assert order(plan)[-1] == first
    assert plan.cost >= free.cost


def test_bends_on_one_line_are_made_together():
    """Two tabs on one edge: one stroke."""
    part = samples.part(
        samples.flat("web", 100.0, 60.0),
        [
            samples.bend("one", "web", "back", 100.0, 20.0, start=5.0, end=40.0, radius=1.6),
            samples.bend("two", "web", "back", 100.0, 20.0, start=60.0, end=95.0, radius=1.6),
        ],
    )
    plan = planned(part)
    assert [step.bends for step in plan.steps] == [("one", "two")]
    opposite = replace(part, bends=(part.bends[0], replace(part.bends[1], up=False)))
    # The tab bent first hangs down where bed and leaf are, when the sheet is turned over.
    assert not planned(opposite).found
    assert len(planned(opposite, brake(), block()).steps) == 2


@pytest.mark.parametrize("tool", [block(), vise()])
def test_bends_by_hand_cost_more_than_any_turning(tool):
    plan = planned(bend_shops.hook(), brake(), tool)
    assert {step.tool.name for step in plan.steps} == {"brake"}


def test_no_bends_no_steps():
    plan = planned(samples.part(samples.flat("plate", 50, 50)))
    assert plan.found
    assert plan.steps == ()
    assert plan.cost == 0


def test_same_part_same_plan():
    a, b = planned(TRAY), planned(TRAY)
    assert [(s.bends, s.held, s.run, s.bar) for s in a.steps] == [
        (s.bends, s.held, s.run, s.bar) for s in b.steps
    ]


@pytest.mark.parametrize("length", [40.0, 41.025, 321.025, 375.0, 99.99])
def test_a_block_is_cut_no_shorter_than_needed(length):
    run = block().shortest_run(length)
    assert length - 1e-6 <= run < length + 1.0


def test_widths_in_inches_add_up_exactly():
    eighths = tuple(25.4 * n / 8 for n in (9, 10, 13))
    tool = brake(widths=eighths)
    assert tool.shortest_run(25.4 * 19 / 8) == pytest.approx(25.4 * 19 / 8, abs=1e-9)
    assert sorted(tool.run_of(25.4 * 22 / 8)) == sorted((eighths[0], eighths[2]))
    assert tool.shortest_run(sum(eighths) + 0.1) is None
