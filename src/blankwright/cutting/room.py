"""Whether the work has room: on the sheet, between the clamps, under the cutter."""

from __future__ import annotations

from collections.abc import Iterator

from blankwright.base.findings import Finding, Level
from blankwright.base.tolerance import PROOF
from blankwright.base.units import show_mm
from blankwright.cutting.machine import Cutter, CutterKind
from blankwright.cutting.work import PointKind, Work
from blankwright.geom.apart import edges_apart
from blankwright.geom.edges import Edge, Line, box_around
from blankwright.geom.region import Region


def room_findings(work: Work) -> Iterator[Finding]:
    """Yield what keeps the work from being done where it lies, and what to know of it."""
    sheet = work.job.sheet
    for name, cutter, edges in _ways(work):
        for clamp in sheet.clamps:
            limit = cutter.radius + work.machine.clear_of_clamps
            gap = _gap(edges, clamp.region, limit)
            if gap < limit - 1e-9:
                yield Finding(
                    code="CUT-006",
                    level=Level.STOP,
                    place=name,
                    got=f"the cutter would come within {show_mm(max(0.0, gap - cutter.radius))} "
                    f"of {clamp.name}",
                    limit=f"{show_mm(work.machine.clear_of_clamps)} between cutter and clamp",
                    source="shop file",
                    fix="Move the clamp or lay the part elsewhere",
                )
        if cutter.kind is CutterKind.PEN:
            continue
        gap = edges_apart(edges, sheet.region.edges, cutter.radius)
        if gap < cutter.radius - 1e-6 or not sheet.region.contains(edges[0].start):
            yield Finding(
                code="CUT-007",
                level=Level.STOP,
                place=name,
                got="the cutter would leave the sheet",
                limit=f"{show_mm(cutter.diameter)} between part and sheet edge, the cutter's width",
                source="so that the frame of waste holds together; common practice, no source",
                fix="Lay the part further in, or choose a smaller cutter",
            )
    yield from _neighbour_findings(work)
    yield from _travel_findings(work)
    yield from _depth_findings(work)
    yield from _loose_findings(work)


def _neighbour_findings(work: Work) -> Iterator[Finding]:
    """Yield parts that lie so near each other that the cutter of one would cut the other."""
    told: set[frozenset[str]] = set()
    for profile in work.profiles:
        if not profile.outside:
            continue
        for other in work.job.parts:
            pair = frozenset((profile.part, other.name))
            if other.name == profile.part or pair in told:
                continue
            limit = profile.cutter.radius - PROOF
            gap = edges_apart(profile.path.edges, other.region.edges, limit)
            if gap < limit:
                told.add(pair)
                yield Finding(
                    code="CUT-018",
                    level=Level.STOP,
                    place=profile.part,
                    got=f"its cutter would cut {other.name}, which lies too near",
                    limit=f"{show_mm(profile.cutter.diameter)} between parts, the cutter's width",
                    source="shop file",
                    fix="Pack again with a larger gap, or choose a smaller cutter",
                )


def _ways(work: Work) -> Iterator[tuple[str, Cutter, tuple[Edge, ...]]]:
    for profile in work.profiles:
        yield profile.part, profile.cutter, profile.path.edges
    for point in work.points:
        yield point.part, point.cutter, (Line(point.at, point.at),)
    for mark in work.marks:
        yield mark.part, mark.cutter, (mark.line,)


def _travel_findings(work: Work) -> Iterator[Finding]:
    boxes = [edge.box for _, _, edges in _ways(work) for edge in edges]
    if not boxes:
        return
    x0, y0, x1, y1 = box_around(boxes)
    deepest = min([work.bottom, *(-point.depth for point in work.points)])
    lows, highs = (x0, y0, deepest), (x1, y1, work.machine.safe_height)
    for axis, low, high, (least, most) in zip("xyz", lows, highs, work.machine.reach, strict=True):
        if low < least or high > most:
            yield Finding(
                code="CUT-016",
                level=Level.STOP,
                place=work.job.name,
                got=f"the cutter has to go from {axis} {show_mm(low)} to {show_mm(high)}",
                limit=f"{show_mm(least)} to {show_mm(most)}, the machine's travel",
                source="shop file",
                fix="Cut these parts by hand or by a service, pack them on a smaller sheet, or use "
                "lower clamps",
            )


def _gap(edges: tuple[Edge, ...], region: Region, enough: float) -> float:
    if region.contains(edges[0].start):
        return 0.0
    return edges_apart(edges, region.edges, enough)


def _depth_findings(work: Work) -> Iterator[Finding]:
    thickness = work.job.sheet.thickness
    deepest: dict[int, tuple[Cutter, float]] = {}
    for cutter, depth in [
        *((profile.cutter, -work.bottom) for profile in work.profiles),
        *((point.cutter, point.depth) for point in work.points),
    ]:
        if depth > deepest.get(cutter.number, (cutter, 0.0))[1]:
            deepest[cutter.number] = (cutter, depth)
    for number in sorted(deepest):
        cutter, depth = deepest[number]
        if depth - cutter.point_length > cutter.cut_length:
            yield Finding(
                code="CUT-008",
                level=Level.STOP,
                place=f"cutter {number}, {cutter.name}",
                got=f"it has to go {show_mm(depth)} deep",
                limit=f"{show_mm(cutter.cut_length)}, its length of cut",
                source="shop file",
                fix="Use a longer cutter",
            )
        if depth - thickness > work.machine.board:
            yield Finding(
                code="CUT-009",
                level=Level.STOP,
                place=f"cutter {number}, {cutter.name}",
                got=f"its tip goes {show_mm(depth - thickness)} below the sheet",
                limit=f"{show_mm(work.machine.board)} of board under the sheet",
                source="shop file",
                fix="Put a thicker board under the sheet, and say so in the shop file",
            )


def _loose_findings(work: Work) -> Iterator[Finding]:
    loose = sum(not profile.outside and not profile.tabs for profile in work.profiles)
    if loose:
        yield Finding(
            code="CUT-014",
            level=Level.NOTE,
            place=work.job.name,
            got=f"{_count(loose, 'opening leaves', 'openings leave')} a loose piece without tabs",
            source="common practice, no source",
            fix="Stick the sheet to the board with tape so that they can't fly or jam",
        )
    spots = sum(point.kind is PointKind.SPOT for point in work.points)
    if spots:
        yield Finding(
            code="CUT-003",
            level=Level.NOTE,
            place=work.job.name,
            got=f"{_count(spots, 'hole is', 'holes are')} spot marked, too small for the cutter",
            source="shop file",
            fix="Drill them to size afterwards",
        )
    free = sum(profile.outside and not profile.tabs for profile in work.profiles)
    if free and work.settings.tab_count != 0:
        return
    if free:
        yield Finding(
            code="CUT-014",
            level=Level.ASK,
            place=work.job.name,
            got=f"{_count(free, 'part is', 'parts are')} cut free without tabs",
            limit="tabs, tape or screws that hold each part to the last",
            source="common practice, no source",
            fix="Hold every part down, or ask for tabs",
        )


def _count(number: int, one: str, several: str) -> str:
    return f"{number} {one if number == 1 else several}"
