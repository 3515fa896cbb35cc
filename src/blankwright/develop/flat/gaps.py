"""Ends of drawn edges that nearly meet, brought together; each gap closed is told."""

from __future__ import annotations

import math
from collections.abc import Sequence

from blankwright.base.tolerance import TOUCH
from blankwright.develop.flat.clean import Repair, Traced
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.meet import crossings
from blankwright.geom.near import EdgeIndex
from blankwright.geom.vec import Point

_MET = 2 * TOUCH
"""Ends this near to each other are one already [mm]."""

_CELL = 20.0

End = tuple[int, int]
"""Number of the edge, and 0 for its start or 1 for its end."""


def closed_up(edges: Sequence[Traced], up_to: float) -> tuple[list[Traced], list[Repair]]:
    """Bring those free ends together that are no further apart than a tolerance.

    Two edges are lengthened or cut back to where they cross, so that neither is turned; where they
    do not cross near by, the end of a line is moved, or a short line put in between.

    Args:
        edges: clean edges [mm]
        up_to: widest gap to close [mm]

    Returns:
        The edges and the gaps closed, the widest first.
    """
    result = list(edges)
    free = _free_ends(result)
    pairs: list[tuple[float, End, End]] = []
    grid = _Grid(max(up_to, _MET))
    for end in free:
        p = _point(result, end)
        for other in grid.near(p):
            gap = vec.distance(p, _point(result, other))
            if gap <= up_to and (other[0] != end[0] or result[end[0]].edge.length > 4 * up_to):
                pairs.append((gap, other, end))
        grid.add(p, end)
    repairs: list[Repair] = []
    joined: set[End] = set()
    for gap, a, b in sorted(pairs):
        if a in joined or b in joined:
            continue
        joined.update((a, b))
        p, q = _point(result, a), _point(result, b)
        if gap > _MET:
            repairs.append(Repair("gap closed", p, gap, q))
        _join(result, a, b, max(4 * gap, 4 * TOUCH))
    repairs.extend(_onto_sides(result, [end for end in free if end not in joined], up_to))
    return result, sorted(repairs, key=lambda repair: -repair.size)


def _onto_sides(edges: list[Traced], free: Sequence[End], up_to: float) -> list[Repair]:
    """Bring free ends that stop just short of the side of another edge onto it."""
    index = EdgeIndex([traced.edge for traced in edges], _CELL)
    repairs: list[Repair] = []
    for end in free:
        p, edge = _point(edges, end), edges[end[0]].edge
        box = (p[0], p[1], p[0], p[1])
        sides = [(index.edges[n].distance(p), n) for n in index.near(box, up_to) if n != end[0]]
        gap, n = min(sides, default=(math.inf, -1))
        if gap > up_to or edge.length <= 4 * up_to:
            continue
        side = index.edges[n]
        meet = [x for x in crossings(edge, side) if vec.distance(x, p) <= 4 * gap + 4 * TOUCH]
        if meet:
            at = min(meet, key=lambda x: vec.distance(x, p))
            edges[end[0]] = Traced(_to(edge, end[1], at), edges[end[0]].source)
            repairs.append(Repair("gap closed", p, gap, at))
    return repairs


def _free_ends(edges: Sequence[Traced]) -> list[End]:
    """Return the ends that meet no other edge, at its end or along it."""
    index = EdgeIndex([traced.edge for traced in edges], _CELL)
    free: list[End] = []
    for i, traced in enumerate(edges):
        edge = traced.edge
        if isinstance(edge, Arc) and edge.is_circle:
            continue
        for side, p in ((0, edge.start), (1, edge.end)):
            own_other = edge.end if side == 0 else edge.start
            if vec.distance(p, own_other) <= _MET:
                continue
            box = (p[0], p[1], p[0], p[1])
            met = any(n != i and index.edges[n].distance(p) <= _MET for n in index.near(box, _MET))
            if not met:
                free.append((i, side))
    return free


class _Grid:
    def __init__(self, cell: float) -> None:
        self._cell = cell
        self._cells: dict[tuple[int, int], list[tuple[Point, End]]] = {}

    def _key(self, p: Point) -> tuple[int, int]:
        return (math.floor(p[0] / self._cell), math.floor(p[1] / self._cell))

    def add(self, p: Point, end: End) -> None:
        self._cells.setdefault(self._key(p), []).append((p, end))

    def near(self, p: Point) -> list[End]:
        i, j = self._key(p)
        return [
            end
            for ii in (i - 1, i, i + 1)
            for jj in (j - 1, j, j + 1)
            for _, end in self._cells.get((ii, jj), ())
        ]


def _point(edges: Sequence[Traced], end: End) -> Point:
    edge = edges[end[0]].edge
    return edge.start if end[1] == 0 else edge.end


def _join(edges: list[Traced], a: End, b: End, reach: float) -> None:
    p, q = _point(edges, a), _point(edges, b)
    if p == q:
        return
    first, second = edges[a[0]].edge, edges[b[0]].edge
    meet = [
        x
        for x in (crossings(first, second) if a[0] != b[0] else ())
        if vec.distance(x, p) <= reach and vec.distance(x, q) <= reach
    ]
    if meet:
        at = min(meet, key=lambda x: vec.distance(x, p) + vec.distance(x, q))
        for end, edge in ((a, first), (b, second)):
            edges[end[0]] = Traced(_to(edge, end[1], at), edges[end[0]].source)
    elif isinstance(first, Line):
        edges[a[0]] = Traced(_to(first, a[1], q), edges[a[0]].source)
    elif isinstance(second, Line):
        edges[b[0]] = Traced(_to(second, b[1], p), edges[b[0]].source)
    else:
        edges.append(Traced(Line(p, q), edges[a[0]].source))


def _to(edge: Edge, side: int, at: Point) -> Edge:
    """Return an edge with one end at a point that is on its line or circle."""
    if isinstance(edge, Line):
        return Line(at, edge.end) if side == 0 else Line(edge.start, at)
    angle = math.atan2(at[1] - edge.center[1], at[0] - edge.center[0])
    old = edge.begin if side == 0 else edge.begin + edge.sweep
    step = (angle - old + math.pi) % math.tau - math.pi
    if side == 0:
        return Arc(edge.center, edge.radius, edge.begin + step, edge.sweep - step)
    return Arc(edge.center, edge.radius, edge.begin, edge.sweep + step)
