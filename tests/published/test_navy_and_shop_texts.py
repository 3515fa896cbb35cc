"""Navy training manuals and shop texts on bend allowance and deduction. Inches, as printed.

NAVEDTRA 14018 p. 13-19 (tpub.com/air/13-19.htm) and p. 13-24, 13-… (navyaviation.tpub.com/14018);
14119 p. 13-42 (enginemechanics.tpub.com/14119); sheetmetalworkbook.com/bendallow.htm, bendded.htm;
zonekxcncmachine.com/article/48040.
"""

import math

import pytest

from blankwright.develop.allowance import (
    RadiusConstant,
    bend_allowance_empirical,
    bend_allowance_neutral_axis,
)
from blankwright.develop.setback import outside_setback
from blankwright.handbook.edge import least_pitch, most_pitch, usual_pitch
from blankwright.handbook.rivets import diameters_for

SIZES = [(0.125, 0.032, 1), (0.16, 0.040, 90), (0.25, 0.25, 160), (0.0625, 0.025, 180)]


@pytest.mark.parametrize(("r", "t", "n"), SIZES)
def test_navy_14018(r: float, t: float, n: float) -> None:
    """(0.0173·R + 0.0078·T)·N for any bend of 1° to 180°."""
    navy = bend_allowance_empirical(r, t, math.radians(n), RadiusConstant.NAVY)
    assert navy == pytest.approx((0.0173 * r + 0.0078 * t) * n, rel=1e-12)


@pytest.mark.parametrize(("r", "t", "n"), SIZES)
def test_navy_14119(r: float, t: float, n: float) -> None:
    """Neutral axis radius is R + T/2, the allowance that times the angle."""
    middle = bend_allowance_neutral_axis(r, t, math.radians(n), 0.5)
    assert middle == pytest.approx((r + t / 2) * n * math.pi / 180, rel=1e-12)


@pytest.mark.parametrize(("r", "t", "n"), SIZES)
def test_shop_text(r: float, t: float, n: float) -> None:
    """(0.0078·T + 0.017453·R)·A°."""
    shop = (0.0078 * t + 0.017453 * r) * n
    assert bend_allowance_empirical(r, t, math.radians(n)) == pytest.approx(shop, rel=2e-5)


def test_the_three_constants_disagree() -> None:
    """D1: π/180 is used; the others can be chosen. R .25, T .04, 90°."""
    exact, faa, navy = (
        bend_allowance_empirical(0.25, 0.04, math.pi / 2, constant) for constant in RadiusConstant
    )
    assert exact > faa > navy
    assert exact - navy < 0.004


def test_worked_article() -> None:
    """R = T = .250, 160°: 0.00436325 + 0.00195 = 0.00631325 a degree, printed 1.010."""
    degree = bend_allowance_empirical(0.250, 0.250, math.radians(1))
    assert degree == pytest.approx(0.00631325, abs=1e-7)
    whole = bend_allowance_empirical(0.250, 0.250, math.radians(160))
    assert round(whole, 3) == 1.010
    assert whole == pytest.approx(1.01012, abs=2e-5)


@pytest.mark.parametrize(("r", "t", "n"), [(0.16, 0.04, 90), (0.125, 0.063, 45), (0.1, 0.05, 120)])
def test_bend_deduction(r: float, t: float, n: float) -> None:
    """Deduction = 2·tan(A/2)·(T+R) − BA: what the blank is shorter than the mold lines."""
    angle = math.radians(n)
    deduction = 2 * outside_setback(angle, r, t) - bend_allowance_empirical(r, t, angle)
    shop = 2 * math.tan(angle / 2) * (t + r) - (0.0078 * t + 0.017453 * r) * n
    assert deduction == pytest.approx(shop, abs=1e-5)
    assert deduction > 0


def test_pitch() -> None:
    """14018: not under 3D, seldom under 4D or over 8D. D10: a trade review goes to 10D."""
    assert least_pitch(1.0).value == 3
    assert tuple(limit.value for limit in usual_pitch(1.0)) == (4, 8)
    assert most_pitch(1.0).value == 10


def test_rivet_diameter() -> None:
    """14018 rules 5 to 7 and AC 43.13-1B par. 4-58g: from the thickest sheet to three times it."""
    least, usual, most, _ = diameters_for(0.032)
    assert (least, usual, most) == pytest.approx((0.032, 0.096, 0.096))
