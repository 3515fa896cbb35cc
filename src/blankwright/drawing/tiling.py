"""Splits a drawing over pages at full size, with overlaps, register marks and a map."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.units import fixed
from blankwright.drawing.aside import put_aside, without_texts
from blankwright.drawing.covers import cover_pages
from blankwright.drawing.furniture import bar_length, foot_lines, frame, page_map, scale_bar
from blankwright.drawing.grid import EDGE, Grid, Names, count_pages, lay_grid
from blankwright.drawing.marks import register_mark
from blankwright.drawing.model import Drawing, Item
from blankwright.drawing.notes import HOW_TO_PRINT, SheetNotes, height_of, note_rows, stacked
from blankwright.drawing.pages import Page, RegisterMark, ScaleBar
from blankwright.drawing.paper import PrinterError, PrintSetup
from blankwright.drawing.room import item_reaches_into
from blankwright.geom.edges import Box, boxes_touch
from blankwright.geom.vec import Point

_MOST_PAGES = 400
_COLUMN = 120.0
"""Widest column of notes [mm]."""


def tile(
    drawing: Drawing, setup: PrintSetup, notes: SheetNotes, extras: Sequence[tuple[Item, ...]] = ()
) -> tuple[Page, ...]:
    """Lay a drawing out on pages at full size.

    A drawing that fits one page with its notes makes one page. Any other begins with a cover
    that holds the notes and the map.

    Args:
        drawing: at full size [mm]
        setup: paper, margins, overlap, the printer's error
        notes: title, tables and cautions
        extras: smaller things to print, each at full size, on the cover

    Returns:
        The pages, the cover first where there is one, then row by row from the top left.

    Raises:
        NotPossible: when it would take more than 400 pages (PRINT-004)
    """
    grids = [lay_grid(drawing, setup, turned) for turned in (False, True)]
    if min(grid.rows * grid.columns for grid in grids) > _MOST_PAGES:
        grid = grids[0]
        raise NotPossible(
            Problem(
                code="PRINT-004",
                where=f"print on {setup.paper.name}",
                got=f"{grid.rows} × {grid.columns} pages would be needed",
                allowed=f"{_MOST_PAGES} pages",
                fix="Take larger paper or a roll",
            )
        )
    few = [grid for grid in grids if grid.rows * grid.columns <= _MOST_PAGES]
    slim = _without_far_notes(drawing, setup, notes, few)
    if slim is not None:
        return tile(*slim, extras)
    named = [(grid, grid.names(drawing)) for grid in few]
    grid, names = min(named, key=lambda one: (count_pages(one[1]), one[0].width * one[0].height))
    count = count_pages(names)
    if count == 1 and not extras:
        for other, _ in named:
            single = _single_page(drawing, setup, notes, other)
            if other.rows * other.columns == 1 and single is not None:
                return (single,)
    marks = _register_marks(drawing, grid, names)
    marked = drawing.plus(item for m in marks for item in register_mark(m.at, m.name))
    covers = cover_pages(drawing, setup, notes, grid, names, extras)
    total = count + len(covers)
    pages = [_with_foot(page, setup, notes, i + 1, total, names) for i, page in enumerate(covers)]
    for i, row in enumerate(names):
        for j, name in enumerate(row):
            if name:
                page = _page(marked, grid, i, j, name, marks)
                pages.append(_with_foot(page, setup, notes, len(pages) + 1, total, names))
    return tuple(pages)


def _without_far_notes(
    drawing: Drawing, setup: PrintSetup, notes: SheetNotes, grids: Sequence[Grid]
) -> tuple[Drawing, PrintSetup, SheetNotes] | None:
    """Put aside notes beside the drawing that would cost pages; nothing when none would."""
    lines = without_texts(drawing)
    if not lines.items or len(lines.items) == len(drawing.items):
        return None
    need = min(count_pages(grid.names(drawing)) for grid in grids)
    tighter = [lay_grid(lines, setup, turned) for turned in (False, True)]
    best = min(tighter, key=lambda grid: count_pages(grid.names(lines)))
    if count_pages(best.names(lines)) >= need:
        return None
    left, bottom, _, _ = best.tile(best.rows - 1, 0)
    _, _, right, top = best.tile(0, best.columns - 1)
    box = (left + EDGE, bottom + EDGE, right - EDGE, top - EDGE)
    slim, told = put_aside(drawing, notes, box)
    return (slim, setup, told) if len(told.tables) > len(notes.tables) else None


def _register_marks(drawing: Drawing, grid: Grid, names: Names) -> tuple[RegisterMark, ...]:
    """Two marks in every strip that two neighbouring pages share, clear of the drawing."""
    half = grid.overlap / 2
    marks: list[RegisterMark] = []

    def mark(places: Iterable[Point]) -> None:
        kept = list(places)
        free = next((p for p in kept if _is_clear(drawing, p)), None)
        at = kept[0] if free is None else free
        marks.append(RegisterMark(name=f"R{len(marks) + 1}", at=at, clear=free is not None))

    for i, row in enumerate(names):
        for j, name in enumerate(row):
            x0, y0, x1, y1 = grid.tile(i, j)
            if name and j + 1 < grid.columns and row[j + 1]:
                for ys in _from_ends(y0, y1, grid.overlap):
                    mark((x1 - half, y) for y in ys)
            if name and i + 1 < grid.rows and names[i + 1][j]:
                for xs in _from_ends(x0, x1, grid.overlap):
                    mark((x, y0 + half) for x in xs)
    return tuple(marks)


def _from_ends(low: float, high: float, overlap: float) -> tuple[list[float], list[float]]:
    """Return places for two marks: from either end of a strip towards its middle [mm]."""
    inset = overlap + 8.0
    count = max(1, int((high - low - 2 * inset - 20.0) / 2 / 2.5))
    return (
        [low + inset + 2.5 * i for i in range(count)],
        [high - inset - 2.5 * i for i in range(count)],
    )


def _is_clear(drawing: Drawing, p: Point) -> bool:
    x, y = p
    box = (x - 5.0, y - 5.0, x + 7.5, y + 5.5)
    return not any(item_reaches_into(item, box) for item in drawing.items)


def _page(
    drawing: Drawing, grid: Grid, row: int, column: int, name: str, marks: tuple[RegisterMark, ...]
) -> Page:
    box = grid.tile(row, column)
    items = tuple(item for item in drawing.items if boxes_touch(item.box, box))
    return Page(
        name=name,
        width=grid.width,
        height=grid.height,
        drawing=replace(drawing, items=items),
        shift=(grid.window[0] - box[0], grid.window[1] - box[1]),
        window=grid.window,
        furniture=(frame(grid.window),),
        marks=tuple(m for m in marks if _inside(m.at, box)),
        stretch=grid.stretch,
    )


def _inside(p: tuple[float, float], box: Box) -> bool:
    return box[0] < p[0] < box[2] and box[1] < p[1] < box[3]


def _with_foot(
    page: Page, setup: PrintSetup, notes: SheetNotes, number: int, total: int, names: Names
) -> Page:
    """Add scale bars, the foot's lines and the small map."""
    x0, y0, x1, y1 = page.window
    flat = ScaleBar(start=(x0, y0 - 7.0), length=bar_length(x1 - x0 - 4.0), upright=False)
    tall = ScaleBar(start=(x0 - 6.5, y0), length=bar_length(y1 - y0), upright=True)
    items: list[Item] = [*scale_bar(flat), *scale_bar(tall)]
    width = x1 - x0
    if count_pages(names) > 1:
        rows, columns = len(names), len(names[0])
        cell = min(30.0 / columns, 10.0 / rows, 8.0)
        box = (x1 - cell * columns, y0 - 21.5, x1, y0 - 21.5 + cell * rows)
        items.extend(page_map(box, names, page.name))
        width -= cell * columns + 3.0
    where = f"Page {page.name}, {number} of {total}. " if total > 1 else ""
    items.extend(
        foot_lines(
            (x0, y0 - 14.5),
            notes.title,
            f"{where}{HOW_TO_PRINT} Check both bars.",
            f"{setup.paper.name}. {_compensated(setup.printer)}",
            width=width,
        )
    )
    return replace(page, furniture=(*page.furniture, *items), bars=(flat, tall))


def _compensated(printer: PrinterError) -> str:
    if printer == PrinterError():
        return "The printer's own error is not taken out."
    across, along = fixed(100 * printer.across, 3), fixed(100 * printer.along, 3)
    return f"The printer's own error is taken out: {across} % across, {along} % along the sheet."


def _single_page(drawing: Drawing, setup: PrintSetup, notes: SheetNotes, grid: Grid) -> Page | None:
    """Return the one page with its notes beside or over the drawing, or nothing without room."""
    x0, y0, x1, y1 = grid.window
    wide, high = x1 - x0, y1 - y0
    bx0, by0, bx1, by1 = drawing.box
    need_w, need_h = bx1 - bx0 + 2 * EDGE, by1 - by0 + 2 * EDGE
    over = note_rows(notes, drawing, min(wide - 2 * EDGE, 180.0))
    beside = note_rows(notes, drawing, min(_COLUMN, wide - need_w - 2 * EDGE))
    if height_of(over) + need_h + 2 * EDGE <= high:
        room = (x0, y0, x1, y1 - height_of(over) - 2 * EDGE)
        items = stacked(over, x0 + EDGE, y1 - EDGE)
    elif wide - need_w - 2 * EDGE >= 60.0 and height_of(beside) + 2 * EDGE <= high:
        room = (x0, y0, x0 + need_w, y1)
        items = stacked(beside, x0 + need_w + EDGE, y1 - EDGE)
    else:
        return None
    page = Page(
        name="A1",
        width=grid.width,
        height=grid.height,
        drawing=drawing,
        shift=((room[0] + room[2] - bx0 - bx1) / 2, (room[1] + room[3] - by0 - by1) / 2),
        window=grid.window,
        furniture=items,
        stretch=grid.stretch,
    )
    return _with_foot(page, setup, notes, 1, 1, (("A1",),))
