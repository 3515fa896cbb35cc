"""DIN 6935, bending of flat steel: k and v.

k formula: excelution.at/2019/08. v formulas: scribd.com/document/373651793, quoting DIN 6935.
k = 1 over r/s = 5 and v = 0 over 165°: FROM MEMORY (high). The table's numbers are DERIVED from
those formulas; the two pocket-table values (1.9 and 1.0) are FROM MEMORY (medium).
Look-alike pages print a "v table" of 0.33 to 0.50 and 6.41 for r = s = 3: those aren't DIN 6935
(D6) and aren't used.
"""

import math

import pytest

from blankwright.develop.allowance import bend_allowance_neutral_axis
from blankwright.develop.din6935 import compensation_din6935, correction_factor, k_din6935

ROWS = [
    # β, r, s, k, v
    (90, 1, 0.4, 0.8490, -0.9625),
    (90, 1, 1, 0.6500, -1.9187),
    (90, 1.6, 1, 0.7521, -2.0961),
    (90, 2.5, 1, 0.8490, -2.4062),
    (90, 4, 2, 0.8005, -4.4594),
    (90, 6, 2, 0.8886, -5.1795),
    (90, 10, 1, 1.0000, -5.5066),
    (45, 2, 2, 0.6500, -1.7561),
    (60, 1.6, 0.8, 0.8005, -0.7783),
    (120, 2, 2, 0.6500, -1.8437),
    (135, 2, 2, 0.6500, -1.2324),
    (165, 2, 2, 0.6500, -0.3595),
    (170, 2, 2, 0.6500, 0.0000),
]


@pytest.mark.parametrize(("opening", "r", "s", "k", "v"), ROWS)
def test_table(opening: float, r: float, s: float, k: float, v: float) -> None:
    assert correction_factor(r, s) == pytest.approx(k, abs=5.1e-5)
    assert compensation_din6935(math.radians(opening), r, s) == pytest.approx(v, abs=5.1e-5)


@pytest.mark.parametrize(("r", "s", "printed"), [(1, 1, 1.9), (1, 0.4, 1.0)])
def test_pocket_table(r: float, s: float, printed: float) -> None:
    assert round(-compensation_din6935(math.pi / 2, r, s), 1) == printed


def test_step_where_the_formula_ends() -> None:
    """At r/s = 5 the formula gives 0.99949; over it k is 1: a step of 0.0005. DERIVED."""
    assert correction_factor(5.0, 1.0) == pytest.approx(0.99949, abs=5e-6)
    assert correction_factor(5.0001, 1.0) == 1.0


def test_factor_of_the_thickness_is_half() -> None:
    assert k_din6935(1, 1) == pytest.approx(0.325)
    assert k_din6935(100, 1) == 0.5


def test_the_look_alike_example_is_a_plain_arc() -> None:
    """Pages print 6.41 for r = s = 3, 90° as "DIN 6935": it is an arc with k 0.36 (D6)."""
    arc = bend_allowance_neutral_axis(3, 3, math.pi / 2, 0.36)
    assert arc == pytest.approx(6.409, abs=5e-4)
    assert compensation_din6935(math.pi / 2, 3, 3) < 0
