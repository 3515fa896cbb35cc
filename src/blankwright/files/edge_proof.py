"""Measures edges read from a file against the edges they should be, both ways round."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from blankwright.base.errors import Problem
from blankwright.base.tolerance import PROOF
from blankwright.base.units import fixed
from blankwright.drawing.cells import Cells
from blankwright.geom.edges import Edge, boxes_touch
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
