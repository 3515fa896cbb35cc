"""Least inside bend radii, from every table that has the alloy."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from blankwright.handbook.alloys import read_alloy
from blankwright.handbook.inner import to_inner
from blankwright.handbook.table import Row, Span, Table, table

TABLES = (
    "bend-radius-ac43",
    "bend-radius-trade",
    "bend-radius-maker",
    "bend-radius-faa",
    "bend-radius-shop",
)
"""The tables looked into, in this order."""

_SAME = 1e-6
"""Two thicknesses closer than this are the same gauge [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RadiusRow:
    """What one table says of an alloy and a thickness.

    Args:
        radius: least inside radius for bends of 90° [mm]; the upper end of a printed range
        best: lower end of a printed range, reached with good tools [mm]; else the same
        thickness: thickness of the row used, never thinner than the sheet [mm]
        source: book, table, row, and how sure it is
        status: how sure it is, in one word of the table's
    """

    radius: float
    best: float
    thickness: float
    source: str
    status: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LeastRadius:
    """What all tables together say.

    Args:
        alloy: the alloy looked up; as typed when it can't be read
        known: whether any table has a row for this alloy at this thickness
        radius: the largest of the least radii [mm]; nought when none is known
        source: where that largest comes from; when none is known, why
        best: the smallest radius that any source lets good tools reach [mm]
        best_source: where that smallest comes from
        rows: every row found, in the order of `TABLES`
    """

    alloy: str
    known: bool
    radius: float
    source: str
    best: float
    best_source: str
    rows: tuple[RadiusRow, ...]


def least_bend_radius(alloy: str, thickness: float) -> tuple[RadiusRow, ...]:
    """Return what each table says, for bends of 90°.

    Between two printed thicknesses the thicker row is taken, as for sheet thinner than the
    thinnest row: thicker sheet needs the larger radius. Sheet thicker than the last row has no
    value; nothing is extrapolated.

    Args:
        alloy: as typed, such as ``6061-T6`` or ``Alclad 2024-T3``; clad sheet is held to the rows
            of the bare alloy
        thickness: [mm]

    Returns:
        One row a table that has a value, none for an alloy that no table knows.
    """
    read = read_alloy(alloy)
    if read is None:
        return ()
    return tuple(_rows(read.key, thickness))


# Every bend of a part asks the same; a table is looked through once.
@lru_cache(maxsize=256)
def governing(alloy: str, thickness: float) -> LeastRadius:
    """Return the largest least radius of all tables, with its source.

    Args:
        alloy: as typed
        thickness: [mm]
    """
    read = read_alloy(alloy)
    name = str(read) if read else alloy
    rows = least_bend_radius(alloy, thickness)
    if not rows:
        return LeastRadius(
            alloy=name,
            known=False,
            radius=0.0,
            source=_why_not(read.key if read else "", name),
            best=0.0,
            best_source="",
            rows=(),
        )
    most = max(rows, key=lambda row: row.radius)
    least = min(rows, key=lambda row: row.best)
    return LeastRadius(
        alloy=name,
        known=True,
        radius=most.radius,
        source=most.source,
        best=least.best,
        best_source=least.source,
        rows=rows,
    )


def known_alloys() -> tuple[str, ...]:
    """Return every alloy and temper that some table has, sorted."""
    return tuple(sorted({str(row.values["alloy"]) for name in TABLES for row in table(name).rows}))


def _rows(key: str, thickness: float) -> Iterator[RadiusRow]:
    for name in TABLES:
        radii = table(name)
        served = [
            (limit, row)
            for row in radii.rows
            if row.values["alloy"] == key and (limit := _serves(radii, row)) >= thickness - _SAME
        ]
        if name == "bend-radius-faa":
            # One cell of a figure: it holds for its own gauge and no other.
            served = [pair for pair in served if abs(pair[0] - thickness) <= _SAME]
        if served:
            limit, row = min(served, key=lambda pair: pair[0])
            yield _radius_row(radii, row, limit, thickness)


def _serves(radii: Table, row: Row) -> float:
    return radii.inner(row, "serves" if "serves" in radii.columns else "thickness")


def _radius_row(radii: Table, row: Row, limit: float, thickness: float) -> RadiusRow:
    cell = row.values["radius"]
    low, high = (cell.low, cell.high) if isinstance(cell, Span) else (cell, cell)
    assert isinstance(low, Decimal)
    assert isinstance(high, Decimal)
    unit = radii.columns["radius"].unit
    scale = thickness if unit == "t" else 1.0
    printed = f"{cell} t" if unit == "t" else f"{cell} {unit}"
    return RadiusRow(
        radius=to_inner(high, unit) * scale,
        best=to_inner(low, unit) * scale,
        thickness=limit,
        source=f"{row.source}: {printed}",
        status=row.status,
    )


def _why_not(key: str, name: str) -> str:
    thickest = max(
        (
            _serves(radii, row)
            for radii in map(table, TABLES)
            for row in radii.rows
            if row.values["alloy"] == key
        ),
        default=0.0,
    )
    if thickest:
        return f"no table has {name} thicker than {thickest:.2f} mm"
    return f"no table of least bend radii has the alloy {name!r}"
