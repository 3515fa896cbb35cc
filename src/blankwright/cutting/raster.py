"""A sheet as a grid of small cells: quick answers to where a part has room.

A cell counts as taken when any of it is taken, so a place that the grid finds is a place indeed.
What the grid wastes, at most a cell a gap, is won back by sliding parts together exactly.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from blankwright.base.tolerance import CHORD
from blankwright.geom.edges import box_around
from blankwright.geom.region import Region

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Mask = NDArray[np.bool_]

HALF_DIAGONAL = math.sqrt(0.5)
MOST_CELLS = 150_000
"""Cells of a grid, so that one look over it takes milliseconds."""


def cell_size(width: float, height: float) -> float:
    """Return a side of cells for a sheet [mm]: 1 mm, or more on large sheets."""
    return max(1.0, math.sqrt(width * height / MOST_CELLS))


def polygon_of(region: Region) -> Any:
    """Return shapely's polygon of a region, chords within `CHORD`, prepared for questions."""
    import shapely

    polygon = shapely.Polygon(*region.polygon(CHORD))
    shapely.prepare(polygon)
    return polygon


def touched(
    region: Region, cell: float, by: float, at: tuple[float, float]
) -> tuple[Mask, int, int]:
    """Return the cells within a distance of a region, as a small mask, and where it begins.

    Args:
        region: [mm]
        cell: side of a cell [mm]
        by: distance [mm]
        at: corner of cell (0, 0) [mm]

    Returns:
        mask indexed [row y, column x], column of its first cell, row of its first cell
    """
    import numpy as np
    import shapely

    reach = by + CHORD
    x0, y0, x1, y1 = region.box
    i0, j0 = math.floor((x0 - reach - at[0]) / cell), math.floor((y0 - reach - at[1]) / cell)
    i1, j1 = math.floor((x1 + reach - at[0]) / cell), math.floor((y1 + reach - at[1]) / cell)
    xs = at[0] + (np.arange(i0, i1 + 1) + 0.5) * cell
    ys = at[1] + (np.arange(j0, j1 + 1) + 0.5) * cell
    grid = np.meshgrid(xs, ys)
    points = shapely.points(grid[0], grid[1])
    mask = shapely.dwithin(polygon_of(region), points, reach + cell * HALF_DIAGONAL)
    return np.asarray(mask, dtype=np.bool_), i0, j0


class Grid:
    """Free cells of a sheet.

    Args:
        regions: where parts may lie [mm]
        keep_off: regions that they must keep off [mm]
        gap: least distance between two parts [mm]; half of it is given to each of two neighbours
        cell: side of a cell [mm]
    """

    def __init__(
        self, regions: Sequence[Region], keep_off: Sequence[Region], gap: float, cell: float
    ) -> None:
        import numpy as np
        import shapely

        self.cell = cell
        self.gap = gap
        x0, y0, x1, y1 = box_around([region.box for region in regions])
        # A rim of taken cells on every side keeps parts from running off the grid's edges.
        self.at = (x0 - gap - cell, y0 - gap - cell)
        columns = math.ceil((x1 - x0 + 2 * gap) / cell) + 2
        rows = math.ceil((y1 - y0 + 2 * gap) / cell) + 2
        xs = self.at[0] + (np.arange(columns) + 0.5) * cell
        ys = self.at[1] + (np.arange(rows) + 0.5) * cell
        points = shapely.points(*np.meshgrid(xs, ys))
        self.free: Mask = np.zeros((rows, columns), dtype=np.bool_)
        self._spectrum: Any = None  # of the taken cells, until one more is taken
        # Parts are widened by half the gap when they are looked up; the edge gives that much.
        slack = gap / 2 - cell * HALF_DIAGONAL - CHORD
        for region in regions:
            whole = polygon_of(region)
            if slack > 0:
                self.free |= shapely.dwithin(whole, points, slack)
            else:
                rim = shapely.boundary(whole)
                shapely.prepare(rim)
                inside = shapely.contains_properly(whole, points)
                self.free |= inside & ~shapely.dwithin(rim, points, -slack)
        for other in keep_off:
            self.take(other)

    def copy(self) -> Grid:
        """Return another grid with the same free cells."""
        other = object.__new__(Grid)
        other.cell, other.gap, other.at, other.free = (
            self.cell,
            self.gap,
            self.at,
            self.free.copy(),
        )
        other._spectrum = None
        return other

    def take(self, region: Region) -> None:
        """Mark a region, and half the gap around it, as taken."""
        self._spectrum = None
        mask, i, j = touched(region, self.cell, self.gap / 2, self.at)
        rows, columns = self.free.shape
        a0, b0 = max(0, j), max(0, i)
        a1, b1 = min(rows, j + mask.shape[0]), min(columns, i + mask.shape[1])
        if a0 < a1 and b0 < b1:
            self.free[a0:a1, b0:b1] &= ~mask[a0 - j : a1 - j, b0 - i : b1 - i]

    def room(self, stencil: Mask) -> Mask:
        """Return where a stencil fits: true where its first cell may lie on a cell.

        Args:
            stencil: cells that the part needs

        Returns:
            mask smaller than the grid by the stencil; empty when it does not fit at all
        """
        import numpy as np

        rows, columns = self.free.shape
        h, w = stencil.shape
        if h > rows or w > columns:
            return np.zeros((0, 0), dtype=np.bool_)
        shape = (_good_size(rows), _good_size(columns))
        if self._spectrum is None:
            self._spectrum = np.fft.rfft2((~self.free).astype(np.float32), shape)
        # Correlation by Fourier transform; the sums are whole numbers, so a half decides.
        spectrum = self._spectrum * np.conj(np.fft.rfft2(stencil.astype(np.float32), shape))
        hits = np.fft.irfft2(spectrum, shape)[: rows - h + 1, : columns - w + 1]
        return np.asarray(hits < 0.5, dtype=np.bool_)

    def largest_rectangle(self) -> tuple[float, float, float, float] | None:
        """Return the largest upright rectangle of free cells [mm], or nothing."""
        best: tuple[int, int, int, int] | None = None
        most = 0
        rows, columns = self.free.shape
        heights = [0] * columns
        for row in range(rows):
            line = self.free[row]
            heights = [h + 1 if free else 0 for h, free in zip(heights, line, strict=True)]
            stack: list[int] = []
            for column in range(columns + 1):
                now = heights[column] if column < columns else 0
                while stack and heights[stack[-1]] >= now:
                    h = heights[stack.pop()]
                    left = stack[-1] + 1 if stack else 0
                    if h * (column - left) > most:
                        most = h * (column - left)
                        best = (left, row - h + 1, column, row + 1)
                stack.append(column)
        if best is None:
            return None
        i0, j0, i1, j1 = best
        x, y, c = *self.at, self.cell
        return (x + i0 * c, y + j0 * c, x + i1 * c, y + j1 * c)


def _good_size(n: int) -> int:
    """Return the least number of the form 2^a 3^b 5^c that is not less."""
    while True:
        m = n
        for prime in (2, 3, 5):
            while m % prime == 0:
                m //= prime
        if m == 1:
            return n
        n += 1
