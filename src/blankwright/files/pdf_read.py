"""Reads PDF files by rendering them and looking at the ink. The only module that knows pypdfium2.

It shares nothing with the writer: what a printer would put on paper is measured.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from types import TracebackType
from typing import Any

import numpy as np

from blankwright.base.errors import BadInput, Problem
from blankwright.base.units import from_inches
from blankwright.geom.pose import Array
from blankwright.geom.vec import Point

DOTS_PER_INCH = 300.0
_TILE = 1500
"""Pages are rendered in squares of so many dots, as they are looked at."""

_BORDER = 24
"""Dots that squares overlap, so that a short profile lies on one square."""


class PdfPages:
    """A PDF file, open for looking at.

    Args:
        data: the file
        dpi: dots an inch when rendered

    Raises:
        BadInput: when it can't be read (PDF-001)
    """

    def __init__(self, data: bytes, dpi: float = DOTS_PER_INCH) -> None:
        import pypdfium2

        try:
            self._doc: Any = pypdfium2.PdfDocument(data)
        except pypdfium2.PdfiumError as error:
            raise BadInput(
                Problem(code="PDF-001", where="PDF file", got=f"it can't be read ({error})")
            ) from error
        self._dpi = dpi

    def __enter__(self) -> PdfPages:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._doc.close()

    def __len__(self) -> int:
        return len(self._doc)

    def page(self, number: int) -> PageInk:
        """Return the ink of a page, the first one being 0."""
        return PageInk(self._doc[number], self._dpi)

    def words(self, number: int) -> str:
        """Return the text of a page."""
        text: str = self._doc[number].get_textpage().get_text_bounded()
        return text


class PageInk:
    """The ink on one page, rendered piece by piece as it is looked at.

    Points are in mm from the lower left corner of the page.
    """

    def __init__(self, page: Any, dpi: float) -> None:
        self._page = page
        width, height = page.get_size()
        self.width = from_inches(width / 72)
        self.height = from_inches(height / 72)
        # The renderer rounds the page up to whole dots and stretches it to fill them.
        self._scale = dpi / 72
        self._dots = (math.ceil(width * self._scale), math.ceil(height * self._scale))
        self._per_mm = (self._dots[0] / self.width, self._dots[1] / self.height)
        self._tiles: dict[tuple[int, int], Array] = {}

    def ink(self, points: Array) -> Array:
        """Return how black the page is at points near one another.

        Args:
            points: shape (n, 2) [mm]

        Returns:
            0 white to 1 black, between dots by straight line, shape (n,) [-]
        """
        x = points[:, 0] * self._per_mm[0] - 0.5
        y = self._dots[1] - points[:, 1] * self._per_mm[1] - 0.5
        column = max(0, int((x.mean()) // _TILE))
        row = max(0, int((y.mean()) // _TILE))
        tile = self._tile(column, row)
        x = np.clip(x - (column * _TILE - _BORDER), 0, tile.shape[1] - 1.001)
        y = np.clip(y - (row * _TILE - _BORDER), 0, tile.shape[0] - 1.001)
        i, j = x.astype(int), y.astype(int)
        u, v = x - i, y - j
        result: Array = (
            tile[j, i] * (1 - u) * (1 - v)
            + tile[j, i + 1] * u * (1 - v)
            + tile[j + 1, i] * (1 - u) * v
            + tile[j + 1, i + 1] * u * v
        )
        return result

    def _tile(self, column: int, row: int) -> Array:
        found = self._tiles.get((column, row))
        if found is None:
            left, top = column * _TILE - _BORDER, row * _TILE - _BORDER
            right, bottom = left + _TILE + 2 * _BORDER, top + _TILE + 2 * _BORDER
            found = self._render(left, top, right, bottom)
            self._tiles[(column, row)] = found
        return found

    def _render(self, left: int, top: int, right: int, bottom: int) -> Array:
        wide, high = self._dots
        inner = (max(0, left), max(0, top), min(wide, right), min(high, bottom))
        result = np.zeros((bottom - top, right - left))
        if inner[2] <= inner[0] or inner[3] <= inner[1]:
            return result
        # The renderer takes whole dots to be cut off, in points, rounded up: aim inside the dot.
        crop = tuple(
            max(0.0, (dots - 0.5) / self._scale)
            for dots in (inner[0], high - inner[3], wide - inner[2], inner[1])
        )
        bitmap: Any = self._page.render(scale=self._scale, crop=crop, grayscale=True)
        grey = np.asarray(bitmap.to_numpy(), dtype=float)
        grey = grey.reshape(grey.shape[0], grey.shape[1])
        result[
            inner[1] - top : inner[3] - top,
            inner[0] - left : inner[2] - left,
        ] = 1.0 - grey / 255.0
        return result

    def squares(self) -> Iterator[tuple[Array, int, int, tuple[float, float], int]]:
        """Return the page square by square.

        Yields:
            ink 0 white to 1 black, top row first; the first column and row of the square; dots a
            mm across and up; height of the page in dots
        """
        wide, high = self._dots
        for left in range(0, wide, _TILE):
            for top in range(0, high, _TILE):
                right, bottom = min(wide, left + _TILE), min(high, top + _TILE)
                yield self._render(left, top, right, bottom), left, top, self._per_mm, high

    def line_offset(self, at: Point, along: Point, reach: float, length: float) -> float | None:
        """Return how far the middle of a line's ink is from where it should be [mm].

        Args:
            at: where the line should pass [mm]
            along: its direction there [-]
            reach: how far to either side is looked at [mm]
            length: over how much of the line the ink is averaged [mm]

        Returns:
            Distance to the left of travel [mm], or nothing when there is no ink.
        """
        profile, across = self.profile(at, along, reach, length)
        # The faint grey of a neighbouring dot row is kept: it is part of the line's own ink.
        total = profile.sum()
        if total < 0.02 * len(across) / reach * 0.1:
            return None
        return float((profile * across).sum() / total)

    def profile(self, at: Point, along: Point, reach: float, length: float) -> tuple[Array, Array]:
        """Return ink averaged along a line, and where across it, both of shape (n,) [-], [mm]."""
        steps = max(3, 2 * math.ceil(reach / 0.02) + 1)
        across = np.linspace(-reach, reach, steps)
        count = max(1, math.ceil(length / 0.1))
        runs: Sequence[float] = (
            [0.0] if length == 0 else list(np.linspace(-length / 2, length / 2, count))
        )
        run = np.asarray(runs)[:, None]
        x = at[0] + along[0] * run - along[1] * across
        y = at[1] + along[1] * run + along[0] * across
        ink = self.ink(np.column_stack((x.ravel(), y.ravel())))
        profile: Array = ink.reshape(x.shape).mean(axis=0)
        return profile, across
