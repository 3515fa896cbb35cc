"""Checks of the blank and the formed part as wholes: overlap, loose pieces, running into itself."""

from __future__ import annotations

from collections.abc import Iterator

from blankwright.base.findings import Finding, Level
from blankwright.develop.checks.common import Checked, mm
from blankwright.develop.collide import clashes

_GEOMETRY = "geometry of this part"


def check_whole(checked: Checked) -> Iterator[Finding]:
    """Report a blank that overlaps itself or falls apart, and metal that runs into metal."""
    for lap in checked.blank.overlaps:
        region = max(lap.regions, key=lambda r: r.area)
        x0, y0, x1, y1 = region.box
        yield Finding(
            code="BLANK-010",
            level=Level.STOP,
            place=f"{lap.first} and {lap.second}",
            got=f"they claim the same metal on the blank, {mm(x1 - x0)} by {mm(y1 - y0)}",
            limit="no overlap",
            source=_GEOMETRY,
            fix="Shorten or taper one of them, trim it at the corner, or make it a part of its"
            " own and rivet it on",
            at=((x0 + x1) / 2, (y0 + y1) / 2),
        )
    for piece in checked.blank.loose:
        x0, y0, x1, y1 = piece.box
        yield Finding(
            code="BLANK-011",
            level=Level.STOP,
            place="blank",
            got=f"a piece of {mm(x1 - x0)} by {mm(y1 - y0)} is not joined to the rest",
            limit="one piece",
            source=_GEOMETRY,
            fix="Make the cut-out smaller, or state the loose piece as a part of its own",
            at=((x0 + x1) / 2, (y0 + y1) / 2),
        )
    for clash in clashes(checked.formed):
        yield Finding(
            code="FORM-001",
            level=Level.STOP,
            place=f"{clash.first} and {clash.second}",
            got=f"the finished part runs into itself along {mm(clash.length)}",
            limit="no metal in metal",
            source=_GEOMETRY,
            fix="Shorten one of them, set its ends back, or change the corner rule or the gap",
            at=clash.at,
        )
