"""Checks of fields of holes: metal between holes, and whether what was asked for came out."""

from __future__ import annotations

from collections.abc import Iterator

from blankwright.base.findings import Finding, Level
from blankwright.develop.blank import Blank
from blankwright.develop.checks.common import PRACTICE, mm
from blankwright.part.model import Part

_OFF = 0.01
"""An open area that misses the asked one by more than this is told [-]."""


def check_fields(part: Part, blank: Blank) -> Iterator[Finding]:
    """Report everything about fields of holes.

    Args:
        part: as stated, its fields laid
        blank: developed from it
    """
    holes = {hole.name: hole for hole in blank.holes}
    for field in part.fields:
        at = holes[field.holes[0]].center
        web = field.pitch - field.diameter
        if len(field.holes) > 1 and web < blank.thickness - 1e-3:
            yield Finding(
                code="FIELD-002",
                level=Level.ASK,
                place=f"field {field.name}",
                got=f"the metal between two holes is {mm(web)} wide",
                limit=f"the thickness, {mm(blank.thickness)}",
                source=PRACTICE,
                fix="Take fewer or smaller holes",
                at=at,
            )
        if field.asked_count and field.asked_count != len(field.holes):
            yield Finding(
                code="FIELD-003",
                level=Level.NOTE,
                place=f"field {field.name}",
                got=f"a regular pattern takes {len(field.holes)} holes here",
                limit=f"{field.asked_count} asked for",
                source="part file",
                fix="State another count, or turn the pattern",
                at=at,
            )
        if field.asked_open_area and abs(field.asked_open_area - field.open_area) > _OFF:
            yield Finding(
                code="FIELD-003",
                level=Level.ASK,
                place=f"field {field.name}",
                got=f"{field.open_area:.1%} of the region is open",
                limit=f"{field.asked_open_area:.1%} asked for",
                source="part file",
                fix="Take a larger region, a smaller margin or other holes",
                at=at,
            )
