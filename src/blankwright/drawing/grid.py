"""Ways to cover a drawing with windows of a sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass

from blankwright.drawing.furniture import FOOT, SIDE
from blankwright.drawing.model import Drawing
from blankwright.drawing.paper import PrintSetup
from blankwright.drawing.room import item_reaches_into
from blankwright.geom.edges import Box

LONGEST_SHEET = 5000.0
"""No page is longer: PDF pages end at 14400 points, and so do most roll printers [mm]."""

EDGE = 4.0
"""White between the drawing and the window's edge [mm]."""

_SHORTEST_CUT = 150.0
"""A roll is not cut shorter: a scale bar must fit [mm]."""


Names = tuple[tuple[str, ...], ...]
"""Names of pages row by row, the top row first; empty where no page is needed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """One way to cover a drawing: sheet turned or not, rows and columns of windows.

    Args:
        width: of the sheet [mm]
        height: of the sheet [mm]
        window: what of the sheet shows the drawing [mm]
        stretch: how much larger is sent than is drawn, across x and y [-]
        columns: windows side by side
        rows: windows one over the other
        left: least x of the drawing that is shown [mm]
        bottom: least y of the drawing that is shown [mm]
        overlap: what neighbouring windows share [mm]
    """

    width: float
    height: float
    window: Box
    stretch: tuple[float, float]
    columns: int
    rows: int
    left: float
    bottom: float
    overlap: float

    @property
    def step(self) -> tuple[float, float]:
        """From one window to the next, across and up [mm]."""
        x0, y0, x1, y1 = self.window
        return (x1 - x0 - self.overlap, y1 - y0 - self.overlap)

    def tile(self, row: int, column: int) -> Box:
        """Return what of the drawing a window shows; row 0 is the top one [mm]."""
        x0, y0, x1, y1 = self.window
        left = self.left + column * self.step[0]
        bottom = self.bottom + (self.rows - 1 - row) * self.step[1]
        return (left, bottom, left + x1 - x0, bottom + y1 - y0)

    def names(self, drawing: Drawing) -> Names:
        """Return the pages' names row by row; empty where nothing of the drawing shows."""
        return tuple(
            tuple(
                f"{_row_letter(i)}{j + 1}" if _shows(drawing, self.tile(i, j)) else ""
                for j in range(self.columns)
            )
            for i in range(self.rows)
        )


def count_pages(names: Names) -> int:
    """Return how many pages are needed."""
    return sum(1 for row in names for name in row if name)


def sheet_of(setup: PrintSetup, turned: bool) -> tuple[float, float, Box, tuple[float, float]]:
    """Return the sheet's width and height, its window and its stretch."""
    paper = setup.paper
    width, height = paper.width, min(paper.length, LONGEST_SHEET)
    stretch = (1 / setup.printer.across, 1 / setup.printer.along)
    if turned:
        width, height, stretch = height, width, (stretch[1], stretch[0])
    # What is sent is larger or smaller than what is drawn by the stretch, and must stay inside
    # the margins.
    dx = (width / 2 - setup.margin) / max(1.0, stretch[0])
    dy = (height / 2 - setup.margin) / max(1.0, stretch[1])
    window = (width / 2 - dx + SIDE, height / 2 - dy + FOOT, width / 2 + dx, height / 2 + dy)
    return width, height, window, stretch


def lay_grid(drawing: Drawing, setup: PrintSetup, turned: bool) -> Grid:
    """Cover a drawing, the sheet upright or turned, with as few windows as it takes."""
    width, height, window, stretch = sheet_of(setup, turned)
    x0, y0, x1, y1 = drawing.box
    need = (x1 - x0 + 2 * EDGE, y1 - y0 + 2 * EDGE)
    room = (window[2] - window[0], window[3] - window[1])
    counts = []
    for length, space in zip(need, room, strict=True):
        if length <= space:
            counts.append(1)
        else:
            counts.append(math.ceil((length - setup.overlap) / (space - setup.overlap) - 1e-9))
    columns, rows = counts
    if setup.paper.is_roll:
        # Cut off no more than is needed, and keep all pieces alike.
        along = 0 if turned else 1
        share = (need[along] - setup.overlap) / counts[along] + setup.overlap
        cut = max(_SHORTEST_CUT, min(room[along], share)) - room[along]
        if turned:
            width += cut
            window = (window[0], window[1], window[2] + cut, window[3])
        else:
            height += cut
            window = (window[0], window[1], window[2], window[3] + cut)
        room = (window[2] - window[0], window[3] - window[1])
    span = tuple(
        space + (n - 1) * (space - setup.overlap) for n, space in zip(counts, room, strict=True)
    )
    return Grid(
        width=width,
        height=height,
        window=window,
        stretch=stretch,
        columns=columns,
        rows=rows,
        left=(x0 + x1 - span[0]) / 2,
        bottom=(y0 + y1 - span[1]) / 2,
        overlap=setup.overlap,
    )


def _shows(drawing: Drawing, box: Box) -> bool:
    return any(item_reaches_into(item, box) for item in drawing.items)


def _row_letter(i: int) -> str:
    first, last = divmod(i, 26)
    return (chr(64 + first) if first else "") + chr(65 + last)
