"""A vise's jaws end: what stands beside them is clear of them."""

from __future__ import annotations

from dataclasses import replace

import pytest

import bend_shops
import samples
from bend_shops import planned, vise
from blankwright.files.bend_collision import prove_plan


def ears(apart, width=60.0):
    """A leg to be bent, and two ears that hang down from a long foot, so far apart [mm]."""
    long = apart + 2 * 20.0
    return samples.part(
        samples.flat("foot", long, 40.0),
        [
            samples.bend(
                "leg",
                "foot",
                "back",
                long,
                30.0,
                radius=1.6,
                start=(long - width) / 2,
                end=(long + width) / 2,
            ),
            samples.bend("left", "foot", "front", long, 30.0, radius=1.6, up=False, end=18.0),
            samples.bend(
                "right", "foot", "front", long, 30.0, radius=1.6, up=False, start=long - 18.0
            ),
        ],
    )


def step_of(plan, name):
    return next(step for step in plan.steps if name in step.bends)


def after_ears(part, jaw_width):
    """Whether the leg can be bent in the vise, the foot held, with both ears made."""
    import numpy as np

    plan = planned(part, vise(jaw_width=jaw_width))
    names = [bend.name for bend in plan.blank.bends]
    made = sum(1 << names.index(n) for n in ("left", "right"))
    leg = (names.index("leg"),)
    ways = [w for w in plan.rooms.ways if w.lay.group == leg and w.lay.parent_held]
    rooms = plan.rooms(ways, np.array([made]))
    return any(room[0] >= 0 for tiers in rooms for _, room in tiers)


@pytest.mark.parametrize(
    ("apart", "jaw_width", "can"),
    [
        (140.0, 100.0, True),  # ears at ±70 and farther out, jaws to ±50
        (140.0, 160.0, False),  # jaws to ±80 run into them
        (80.0, 100.0, False),
        (80.0, 70.0, True),
    ],
)
def test_ears_beside_the_jaws(apart, jaw_width, can):
    assert after_ears(ears(apart), jaw_width) is can


def test_wider_jaws_never_cost_less_and_plans_hold_in_the_other_library():
    part = bend_shops.zed(30.0)
    costs = []
    for width in (40.0, 100.0, 300.0):
        plan = planned(part, vise(jaw_width=width))
        costs.append(plan.cost)
        if plan.found:
            assert prove_plan(plan) > 0
    assert costs == sorted(costs)


def test_jaw_says_from_where_to_where_it_runs():
    plan = planned(samples.angle(), vise(jaw_width=90.0))
    step = plan.steps[0]
    ends = {
        body.name: body.along(step.way.lay.middle)
        for body in step.way.set_up.bodies
        if "jaw" in body.name
    }
    assert len(ends) == 2
    for x0, x1 in ends.values():
        assert x1 - x0 == pytest.approx(90.0)
        assert (x0 + x1) / 2 == pytest.approx(sum(step.way.lay.stretch) / 2)
    wide = replace(step.way.set_up.bodies[0]).along(0.0)
    assert wide == (float("-inf"), float("inf"))
