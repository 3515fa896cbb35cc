"""From the units that handbooks print to the inner units: mm, rad, N, MPa, kg/mm³."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Final

from blankwright.base.units import KG_PER_POUND, MM_PER_INCH, RAD_PER_DEGREE

_GRAVITY: Final = 9.80665
"""Standard gravity [m/s²], exact by definition (CGPM 1901)."""

POUND_FORCE: Final = KG_PER_POUND * _GRAVITY
"""One pound-force [N]."""

_FACTORS: Final = {
    "-": 1.0,
    "t": 1.0,
    "D": 1.0,
    "mm": 1.0,
    "µm": 1e-3,
    "in": MM_PER_INCH,
    "ft": 12 * MM_PER_INCH,
    "arcmin": RAD_PER_DEGREE / 60,
    "deg": RAD_PER_DEGREE,
    "lb": POUND_FORCE,
    "MPa": 1.0,
    "m/min": 1.0,
    "ft/min": 12 * MM_PER_INCH / 1000,
    "ksi": 1000 * POUND_FORCE / MM_PER_INCH**2,
    "lb/in3": KG_PER_POUND / MM_PER_INCH**3,
    "1/in": 1 / MM_PER_INCH,
}


def factor(unit: str) -> float:
    """Return what a number in a printed unit is multiplied by to be in the inner unit.

    ``t`` (multiples of the thickness) and ``D`` (multiples of the diameter) stay bare numbers.

    Raises:
        KeyError: when the unit is none that tables use
    """
    return _FACTORS[unit]


UNITS: Final = frozenset(_FACTORS)
"""All units that a column of numbers may have."""


def to_inner(value: Decimal, unit: str) -> float:
    """Turn a printed number into the inner unit of its kind.

    Inches go by fractions, so that ``0.040`` becomes the very float that a part file's
    ``0.040 in`` becomes, and the two compare equal.

    Raises:
        KeyError: when the unit is none that tables use
    """
    if unit in ("in", "ft") and value.is_finite():
        return float(Fraction(value) * Fraction(str(MM_PER_INCH)) * (12 if unit == "ft" else 1))
    return float(value) * factor(unit)
