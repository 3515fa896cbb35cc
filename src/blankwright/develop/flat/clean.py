"""Drawn edges made clean: none without length, none drawn twice, none over another."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from blankwright.base.tolerance import TOUCH
from blankwright.geom import vec
from blankwright.geom.edges import TAU, Arc, Edge, Line
from blankwright.geom.near import EdgeIndex
from blankwright.geom.vec import Point

_CELL = 20.0


@dataclass(frozen=True, slots=True)
class Traced:
    """An edge and the number of the drawn edge that it is, or is a piece of."""

    edge: Edge
    source: int


@dataclass(frozen=True, slots=True)
class Repair:
    """Something put right in a drawing, and where.

    Args:
        what: ``no length``, ``drawn twice``, ``overlap``, ``gap closed`` or ``runs past a corner``
        at: where [mm]
        size: how much [mm]
        to: the other end of a gap [mm]
    """

    what: str
    at: Point
    size: float = 0.0
    to: Point | None = None


def cleaned(edges: Sequence[Traced], near: float) -> tuple[list[Traced], list[Repair]]:
    """Return edges without those that have no length or are drawn over others.

    Args:
        edges: as drawn [mm]
        near: how far apart two edges may run and still be one drawn twice [mm]

    Returns:
        What is left, in the order drawn, and what was put right.
    """
    repairs: list[Repair] = []
    kept: list[Traced | None] = []
    for traced in edges:
        edge = traced.edge
        if edge.length <= 10 * TOUCH:
            repairs.append(Repair("no length", edge.start))
        else:
            kept.append(traced)
    # The longest come first, so that a piece is found to lie on its whole.
    order = sorted(range(len(kept)), key=lambda i: (-_length(kept[i]), i))
    index = EdgeIndex([], _CELL)
    numbers: list[int] = []
    for i in order:
        own = kept[i]
        assert own is not None
        edge = own.edge
        for n in list(index.near(edge.box, near)):
            j = numbers[n]
            other = kept[j]
            if other is None:
                continue
            both = _one(other.edge, edge, _within(near, edge))
            if both is None:
                continue
            if both is other.edge:
                repairs.append(Repair("drawn twice", edge.point(0.5), edge.length))
                kept[i] = None
                break
            repairs.append(Repair("overlap", edge.point(0.5), edge.length))
            kept[j] = None
            edge = both
            kept[i] = Traced(both, other.source)
        if kept[i] is not None:
            numbers.append(i)
            index.add(edge)
    return [traced for traced in kept if traced is not None], repairs


def _length(traced: Traced | None) -> float:
    return traced.edge.length if traced is not None else 0.0


def _within(near: float, edge: Edge) -> float:
    """A short edge beside a long one is a step, not a double: its double must be truly on it."""
    return near if edge.length > 20 * near else 10 * TOUCH


def _one(a: Edge, b: Edge, near: float) -> Edge | None:
    """Return a when b lies on it, both as one when they overlap, or nothing."""
    if isinstance(a, Line) and isinstance(b, Line):
        return _one_line(a, b, near)
    if isinstance(a, Arc) and isinstance(b, Arc):
        return _one_arc(a, b, near)
    return None


def _one_line(a: Line, b: Line, near: float) -> Line | None:
    direction = a.direction()
    if any(abs(vec.cross(direction, vec.sub(p, a.start))) > near for p in (b.start, b.end)):
        return None
    low, high = sorted((a.share(b.start), a.share(b.end)))
    slack = near / a.length
    if low >= -slack and high <= 1 + slack:
        return a
    if min(high, 1.0) - max(low, 0.0) <= max(slack, 10 * TOUCH / a.length):
        return None
    ends = sorted((a.share(p), p) for p in (a.start, a.end, b.start, b.end))
    return Line(ends[0][1], ends[-1][1])


def _one_arc(a: Arc, b: Arc, near: float) -> Arc | None:
    if vec.distance(a.center, b.center) > near or abs(a.radius - b.radius) > near:
        return None
    if a.is_circle:
        return a
    if b.is_circle:
        return b
    slack = near / a.length
    b = b if (a.sweep > 0) == (b.sweep > 0) else b.reversed()
    turn = TAU / abs(a.sweep)
    for k in (-1, 0, 1):
        low = ((b.begin - a.begin) / a.sweep) % turn + k * turn
        high = low + b.sweep / a.sweep
        if low >= -slack and high <= 1 + slack:
            return a
        if min(high, 1.0) - max(low, 0.0) > max(slack, 10 * TOUCH / a.length):
            first, last = min(low, 0.0), max(high, 1.0)
            if (last - first) * abs(a.sweep) >= TAU - near / a.radius:
                return Arc(a.center, a.radius, a.begin, math.copysign(TAU, a.sweep))
            return Arc(a.center, a.radius, a.begin + first * a.sweep, (last - first) * a.sweep)
    return None
