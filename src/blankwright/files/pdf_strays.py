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
from blankwright.geom.edges import Edge, Line
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
            if not len(points):
                continue
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
    if isinstance(item, Text):
        h, wide = item.height, 1.25 * item.width + item.height
        frame = item.frame.then(move)
        grid = _grid(-wide / 10 - h / 2, -0.4 * h, wide, 1.7 * h)
        yield _sent(page, _moved(frame, grid)), 0.3
    elif isinstance(item, Fill):
        x0, y0, x1, y1 = item.box
        yield _sent(page, _moved(move, _grid(x0, y0, x1 - x0, y1 - y0))), 0.3
    else:
        reach = item.layer.weight / 2 + _ALLOW
        for edge in edges_of(item):
            yield _sent(page, _moved(move, _edge_points(edge))), reach


def _grid(x0: float, y0: float, width: float, height: float) -> Array:
    x = np.linspace(x0, x0 + width, max(3, math.ceil(width / 0.3) + 1))
    y = np.linspace(y0, y0 + height, max(3, math.ceil(height / 0.3) + 1))
    u, v = np.meshgrid(x, y)
    return np.column_stack((u.ravel(), v.ravel()))


def _edge_points(edge: Edge) -> Array:
    t = np.linspace(0.0, 1.0, max(2, math.ceil(edge.length / _STEP) + 1))
    if isinstance(edge, Line):
        (ax, ay), (bx, by) = edge.start, edge.end
        return np.column_stack((ax + (bx - ax) * t, ay + (by - ay) * t))
    a = edge.begin + edge.sweep * t
    x, y = edge.center
    return np.column_stack((x + edge.radius * np.cos(a), y + edge.radius * np.sin(a)))


def _moved(move: Move, points: Array) -> Array:
    x, y = points[:, 0], points[:, 1]
    if move.flip:
        y = -y
    return np.column_stack(
        (move.cos * x - move.sin * y + move.dx, move.sin * x + move.cos * y + move.dy)
    )


def _sent(page: Page, points: Array) -> Array:
    """Return points in what is sent; those far off the page are dropped."""
    x, y = points[:, 0], points[:, 1]
    points = points[(x > -5) & (y > -5) & (x < page.width + 5) & (y < page.height + 5)]
    middle = np.array((page.width / 2, page.height / 2))
    result: Array = middle + (points - middle) * np.array(page.stretch)
    return result
