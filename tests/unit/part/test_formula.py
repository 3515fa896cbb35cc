"""Formulas: how they are read, and that dimensions are kept."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from blankwright.base.quantities import BadText, Quantity
from blankwright.part.formula import read_formula

SIZES = {
    "bay_width": Quantity(186.4, "length"),
    "clear": Quantity(0.75, "length"),
    "wall": Quantity(25.4, "length"),
    "tilt": Quantity(math.radians(30), "angle"),
    "n": Quantity(4.0, "number"),
}


def value(text: str) -> Quantity:
    return read_formula(text).value(SIZES)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("bay_width - 2*clear", 184.9),
        ("bay_width-2*clear", 184.9),
        ("2-7/16 in", 61.9125),
        ("wall-7/16 in", 25.4 - 11.1125),
        ("wall - 2-7/16 in", 25.4 - 61.9125),
        ("wall - -1 mm", 26.4),
        ("(wall + 1 in)/2", 25.4),
        ("wall/n", 6.35),
        ("wall/2/2", 6.35),
        ("wall*3/4", 19.05),
        ("3/4*wall", 19.05),
        ("wall - 1 mm - 1 mm", 23.4),
        ("-wall", -25.4),
        ("+wall", 25.4),
        ("2*(wall + clear)*n/8", 26.15),
        ("sqrt(wall*wall + wall*wall)", 25.4 * math.sqrt(2)),
        ("wall*sin(tilt)", 12.7),
        ("wall*tan(atan(1/2))", 12.7),
        ("max(wall, clear, 1 mm)", 25.4),
        ("min(wall, clear)", 0.75),
        ("abs(clear - wall)", 24.65),
        ("wall*wall/clear/clear*1 mm", 25.4**2 / 0.75**2),
        ("tilt/(1 rad)*wall", math.radians(30) * 25.4),
        ("wall × 2", 50.8),
        ("2*pi*wall", 2 * math.pi * 25.4),
    ],
)
def test_lengths(text: str, mm: float) -> None:
    got = value(text)
    assert got.kind == "length"
    assert got.value == pytest.approx(mm, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("wall/clear", "number", 25.4 / 0.75),
        ("180 deg - tilt", "angle", math.radians(150)),
        ("2*tilt", "angle", math.radians(60)),
        ("n*2 + 1", "number", 9.0),
        ("7 - 4*2", "number", -1.0),
        ("2*-3", "number", -6.0),
        ("cos(60 deg)", "number", 0.5),
    ],
)
def test_other_kinds(text: str, kind: str, expected: float) -> None:
    got = value(text)
    assert got.kind == kind
    assert got.value == pytest.approx(expected)


def test_it_knows_what_it_uses_in_order_and_once() -> None:
    assert read_formula("wall + clear*wall/clear").uses == ("wall", "clear")
    assert read_formula("1-1/2 in").uses == ()


def test_a_plain_quantity_is_told_from_a_formula() -> None:
    assert read_formula("2-7/16 in").plain
    assert read_formula("-1/8 in").plain
    assert not read_formula("1 in + 1 in").plain
    assert not read_formula("wall").plain


@pytest.mark.parametrize(
    ("text", "phrases"),
    [
        ("wall + tilt", ("`tilt` (an angle)", "`wall` (a length)")),
        ("wall + 2", ("`2` (a bare number)", "Write the unit of `2`")),
        ("tilt - n", ("`n` (a bare number)", "taken from")),
        ("(wall + clear)*wall + clear", ("a length squared",)),
    ],
)
def test_unlike_things_are_named(text: str, phrases: tuple[str, ...]) -> None:
    with pytest.raises(BadText) as caught:
        value(text)
    assert caught.value.code == "SIZE-002"
    for phrase in phrases:
        assert phrase in f"{caught.value.got} {caught.value.fix}"


@pytest.mark.parametrize("text", ["wall*wall", "wall*tilt", "1/wall", "tilt*tilt", "wall/tilt"])
def test_squares_and_the_like_are_no_result(text: str) -> None:
    with pytest.raises(BadText, match="comes to"):
        value(text)


# An independent oracle: Python's own exact fractions over the same expression tree.
numbers = st.integers(1, 40)
trees = st.recursive(
    numbers.map(lambda n: (f"{n} mm", Fraction(n))),
    lambda inner: st.one_of(
        st.tuples(inner, st.sampled_from("+-"), inner).map(
            lambda t: (
                f"({t[0][0]} {t[1]} {t[2][0]})",
                t[0][1] + t[2][1] if t[1] == "+" else t[0][1] - t[2][1],
            )
        ),
        st.tuples(inner, st.sampled_from("*/"), numbers).map(
            lambda t: (
                f"{t[0][0]}{t[1]}{t[2]}",
                t[0][1] * t[2] if t[1] == "*" else t[0][1] / t[2],
            )
        ),
        inner.map(lambda t: (f"-({t[0]})", -t[1])),
    ),
    max_leaves=12,
)


@given(trees)
@settings(derandomize=True, max_examples=300)
def test_against_exact_arithmetic(tree: tuple[str, Fraction]) -> None:
    text, expected = tree
    got = value(text)
    assert got.kind == "length"
    assert got.value == pytest.approx(float(expected), rel=1e-9, abs=1e-9)


@given(st.text(alphabet="wall clear+-*/()0123456789.,in\"'°# ", max_size=20))
@settings(derandomize=True, max_examples=1000)
def test_any_text_is_worked_out_or_refused_by_name(text: str) -> None:
    try:
        got = value(text)
    except BadText as error:
        assert error.code in {"QTY-002", "QTY-003", "QTY-004"} or error.code.startswith("SIZE-")  # noqa: PT017
    except KeyError:
        pass  # a name that is no size: the look-up's own business
    else:
        assert math.isfinite(got.value)
