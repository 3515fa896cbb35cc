import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from blankwright.base.errors import NotPossible
from blankwright.develop.allowance import (
    RadiusConstant,
    bend_allowance_empirical,
    bend_allowance_neutral_axis,
    empirical_step,
    k_of_allowance,
    neutral_axis_step,
)
from blankwright.develop.din6935 import compensation_din6935, correction_factor, k_din6935

radii = st.floats(0, 500)
thicknesses = st.floats(0.1, 10)
angles = st.floats(math.radians(1), math.pi)
ks = st.floats(0, 1)


@settings(derandomize=True, deadline=None)
@given(radii, thicknesses, angles, ks)
def test_k_comes_back_from_its_allowance(r: float, t: float, a: float, k: float) -> None:
    assert k_of_allowance(bend_allowance_neutral_axis(r, t, a, k), r, t, a) == pytest.approx(
        k, abs=1e-9
    )


@settings(derandomize=True, deadline=None)
@given(radii, thicknesses, angles)
def test_the_empirical_formula_is_one_k(r: float, t: float, a: float) -> None:
    k = 0.0078 * 180 / math.pi
    assert bend_allowance_empirical(r, t, a) == pytest.approx(
        bend_allowance_neutral_axis(r, t, a, k), rel=1e-12
    )


@settings(derandomize=True, deadline=None)
@given(radii, thicknesses, angles, st.floats(0.1, 10))
def test_scale(r: float, t: float, a: float, by: float) -> None:
    assert bend_allowance_empirical(by * r, by * t, a) == pytest.approx(
        by * bend_allowance_empirical(r, t, a), rel=1e-12
    )


@settings(derandomize=True, deadline=None)
@given(radii, thicknesses, angles, ks)
def test_the_allowance_lies_between_the_two_faces(r: float, t: float, a: float, k: float) -> None:
    assert a * r * (1 - 1e-12) <= bend_allowance_neutral_axis(r, t, a, k) <= a * (r + t) + 1e-9


def test_angles_add_up() -> None:
    whole = bend_allowance_empirical(3.0, 1.0, math.pi / 2)
    assert 3 * bend_allowance_empirical(3.0, 1.0, math.pi / 6) == pytest.approx(whole)


def test_the_books_constants_differ_as_they_say() -> None:
    exact, faa, navy = (
        bend_allowance_empirical(10.0, 1.0, math.pi / 2, constant) for constant in RadiusConstant
    )
    assert exact - faa == pytest.approx((math.pi / 180 - 0.01743) * 10 * 90)
    assert exact - navy == pytest.approx((math.pi / 180 - 0.0173) * 10 * 90)


@pytest.mark.parametrize(
    ("r", "t", "a"),
    [
        (-0.1, 1.0, 1.0),
        (math.inf, 1.0, 1.0),
        (math.nan, 1.0, 1.0),
        (1.0, 0.0, 1.0),
        (1.0, math.nan, 1.0),
        (1.0, 1.0, 0.0),
        (1.0, 1.0, -1.0),
        (1.0, 1.0, 3.2),
        (1.0, 1.0, math.nan),
    ],
)
def test_impossible_bends(r: float, t: float, a: float) -> None:
    for call in (
        lambda: bend_allowance_empirical(r, t, a),
        lambda: bend_allowance_neutral_axis(r, t, a, 0.4),
        lambda: k_of_allowance(5.0, r, t, a),
    ):
        with pytest.raises(NotPossible, match="ALLOWANCE-001"):
            call()


@pytest.mark.parametrize("k", [-0.01, 1.01, math.nan])
def test_k_outside_the_sheet(k: float) -> None:
    with pytest.raises(NotPossible, match="ALLOWANCE-002"):
        bend_allowance_neutral_axis(1.0, 1.0, 1.0, k)


def test_trails_hold_all_that_went_in() -> None:
    step = empirical_step("bend left: allowance", 3.175, 1.016, math.pi / 2)
    assert step.value == bend_allowance_empirical(3.175, 1.016, math.pi / 2)
    assert {name: value for name, value, _ in step.inputs} == {
        "R": 3.175,
        "T": 1.016,
        "A": math.pi / 2,
    }
    assert "0.0078" in step.formula
    assert "AC 43.13-1B" in step.source
    step = neutral_axis_step("bend left: allowance", 3.175, 1.016, math.pi / 2, 0.41, "coupon x")
    assert ("k", 0.41, "number") in step.inputs
    assert step.source == "coupon x"


def test_din_factor_is_half() -> None:
    assert k_din6935(2.0, 2.0) == correction_factor(2.0, 2.0) / 2 == 0.325


def test_din_factor_never_leaves_the_sheet() -> None:
    assert correction_factor(0.0, 1.0) == 0.0
    assert correction_factor(0.001, 1.0) == 0.0
    assert correction_factor(1e6, 1.0) == 1.0


@settings(derandomize=True, deadline=None)
@given(st.floats(math.radians(90.1), math.radians(164.9)), st.floats(0.1, 50), thicknesses)
def test_din_compensation_is_allowance_less_two_setbacks(b: float, r: float, t: float) -> None:
    bent = math.pi - b
    arc = bend_allowance_neutral_axis(r, t, bent, k_din6935(r, t))
    expected = arc - 2 * math.tan(bent / 2) * (r + t)
    assert compensation_din6935(b, r, t) == pytest.approx(expected, abs=1e-9)


def test_din_openings() -> None:
    assert compensation_din6935(math.pi, 1.0, 1.0) == 0.0
    with pytest.raises(NotPossible, match="ALLOWANCE-003"):
        compensation_din6935(3.2, 1.0, 1.0)
