"""What a print says beside the drawing: title, key of lines, hole table, how to use it, care."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from blankwright.drawing.layers import GRAIN, NOTES, Layer
from blankwright.drawing.lettering import text_width
from blankwright.drawing.model import Drawing, Item, Stroke, Text
from blankwright.geom.edges import Line
from blankwright.geom.move import Move

CARE = (
    "Check both scale bars with a rule before you cut metal.",
    "Cut edges are sharp: wear gloves, deburr at once. Eye protection when drilling and cutting.",
    "The drawing and its designer decide. A print is no approval.",
)
"""The usual cautions, on every print."""

HOW_TO_PRINT = "Print at 100 %: never fit, shrink or centre to the page."


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetNotes:
    """What a print says about what it shows.

    Args:
        title: what it is
        lines: drawing number, material and so on, one a line
        tables: tables, each a heading and its lines
        notes: what to know before using it
    """

    title: str
    lines: tuple[str, ...] = ()
    tables: tuple[tuple[str, tuple[str, ...]], ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of a block of notes, its top left corner at (0, 0).

    Args:
        height: [mm]
        items: what is in it
    """

    height: float
    items: tuple[Item, ...]


def note_rows(notes: SheetNotes, drawing: Drawing, width: float) -> tuple[Row, ...]:
    """Return the rows of a block of notes.

    Args:
        notes: what to say
        drawing: the drawing beside it, for the key of its lines
        width: of the block [mm]
    """
    rows = list(_wrapped(notes.title, width, 4.0, bold=True))
    for line in notes.lines:
        rows.extend(_wrapped(line, width, 2.6))
    rows.append(Row(height=2.0, items=()))
    keyed = [layer for layer in drawing.layers if layer is not GRAIN and drawing.edges(layer)]
    if keyed:
        rows.extend(_wrapped("Lines", width, 2.6, bold=True))
        rows.extend(_sample(layer, width) for layer in keyed)
    for heading, lines in notes.tables:
        rows.append(Row(height=2.0, items=()))
        rows.extend(_wrapped(heading, width, 2.6, bold=True))
        for line in lines:
            rows.extend(_wrapped(line, width, 2.4))
    rows.append(Row(height=2.0, items=()))
    for line in (*notes.notes, HOW_TO_PRINT, *CARE):
        rows.extend(_wrapped(line, width, 2.4))
    return tuple(rows)


def stacked(rows: Iterable[Row], left: float, top: float) -> tuple[Item, ...]:
    """Return rows placed one under the other, the first one's top left corner given [mm]."""
    items: list[Item] = []
    for row in rows:
        move = Move.shift(left, top)
        items.extend(item.moved(move) for item in row.items)
        top -= row.height
    return tuple(items)


def height_of(rows: Sequence[Row]) -> float:
    """Return the height of rows one under the other [mm]."""
    return sum(row.height for row in rows)


def _sample(layer: Layer, width: float) -> Row:
    line = Stroke(layer=layer, edge=Line((0.0, -2.6), (22.0, -2.6)))
    items: list[Item] = [line]
    rows = _wrapped(layer.meaning, width - 25.0, 2.2)
    y = -0.7
    for row in rows:
        items.extend(item.moved(Move.shift(25.0, y)) for item in row.items)
        y -= row.height
    return Row(height=4.8 + row.height * (len(rows) - 1), items=tuple(items))


def _wrapped(text: str, width: float, height: float, *, bold: bool = False) -> list[Row]:
    lines: list[str] = []
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, height, bold=bold) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return [
        Row(
            height=1.75 * height,
            items=(
                Text(layer=NOTES, text=line, at=(0.0, -1.3 * height), height=height, bold=bold),
            ),
        )
        for line in lines
    ]
