"""A view of a long blank with its middle left out."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable

from blankwright.base.units import System
from blankwright.develop.blank import Blank
from blankwright.drawing.blank_drawing import BlankLook, blank_drawing
from blankwright.drawing.clip import clipped
from blankwright.drawing.dimensions import DimensionLook
from blankwright.drawing.layers import BEND_NOTES, DIMENSIONS, NAMES
from blankwright.drawing.lettering import text_width
from blankwright.drawing.model import Anchor, Drawing, Item, Stroke, Text, edges_of
from blankwright.drawing.room import Room
from blankwright.drawing.words import bend_words
from blankwright.geom import vec
from blankwright.geom.edges import Line
from blankwright.geom.move import Move
from blankwright.geom.vec import Point

BREAK = 4.0
"""White in the break [mm]."""

_STEPS = (0.0, 1.0, -1.0, 2.0, -2.0, 3.0, -3.0, 4.0, -4.0)


def note_width(blank: Blank, system: System, sizes: DimensionLook) -> float:
    """Return how much room bend notes take right of a level view [mm]."""
    notes = [bend_words(bend, system) for bend in blank.bends]
    return max((text_width(note, sizes.text) for note in notes), default=0.0) + 8.0


def broken_view(
    blank: Blank, scale: float, keep: float, system: System, sizes: DimensionLook
) -> tuple[Item, ...]:
    """Return both ends of a blank, its lower left corner at (0, 0), the middle left out.

    Args:
        blank: the blank
        scale: paper over blank [-]
        keep: how much of each end is shown, on paper [mm]
        system: units of notes
        sizes: sizes of notes
    """
    x0, y0 = blank.outline.box[:2]
    width, height = (v * scale for v in blank.size)
    level = width >= height
    long, short = (width, height) if level else (height, width)
    gone = long - 2 * keep - BREAK
    look = BlankLook(system=system, text=sizes.text / scale, center_lines=False)
    drawn = blank_drawing(blank, "", look)
    kept = tuple(item for item in drawn.items if item.layer not in (BEND_NOTES, NAMES))
    bare = Drawing(title="", items=kept).moved(Move.shift(-x0, -y0)).scaled(scale)
    items: list[Item] = []
    for low, high, shift in ((-1.0, keep, 0.0), (long - keep, long + 1.0, -gone)):
        box = (low, -1.0, high, short + 1.0) if level else (-1.0, low, short + 1.0, high)
        move = Move.shift(shift, 0.0) if level else Move.shift(0.0, shift)
        items.extend(item.moved(move) for item in clipped(bare, box))
    room = Room(edge for item in items for edge in edges_of(item))
    for at in (keep, keep + BREAK):
        items.extend(_break_line(at, short, level))

    def on_view(p: Point) -> Point:
        return ((p[0] - x0) * scale, (p[1] - y0) * scale)

    right = long - gone if level else short
    items.extend(_bend_notes(blank, on_view, right, keep, level, system, sizes.text))
    items.extend(_names(blank, on_view, keep, level, room, sizes.text))
    return tuple(items)


def _bend_notes(
    blank: Blank,
    on_view: Callable[[Point], Point],
    right: float,
    keep: float,
    level: bool,
    system: System,
    height: float,
) -> Iterable[Text]:
    """Return bend notes right of the view, at the height of their bends where there is room."""
    room = Room()
    for bend in blank.bends:
        line = bend.center_line
        _, y = on_view(vec.middle(line.start, line.end))
        if not level:
            y = keep / 2
        places = (
            Text(
                layer=BEND_NOTES,
                text=bend_words(bend, system),
                at=(right + 4.0, y - height / 2 + step * 1.5 * height),
                height=height,
            )
            for step in _STEPS
        )
        note = room.first_free(places)
        if note is not None:
            yield note


def _names(
    blank: Blank,
    on_view: Callable[[Point], Point],
    keep: float,
    level: bool,
    room: Room,
    text: float,
) -> Iterable[Text]:
    """Return names of flats in the first end."""
    for flat in blank.flats:
        x0, y0, x1, y1 = flat.region.box
        x, y = on_view(((x0 + x1) / 2, (y0 + y1) / 2))
        names = (
            Text(
                layer=NAMES,
                text=flat.name,
                at=(keep * share, y - 0.5 * height) if level else (x, keep * share),
                height=height,
                anchor=Anchor.CENTER,
            )
            for height in (1.3 * text, text)
            for share in (0.5, 0.35, 0.65, 0.2, 0.8, 0.12, 0.9)
        )
        name = room.first_free(names, 0.2)
        if name is not None:
            yield name


def _break_line(at: float, short: float, level: bool) -> tuple[Item, ...]:
    """Return a thin zigzag across the view, as ISO 128 draws a break."""
    mid = short / 2
    points = [
        (at, -3.0),
        (at, mid - 2.0),
        (at - 1.5, mid - 0.7),
        (at + 1.5, mid + 0.7),
        (at, mid + 2.0),
        (at, short + 3.0),
    ]
    if not level:
        points = [(y, x) for x, y in points]
    return tuple(Stroke(layer=DIMENSIONS, edge=Line(a, b)) for a, b in itertools.pairwise(points))
