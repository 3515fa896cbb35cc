"""What a shop writes, read; and what can be read two ways, refused."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from blankwright.base.quantities import BadText, Quantity, plain, read_quantity, scan_quantity

# Value in inches as an exact fraction; 1 in = 25.4 mm by definition.
INCHES = [
    ("3/32 in", Fraction(3, 32)),
    ("2-7/16 in", Fraction(39, 16)),
    ("1 3/8 in", Fraction(11, 8)),
    ('1 3/8"', Fraction(11, 8)),
    ("1-3/8″", Fraction(11, 8)),
    ('0.040"', Fraction(4, 100)),
    (".040 in", Fraction(4, 100)),
    (".040in", Fraction(4, 100)),
    ("12. in", Fraction(12)),
    ("5 inch", Fraction(5)),
    ("5 inches", Fraction(5)),
    ("3 ft", Fraction(36)),
    ("3'", Fraction(36)),
    ("3' 2-1/2\"", Fraction(77, 2)),
    ("3' 2 1/2''", Fraction(77, 2)),
    ("3 ft 2-1/2 in", Fraction(77, 2)),
    ("1 foot 6 in", Fraction(18)),
    ("40 thou", Fraction(4, 100)),
    ("½ in", Fraction(1, 2)),
    ("2½ in", Fraction(5, 2)),
    ("2⅞”", Fraction(23, 8)),
    ("-1/8 in", Fraction(-1, 8)),
    ("+1/8 in", Fraction(1, 8)),
    ("−1/8 in", Fraction(-1, 8)),
]


@pytest.mark.parametrize(("text", "value"), INCHES)
def test_inches_are_exact(text: str, value: Fraction) -> None:
    assert read_quantity(text) == Quantity(float(value * Fraction(254, 10)), "length")


@pytest.mark.parametrize(
    ("text", "mm"), [("1.5 mm", 1.5), ("12 cm", 120.0), ("2.2 m", 2200.0), ("0 mm", 0.0)]
)
def test_metric(text: str, mm: float) -> None:
    assert read_quantity(text) == Quantity(mm, "length")


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("90 deg", 90.0),
        ("90°", 90.0),
        ("22.5 degrees", 22.5),
        ("45° 30'", 45.5),
        ("45 deg 30 min", 45.5),
        ("30 min", 0.5),
        ("1° 30' 36\"", 1.51),
        ("-5 deg", -5.0),
    ],
)
def test_angles(text: str, degrees: float) -> None:
    got = read_quantity(text)
    assert got.kind == "angle"
    assert got.value == pytest.approx(math.radians(degrees), rel=1e-15)


def test_radians() -> None:
    assert read_quantity("0.5 rad") == Quantity(0.5, "angle")


def test_right_angle_and_half_turn_are_exact() -> None:
    assert read_quantity("90 deg").value == math.pi / 2
    assert read_quantity("180 deg").value == math.pi


@pytest.mark.parametrize(
    ("text", "value"), [("0.44", 0.44), ("5", 5.0), ("3/4", 0.75), ("-2", -2.0)]
)
def test_bare_numbers_stay_bare(text: str, value: float) -> None:
    assert read_quantity(text) == Quantity(value, "number")


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("5-1/2", "QTY-004"),
        ("5 1/2", "QTY-004"),
        ("3'-2\"", "QTY-004"),
        ("3' 12\"", "QTY-004"),
        ("2-9/8 in", "QTY-004"),
        ("1,5 mm", "QTY-004"),
        ("1,000 mm", "QTY-004"),
        ("30 mil", "QTY-004"),
        ("20 ga", "QTY-004"),
        ("5 IN", "QTY-004"),
        ("30 sec", "QTY-004"),
        ("2 - 7/16 in", "QTY-003"),
        ("2 furlong", "QTY-002"),
        ("1/0 in", "QTY-003"),
        ("", "QTY-003"),
        ("in", "QTY-003"),
        ("#30", "QTY-003"),
        ("1e3 mm", "QTY-002"),
        ("1.2.3 mm", "QTY-003"),
        ("٣ mm", "QTY-003"),
        ("9" * 400 + " mm", "QTY-003"),
    ],
)
def test_nothing_is_guessed(text: str, code: str) -> None:
    with pytest.raises(BadText) as caught:
        read_quantity(text)
    assert caught.value.code == code
    assert caught.value.at("here").where == "here"


@given(st.integers(0, 99), st.integers(1, 63))
@settings(derandomize=True, max_examples=200)
def test_mixed_numbers_read_back(whole: int, sixty_fourths: int) -> None:
    part = Fraction(sixty_fourths, 64)
    text = f"{whole}-{part} in"
    assert read_quantity(text).value == float((whole + part) * Fraction(254, 10))


@given(st.text(max_size=12))
@settings(derandomize=True, max_examples=500)
def test_any_text_is_read_or_refused_by_name(text: str) -> None:
    try:
        quantity = read_quantity(text)
    except BadText as error:
        assert error.code.startswith("QTY-")  # noqa: PT017
    else:
        assert math.isfinite(quantity.value)


def test_scan_leaves_what_is_behind() -> None:
    text = "2-7/16 in - 2*clear"
    assert scan_quantity(text) == (Quantity(61.9125, "length"), len("2-7/16 in"))


def test_plain_spells_fractions_out() -> None:
    assert plain("2½ in") == "2-1/2 in"
    assert plain("¾ in") == "3/4 in"
