"""Drilling up: steps from drill to drill, what a drilled and a reamed hole come out at."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from blankwright.base.errors import NotPossible, Problem
from blankwright.handbook.alloys import read_alloy
from blankwright.handbook.fact import Fact
from blankwright.handbook.table import table

_SAME = 1e-6
"""Two sizes closer than this are the same [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepRule:
    """How holes are opened in a sheet.

    Args:
        step: largest step from drill to drill [mm]
        first: largest first drill [mm]
        source: where they come from
        status: how sure they are
    """

    step: float
    first: float
    source: str
    status: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Oversize:
    """How much larger than the drill a hole comes out.

    Args:
        least: [mm]
        mean: [mm]
        most: [mm]
        source: where they come from
    """

    least: float
    mean: float
    most: float
    source: str


def material_of(alloy: str) -> str:
    """Return ``steel`` or ``aluminium`` for an alloy's name; aluminium when it isn't known."""
    read = read_alloy(alloy) if alloy else None
    if read is None:
        return "aluminium"
    return (
        "steel" if len(read.base) == 3 or read.base.startswith(("41", "43", "10")) else "aluminium"
    )


def step_rule(material: str, thinnest: float) -> StepRule:
    """Return how holes are opened in a stack.

    Args:
        material: ``aluminium`` or ``steel``
        thinnest: thickness of its thinnest sheet [mm]

    Raises:
        NotPossible: when the table has none (DRILL-004)
    """
    rules = table("drilling-up")
    for row in rules.rows:
        if row.values["material"] == material and thinnest <= rules.inner(row, "up_to") + _SAME:
            return StepRule(
                step=rules.inner(row, "step"),
                first=rules.inner(row, "first"),
                source=row.source,
                status=row.status,
            )
    raise NotPossible(
        Problem(
            code="DRILL-004",
            where=f"drilling up in {material}, {thinnest:.2f} mm thick",
            got="no rule for the step from drill to drill",
            allowed="aluminium and steel up to 25 mm thick",
        )
    )


def oversize(diameter: float) -> Oversize | None:
    """Return how much larger than a drill [mm] its hole comes out, or nothing outside the table."""
    sizes = table("drilled-oversize")
    for low, high in pairwise(sizes.rows):
        d0, d1 = sizes.inner(low, "diameter"), sizes.inner(high, "diameter")
        if d0 - _SAME <= diameter <= d1 + _SAME:
            share = min(1.0, max(0.0, (diameter - d0) / (d1 - d0)))
            least, mean, most = (
                sizes.inner(low, key) + share * (sizes.inner(high, key) - sizes.inner(low, key))
                for key in ("least", "mean", "most")
            )
            return Oversize(least=least, mean=mean, most=most, source=low.source)
    return None


def reaming(what: str) -> Fact:
    """Return a number of the table of reaming [mm] by its name there. Raises ValueError."""
    numbers = table("reaming")
    (row,) = (row for row in numbers.rows if row.values["what"] == what)
    return Fact(value=numbers.inner(row, "value"), source=row.source, status=row.status)
