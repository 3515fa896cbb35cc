"""Free room on a drawing: finds places for notes where they cover nothing."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import replace

from blankwright.drawing.cells import Cells
from blankwright.drawing.model import Fill, Item, Text, edges_of
from blankwright.geom.edges import Box, Edge, Line, box_around, boxes_touch
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

_SAG = 0.05
"""How far chords may stand off arcs when room is judged [mm]."""


class Room:
    """What is already drawn, and whether a note still fits.

    Args:
        edges: what notes must not cover
    """

    def __init__(self, edges: Iterable[Edge] = ()) -> None:
        self._chords: list[Line] = []
        self._cells = Cells()
        self._boxes: list[tuple[Box, tuple[Point, ...]]] = []
        self.add_edges(edges)

    def add_edges(self, edges: Iterable[Edge]) -> None:
        """Keep edges clear."""
        for edge in edges:
            points = [*edge.chords(_SAG), edge.end]
            for a, b in itertools.pairwise(points):
                line = Line(a, b)
                self._chords.append(line)
                self._cells.add(line.box)

    def add_text(self, text: Text) -> None:
        """Keep a text clear."""
        corners = text.corners
        self._boxes.append((_box(corners), corners))
        self.add_edges(Loop.polygon(corners).edges)

    def add_items(self, items: Iterable[Item]) -> None:
        """Keep items clear."""
        for item in items:
            if isinstance(item, Text):
                self.add_text(item)
            elif isinstance(item, Fill):
                self.add_edges(Loop.polygon(item.corners).edges)
            else:
                self.add_edges(edges_of(item))

    def is_free(self, text: Text, gap: float = 0.0, within: Region | None = None) -> bool:
        """Say whether a text covers nothing, `gap` [mm] around it, and lies within a region."""
        frame = text.frame
        low, top = -0.25 * text.height - gap, 1.05 * text.height + gap
        rect = (-gap, low, text.width + gap, top)
        corners = tuple(
            frame(p)
            for p in (
                (rect[0], rect[1]),
                (rect[2], rect[1]),
                (rect[2], rect[3]),
                (rect[0], rect[3]),
            )
        )
        box = _box(corners)
        if within is not None and not all(within.contains(p) for p in corners):
            return False
        back = frame.inverse()
        for i in self._cells.touching(box):
            line = self._chords[i]
            if boxes_touch(box, line.box) and reaches_into(line.moved(back), rect):
                return False
        for other, quad in self._boxes:
            if boxes_touch(box, other) and (
                _inside(back, quad[0], rect) or Loop.polygon(quad).contains(corners[0])
            ):
                return False
        return True

    def first_free(
        self, texts: Iterable[Text], gap: float = 0.0, within: Region | None = None
    ) -> Text | None:
        """Return the first text that fits, `gap` [mm] round it, and keep it clear; or nothing."""
        for text in texts:
            if self.is_free(text, gap, within):
                self.add_text(text)
                return text
        return None


def smaller(texts: Iterable[Text], *factors: float) -> Iterable[Text]:
    """Return the texts at full size, then all again at each smaller size [-]."""
    kept = tuple(texts)
    yield from kept
    for factor in factors:
        for text in kept:
            yield replace(text, height=text.height * factor)


def _box(points: Iterable[Point]) -> Box:
    return box_around([(x, y, x, y) for x, y in points])


def _inside(back: Move, p: Point, rect: Box) -> bool:
    x, y = back(p)
    return rect[0] <= x <= rect[2] and rect[1] <= y <= rect[3]


def item_reaches_into(item: Item, box: Box) -> bool:
    """Say whether an item reaches into a box [mm]; texts and fills are judged by their boxes."""
    if not boxes_touch(item.box, box):
        return False
    if isinstance(item, Text | Fill):
        return True
    for edge in edges_of(item):
        if boxes_touch(edge.box, box):
            points = [*edge.chords(_SAG), edge.end]
            for a, b in itertools.pairwise(points):
                if reaches_into(Line(a, b), box):
                    return True
    return False


def reaches_into(line: Line, rect: Box) -> bool:
    """Say whether a line reaches into a rectangle (the clipping of Liang and Barsky)."""
    (ax, ay), (bx, by) = line.start, line.end
    t0, t1 = 0.0, 1.0
    for start, step, low, high in (
        (ax, bx - ax, rect[0], rect[2]),
        (ay, by - ay, rect[1], rect[3]),
    ):
        if abs(step) < 1e-12:
            if not low < start < high:
                return False
            continue
        ta, tb = sorted(((low - start) / step, (high - start) / step))
        t0, t1 = max(t0, ta), min(t1, tb)
        if t0 >= t1:
            return False
    return True
