"""Marks at the ends of bend lines: pen strokes on metal, dimples on template board."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from blankwright.base.findings import Finding, Level
from blankwright.cutting.job import BendMarks, CutPart, CutSettings, SheetJob
from blankwright.cutting.machine import Cutter, CutterKind, Machine
from blankwright.cutting.stock import Material
from blankwright.cutting.work import MarkWork, PointKind, PointWork
from blankwright.geom.edges import Line

PEN_INSET, PEN_LENGTH = 1.0, 6.0
"""A pen mark begins this far in from the edge and is this long [mm]. Our choice."""

SPOT_INSET = 2.0
"""A bend spot lies this far in from the edge [mm]. Our choice."""


@dataclass(frozen=True, kw_only=True)
class Marked:
    """Marks of one part.

    Args:
        lines: to draw with the pen
        points: to dimple with the spot drill
        findings: what keeps marks from being made
    """

    lines: tuple[MarkWork, ...] = ()
    points: tuple[PointWork, ...] = ()
    findings: tuple[Finding, ...] = ()


def bend_marks(part: CutPart, job: SheetJob, machine: Machine, settings: CutSettings) -> Marked:
    """Return the marks at the ends of a part's bend lines.

    Args:
        part: whose bend lines
        job: what the part is cut from
        machine: with its pen or spot drill
        settings: how they are marked
    """
    if settings.bend_marks is BendMarks.NONE or not part.bend_lines:
        return Marked()
    if settings.bend_marks is BendMarks.PEN:
        pens = machine.of_kind(CutterKind.PEN)
        if not pens:
            return Marked(findings=(_no_marker(part, "pen"),))
        return Marked(lines=tuple(_strokes(part, pens[0])))
    if job.sheet.material not in (Material.BOARD, Material.PLASTIC):
        return Marked(findings=(_not_in_metal(part),))
    spots = machine.of_kind(CutterKind.SPOT_DRILL)
    if not spots:
        return Marked(findings=(_no_marker(part, "spot drill"),))
    depth = min(settings.spot_depth, job.sheet.thickness / 2)
    return Marked(points=tuple(_dimples(part, spots[0], depth)))


def _strokes(part: CutPart, pen: Cutter) -> Iterator[MarkWork]:
    for line in part.bend_lines:
        long = line.length
        if long < 2 * PEN_INSET + 1:
            continue
        t0, t1 = PEN_INSET / long, min(PEN_INSET + PEN_LENGTH, long / 2) / long
        for end in (line, line.reversed()):
            yield MarkWork(part=part.name, line=Line(end.point(t0), end.point(t1)), cutter=pen)


def _dimples(part: CutPart, spot: Cutter, depth: float) -> Iterator[PointWork]:
    for line in part.bend_lines:
        if line.length < 3 * SPOT_INSET:
            continue
        t = SPOT_INSET / line.length
        for share in (t, 1 - t):
            yield PointWork(
                part=part.name,
                kind=PointKind.BEND_SPOT,
                at=line.point(share),
                hole=0.0,
                cutter=spot,
                depth=depth,
            )


def _not_in_metal(part: CutPart) -> Finding:
    return Finding(
        code="CUT-015",
        level=Level.STOP,
        place=part.name,
        got="bend lines are to be marked by dimples in metal",
        limit="pen marks: a dimple at the end of a bend starts a crack",
        source="common practice, no source",
        fix="Mark with the pen, or mark the template and not the sheet",
    )


def _no_marker(part: CutPart, what: str) -> Finding:
    return Finding(
        code="CUT-004",
        level=Level.ASK,
        place=part.name,
        got=f"bend lines are to be marked but the machine has no {what}",
        limit=f"a {what}",
        source="shop file",
        fix=f"Add the {what} to [[machine.cutters]] in the shop file, or mark by hand",
    )
