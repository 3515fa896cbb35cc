"""Checks of the sheet: alloy, thickness, size."""

from __future__ import annotations

from collections.abc import Iterator

from blankwright.base.findings import Finding, Level
from blankwright.develop.checks.common import Checked, mm
from blankwright.handbook.bend_radius import governing
from blankwright.handbook.materials import density
from blankwright.handbook.sheets import nearest_thickness, stock_sizes

_SAME_GAUGE = 0.03
"""Rolling tolerance within which a thickness is the standard one [mm]; common practice."""


def check_sheet(checked: Checked) -> Iterator[Finding]:
    """Report an unknown alloy, an uncommon thickness, and a blank larger than any stock."""
    sheet = checked.part.sheet
    if density(sheet.alloy) is None or not governing(sheet.alloy, sheet.thickness).rows:
        yield Finding(
            code="SHEET-001",
            level=Level.ASK,
            place="sheet",
            got=f"the handbook tables do not have {sheet.alloy} at {mm(sheet.thickness)}:"
            " bend radius, mass or strength can't be checked",
            source="tables bend-radius-*, materials",
            fix="Check the spelling of alloy and temper, such as 6061-T6; else take the limits"
            " from the maker of the sheet",
        )
    nearest, error = nearest_thickness(sheet.thickness)
    if abs(error) > _SAME_GAUGE:
        yield Finding(
            code="SHEET-002",
            level=Level.NOTE,
            place="sheet",
            got=f"{mm(sheet.thickness)} is not a common thickness",
            limit=f"{nearest.text} in, the nearest that is sold",
            source=nearest.source,
            fix="Measure the sheet, or check the drawing",
        )
    length, width = sorted(checked.blank.size, reverse=True)
    sizes = stock_sizes()
    if not any(max(s.length, s.width) >= length and min(s.length, s.width) >= width for s in sizes):
        largest = max(sizes, key=lambda s: s.length * s.width)
        yield Finding(
            code="SHEET-003",
            level=Level.STOP,
            place="blank",
            got=f"the blank needs a sheet of {mm(length)} by {mm(width)}",
            limit=f"largest is {largest.name}",
            source=largest.source,
            fix="Splice it from two parts with a doubler as the drawing allows, or ask a"
            " stockist for a longer sheet and override this",
        )
