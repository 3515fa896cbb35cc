"""Measures edges read from a file against the edges they should be, both ways round."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from blankwright.base.errors import Problem
from blankwright.base.tolerance import PROOF
from blankwright.base.units import fixed
from blankwright.geom.edges import Box, Edge, boxes_touch
from blankwright.geom.vec import Point

_STEP = 5.0
"""Places along an edge are measured at least this often [mm]; five on every edge in any case."""

_FAR = 1.0
"""Edges farther off than this are not looked at: the deviation is then told as *over 1 mm*."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Deviation:
    """How far a place is from where it should be.

    Args:
        at: the place [mm]
        by: distance to the nearest edge of the other side [mm]; infinite when over 1 mm
    """

    at: Point
    by: float


def worst_deviation(places: Sequence[Edge], edges: Sequence[Edge]) -> Deviation | None:
    """Return the worst distance from places on some edges to other edges, or nothing for none.

    Args:
        places: edges on which it is measured
        edges: edges to which it is measured
    """
    boxes = [edge.box for edge in edges]
    cells = Cells(boxes, _FAR)
    worst: Deviation | None = None
    for place in places:
        for p in _samples(place):
            by = math.inf
            for i in cells.near(p):
                if boxes_touch((*p, *p), boxes[i], _FAR):
                    by = min(by, edges[i].distance(p))
            if by > _FAR:
                by = math.inf
            if worst is None or by > worst.by:
                worst = Deviation(at=p, by=by)
    return worst


def edge_problems(
    code: str, where: str, found: Sequence[Edge], wanted: Sequence[Edge], limit: float = PROOF
) -> list[Problem]:
    """Return what is wrong with edges read from a file; nothing when they agree.

    Args:
        code: code of the problems
        where: file and layer
        found: edges in the file [mm]
        wanted: edges as they should be [mm]
        limit: how far they may be apart [mm]
    """
    problems: list[Problem] = []
    for places, edges, what in (
        (found, wanted, "an edge of the file is off the blank's"),
        (wanted, found, "an edge of the blank is off the file's"),
    ):
        worst = worst_deviation(places, edges)
        if worst is not None and not worst.by <= limit:
            by = "more than 1 mm" if math.isinf(worst.by) else f"{fixed(worst.by, 4)} mm"
            x, y = worst.at
            problems.append(
                Problem(
                    code=code,
                    where=where,
                    got=f"{what} by {by} at ({fixed(x, 3)}, {fixed(y, 3)})",
                    allowed=f"{limit:g} mm",
                    fix="This is a bug of ours: nothing was written; please report it",
                )
            )
    return problems


def _samples(edge: Edge) -> Iterator[Point]:
    n = max(4, math.ceil(edge.length / _STEP))
    for i in range(n + 1):
        yield edge.point(i / n)


class Cells:
    """Boxes sorted into squares, so that only near ones are measured.

    Args:
        boxes: the boxes [mm]
        reach: how near counts as near [mm]
        size: side of the squares [mm]
    """

    def __init__(self, boxes: Iterable[Box], reach: float, size: float = 20.0) -> None:
        self._size = size
        self._cells: dict[tuple[int, int], list[int]] = {}
        self._long: list[int] = []
        for i, (x0, y0, x1, y1) in enumerate(boxes):
            a, b = self._cell(x0 - reach), self._cell(x1 + reach)
            c, d = self._cell(y0 - reach), self._cell(y1 + reach)
            if (b - a + 1) * (d - c + 1) > 400:
                self._long.append(i)
                continue
            for ix in range(a, b + 1):
                for iy in range(c, d + 1):
                    self._cells.setdefault((ix, iy), []).append(i)

    def _cell(self, v: float) -> int:
        return math.floor(v / self._size)

    def near(self, p: Point) -> list[int]:
        """Return the numbers of the boxes that may be within reach of a point [mm]."""
        here = self._cells.get((self._cell(p[0]), self._cell(p[1])), [])
        return self._long + here
