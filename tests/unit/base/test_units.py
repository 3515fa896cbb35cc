"""Conversions and how numbers are shown."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from blankwright.base import units
from blankwright.base.quantities import read_quantity
from blankwright.base.units import System, nearest_fraction, show


def test_conversions_go_both_ways() -> None:
    assert units.from_inches(1.0) == 25.4
    assert units.inches(25.4) == 1.0
    assert units.from_degrees(units.degrees(1.25)) == pytest.approx(1.25)
    assert units.pounds(0.45359237) == 1.0


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (61.9125, "2-7/16 in"),
        (25.4, "1 in"),
        (0.0, "0 in"),
        (0.1, "0 in"),
        (0.396875, "1/64 in"),
        (-61.9125, "-2-7/16 in"),
        (25.39, "1 in"),
        (12.7, "1/2 in"),
    ],
)
def test_nearest_fraction(mm: float, text: str) -> None:
    found = nearest_fraction(mm)
    assert found.text == text
    assert found.length + -mm == pytest.approx(found.error, abs=1e-12)


@given(st.floats(-5000, 5000))
@settings(derandomize=True, max_examples=300)
def test_a_fraction_is_within_half_a_mark_and_reads_back(mm: float) -> None:
    found = nearest_fraction(mm)
    assert abs(found.error) <= 25.4 / 128 + 1e-9
    assert read_quantity(found.text).value == pytest.approx(found.length, abs=1e-12)


@pytest.mark.parametrize(
    ("value", "kind", "system", "text"),
    [
        (61.9125, "length", System.MM, "61.91 mm"),
        (61.9125, "length", System.INCH, "2.438 in"),
        (61.9125, "length", System.BOTH, "61.91 mm (2.438 in)"),
        (-1e-9, "length", System.MM, "0.00 mm"),
        (math.pi / 2, "angle", System.BOTH, "90°"),
        (math.radians(22.5), "angle", System.MM, "22.5°"),
        (0.44690, "number", System.MM, "0.4469"),
        (3.0, "number", System.MM, "3"),
        (645.16, "area", System.INCH, "1.000 in²"),
        (16387.064, "volume", System.BOTH, "16387.1 mm³ (1.0000 in³)"),
        (0.45359237, "mass", System.INCH, "1.0000 lb"),
    ],
)
def test_show(value: float, kind: str, system: System, text: str) -> None:
    assert show(value, kind, system) == text


def test_show_knows_its_kinds() -> None:
    with pytest.raises(ValueError, match="speed"):
        show(1.0, "speed")


def test_a_half_is_rounded_as_on_paper() -> None:
    """By hand: 1/8 in is 3.175 mm, 3/16 in is 4.7625 mm; neither is a double just so."""
    assert units.fixed(units.from_inches(1 / 8), 2) == "3.18"
    assert units.fixed(-units.from_inches(1 / 8), 2) == "-3.18"
    assert units.fixed(units.from_inches(3 / 16), 3) == "4.763"
    assert units.fixed(4.7625 - 1e-13, 3) == units.fixed(4.7625 + 1e-13, 3)
    assert units.fixed(3.1749, 2) == "3.17"


def test_fixed_has_no_minus_zero() -> None:
    assert units.fixed(-0.001, 2) == "0.00"
    assert units.fixed(-0.006, 2) == "-0.01"
    assert units.trimmed(-0.0, 3) == "0"
