"""Thicknesses and sizes that sheet is sold in."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from blankwright.handbook.inner import to_inner
from blankwright.handbook.table import table


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetThickness:
    """A thickness that sheet is sold in.

    Args:
        thickness: [mm]
        text: as printed, in inches
        series: ``stock`` for what stockists carry now, or the series of an older book
        source: where it comes from
    """

    thickness: float
    text: str
    series: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetSize:
    """A size that sheet is sold in.

    Args:
        name: as the trade says it
        width: shorter side [mm]
        length: longer side, along the grain as rolled [mm]
        source: where it comes from
    """

    name: str
    width: float
    length: float
    source: str


@cache
def standard_thicknesses() -> tuple[SheetThickness, ...]:
    """Return the thicknesses of both series, thinnest first."""
    gauges = table("sheet-thickness")
    found = [
        SheetThickness(
            thickness=gauges.inner(row, "thickness"),
            text=gauges.text(row, "thickness"),
            series=str(row.values["series"]),
            source=row.source,
        )
        for row in gauges.rows
    ]
    return tuple(sorted(found, key=lambda gauge: (gauge.thickness, gauge.series)))


def nearest_thickness(thickness: float) -> tuple[SheetThickness, float]:
    """Return the standard thickness nearest to one, and its difference from it [mm].

    Args:
        thickness: [mm]
    """
    best = min(standard_thicknesses(), key=lambda gauge: round(abs(gauge.thickness - thickness), 9))
    return best, best.thickness - thickness


@cache
def stock_sizes() -> tuple[SheetSize, ...]:
    """Return the sheet sizes that stockists carry, smallest first."""
    found = [
        SheetSize(
            name=str(row.values["name"]),
            width=to_inner(Decimal(str(row.values["width"])), str(row.values["unit"])),
            length=to_inner(Decimal(str(row.values["length"])), str(row.values["unit"])),
            source=row.source,
        )
        for row in table("sheet-sizes").rows
    ]
    return tuple(sorted(found, key=lambda size: (size.width * size.length, size.name)))
