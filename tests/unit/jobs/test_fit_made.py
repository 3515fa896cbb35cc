"""A part as the shop makes it, against geometry worked out by hand on a right angle."""

import math

import pytest

from blankwright.bending.tools import Capability
from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import form
from blankwright.files.partfile import read_part_text
from blankwright.jobs.fit_made import as_made, shop_errors

ANGLE = """
title = "Angle"
[sheet]
alloy = "6061-T6"
thickness = "1 mm"
[flats.base]
outline = { rectangle = ["40 mm", "20 mm"] }
[bends.leg]
from = "base.back"
up = true
angle = "90 deg"
inside_radius = "2 mm"
leg = { height = "15 mm" }
[bends.lip]
from = "leg.tip"
up = true
angle = "90 deg"
inside_radius = "2 mm"
leg = { height = "10 mm" }
"""

FORMED = form(develop_blank(read_part_text(ANGLE, "angle")))


def spot(formed, flat: str) -> tuple[float, float, float]:
    """A blank point on a flat in space, at half thickness."""
    box = formed.blank.flat_by_name[flat].region.outer.box
    return formed.flats[flat](((box[0] + box[2]) / 2, (box[1] + box[3]) / 2, 0.5))


def test_without_errors_nothing_moves() -> None:
    made = as_made(FORMED, {})
    for flat in ("base", "leg", "lip"):
        assert spot(made, flat) == pytest.approx(spot(FORMED, flat), abs=1e-9)


def test_a_bend_that_lands_farther_out_carries_the_leg_out_and_leaves_it_lower() -> None:
    made = as_made(FORMED, {"shop place of bend leg": 0.3})
    x, y, z = spot(FORMED, "leg")
    assert spot(made, "leg") == pytest.approx((x, y + 0.3, z - 0.3), abs=1e-9)
    # The lip goes with it.
    x, y, z = spot(FORMED, "lip")
    assert spot(made, "lip") == pytest.approx((x, y + 0.3, z - 0.3), abs=1e-9)


def test_a_bend_that_takes_more_metal_leaves_the_leg_lower() -> None:
    made = as_made(FORMED, {"shop allowance of bend leg": 0.2})
    x, y, z = spot(FORMED, "leg")
    assert spot(made, "leg") == pytest.approx((x, y, z - 0.2), abs=1e-9)


def test_a_bend_that_turns_too_far_turns_the_leg_about_its_axis() -> None:
    turn = math.radians(2.0)
    made = as_made(FORMED, {"shop angle of bend leg": turn})
    # The axis: inside radius over the base's face, over the tangent line 3 mm in front of y = 20.
    axis_y, axis_z = 20.0 - 3.0, 1.0 + 2.0
    x, y, z = spot(FORMED, "leg")
    y, z = y - axis_y, z - axis_z
    expected = (
        x,
        axis_y + y * math.cos(turn) - z * math.sin(turn),
        axis_z + y * math.sin(turn) + z * math.cos(turn),
    )
    assert spot(made, "leg") == pytest.approx(expected, abs=1e-9)


def test_each_bend_brings_three_errors_as_the_shop_states_them() -> None:
    shop = Capability(sight=0.5, angle=math.radians(2.0), k=0.1)
    found = {v.name: v for v in shop_errors(FORMED.blank, shop)}
    assert len(found) == 6
    assert found["shop place of bend lip"].plus_minus == 0.5
    assert found["shop angle of bend lip"].plus_minus == pytest.approx(math.radians(2.0))
    # k by 0.1 makes the allowance θ·k·T longer by 0.1·π/2·1 mm.
    assert found["shop allowance of bend leg"].plus_minus == pytest.approx(0.1 * math.pi / 2)
