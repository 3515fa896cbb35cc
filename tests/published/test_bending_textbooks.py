"""Springback, bending force and shortest flange as textbooks and brake charts print them.

Sources, all FROM MEMORY (the numbers stand as printed there; none comes from this code):

* S. Kalpakjian, S. R. Schmid, *Manufacturing Engineering and Technology*, sheet-metal forming,
  worked example on springback: 20-gage steel, radius 0.5 in, yield 40,000 psi; Ri/Rf 0.942, Rf
  0.531 in. Medium to high.
* M. P. Groover, *Fundamentals of Modern Manufacturing*, sheet metalworking, worked example on
  bending: 3.2 mm sheet, 44.5 mm wide, 450 MPa, V of 25 mm, factor 1.33; 10,909 N. High.
* Brake makers' air-bending chart: shortest flange for each V; force P = 650·S²·L/V in kN for 450
  MPa (S, V in mm, L in m), with its worked case 4 mm, 1 m, V 32: 325 kN. High.
"""

from __future__ import annotations

import math

import pytest

from blankwright.base.units import from_inches
from blankwright.bending.tools import PressBrake
from blankwright.bending.ways import shortest_flange
from blankwright.handbook.forming import angle_in_tool, brake_force, radius_after, springback_ratio


def test_springback_of_20_gage_steel():
    radius, thickness = from_inches(0.5), from_inches(0.0359)
    ratio = springback_ratio(radius, thickness, 40_000.0, 29e6)
    assert ratio == pytest.approx(0.942, abs=0.0005)
    assert radius_after(radius, thickness, 40_000.0, 29e6) == pytest.approx(
        from_inches(0.531), rel=0.0015
    )


def test_angle_to_bend_that_strip_to():
    """The example's own relation, αi(Ri + T/2) = αf(Rf + T/2), with its printed radii: 95.4°."""
    radius, thickness = from_inches(0.5), from_inches(0.0359)
    angle = angle_in_tool(math.pi / 2, radius, thickness, 40_000.0, 29e6)
    printed = 90.0 * (0.531 + 0.0359 / 2) / (0.5 + 0.0359 / 2)
    assert math.degrees(angle) == pytest.approx(printed, abs=0.1)


def test_bending_force_of_the_textbook_is_within_the_rules_band():
    """The shop rule for brakes lies above the textbook's factor, by a fifth: the safe side."""
    printed = 10_909.0
    per_mm, source = brake_force(3.2, 25.0, 450.0)
    ours = per_mm * 44.5
    assert printed <= ours <= 1.21 * printed
    assert "20 %" in source
    # The textbook's own arithmetic, so that the number above is no slip of memory.
    by_hand = 1.33 * 450.0 * 44.5 * 3.2**2 / 25.0
    assert by_hand == pytest.approx(printed, abs=0.5)


def test_force_of_the_makers_worked_case():
    per_mm, _ = brake_force(4.0, 32.0, 450.0)
    assert per_mm * 1000.0 / 1000.0 == pytest.approx(325.0, rel=0.2)


@pytest.mark.parametrize(
    ("opening", "flange"),
    [
        (6, 4),
        (8, 5.5),
        (10, 7),
        (12, 8.5),
        (16, 11),
        (20, 14),
        (25, 17.5),
        (32, 22),
        (40, 28),
        (50, 35),
        (63, 45),
        (80, 55),
        (100, 71),
    ],
)
def test_shortest_flange_of_the_makers_chart(opening, flange):
    ours = shortest_flange(PressBrake(name="press", opening=float(opening)))
    assert ours == pytest.approx(flange, rel=0.065)
