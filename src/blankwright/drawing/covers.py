"""Pages in front of a print: notes, smaller things to print, and the map of the pages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from blankwright.drawing.grid import EDGE, Grid, Names, count_pages, sheet_of
from blankwright.drawing.layers import PAGE_MAP
from blankwright.drawing.model import Drawing, Fill, Item, Ring, Text
from blankwright.drawing.notes import Row, SheetNotes, note_rows
from blankwright.drawing.pages import Page
from blankwright.drawing.paper import PrintSetup
from blankwright.drawing.shelves import shelve
from blankwright.geom.edges import Box
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move

_GAP = 8.0
_LEAST_MAP = 60.0
_MOST_MAP = 140.0
_WIDEST = 180.0
"""Lines of notes are not longer [mm]."""


class _Sheets:
    """Cover pages as they fill up."""

    def __init__(self, window: Box) -> None:
        self._window = window
        self.pages: list[tuple[list[Item], list[Item]]] = []
        self.left = 0.0

    def put(self, height: float, items: Sequence[Item], *, full_size: bool) -> None:
        """Put items, their top left corner at (0, 0), on this page or the next one."""
        x0, y0, _, y1 = self._window
        if not self.pages or height > self.left:
            self.pages.append(([], []))
            self.left = y1 - y0 - 2 * EDGE
        top = y0 + EDGE + self.left
        move = Move.shift(x0 + EDGE, top)
        self.pages[-1][1 if full_size else 0].extend(item.moved(move) for item in items)
        self.left -= height


def cover_pages(
    drawing: Drawing,
    setup: PrintSetup,
    notes: SheetNotes,
    grid: Grid,
    names: Names,
    extras: Sequence[tuple[Item, ...]],
) -> list[Page]:
    """Return the pages in front of a print.

    Args:
        drawing: what is printed
        setup: paper, margins, the printer's error
        notes: title, tables and cautions
        grid: how the drawing is split
        names: names of its pages
        extras: smaller things to print, each at full size
    """
    count = count_pages(names)
    if setup.paper.is_roll:
        width, height, window, stretch = grid.width, grid.height, grid.window, grid.stretch
    else:
        width, height, window, stretch = sheet_of(setup, turned=False)
    room = window[2] - window[0] - 2 * EDGE
    told = (
        f"{count} pages. Cut each along its frame on two sides, lay register mark on register mark"
        " (R1 on R1, R2 on R2, …), tape, and measure across the joints."
        if count > 1
        else "One page."
    )
    told_first = replace(notes, notes=(told, *notes.notes))
    shown = drawing.plus(item for extra in extras for item in extra)
    sheets = _Sheets(window)
    for row in note_rows(told_first, shown, min(_WIDEST, room)):
        sheets.put(row.height, row.items, full_size=False)
    gap = Row(height=_GAP, items=())
    for shelf in shelve(extras, room):
        sheets.put(gap.height + shelf.height, _lowered(shelf, _GAP), full_size=True)
    if count > 1:
        left = sheets.left - _GAP
        high = min(_MOST_MAP, left if left >= _LEAST_MAP else _MOST_MAP)
        items = big_map(drawing, grid, names, (0.0, -high, room, 0.0))
        used = -min(item.box[1] for item in items)
        sheets.put(_GAP + used, _lowered(Row(height=used, items=items), _GAP), full_size=False)
    return [
        Page(
            name="map" if i == 0 else f"map {i + 1}",
            width=width,
            height=height,
            drawing=Drawing(title=drawing.title, items=tuple(full)) if full else None,
            shift=(0.0, 0.0),
            window=window,
            furniture=tuple(items),
            stretch=stretch,
        )
        for i, (items, full) in enumerate(sheets.pages)
    ]


def _lowered(row: Row, by: float) -> tuple[Item, ...]:
    return tuple(item.moved(Move.shift(0.0, -by)) for item in row.items)


def big_map(drawing: Drawing, grid: Grid, names: Names, room: Box) -> tuple[Item, ...]:
    """Return the map with the drawing's own edges in it, small."""
    last = grid.tile(0, grid.columns - 1)
    first = grid.tile(grid.rows - 1, 0)
    wide, high = last[2] - first[0], last[3] - first[1]
    scale = min((room[2] - room[0]) / wide, (room[3] - room[1]) / high, 0.5)
    move = Move.shift(
        (room[0] + room[2] - wide * scale) / 2 - first[0] * scale,
        room[3] - last[3] * scale,
    )
    items: list[Item] = []
    for item in drawing.items:
        if not isinstance(item, Text | Fill) and not item.layer.dashes:
            small = item.scaled(scale).moved(move)
            if max(small.box[2] - small.box[0], small.box[3] - small.box[1]) > 1.0:
                items.append(replace(small, layer=PAGE_MAP))
    for i, row in enumerate(names):
        for j, name in enumerate(row):
            if name:
                tile = grid.tile(i, j)
                ring = Ring(layer=PAGE_MAP, loop=Loop.rectangle(*tile)).scaled(scale).moved(move)
                items.append(ring)
                left, low, right, top = ring.box
                height = min(4.0, 0.2 * (top - low), 0.2 * (right - left))
                at = (left + grid.overlap * scale + 0.5 * height, top - 1.5 * height)
                items.append(Text(layer=PAGE_MAP, text=name, at=at, height=height, bold=True))
    return tuple(items)
