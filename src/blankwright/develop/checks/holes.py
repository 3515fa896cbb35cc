"""Checks of holes: distance to edges, to bends and to one another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from blankwright.base.findings import Finding, Level
from blankwright.develop.blank import BlankBend, BlankHole
from blankwright.develop.checks.common import PRACTICE, Checked, mm
from blankwright.geom import vec
from blankwright.geom.apart import edges_apart
from blankwright.geom.edges import Edge, boxes_touch
from blankwright.geom.loop import Loop
from blankwright.handbook.edge import (
    Limit,
    cut_out_to_bend,
    edge_distance,
    hole_to_bend,
    least_pitch,
)
from blankwright.part.model import HoleKind

FASTENER = 8.0
"""Round holes up to this diameter [mm] are taken for fasteners, and held to edge distance."""


def check_holes(checked: Checked) -> Iterator[Finding]:
    """Report holes too near an edge, a bend or one another."""
    holes = [hole for hole in checked.blank.holes if hole.kind is not HoleKind.RELIEF]
    rims = _rims(checked)
    for i, hole in enumerate(holes):
        for bend in checked.blank.bends:
            yield from _near_bend(checked, hole, bend)
        yield from _near_edge(checked, hole, rims)
        for other in holes[i + 1 :]:
            yield from _near_hole(hole, other)


def _rims(checked: Checked) -> list[tuple[Loop, list[Edge]]]:
    """Every loop of the blank's outline with its edges."""
    return [(loop, list(loop.edges)) for loop in checked.blank.outline.loops]


def is_fastener(hole: BlankHole) -> bool:
    """Say whether a hole is held to the rules for rivets and bolts."""
    diameter = hole.diameter
    return diameter is not None and hole.kind is HoleKind.ROUND and diameter <= FASTENER


def _near_bend(checked: Checked, hole: BlankHole, bend: BlankBend) -> Iterator[Finding]:
    thickness = checked.blank.thickness
    limit = hole_to_bend(thickness) if hole.diameter is not None else cut_out_to_bend(thickness)
    strip = Loop.rectangle(0.0, 0.0, bend.width, bend.allowance).moved(bend.place)
    if not boxes_touch(strip.box, hole.loop.box, limit.value):
        return
    gap = edges_apart(hole.loop.edges, strip.edges, limit.value)
    across = strip.contains(hole.center) or gap <= 1e-6
    if not across and gap >= limit.value:
        return
    if across:
        drilled = is_fastener(hole)
        yield Finding(
            code="HOLE-003",
            level=Level.ASK if drilled else Level.NOTE,
            place=f"hole {hole.name}",
            got=f"it lies on bend {bend.name} and will stretch when bent",
            limit="off the bend",
            source=limit.source,
            fix="Drill or cut it after bending, or move it off the bend",
            at=hole.center,
        )
        return
    yield _too_near(hole, bend, gap, limit)


def _too_near(hole: BlankHole, bend: BlankBend, gap: float, limit: Limit) -> Finding:
    return Finding(
        code="HOLE-001",
        level=Level.ASK,
        place=f"hole {hole.name}",
        got=f"its edge is {mm(gap)} from the tangent line of bend {bend.name}",
        limit=f"{mm(limit.value)} ({limit.rule})",
        source=limit.source,
        fix=f"Move it {mm(limit.value - gap)} away from the bend, or drill it after bending",
        at=hole.center,
    )


def _near_edge(
    checked: Checked, hole: BlankHole, rims: Sequence[tuple[Loop, list[Edge]]]
) -> Iterator[Finding]:
    own = _own_rim(hole, rims)
    if own is None:
        drilled = hole.diameter is not None
        yield Finding(
            code="HOLE-005",
            level=Level.ASK if drilled else Level.NOTE,
            place=f"hole {hole.name}",
            got="it opens into the edge or into another opening",
            limit="metal all round it",
            source=PRACTICE,
            fix="Move it, unless the drawing wants it so",
            at=hole.center,
        )
        return
    diameter = hole.diameter
    if diameter is None or not is_fastener(hole):
        return
    limit = edge_distance(diameter)
    reach = limit.value - diameter / 2
    gap = edges_apart(
        own.edges,
        [e for loop, es in rims if not _is_drilled(loop, checked, own) for e in es],
        reach,
    )
    if gap < reach - 1e-3:
        yield Finding(
            code="HOLE-002",
            level=Level.ASK,
            place=f"hole {hole.name}",
            got=f"edge distance {mm(gap + diameter / 2)} from its centre",
            limit=f"{mm(limit.value)} ({limit.rule})",
            source=limit.source,
            fix=f"Move it {mm(reach - gap)} inward, or take a smaller fastener",
            at=hole.center,
        )


def _own_rim(hole: BlankHole, rims: Sequence[tuple[Loop, list[Edge]]]) -> Loop | None:
    """Return the loop of the outline that is this hole, whole."""
    for loop, _ in rims[1:]:
        if abs(loop.area + hole.loop.area) < 1e-3 and all(
            abs(a - b) < 1e-3 for a, b in zip(loop.box, hole.loop.box, strict=True)
        ):
            return loop
    return None


def _is_drilled(loop: Loop, checked: Checked, own: Loop) -> bool:
    """Say whether a loop is the hole itself or another small round hole: pitch, not edge."""
    circle = loop.as_circle
    return loop is own or (circle is not None and 2 * circle.radius <= FASTENER)


def _near_hole(hole: BlankHole, other: BlankHole) -> Iterator[Finding]:
    if not (is_fastener(hole) and is_fastener(other)):
        return
    diameter = max(hole.diameter or 0.0, other.diameter or 0.0)
    limit = least_pitch(diameter)
    pitch = vec.distance(hole.center, other.center)
    if pitch < limit.value - 1e-3:
        yield Finding(
            code="HOLE-004",
            level=Level.ASK,
            place=f"hole {hole.name}",
            got=f"it is {mm(pitch)} from hole {other.name}, centre to centre",
            limit=f"{mm(limit.value)} ({limit.rule})",
            source=limit.source,
            fix="Space them wider, or take a smaller fastener",
            at=hole.center,
        )
