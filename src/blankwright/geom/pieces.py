"""Edges cut where they meet others, and stitched into loops again: the ground of `boolean`."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from blankwright.base.tolerance import TOUCH
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Edge
from blankwright.geom.loop import Loop, joined
from blankwright.geom.meet import meetings
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

_NEAR = 4 * TOUCH


class Vertices:
    """Points numbered so that points that are one have one number."""

    def __init__(self) -> None:
        self._cells: dict[tuple[int, int], list[tuple[Point, int]]] = {}
        self._exact: dict[Point, int] = {}
        self._count = 0

    def number(self, p: Point) -> int:
        """Return the number of a point [mm], a new one when none is within `4·TOUCH`."""
        known = self._exact.get(p)
        if known is None:
            known = self._exact[p] = self._nearby(p)
        return known

    def _nearby(self, p: Point) -> int:
        i, j = math.floor(p[0] / _NEAR), math.floor(p[1] / _NEAR)
        for ii in (i, i - 1, i + 1):
            for jj in (j, j - 1, j + 1):
                for q, number in self._cells.get((ii, jj), ()):
                    if vec.distance(p, q) <= _NEAR:
                        return number
        self._cells.setdefault((i, j), []).append((p, self._count))
        self._count += 1
        return self._count - 1


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of an edge between two numbered points."""

    edge: Edge
    start: int
    end: int

    def reversed(self) -> Piece:
        """Return the piece travelled the other way."""
        return Piece(self.edge.reversed(), self.end, self.start)

    @property
    def key(self) -> tuple[int, int]:
        """The two point numbers, the smaller first."""
        return (self.start, self.end) if self.start <= self.end else (self.end, self.start)


def cut_up(edges: Sequence[Edge], others: Sequence[Edge], vertices: Vertices) -> list[Piece]:
    """Cut each edge where any of the others meets it."""
    boxed = [(*other.box, other) for other in others]
    pieces: list[Piece] = []
    for edge in edges:
        # Written out rather than by `boxes_touch`: of all that is done in a development, this
        # comparison is done most often.
        x0, y0, x1, y1 = edge.box
        x0, y0, x1, y1 = x0 - TOUCH, y0 - TOUCH, x1 + TOUCH, y1 + TOUCH
        points = [
            p
            for ox0, oy0, ox1, oy1, other in boxed
            if x0 <= ox1 and ox0 <= x1 and y0 <= oy1 and oy0 <= y1 and other is not edge
            for p in meetings(edge, other)
        ]
        pieces.extend(cut_edge(edge, points, vertices))
    return pieces


def cut_edge(edge: Edge, points: list[Point], vertices: Vertices) -> list[Piece]:
    """Cut one edge at points on it [mm], which may lie in any order and repeat."""
    if isinstance(edge, Arc) and edge.is_circle:
        marks = sorted({vertices.number(p): edge.share(p) % 1.0 for p in points}.items(), key=_mark)
        if not marks:
            number = vertices.number(edge.start)
            return [Piece(edge, number, number)]
        marks.append((marks[0][0], marks[0][1] + 1.0))
    else:
        first, last = vertices.number(edge.start), vertices.number(edge.end)
        inner = {
            number: min(1.0, max(0.0, edge.share(p)))
            for p in points
            if (number := vertices.number(p)) not in (first, last)
        }
        marks = [(first, 0.0), *sorted(inner.items(), key=_mark), (last, 1.0)]
    result = []
    for (n0, t0), (n1, t1) in itertools.pairwise(marks):
        if (n0 != n1 or len(marks) == 2) and (t1 - t0) * edge.length > TOUCH:
            whole = t0 == 0.0 and t1 == 1.0
            result.append(Piece(edge if whole else edge.part(t0, t1), n0, n1))
    return result


def _mark(item: tuple[int, float]) -> float:
    return item[1]


def coincident(piece: Piece, table: dict[tuple[int, int], list[Piece]]) -> int:
    """Say how a piece lies on one of a table: 1 the same way, −1 the other way, 0 not at all."""
    for other in table.get(piece.key, ()):
        if vec.distance(piece.edge.point(0.5), other.edge.point(0.5)) > 10 * _NEAR:
            if piece.start != piece.end:
                continue
            # Whole circles from one point: the same circle when the centres agree.
            if not _same_circle(piece.edge, other.edge):
                continue
        if piece.start == piece.end:
            return 1 if _turns_left(piece.edge) == _turns_left(other.edge) else -1
        return 1 if piece.start == other.start else -1
    return 0


def _same_circle(a: Edge, b: Edge) -> bool:
    return (
        isinstance(a, Arc)
        and isinstance(b, Arc)
        and vec.distance(a.center, b.center) <= _NEAR
        and abs(a.radius - b.radius) <= _NEAR
    )


def _turns_left(edge: Edge) -> bool:
    return isinstance(edge, Arc) and edge.sweep > 0


def by_key(pieces: Iterable[Piece]) -> dict[tuple[int, int], list[Piece]]:
    """Sort pieces by the numbers of their ends."""
    table: dict[tuple[int, int], list[Piece]] = {}
    for piece in pieces:
        table.setdefault(piece.key, []).append(piece)
    return table


def stitch(pieces: Sequence[Piece]) -> tuple[Region, ...]:
    """Chain pieces, the region left of each, into loops and sort the loops into regions.

    Raises:
        ValueError: when the pieces do not close
    """
    return regions_of(_chains(pieces))


def _chains(pieces: Sequence[Piece]) -> list[Loop]:
    outs: dict[int, list[Piece]] = {}
    for piece in pieces:
        outs.setdefault(piece.start, []).append(piece)
    loops: list[Loop] = []
    for seed in pieces:
        if seed not in outs.get(seed.start, ()):
            continue
        chain: list[Piece] = []
        at: dict[int, int] = {seed.start: 0}
        piece = seed
        while True:
            outs[piece.start].remove(piece)
            chain.append(piece)
            if piece.end in at:
                # Back at a point of this chain: what lies between is a loop of its own.
                begin = at[piece.end]
                loops.append(Loop(joined([p.edge for p in chain[begin:]])))
                for p in chain[begin + 1 :]:
                    del at[p.start]
                del chain[begin:]
                if not chain:
                    break
                incoming = chain[-1]
            else:
                at[piece.end] = len(chain)
                incoming = piece
            choices = outs.get(piece.end, [])
            if not choices:
                p0 = piece.edge.end
                raise ValueError(f"edges do not close at ({p0[0]:.6f}, {p0[1]:.6f})")
            piece = max(choices, key=lambda out: _turn(incoming.edge, out.edge))
    return loops


def _turn(incoming: Edge, out: Edge) -> tuple[float, float]:
    d0, d1 = incoming.direction(1.0), out.direction(0.0)
    angle = math.atan2(vec.cross(d0, d1), vec.dot(d0, d1))
    if angle > math.pi - 1e-6:
        angle = -math.pi  # straight back is the last choice
    bend = 0.0 if not isinstance(out, Arc) else math.copysign(1 / out.radius, out.sweep)
    return (round(angle, 6), bend)


def regions_of(loops: Iterable[Loop]) -> tuple[Region, ...]:
    """Sort loops into regions: clockwise loops are holes of the least loop around them."""
    outers: list[Loop] = []
    holes: list[Loop] = []
    for loop in loops:
        area = loop.area
        if abs(area) > TOUCH * max(1.0, loop.length):
            (outers if area > 0 else holes).append(loop)
    outers.sort(key=lambda loop: loop.area)
    owned: list[list[Loop]] = [[] for _ in outers]
    for hole in holes:
        for outer, own in zip(outers, owned, strict=True):
            if outer.area > -hole.area and _surrounds(outer, hole):
                own.append(hole)
                break
    return tuple(Region(outer, tuple(own)) for outer, own in zip(outers, owned, strict=True))


def _surrounds(outer: Loop, hole: Loop) -> bool:
    """Say whether a loop lies inside another that it may touch: most of its points must."""
    points = [edge.point(t) for edge in hole.edges for t in (0.31, 0.5, 0.73)]
    return 2 * sum(outer.contains(p) for p in points) > len(points)
