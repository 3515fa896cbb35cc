"""Units: the only place where inch and mm, degree and radian meet, and how numbers are shown.

Inside, every length is in mm and every angle in rad, as plain floats. `quantities` reads what a
shop writes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from typing import Final

MM_PER_INCH: Final = 25.4
"""Exact by definition [mm]."""

INCH: Final = Fraction("25.4")
"""The same, as an exact fraction [mm]."""

KG_PER_POUND: Final = 0.45359237
"""Exact by definition [kg]."""

RAD_PER_DEGREE: Final = math.pi / 180


class System(Enum):
    """Which units numbers are shown in."""

    MM = "mm"
    INCH = "inch"
    BOTH = "both"


def inches(length: float) -> float:
    """Return a length [mm] in inches."""
    return length / MM_PER_INCH


def from_inches(length_in: float) -> float:
    """Return a length in inches as mm [mm]."""
    return length_in * MM_PER_INCH


def degrees(angle: float) -> float:
    """Return an angle [rad] in degrees."""
    return math.degrees(angle)


def from_degrees(angle_deg: float) -> float:
    """Return an angle in degrees as rad [rad]."""
    return math.radians(angle_deg)


def pounds(mass: float) -> float:
    """Return a mass [kg] in pounds."""
    return mass / KG_PER_POUND


def fixed(value: float, digits: int) -> str:
    """Return a number [-] with a fixed number of decimals, never as minus zero.

    A half goes away from zero as on paper: 3.175 is 3.18, though the nearest double is under it.
    """
    nudge = math.copysign(1e-6 * 10.0**-digits, value)
    text = f"{value + nudge:.{digits}f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text


def trimmed(value: float, digits: int) -> str:
    """Return a number [-] with at most so many decimals, no zeros at the end."""
    text = fixed(value, digits)
    return text.rstrip("0").rstrip(".") if "." in text else text


@dataclass(frozen=True, slots=True)
class ShopFraction:
    """A length in inches and the nearest fraction of a rule.

    Args:
        text: such as ``2-7/16 in``
        length: what the fraction stands for [mm]
        error: fraction less the true length [mm]
    """

    text: str
    length: float
    error: float


def nearest_fraction(length: float, per_inch: int = 64) -> ShopFraction:
    """Return the mark of an inch rule that is nearest to a length [mm].

    Args:
        length: [mm]
        per_inch: marks in one inch [-]
    """
    marks = round(inches(abs(length)) * per_inch)
    whole, rest = divmod(marks, per_inch)
    part = Fraction(rest, per_inch)
    sign = "-" if length < 0 and marks else ""
    if not rest:
        text = f"{sign}{whole} in"
    elif whole:
        text = f"{sign}{whole}-{part} in"
    else:
        text = f"{sign}{part} in"
    meant = math.copysign(float(Fraction(marks, per_inch) * INCH), length)
    return ShopFraction(text, meant, meant - length)


def show_mm(length: float, digits: int = 2) -> str:
    """Return a length [mm] as text, such as ``61.91 mm``."""
    return f"{fixed(length, digits)} mm"


def show_inches(length: float, digits: int = 3) -> str:
    """Return a length [mm] as text in inches, such as ``2.438 in``."""
    return f"{fixed(inches(length), digits)} in"


def show_angle(angle: float, digits: int = 2) -> str:
    """Return an angle [rad] as text, such as ``90°`` or ``22.5°``."""
    return f"{trimmed(degrees(angle), digits)}°"


def show(value: float, kind: str, system: System = System.MM) -> str:
    """Return a number as text in the reader's units.

    Args:
        value: in the inner unit of its kind: mm, rad, mm², mm³, kg or bare
        kind: ``length``, ``angle``, ``number``, ``area``, ``volume``, ``mass`` or ``text``
        system: mm, inch, or both: mm first, inch in brackets

    Raises:
        ValueError: when the kind is none of these
    """
    if kind == "length":
        pair = (show_mm(value), show_inches(value))
    elif kind == "angle":
        return show_angle(value)
    elif kind in ("number", "text"):
        return trimmed(value, 4)
    elif kind == "area":
        pair = (f"{fixed(value, 1)} mm²", f"{fixed(value / MM_PER_INCH**2, 3)} in²")
    elif kind == "volume":
        pair = (f"{fixed(value, 1)} mm³", f"{fixed(value / MM_PER_INCH**3, 4)} in³")
    elif kind == "mass":
        pair = (f"{fixed(value, 4)} kg", f"{fixed(pounds(value), 4)} lb")
    else:
        raise ValueError(f"no such kind of quantity: {kind!r}")
    if system is System.MM:
        return pair[0]
    if system is System.INCH:
        return pair[1]
    return f"{pair[0]} ({pair[1]})"
