"""Springback after Gardiner 1957 (formula FROM MEMORY, high; numbers DERIVED), and brake force.

Force: diehardamericanmetal.com/guides/how-to-calculate-press-brake-tonnage;
jmtusa.com/determine-proper-tonnage-bend.
"""

import math

import pytest

from blankwright.handbook.edge import least_flange_over_die
from blankwright.handbook.forming import (
    air_bend_radius,
    angle_in_tool,
    brake_force,
    radius_after,
    springback_ratio,
    v_opening,
)
from blankwright.handbook.table import table

IN = 25.4
TON_A_FOOT = 2000 * 4.4482216152605 / 304.8

CASES = [
    # Ri, Y, E, T, x, Ri/Rf, Rf, 90°/(Ri/Rf)
    ("steel strip", 50, 300, 210000, 2, 0.03571, 0.89304, 55.9886, 100.78),
    ("6061-T6 1.5 mm", 3, 276, 68900, 1.5, 0.00801, 0.97597, 3.0739, 92.22),
    ("2024-T3 .040", 0.156, 47000, 1.05e7, 0.04, 0.01746, 0.94765, 0.1646, 94.97),
    ("5052-H32 .040", 0.063, 23000, 1.01e7, 0.04, 0.00359, 0.98924, 0.0637, 90.98),
]


@pytest.mark.parametrize(("name", "ri", "y", "e", "t", "x", "ratio", "rf", "overbend"), CASES)
def test_gardiner(
    name: str,
    ri: float,
    y: float,
    e: float,
    t: float,
    x: float,
    ratio: float,
    rf: float,
    overbend: float,
) -> None:
    assert ri * y / (e * t) == pytest.approx(x, abs=5.1e-6)
    assert springback_ratio(ri, t, y, e) == pytest.approx(ratio, abs=5.1e-6)
    assert radius_after(ri, t, y, e) == pytest.approx(rf, rel=1e-3)
    # The column divides 90° by the ratio of inside radii; the formula's own law keeps the length
    # of the middle of the sheet, which turns a little less.
    assert 90 / springback_ratio(ri, t, y, e) == pytest.approx(overbend, abs=0.0051)
    law = math.degrees(angle_in_tool(math.pi / 2, ri, t, y, e))
    assert law == pytest.approx(90 * (rf + t / 2) / (ri + t / 2), rel=1e-3)
    assert 90 < law < overbend


def test_fully_elastic_limit() -> None:
    """At x = 0.5 the ratio is 0. DERIVED: 4/8 − 3/2 + 1."""
    assert springback_ratio(0.5 - 1e-9, 1.0, 1.0, 1.0) == pytest.approx(0.0, abs=1e-12)


def test_disagreement_6061_t6() -> None:
    """D7: a page prints 0.97 and "roughly 3°"; the formula gives 0.976 and 2.2° (by its ratio)."""
    ratio = springback_ratio(3, 1.5, 276, 68900)
    assert ratio == pytest.approx(0.976, abs=5e-4)
    assert ratio == pytest.approx(0.97, abs=0.0065)
    assert 90 / ratio - 90 == pytest.approx(2.2, abs=0.05)


def test_worked_force() -> None:
    """T .125 over V 1.0: 9.0 tons a foot, 36 tons on 4 ft; 8.984 and 35.94 unrounded."""
    force, source = brake_force(0.125 * IN, 1.0 * IN)
    tons = force / TON_A_FOOT
    assert tons == pytest.approx(8.984, abs=5e-4)
    assert round(tons, 1) == 9.0
    assert 4 * tons == pytest.approx(35.94, abs=5e-3)
    assert "20 %" in source


def test_disagreement_quarter_inch_over_two() -> None:
    """D8: a maker's chart has 15.5 tons a foot, the rule gives 17.97: inside ± 20 %."""
    tons = brake_force(0.25 * IN, 2.0 * IN)[0] / TON_A_FOOT
    assert tons == pytest.approx(17.97, abs=5e-3)
    assert 0.8 * tons < 15.5 < 1.2 * tons


def test_makers_flange_and_radius() -> None:
    """Same maker: least flange 1-3/8 and inside radius 5/16 over a V of 2 in."""
    assert least_flange_over_die(2 * IN).value / IN == pytest.approx(1.375)
    assert air_bend_radius(2 * IN)[0] / IN == pytest.approx(5 / 16, abs=0.01)


def test_aluminium() -> None:
    """D9: 0.5 of mild steel by two pages, 0.65 by a maker (300 against 420 to 450 MPa).

    The ratio of strengths is used: 6061-T6, 42 ksi against 60, lies above both in its class.
    """
    rules = {row.values["rule"]: row for row in table("brake-force").rows}
    assert str(rules["aluminium over mild steel"].values["value"]) == "0.5"
    assert str(rules["stainless over mild steel"].values["value"]) == "1.5"
    steel = brake_force(1.0, 8.0, 450.0)[0]
    assert brake_force(1.0, 8.0, 300.0)[0] / steel == pytest.approx(0.65, abs=0.02)


def test_textbook_factors() -> None:
    """FROM MEMORY (medium-high): F = k·UTS·L·T²/W, 0.7 wiping, 1.3 V, 2.4 U."""
    rules = {row.values["rule"]: row for row in table("brake-force").rows}
    for die, k in (("wiping", "0.7"), ("V die", "1.3"), ("U die", "2.4")):
        assert str(rules[f"textbook factor, {die}"].values["value"]) == k


def test_v_openings() -> None:
    """6 to 8 T; a maker's chart 6T to 2.5 mm, 8T to 8, 10T to 10, 12T over 12."""
    assert v_opening(1.0)[:2] == (6, 8)
    printed = [
        (str(row.values["least"]), str(row.values.get("most", "")), str(row.values["factor"]))
        for row in table("v-opening").rows
    ]
    assert printed == [
        ("0.5", "2.5", "6"),
        ("3", "8", "8"),
        ("9", "10", "10"),
        ("12", "", "12"),
    ]
