"""What is told of a flat drawing that a part is taken from: repairs, what was left out, relief."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from blankwright.base.findings import Finding, Level
from blankwright.base.units import show_mm
from blankwright.develop.flat.clean import Repair
from blankwright.files.dxf_drawn.layout import LaidOut
from blankwright.files.dxf_drawn.model import Drawn
from blankwright.files.dxf_drawn.reading import Drawing
from blankwright.files.dxf_drawn.suspicions import suspicions
from blankwright.files.partfile.source import Stated
from blankwright.geom.region import Region

if TYPE_CHECKING:
    pass


_ROUNDING = 0.001
"""Gaps up to this are the rounding of the file's own decimals, and are only counted [mm]."""


def reliefs_told(stated: Stated, taken: Sequence[Region]) -> list[Finding]:
    """Say where metal was taken out that the drawing shows."""
    boxes = [region.box for region in taken]
    return [
        Finding(
            code="SOURCE-021",
            level=Level.NOTE,
            place=f"source {stated.name}",
            got=f"relief of {show_mm(x1 - x0)} × {show_mm(y1 - y0)} was taken out where two bends"
            f" meet at ({(x0 + x1) / 2:.2f}, {(y0 + y1) / 2:.2f}) mm; the drawing shows none",
            fix="Take out `relieve` to have the blank as drawn; drill the corner round if it is to"
            " carry load",
        )
        for x0, y0, x1, y1 in boxes
    ]


def drawing_told(
    stated: Stated, drawing: Drawing, drawn: Drawn, laid: LaidOut
) -> tuple[Finding, ...]:
    """Return what was put right in a drawing, left out of it, or speaks against its unit."""
    found = [
        *_repairs(stated, laid.repairs),
        *suspicions(stated.name, drawing.units, stated.table.units or drawing.units, laid),
    ]
    if laid.unused:
        rows = "; ".join(f"{n} of {pen}" for pen, n in laid.unused[:8])
        found.append(_note("SOURCE-005", stated, f"lines left out: {rows}"))
    left = [text for text in drawn.left_out if not text.endswith(" DIMENSION")]
    if left:
        note = _note("SOURCE-006", stated, f"not read: {', '.join(left[:12])}")
        if any("damaged" in text for text in left):
            note = replace(note, level=Level.ASK, fix="Look whether the blank lacks something")
        found.append(note)
    for x, y in laid.stray[:12]:
        found.append(
            Finding(
                code="SOURCE-009",
                level=Level.ASK,
                place=f"source {stated.name}",
                got=f"a line at ({x:.3f}, {y:.3f}) mm on the metal closes no loop and is left out",
                fix="If it is a bend line or a cut, state or draw it so; if it is nothing, put it"
                " on `leave_out`",
                at=(x, y),
            )
        )
    if laid.aside:
        rows = "; ".join(f"about ({x:.1f}, {y:.1f})" for x, y in laid.aside[:8])
        found.append(_note("SOURCE-007", stated, f"loops of other parts left out: {rows}"))
    return tuple(found)


def _note(code: str, stated: Stated, got: str) -> Finding:
    return Finding(code=code, level=Level.NOTE, place=f"source {stated.name}", got=got)


def _repairs(stated: Stated, repairs: Sequence[Repair]) -> list[Finding]:
    found: list[Finding] = []
    gaps = [r for r in repairs if r.what == "gap closed" and r.size > _ROUNDING]
    for i, gap in enumerate(gaps):
        if i == 12:
            got = f"{len(gaps) - i} more gaps closed, none wider than {show_mm(gap.size, 3)}"
            found.append(_note("SOURCE-003", stated, got))
            break
        to = gap.to or gap.at
        found.append(
            _note(
                "SOURCE-003",
                stated,
                f"a gap of {show_mm(gap.size, 4)} closed between ({gap.at[0]:.4f}, {gap.at[1]:.4f})"
                f" and ({to[0]:.4f}, {to[1]:.4f})",
            )
        )
    counts = Counter(r.what for r in repairs if r.what != "gap closed")
    rounding = sum(r.what == "gap closed" and r.size <= _ROUNDING for r in repairs)
    for what, count in sorted(counts.items()):
        first = next(r for r in repairs if r.what == what)
        got = f"{count} × {what}, the first at ({first.at[0]:.3f}, {first.at[1]:.3f}) mm"
        found.append(_note("SOURCE-004", stated, got))
    if rounding:
        got = f"{rounding} ends brought together that differ by the rounding of the file"
        found.append(_note("SOURCE-004", stated, got))
    return found
