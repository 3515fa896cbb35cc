"""Checks of holes: distance to edges, to bends and to one another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from blankwright.base.findings import Finding, Level
from blankwright.develop.blank import BlankBend, BlankHole
from blankwright.develop.checks.common import PRACTICE, Checked, mm
from blankwright.develop.restate import is_gap_in_bend
from blankwright.geom.apart import edges_apart
from blankwright.geom.edges import Box, Edge, boxes_touch
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

_SAME = 1e-3
"""Loops whose boxes differ by less than this are one [mm]."""


def check_holes(checked: Checked) -> Iterator[Finding]:
    """Report holes too near an edge, a bend or one another."""
    holes = [hole for hole in checked.blank.holes if hole.kind is not HoleKind.RELIEF]
    thickness = checked.blank.thickness
    round_limit, other_limit = hole_to_bend(thickness), cut_out_to_bend(thickness)
    strips = [
        (bend, Loop.rectangle(0.0, 0.0, bend.width, bend.allowance).moved(bend.place))
        for bend in checked.blank.bends
    ]
    # Rows of rivets are held to the rivet's own diameter, by `holes.row_checks`.
    in_rows = {name for row in checked.part.rivets for name in row.holes}
    whole = {_rounded(loop.box) for loop in checked.blank.outline.holes}
    rims = [
        (edge, edge.box)
        for loop in checked.blank.outline.loops
        if not is_small_circle(loop)
        for edge in loop.edges
    ]
    limits: dict[float, Limit] = {}
    for hole in holes:
        gap = is_gap_in_bend(hole.name)
        if gap and not any(_holds(loop.box, hole.loop.box) for loop in checked.blank.outline.holes):
            # Relief, or a bend's slanted end: no hole.
            continue
        limit = other_limit if hole.diameter is None else round_limit
        for bend, strip in strips:
            if boxes_touch(strip.box, hole.loop.box, limit.value):
                yield from _near_bend(hole, bend, strip, limit)
        if gap:
            continue
        if _rounded(hole.loop.box) not in whole:
            yield _opened(hole)
        elif is_fastener(hole) and hole.name not in in_rows:
            diameter = hole.diameter or 0.0
            if diameter not in limits:
                limits[diameter] = edge_distance(diameter)
            yield from _near_edge(hole, diameter, rims, limits[diameter])
    yield from _near_holes([h for h in holes if is_fastener(h) and h.name not in in_rows])


def _holds(outer: Box, inner: Box) -> bool:
    x0, y0, x1, y1 = inner
    return (
        outer[0] <= x0 + _SAME
        and outer[1] <= y0 + _SAME
        and outer[2] >= x1 - _SAME
        and outer[3] >= y1 - _SAME
    )


def is_fastener(hole: BlankHole) -> bool:
    """Say whether a hole is held to the rules for rivets and bolts."""
    diameter = hole.diameter
    return diameter is not None and hole.kind is HoleKind.ROUND and diameter <= FASTENER


def _rounded(box: Box) -> tuple[int, ...]:
    return tuple(round(x / _SAME) for x in box)


def is_small_circle(loop: Loop) -> bool:
    """A small round hole's distance to another hole is pitch, not edge distance."""
    circle = loop.as_circle
    return circle is not None and 2 * circle.radius <= FASTENER


def _near_bend(hole: BlankHole, bend: BlankBend, strip: Loop, limit: Limit) -> Iterator[Finding]:
    gap = edges_apart(hole.loop.edges, strip.edges, limit.value)
    if gap <= 1e-6 or strip.contains(hole.center):
        yield Finding(
            code="HOLE-003",
            level=Level.ASK if is_fastener(hole) else Level.NOTE,
            place=_place(hole),
            got=f"it lies on bend {bend.name} and will stretch when bent",
            limit="off the bend",
            source=limit.source,
            fix="Drill or cut it after bending, or move it off the bend",
            at=hole.center,
        )
    elif gap < limit.value:
        yield Finding(
            code="HOLE-001",
            level=Level.ASK,
            place=_place(hole),
            got=f"its edge is {mm(gap)} from the tangent line of bend {bend.name}",
            limit=f"{mm(limit.value)} ({limit.rule})",
            source=limit.source,
            fix=f"Move it {mm(limit.value - gap)} away from the bend, or drill it after bending",
            at=hole.center,
        )


def _place(hole: BlankHole) -> str:
    if not is_gap_in_bend(hole.name):
        return f"hole {hole.name}"
    bend, _, number = hole.name.rpartition(" cut-out")
    return f"opening{number} across {bend}"


def _opened(hole: BlankHole) -> Finding:
    return Finding(
        code="HOLE-005",
        level=Level.NOTE if hole.diameter is None else Level.ASK,
        place=f"hole {hole.name}",
        got="it opens into the edge or into another opening, or lies off the metal",
        limit="metal all round it",
        source=PRACTICE,
        fix="Move it, unless the drawing wants it so",
        at=hole.center,
    )


def _near_edge(
    hole: BlankHole, diameter: float, rims: Sequence[tuple[Edge, Box]], limit: Limit
) -> Iterator[Finding]:
    reach = limit.value - diameter / 2
    x0, y0, x1, y1 = hole.loop.box
    x0, y0, x1, y1 = x0 - reach, y0 - reach, x1 + reach, y1 + reach
    near = [
        edge
        for edge, (bx0, by0, bx1, by1) in rims
        if x0 <= bx1 and bx0 <= x1 and y0 <= by1 and by0 <= y1
    ]
    gap = edges_apart(hole.loop.edges, near, reach)
    if gap < reach - _SAME:
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


def _near_holes(holes: Sequence[BlankHole]) -> Iterator[Finding]:
    if len(holes) < 2:
        return
    factor = least_pitch(1.0).value
    centers = np.array([hole.center for hole in holes])
    wanted = factor * np.array([hole.diameter for hole in holes], dtype=float)
    gaps = np.hypot(*(centers[:, None, :] - centers[None, :, :]).transpose(2, 0, 1))
    close = gaps < np.maximum(wanted[:, None], wanted[None, :]) - _SAME
    # Holes of one pattern are told once, with the pair that is nearest.
    patterns: dict[tuple[str, str], list[tuple[float, int, int]]] = {}
    for i, j in np.argwhere(np.triu(close, 1)):
        key = (_pattern(holes[i]), _pattern(holes[j]))
        patterns.setdefault(key, []).append((round(float(gaps[i, j]), 6), int(i), int(j)))
    for (first, second), pairs in patterns.items():
        gap, i, j = min(pairs)
        hole, other = holes[i], holes[j]
        limit = least_pitch(max(hole.diameter or 0.0, other.diameter or 0.0))
        one = f"it is {mm(gap)} from hole {other.name}, centre to centre"
        names = first if first == second else f"{first} and {second}"
        many = (
            f"{len(pairs)} pairs are too near, the nearest, {hole.name} and {other.name}, {mm(gap)}"
        )
        yield Finding(
            code="HOLE-004",
            level=Level.ASK,
            place=f"hole {hole.name}" if len(pairs) == 1 else f"holes {names}",
            got=one if len(pairs) == 1 else f"{many}, centre to centre",
            limit=f"{mm(limit.value)} ({limit.rule})",
            source=limit.source,
            fix="Space them wider, or take a smaller fastener",
            at=hole.center,
        )


def _pattern(hole: BlankHole) -> str:
    return hole.name.partition("[")[0]
