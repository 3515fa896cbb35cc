"""Drills by the names that shops call them: number, letter, fraction, metric."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Literal

from blankwright.base.errors import BadInput, Problem
from blankwright.base.units import MM_PER_INCH
from blankwright.handbook.table import Row, table

DrillSet = Literal["number", "letter", "fraction", "metric"]

SETS: tuple[DrillSet, ...] = ("number", "letter", "fraction", "metric")
"""The sets, in the order that `nearest_drill` prefers when two drills are equally near."""

_NUMBER = re.compile(r"(?:#|no\.?|nr\.?|number)\s*(\d{1,3})", re.IGNORECASE)
_LETTER = re.compile(r"(?:letter\s*)?([a-z])", re.IGNORECASE)
_FRACTION = re.compile(r"(\d+)(?:\s*/\s*(\d+))?\s*(?:in\.?|inch|\"|″)", re.IGNORECASE)
_METRIC = re.compile(r"(\d+(?:\.\d+)?)\s*mm", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drill:
    """A drill.

    Args:
        name: as shops call it: ``#30``, ``F``, ``1/8 in``, ``2.5 mm``
        diameter: [mm]
        set: the set that it belongs to
        cite: where its size comes from
    """

    name: str
    diameter: float
    set: DrillSet
    cite: str


def find_drill(text: str) -> Drill:
    """Return the drill that a text names.

    Args:
        text: ``#30``, ``No. 30``, ``F``, ``letter F``, ``1/8 in``, ``2.5 mm``; the word *drill*
            may follow

    Raises:
        BadInput: when it is no drill's name (DRILL-001), or no such drill exists (DRILL-002)
    """
    bare = re.sub(r"\s*drill\s*$", "", text.strip(), flags=re.IGNORECASE).strip()
    if match := _NUMBER.fullmatch(bare):
        name = f"#{int(match[1])}"
    elif match := _FRACTION.fullmatch(bare):
        below = int(match[2] or 1)
        if below == 0:
            raise _unknown(text)
        size = Fraction(int(match[1]), below)
        name = f"{size.numerator}/{size.denominator} in" if size != 1 else "1 in"
    elif match := _METRIC.fullmatch(bare):
        name = _metric_name(Decimal(match[1]))
    elif match := _LETTER.fullmatch(bare):
        name = match[1].upper()
    else:
        raise _unknown(text)
    found = _by_name().get(name)
    if found is None:
        raise _missing(text, name)
    return found


def nearest_drill(diameter: float, sets: Iterable[DrillSet] = SETS) -> tuple[Drill, float]:
    """Return the drill nearest to a wanted diameter, and how far off it is.

    Args:
        diameter: wanted [mm]
        sets: the sets that the shop has

    Returns:
        The drill, and its diameter less the wanted one [mm]: positive when it is too large. Of
        two equally near the smaller is taken, for a hole can be opened but not closed.

    Raises:
        BadInput: when no set is given
    """
    wanted = set(sets)
    drills = [drill for drill in all_drills() if drill.set in wanted]
    if not drills:
        raise BadInput(
            Problem(
                code="DRILL-003",
                where="nearest drill",
                got="no set of drills is given",
                allowed=", ".join(SETS),
            )
        )
    # Rounding keeps two equally near drills equal, so that the choice is the same everywhere.
    best = min(
        drills,
        key=lambda drill: (
            round(abs(drill.diameter - diameter), 9),
            drill.diameter,
            SETS.index(drill.set),
        ),
    )
    return best, best.diameter - diameter


@cache
def all_drills() -> tuple[Drill, ...]:
    """Return every drill of every set, smallest first."""
    drills: list[Drill] = []
    named: tuple[tuple[str, DrillSet], ...] = (
        ("drills-number", "number"),
        ("drills-letter", "letter"),
    )
    for name, kind in named:
        sizes = table(name)
        drills += (
            Drill(
                name=str(row.values["drill"]),
                diameter=sizes.inner(row, "diameter"),
                set=kind,
                cite=row.source,
            )
            for row in sizes.rows
        )
    drills += _fractions()
    drills += _metric()
    return tuple(sorted(drills, key=lambda drill: (drill.diameter, SETS.index(drill.set))))


def _range_row(name: str) -> tuple[Row, Fraction, Fraction, Fraction]:
    (row,) = (row for row in table("drills-range").rows if row.values["set"] == name)
    least, greatest, step = (
        Fraction(str(row.values[key])) for key in ("least", "greatest", "step")
    )
    return row, least, greatest, step


def _fractions() -> list[Drill]:
    row, least, greatest, step = _range_row("fraction")
    count = int((greatest - least) / step) + 1
    sizes = [least + step * index for index in range(count)]
    return [
        Drill(
            name=f"{size} in",
            diameter=float(size * Fraction(str(MM_PER_INCH))),
            set="fraction",
            cite=row.source,
        )
        for size in sizes
    ]


def _metric() -> list[Drill]:
    found: dict[Fraction, Drill] = {}
    for name in ("metric", "metric quarter"):
        row, least, greatest, step = _range_row(name)
        for index in range(int((greatest - least) / step) + 1):
            size = least + step * index
            decimal = Decimal(size.numerator) / Decimal(size.denominator)
            found.setdefault(
                size,
                Drill(
                    name=_metric_name(decimal),
                    diameter=float(size),
                    set="metric",
                    cite=row.source,
                ),
            )
    return list(found.values())


def _metric_name(size: Decimal) -> str:
    text = f"{size.normalize():f}"
    return f"{text} mm" if "." in text else f"{text}.0 mm"


@cache
def _by_name() -> dict[str, Drill]:
    return {drill.name: drill for drill in all_drills()}


def _unknown(text: str) -> BadInput:
    return BadInput(
        Problem(
            code="DRILL-001",
            where=f"drill {text!r}",
            got="this is no drill's name",
            allowed="a number (#30), a letter (F), a fraction (1/8 in) or a metric drill (2.5 mm)",
            fix="Write the drill as it is stamped on its shank",
        )
    )


def _missing(text: str, name: str) -> BadInput:
    near = ""
    if match := _METRIC.fullmatch(name):
        near = nearest_drill(float(match[1]), ("metric",))[0].name
    elif match := re.fullmatch(r"(\d+)(?:/(\d+))? in", name):
        size = Fraction(int(match[1]), int(match[2] or 1))
        near = nearest_drill(float(size) * MM_PER_INCH, ("fraction",))[0].name
    return BadInput(
        Problem(
            code="DRILL-002",
            where=f"drill {text!r}",
            got="no drill index holds such a drill",
            allowed="#1 to #80, A to Z, 1/64 in to 1 in by 64ths, 0.5 mm to 13.0 mm by tenths"
            " and quarters",
            fix=f"The nearest of its set is {near}" if near else "",
        )
    )
