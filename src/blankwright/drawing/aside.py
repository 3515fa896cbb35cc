"""Notes that would cost a page of their own, put in a table and marked by a number instead."""

from __future__ import annotations

from dataclasses import replace

from blankwright.drawing.model import Drawing, Item, Text
from blankwright.drawing.notes import SheetNotes
from blankwright.drawing.room import Room
from blankwright.geom.edges import Box, box_around
from blankwright.geom.vec import Point

HEADING = "Notes by their number on the drawing"

_STEPS = (0.0, 1.0, 2.0, 3.0, 4.5, 6.0, 8.0)
"""How far a number may stand from where its note stood [mm]."""


def without_texts(drawing: Drawing) -> Drawing:
    """Return a drawing's lines alone."""
    return replace(
        drawing, items=tuple(item for item in drawing.items if not isinstance(item, Text))
    )


def put_aside(drawing: Drawing, notes: SheetNotes, box: Box) -> tuple[Drawing, SheetNotes]:
    """Return a drawing whose texts lie in a box, and notes with a table of those that didn't.

    A number stands where such a note stood, or as near to that as there is room in the box.

    Args:
        drawing: whose lines lie in the box
        notes: what the print says beside it
        box: what the pages show [mm]
    """
    kept: list[Item] = []
    outside: list[Text] = []
    for item in drawing.items:
        if isinstance(item, Text) and not _inside(item, box):
            outside.append(item)
        else:
            kept.append(item)
    room = Room()
    room.add_items(kept)
    rows: list[str] = []
    for number, text in enumerate(outside, start=1):
        mark = room.first_free(_marks(text, str(number), box), 0.3)
        if mark is not None:
            kept.append(mark)
        rows.append(f"{number}: {text.text}")
    table = (HEADING, tuple(rows))
    return (
        replace(drawing, items=tuple(kept)),
        replace(notes, tables=(table, *notes.tables)) if rows else notes,
    )


def _inside(text: Text, box: Box) -> bool:
    x0, y0, x1, y1 = box_around([(x, y, x, y) for x, y in text.corners])
    return x0 >= box[0] and y0 >= box[1] and x1 <= box[2] and y1 <= box[3]


def _marks(text: Text, number: str, box: Box) -> list[Text]:
    """Return places for a number: near either end of its note, level, inside the box."""
    ends = _ends(text)
    found: list[Text] = []
    for step in _STEPS:
        for x, y in ends:
            for dx, dy in ((0, 0), (-1, 0), (1, 0), (0, -1), (0, 1)):
                at = (x + dx * step, y + dy * step)
                mark = Text(layer=text.layer, text=number, at=at, height=text.height, bold=True)
                inside = (
                    min(max(at[0], box[0] + 0.5), box[2] - mark.width - 0.5),
                    min(max(at[1], box[1] + 0.5), box[3] - mark.height - 0.5),
                )
                found.append(replace(mark, at=inside))
    return found


def _ends(text: Text) -> tuple[Point, ...]:
    """Return the ends of a note, the one where it begins first."""
    corners = text.corners
    return (corners[0], corners[1])
