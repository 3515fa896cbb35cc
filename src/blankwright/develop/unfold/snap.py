"""Outlines of flats and bends brought together where a file has too few digits for them to meet."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from blankwright.geom import vec
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.loop import Loop, joined
from blankwright.geom.move import Move
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

MET = 2e-6
"""Ends this near to one another meet as they are [mm]."""

_FAR = 1e6
"""Beyond any part [mm]."""


@dataclass(frozen=True, slots=True)
class StripLines:
    """The strip of a bend: x along the bend from 0 to width, y from tangent line to tangent line.

    Args:
        place: from the strip to the blank
        width: [mm]
        allowance: [mm]
        regions: numbers, among all cells, of the strip's own
    """

    place: Move
    width: float
    allowance: float
    regions: tuple[int, ...]


def snapped(
    cells: Sequence[Region], strips: Sequence[StripLines], join: float
) -> tuple[list[Region | None], list[StripLines]]:
    """Bring ends together that are within `join` of each other, and onto tangent lines and the ends
    of bends that they are within `join` of.

    Args:
        cells: flats and pieces of bends as they lie on the blank
        strips: the bends
        join: how far ends may be moved [mm]

    Returns:
        The cells, nothing for those that vanish, and the strips, with the ends the cells have now.
        All unchanged when everything meets already.
    """
    table = _Clusters(join)
    for cell in cells:
        for edge in cell.edges:
            if not (isinstance(edge, Arc) and edge.is_circle):
                table.add(edge.start)
                table.add(edge.end)
    table.gather()
    if table.spread <= MET:
        return list(cells), list(strips)
    for strip in strips:
        lines = (0.0, strip.allowance)
        # A flat may be wider than its bend: its edge lies on the tangent line beyond it, too.
        table.onto(strip.place, 1, lines, (-_FAR, _FAR), join)
        reach = min(4 * join, strip.allowance / 4)
        table.onto(strip.place, 1, lines, (0.0, strip.width), reach)
    fresh = []
    for strip in strips:
        back = strip.place.inverse()
        boxes = [cells[i].moved(back).box for i in strip.regions]
        low = min((box[0] for box in boxes), default=0.0)
        high = max((box[2] for box in boxes), default=strip.width)
        table.onto(strip.place, 0, (low, high), (0.0, strip.allowance), join)
        fresh.append(
            StripLines(
                Move.shift(low, 0.0).then(strip.place), high - low, strip.allowance, strip.regions
            )
        )
    return [_rebuilt(cell, table.at) for cell in cells], fresh


def stands_on(cell: Region, strip: StripLines, upper: bool) -> bool:
    """Say whether a flat has an edge on the lower or upper tangent line of a strip."""
    back = strip.place.inverse()
    y = strip.allowance if upper else 0.0
    for edge in cell.outer.edges:
        if isinstance(edge, Line):
            (ax, ay), (bx, by) = back(edge.start), back(edge.end)
            near = abs(ay - y) < MET and abs(by - y) < MET
            if near and min(max(ax, bx), strip.width) - max(min(ax, bx), 0.0) > MET:
                return True
    return False


class _Clusters:
    """Points gathered with those near by; each set stands at one place."""

    def __init__(self, join: float) -> None:
        self.join = join
        self.points: dict[Point, int] = {}
        self.parents: list[int] = []
        self.places: dict[int, Point] = {}
        self.spread = 0.0
        self._grid: dict[tuple[int, int], list[Point]] = {}

    def add(self, p: Point) -> None:
        if p in self.points:
            return
        number = len(self.parents)
        self.points[p] = number
        self.parents.append(number)
        i, j = math.floor(p[0] / self.join), math.floor(p[1] / self.join)
        for ii in (i - 1, i, i + 1):
            for jj in (j - 1, j, j + 1):
                for q in self._grid.get((ii, jj), ()):
                    gap = vec.distance(p, q)
                    if gap <= self.join:
                        self.spread = max(self.spread, gap)
                        self.parents[self._root(number)] = self._root(self.points[q])
        self._grid.setdefault((i, j), []).append(p)

    def gather(self) -> None:
        members: dict[int, list[Point]] = {}
        for p, number in self.points.items():
            members.setdefault(self._root(number), []).append(p)
        for root, found in members.items():
            n = len(found)
            self.places[root] = (sum(p[0] for p in found) / n, sum(p[1] for p in found) / n)

    def at(self, p: Point) -> Point:
        return self.places[self._root(self.points[p])]

    def onto(
        self,
        place: Move,
        axis: int,
        values: tuple[float, float],
        along: tuple[float, float],
        join: float,
    ) -> None:
        """Move places near a line of a strip onto it: where x or y, by `axis`, has a value."""
        back = place.inverse()
        for root, p in self.places.items():
            q = back(p)
            if not along[0] - join <= q[1 - axis] <= along[1] + join:
                continue
            for value in values:
                if abs(q[axis] - value) <= join:
                    self.places[root] = place((value, q[1]) if axis == 0 else (q[0], value))
                    break

    def _root(self, number: int) -> int:
        while self.parents[number] != number:
            self.parents[number] = self.parents[self.parents[number]]
            number = self.parents[number]
        return number


def _rebuilt(cell: Region, at: Callable[[Point], Point]) -> Region | None:
    loops = [_loop(loop, at) for loop in cell.loops]
    if loops[0] is None:
        return None
    return Region(loops[0], tuple(loop for loop in loops[1:] if loop is not None))


def _loop(loop: Loop, at: Callable[[Point], Point]) -> Loop | None:
    edges: list[Edge] = []
    for edge in loop.edges:
        if isinstance(edge, Arc) and edge.is_circle:
            return loop
        a, b = at(edge.start), at(edge.end)
        if a == b:
            continue
        if isinstance(edge, Line):
            edges.append(Line(a, b))
        elif (a, b) == (edge.start, edge.end):
            edges.append(edge)
        else:
            edges.append(Arc.bulged(a, b, math.tan(edge.sweep / 4)))
    if len(edges) < 2:
        return None
    return Loop(joined(edges))
