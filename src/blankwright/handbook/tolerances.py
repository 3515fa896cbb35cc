"""Tolerances of the ISO: grades of sizes, and general tolerances of lengths and angles."""

from __future__ import annotations

from typing import Literal

from blankwright.base.errors import NotPossible, Problem
from blankwright.handbook.fact import Fact
from blankwright.handbook.table import table

GeneralClass = Literal["f", "m", "c", "v"]
"""Fine, medium, coarse, very coarse."""


def grade_width(size: float, grade: str) -> Fact:
    """Return the whole width of a standard tolerance [mm].

    Args:
        size: [mm]
        grade: ``IT5`` to ``IT14``

    Raises:
        NotPossible: when the table has none (TOLERANCE-001)
    """
    return _find("iso-286", size, grade, "tolerance")


def general_length(size: float, grade: GeneralClass = "m") -> Fact:
    """Return the plus/minus of a length without a tolerance of its own [mm].

    Args:
        size: [mm], from 0.5 mm
        grade: class

    Raises:
        NotPossible: when the table has none (TOLERANCE-001)
    """
    return _find("iso-2768-linear", size, grade, "plus_minus")


def general_angle(shorter_leg: float, grade: GeneralClass = "m") -> Fact:
    """Return the plus/minus of an angle without a tolerance of its own [rad].

    Args:
        shorter_leg: length of its shorter leg [mm]
        grade: class

    Raises:
        NotPossible: when the table has none (TOLERANCE-001)
    """
    return _find("iso-2768-angular", shorter_leg, grade, "plus_minus")


def general_edge(size: float, grade: GeneralClass = "m") -> Fact:
    """Return the plus/minus of a radius or chamfer on an edge [mm].

    Args:
        size: [mm], from 0.5 mm
        grade: class

    Raises:
        NotPossible: when the table has none (TOLERANCE-001)
    """
    return _find("iso-2768-edges", size, grade, "plus_minus")


def _find(name: str, size: float, grade: str, column: str) -> Fact:
    steps = table(name)
    rows = [row for row in steps.rows if row.values["grade"] == grade]
    for index, row in enumerate(rows):
        over, to = steps.inner(row, "over"), steps.inner(row, "to")
        # Only the first step takes its lower end in, and none takes in nought.
        first = index == 0 and size == over > 0
        if (over < size or first) and size <= to:
            return Fact(value=steps.inner(row, column), source=row.source, status=row.status)
    raise NotPossible(
        Problem(
            code="TOLERANCE-001",
            where=steps.table,
            got=f"no tolerance is printed for {size:g} mm in class {grade}",
            allowed=steps.valid,
        )
    )
