"""What handbooks print for speeds and chips, to hold the careful numbers against."""

from __future__ import annotations

from dataclasses import dataclass

from blankwright.cutting.machine import Cutter
from blankwright.cutting.stock import Material
from blankwright.handbook.table import Row, Table, table


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """A printed range.

    Args:
        least: m/min or mm; 0 where the print gives none
        greatest: m/min or mm
        source: book, table and row
    """

    least: float
    greatest: float
    source: str


def printed_speed(cutter: Cutter, material: Material) -> Printed | None:
    """Return the cutting speed [m/min] that is printed for a cutter, if one is."""
    numbers = table("cutting-speeds-printed")
    for row in numbers.rows:
        if row.values["material"] == material.value and row.values["cutter"] == cutter.kind.value:
            return _printed(numbers, row, 1.0)
    return None


def printed_chip(cutter: Cutter, material: Material) -> Printed | None:
    """Return the feed for each turn and edge [mm] that is printed for a cutter, if one is.

    What is printed for a whole turn is shared among the cutter's edges.
    """
    numbers = table("cutting-chips-printed")
    fitting = [
        row
        for row in numbers.rows
        if row.values["material"] == material.value
        and row.values["cutter"] == cutter.kind.value
        and numbers.inner(row, "up_to") >= cutter.diameter - 1e-6
    ]
    row = min(fitting, key=lambda row: numbers.inner(row, "up_to"), default=None)
    if row is None:
        return None
    return _printed(numbers, row, 1 / cutter.flutes if row.values["of"] == "turn" else 1.0)


def _printed(numbers: Table, row: Row, share: float) -> Printed:
    least = numbers.inner(row, "least") if "least" in row.values else 0.0
    return Printed(
        least=least * share, greatest=numbers.inner(row, "greatest") * share, source=row.source
    )
