"""Boxes sorted into squares, so that only near ones are looked at."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from blankwright.geom.edges import Box
from blankwright.geom.vec import Point

_MOST = 400
"""A box over more squares than this is kept apart and always looked at [-]."""


class Cells:
    """Boxes sorted into squares, numbered in the order they come.

    Args:
        boxes: the first boxes [mm]
        reach: how near counts as near [mm]
        size: side of the squares [mm]
    """

    def __init__(self, boxes: Iterable[Box] = (), reach: float = 0.0, size: float = 20.0) -> None:
        self._size = size
        self._reach = reach
        self._cells: dict[tuple[int, int], list[int]] = {}
        self._long: list[int] = []
        self._count = 0
        for box in boxes:
            self.add(box)

    def add(self, box: Box) -> None:
        """Add one more box [mm]."""
        squares = self._squares(box, self._reach)
        if squares is None:
            self._long.append(self._count)
        else:
            for square in squares:
                self._cells.setdefault(square, []).append(self._count)
        self._count += 1

    def near(self, p: Point) -> list[int]:
        """Return the numbers of the boxes that may be within reach of a point [mm]."""
        here = self._cells.get((self._cell(p[0]), self._cell(p[1])), [])
        return self._long + here

    def touching(self, box: Box) -> Iterator[int]:
        """Return the numbers of the boxes that may touch a box [mm], each once."""
        squares = self._squares(box, 0.0)
        if squares is None:
            yield from range(self._count)
            return
        yield from self._long
        seen: set[int] = set()
        for square in squares:
            for i in self._cells.get(square, ()):
                if i not in seen:
                    seen.add(i)
                    yield i

    def _cell(self, v: float) -> int:
        return math.floor(v / self._size)

    def _squares(self, box: Box, reach: float) -> list[tuple[int, int]] | None:
        x0, y0, x1, y1 = box
        a, b = self._cell(x0 - reach), self._cell(x1 + reach)
        c, d = self._cell(y0 - reach), self._cell(y1 + reach)
        if (b - a + 1) * (d - c + 1) > _MOST:
            return None
        return [(i, j) for i in range(a, b + 1) for j in range(c, d + 1)]
