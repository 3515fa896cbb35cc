"""Which edges lie near a place: a grid of boxes over many edges."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from blankwright.geom.edges import Box, Edge, boxes_touch
from blankwright.geom.vec import Point

_MOST_CELLS = 4000
"""An edge over more cells than this is kept aside and looked at every time."""


class EdgeIndex:
    """Edges sorted into square cells, for questions about what is near.

    Args:
        edges: the edges
        cell: side of a cell [mm]
    """

    def __init__(self, edges: Sequence[Edge], cell: float) -> None:
        self.edges: list[Edge] = []
        self.boxes: list[Box] = []
        self._cell = cell
        self._cells: dict[tuple[int, int], list[int]] = {}
        self._large: list[int] = []
        for edge in edges:
            self.add(edge)

    def add(self, edge: Edge) -> None:
        """Add an edge; its number is the count of those before it."""
        number, box = len(self.edges), edge.box
        self.edges.append(edge)
        self.boxes.append(box)
        i0, j0, i1, j1 = self._range(box, 0.0)
        if (i1 - i0 + 1) * (j1 - j0 + 1) > _MOST_CELLS:
            self._large.append(number)
            return
        thin = i0 == i1 or j0 == j1
        for i in range(i0, i1 + 1):
            for j in range(j0, j1 + 1):
                if thin or self._reaches(edge, i, j):
                    self._cells.setdefault((i, j), []).append(number)

    def _range(self, box: Box, gap: float) -> tuple[int, int, int, int]:
        c = self._cell
        return (
            math.floor((box[0] - gap) / c),
            math.floor((box[1] - gap) / c),
            math.floor((box[2] + gap) / c),
            math.floor((box[3] + gap) / c),
        )

    def _reaches(self, edge: Edge, i: int, j: int) -> bool:
        c = self._cell
        return edge.distance(((i + 0.5) * c, (j + 0.5) * c)) <= c * 0.7072

    def near(self, box: Box, gap: float) -> Iterator[int]:
        """Yield the numbers of edges whose boxes come within a gap [mm] of a box, each once."""
        i0, j0, i1, j1 = self._range(box, gap)
        boxes = self.boxes
        if (i1 - i0 + 1) * (j1 - j0 + 1) > len(self._cells):
            for number, other in enumerate(boxes):
                if boxes_touch(box, other, gap):
                    yield number
            return
        seen: set[int] = set()
        for i in range(i0, i1 + 1):
            for j in range(j0, j1 + 1):
                for number in self._cells.get((i, j), ()):
                    if number not in seen:
                        seen.add(number)
                        if boxes_touch(box, boxes[number], gap):
                            yield number
        for number in self._large:
            if boxes_touch(box, boxes[number], gap):
                yield number

    def distance(self, p: Point, up_to: float) -> float:
        """Return the distance [mm] from a point to the nearest edge, infinite when over `up_to`."""
        best = math.inf
        box = (p[0], p[1], p[0], p[1])
        for number in self.near(box, up_to):
            best = min(best, self.edges[number].distance(p))
        return best if best <= up_to else math.inf
