"""Suspicions about a drawing's units: said, never acted on."""

from __future__ import annotations

from typing import Final

from blankwright.base.findings import Finding, Level
from blankwright.base.units import MM_PER_INCH, show_inches, show_mm
from blankwright.files.dxf_drawn.layout import LaidOut
from blankwright.geom.edges import Arc

SMALL: Final = 25.0
"""A blank whose longest side is under this may have been drawn in inches [mm]. Common practice, no
source."""

LARGE: Final = 3700.0
"""A blank longer than any sheet on the market may have been drawn in mm [mm]: 12 ft, and a little.
Common practice, no source."""

_LEAST_HOLE: Final = 0.8
"""Smaller round openings are not drilled in sheet: a #68 drill is 0.79 mm [mm]. Common practice, no
source."""


def suspicions(name: str, stated: str, unit: str, laid: LaidOut) -> list[Finding]:
    """Return what speaks against a drawing's unit.

    Args:
        name: what messages call the drawing
        stated: the unit the drawing states; empty when it states none
        unit: the unit it is read in
        laid: the drawing laid out in that unit
    """
    found: list[Finding] = []
    x0, y0, x1, y1 = laid.outline.box
    long = max(x1 - x0, y1 - y0)
    holes = [loop.as_circle for loop in laid.outline.holes]
    least = min((hole.radius * 2 for hole in holes if isinstance(hole, Arc)), default=_LEAST_HOLE)
    if stated and stated != unit:
        found.append(
            _ask(
                name,
                f"the drawing says that it is in {stated}, the part file that it is in {unit}",
                "Check a length in the drawing; the part file holds",
            )
        )
    if unit == "mm" and (long < SMALL or least < _LEAST_HOLE):
        found.append(
            _ask(
                name,
                f"read as mm, the blank is {show_mm(long)} long"
                + (f" and has a hole of {show_mm(least)}" if least < _LEAST_HOLE else "")
                + f"; read as inches it would be {show_mm(long * MM_PER_INCH, 1)}",
                'Check a length in the drawing; if it is in inches state units = "in" under'
                " [source]. Nothing was scaled",
            )
        )
    elif unit == "in" and long > LARGE:
        found.append(
            _ask(
                name,
                f"read as inches, the blank is {show_inches(long, 1)} long; read as mm it would be"
                f" {show_mm(long / MM_PER_INCH, 1)}",
                'Check a length in the drawing; if it is in mm state units = "mm" under'
                " [source]. Nothing was scaled",
            )
        )
    return found


def _ask(name: str, got: str, fix: str) -> Finding:
    return Finding(code="SOURCE-020", level=Level.ASK, place=f"source {name}", got=got, fix=fix)
