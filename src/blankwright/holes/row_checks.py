"""Checks of rivet rows: layout by the rivet's own diameter, and what the fastener asks for."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from blankwright.base.findings import Finding, Level
from blankwright.develop.blank import Blank, BlankHole
from blankwright.develop.checks.common import mm
from blankwright.develop.checks.holes import is_fastener, is_small_circle
from blankwright.geom.edges import Box, Edge, boxes_touch
from blankwright.geom.loop import Loop
from blankwright.handbook.edge import least_pitch, most_edge_distance, most_pitch
from blankwright.holes.fastener_checks import check_fastener, check_joint
from blankwright.holes.fasteners import (
    LayoutLimits,
    facts_of,
    limits_of,
    nominal_diameter,
)
from blankwright.holes.joint import Joint, SheetOfJoint, joint_of
from blankwright.part.model import Part
from blankwright.part.rivets import Fastener, RivetRow

_SAME = 1e-3
"""A distance under its limit by less than this is at it [mm]."""

Rims = Sequence[tuple[Edge, Box]]


def check_rows(part: Part, blank: Blank) -> Iterator[Finding]:
    """Report everything about rivet rows.

    Args:
        part: as stated, its rows laid
        blank: developed from it
    """
    if not part.rivets:
        return
    holes = {hole.name: hole for hole in blank.holes}
    rims = [
        (edge, edge.box)
        for loop in blank.outline.loops
        if not is_small_circle(loop)
        for edge in loop.edges
    ]
    for row in part.rivets:
        diameter = nominal_diameter(row.fastener, row.size)
        limits = limits_of(diameter, row.head, row.pitch)
        facts = facts_of(row, part.sheet.thickness)
        mine = [holes[name] for name in row.holes]
        yield from _edges(row, mine, rims, limits, diameter)
        yield from _bends(row, mine, blank, limits)
        yield from _pitch(row, mine, limits, diameter)
        yield from check_fastener(part, row, facts)
        yield from check_joint(row, joint_of_row(part, row, blank), mine[0])
    yield from _neighbours(part, holes)


def sheets_of(part: Part, row: RivetRow) -> tuple[SheetOfJoint, ...]:
    """Return the sheets that a row joins, the part's own first."""
    own = SheetOfJoint(
        name=f"this sheet, {part.sheet.alloy}",
        alloy=part.sheet.alloy,
        thickness=part.sheet.thickness,
    )
    others = (
        SheetOfJoint(
            name=sheet.note or f"sheet {i + 2}" + (f", {sheet.alloy}" if sheet.alloy else ""),
            alloy=sheet.alloy,
            thickness=sheet.thickness,
        )
        for i, sheet in enumerate(row.stack)
    )
    return (own, *others)


def joint_of_row(part: Part, row: RivetRow, blank: Blank) -> Joint:
    """Return what the handbook's tables say of a row's strength.

    The width of the joint is the row's length and half a pitch at either end.
    """
    first = max(row.lines, key=lambda line: len(line.holes))
    length = sum(first.pitches)
    width = length + (length / len(first.pitches) if first.pitches else 0.0)
    return joint_of(row, sheets_of(part, row), width)


def _edges(
    row: RivetRow, holes: Sequence[BlankHole], rims: Rims, limits: LayoutLimits, diameter: float
) -> Iterator[Finding]:
    least, at = math.inf, holes[0]
    for hole in holes:
        # Only rims outside the hole count: one that opens into an edge has none.
        x, y = hole.center
        far = limits.edge.value
        for edge, box in rims:
            if boxes_touch((x, y, x, y), box, far) and (gap := edge.distance(hole.center)) < least:
                least, at = gap, hole
    if least < limits.edge.value - _SAME:
        yield Finding(
            code="ROW-010",
            level=Level.ASK,
            place=f"row {row.name}",
            got=f"hole {at.name} has an edge distance of {mm(least)}",
            limit=f"{mm(limits.edge.value)} ({limits.edge.rule})",
            source=limits.edge.source,
            fix="Move the row inward or end it earlier, or take a smaller rivet",
            at=at.center,
        )
    most = most_edge_distance(diameter)
    if row.lines[0].edge > most.value + _SAME:
        yield Finding(
            code="ROW-011",
            level=Level.NOTE,
            place=f"row {row.name}",
            got=f"its line stands {mm(row.lines[0].edge)} from the edge: the edge may lift",
            limit=f"at most {mm(most.value)} ({most.rule})",
            source=most.source,
            fix="Move the row nearer to the edge, unless the drawing has it so",
            at=holes[0].center,
        )


def _bends(
    row: RivetRow, holes: Sequence[BlankHole], blank: Blank, limits: LayoutLimits
) -> Iterator[Finding]:
    for bend in blank.bends:
        strip = Loop.rectangle(0.0, 0.0, bend.width, bend.allowance).moved(bend.place)
        least, at = math.inf, holes[0]
        for hole in holes:
            gap = 0.0 if strip.contains(hole.center) else strip.distance(hole.center)
            if gap < least:
                least, at = gap, hole
        if least < limits.bend.value - _SAME:
            yield Finding(
                code="ROW-012",
                level=Level.ASK,
                place=f"row {row.name}",
                got=f"hole {at.name} is {mm(least)} from the tangent line of bend {bend.name}: the"
                " rivet set or the dimple die has no room",
                limit=f"{mm(limits.bend.value)} ({limits.bend.rule})",
                source=limits.bend.source,
                fix=f"Move the row {mm(limits.bend.value - least)} away from the bend, or make the"
                " flange wider",
                at=at.center,
            )


def _pitch(
    row: RivetRow, holes: Sequence[BlankHole], limits: LayoutLimits, diameter: float
) -> Iterator[Finding]:
    pitches = [p for line in row.lines for p in line.pitches]
    place = f"row {row.name}"
    if pitches and min(pitches) < limits.pitch.value - _SAME:
        yield Finding(
            code="ROW-013",
            level=Level.ASK,
            place=place,
            got=f"the least pitch is {mm(min(pitches))}",
            limit=f"{mm(limits.pitch.value)} ({limits.pitch.rule})",
            source=limits.pitch.source,
            fix="Take fewer rivets in the row, or a second line",
            at=holes[0].center,
        )
    most = most_pitch(diameter)
    greatest = max(pitches, default=0.0)
    if greatest > most.value + _SAME and row.fastener is not Fastener.SCREW:
        yield Finding(
            code="ROW-014",
            level=Level.ASK,
            place=place,
            got=f"the greatest pitch is {mm(greatest)}: the sheet may buckle between rivets",
            limit=f"{mm(most.value)} ({most.rule})",
            source=most.source,
            fix="Take more rivets, unless the drawing has it so",
            at=holes[0].center,
        )
    dodged = tuple(dict.fromkeys(name for line in row.lines for name in line.dodged))
    if dodged:
        yield Finding(
            code="ROW-015",
            level=Level.NOTE,
            place=place,
            got=f"it makes room for {', '.join(dodged)}; the pitch is {mm(min(pitches or [0.0]))}"
            f" to {mm(greatest)}",
            limit=f"{mm(row.asked_pitch)} asked for",
            source="part file",
            fix="Check with the drawing that the wider pitch there may be, or move what is in the"
            " way",
            at=holes[0].center,
        )
    wrong = [n for n in (len(line.holes) for line in row.lines[:1]) if n != row.asked_count]
    if row.asked_count and wrong:
        yield Finding(
            code="ROW-016",
            level=Level.ASK,
            place=place,
            got=f"{wrong[0]} holes are laid in its first line",
            limit=f"{row.asked_count} asked for",
            source="part file",
            fix="Move what is in the way, state the pitch in place of the count, or let the row"
            " run through with dodge = false",
            at=holes[0].center,
        )
    if row.line_distance and row.line_distance < limits.line.value - _SAME:
        yield Finding(
            code="ROW-017",
            level=Level.ASK,
            place=place,
            got=f"its lines are {mm(row.line_distance)} apart",
            limit=f"{mm(limits.line.value)} ({limits.line.rule})",
            source=limits.line.source,
            fix="Set the lines wider apart",
            at=holes[0].center,
        )


def _neighbours(part: Part, holes: Mapping[str, BlankHole]) -> Iterator[Finding]:
    """Hold holes of a row against those of other rows and other fasteners."""
    home = {name: row for row in part.rivets for name in row.holes}
    sizes = {row.name: nominal_diameter(row.fastener, row.size) for row in part.rivets}
    others = [hole for hole in holes.values() if is_fastener(hole)]
    if not others:
        return
    at = np.array([hole.center for hole in others])
    size = np.array(
        [sizes[home[o.name].name] if o.name in home else o.diameter or 0.0 for o in others]
    )
    factor = least_pitch(1.0).value
    told: set[tuple[str, str]] = set()
    for row in part.rivets:
        mine = sizes[row.name]
        for name in row.holes:
            hole = holes[name]
            gaps = np.hypot(*(at - hole.center).T)
            for i in np.flatnonzero(gaps < factor * np.maximum(size, mine) - _SAME):
                other = others[i]
                theirs = home.get(other.name)
                if theirs is row or other.name in row.nut_holes:
                    continue
                # A pair of rows is told once, and so is a row with a hole.
                pair = (row.name, other.name)
                if theirs is not None:
                    pair = (min(row.name, theirs.name), max(row.name, theirs.name))
                if pair in told:
                    continue
                told.add(pair)
                limit = least_pitch(max(mine, float(size[i])))
                what = f"row {theirs.name}" if theirs else f"hole {other.name}"
                yield Finding(
                    code="ROW-024",
                    level=Level.ASK,
                    place=f"row {row.name}",
                    got=f"hole {hole.name} is {mm(float(gaps[i]))} from {what}, centre to centre",
                    limit=f"{mm(limit.value)} ({limit.rule})",
                    source=limit.source,
                    fix="Move one of the two, or let the row dodge it",
                    at=hole.center,
                )
