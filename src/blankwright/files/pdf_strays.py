"""Looks for ink on a printed page where none belongs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from blankwright.base.errors import Problem
from blankwright.base.units import fixed
from blankwright.drawing.model import Fill, Item, Text, edges_of
from blankwright.drawing.pages import Page
from blankwright.files.pdf_read import PageInk, PdfPages
from blankwright.geom.move import Move
from blankwright.geom.pose import Array
from blankwright.geom.vec import Point

_DPI = 120.0
_DARK = 0.4
_STEP = 0.15
_ALLOW = 0.4
"""Ink this far from where it should be is let pass here: lines are measured elsewhere [mm]."""

_MOST = 12
"""So many stray dots are taken for the ragged edges of letters [-]."""


def stray_ink(data: bytes, pages: Sequence[Page]) -> list[Problem]:
    """Return a problem for each page with ink where none belongs.

    Args:
        data: the PDF file
        pages: what it must show
    """
    problems: list[Problem] = []
    with PdfPages(data, _DPI) as file:
        for i, page in enumerate(pages):
            stray = _strays(file.page(i), page)
            if stray is not None:
                count, (x, y) = stray
                problems.append(
                    Problem(
                        code="PDF-007",
                        where=f"PDF file, page {page.name}",
                        got=f"{count} dots of ink where none belongs, one of them at"
                        f" ({fixed(x, 1)}, {fixed(y, 1)}) mm on the page",
                        fix="This is a bug of ours: nothing was written; please report it",
                    )
                )
    return problems


def _strays(ink: PageInk, page: Page) -> tuple[int, Point] | None:
    marks = [_marks(item, page, Move()) for item in page.furniture]
    if page.drawing is not None:
        shift = Move.shift(*page.shift)
        marks.extend(_marks(item, page, shift) for item in page.drawing.items)
    grown = [array for found in marks for array in found]
    count, at = 0, (0.0, 0.0)
    for grey, left, top, per_mm, high in ink.squares():
        dark = grey > _DARK
        if not dark.any():
            continue
        for points, reach in grown:
            x = np.rint(points[:, 0] * per_mm[0] - 0.5).astype(int) - left
            y = np.rint(high - points[:, 1] * per_mm[1] - 0.5).astype(int) - top
            k = math.ceil(reach * max(per_mm))
            near = (
                (x > -k - 1)
                & (y > -k - 1)
                & (x < grey.shape[1] + k + 1)
                & (y < grey.shape[0] + k + 1)
            )
            if not near.any():
                continue
            spots = np.unique(np.column_stack((x[near], y[near])), axis=0)
            for dx in range(-k, k + 1):
                for dy in range(-k, k + 1):
                    u, v = spots[:, 0] + dx, spots[:, 1] + dy
                    inside = (u >= 0) & (v >= 0) & (u < grey.shape[1]) & (v < grey.shape[0])
                    dark[v[inside], u[inside]] = False
        left_over = np.argwhere(dark)
        if len(left_over):
            count += len(left_over)
            v, u = left_over[0]
            at = ((u + left + 0.5) / per_mm[0], (high - (v + top) - 0.5) / per_mm[1])
    return (count, at) if count > _MOST else None


def _marks(item: Item, page: Page, move: Move) -> Iterator[tuple[Array, float]]:
    """Return points of an item in what is sent, and how far from them there may be ink [mm]."""
    points: list[Point] = []
    if isinstance(item, Text):
        h, wide = item.height, 1.25 * item.width + item.height
        across = max(2, math.ceil(wide / 0.3))
        up = max(2, math.ceil(1.7 * h / 0.3))
        frame = item.frame
        for i in range(across + 1):
            for j in range(up + 1):
                x = wide * i / across - wide / 10 - h / 2
                points.append(frame((x, -0.4 * h + 1.7 * h * j / up)))
        reach = 0.3
    elif isinstance(item, Fill):
        x0, y0, x1, y1 = item.box
        across, up = max(2, math.ceil((x1 - x0) / 0.3)), max(2, math.ceil((y1 - y0) / 0.3))
        points = [
            (x0 + (x1 - x0) * i / across, y0 + (y1 - y0) * j / up)
            for i in range(across + 1)
            for j in range(up + 1)
        ]
        reach = 0.3
    else:
        for edge in edges_of(item):
            n = max(1, math.ceil(edge.length / _STEP))
            points.extend(edge.point(i / n) for i in range(n + 1))
        reach = item.layer.weight / 2 + _ALLOW
    sent = [page.as_sent(move(p)) for p in points]
    yield np.array(sent), reach
