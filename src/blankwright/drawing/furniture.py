"""What stands on a page beside the drawing: scale bars, foot line, map of the pages."""

from __future__ import annotations

import math
from collections.abc import Sequence

from blankwright.base.units import from_inches
from blankwright.drawing.layers import FRAME, NOTES, PAGE_MAP, SCALE_BARS
from blankwright.drawing.model import Anchor, Fill, Item, Ring, Stroke, Text
from blankwright.drawing.pages import ScaleBar
from blankwright.geom.edges import Box, Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.vec import Point

FOOT = 22.0
"""Height of the strip under the drawing [mm]."""

SIDE = 13.0
"""Width of the strip left of the drawing [mm]."""

END_MARK = 4.5
"""Height of a scale bar's end marks over the bar [mm]."""


def bar_length(room: float) -> float:
    """Return the longest whole length of a scale bar [mm] that fits into some room [mm]."""
    for length in (250.0, 200.0, 150.0, 100.0, 50.0):
        if length + 3.0 <= room:
            return length
    return 30.0


def scale_bar(bar: ScaleBar) -> tuple[Item, ...]:
    """Return a scale bar: mm on the one side, inches on the other."""
    lines: list[Line] = []
    texts: list[Text] = []
    count = round(bar.length / 10.0)
    inches = math.floor(bar.length / from_inches(1.0) + 1e-9)
    reach = max(bar.length, from_inches(inches))
    lines.append(Line((0.0, 0.0), (reach, 0.0)))
    for i in range(count + 1):
        end = i in (0, count)
        x = bar.length * i / count
        lines.append(Line((x, 0.0), (x, END_MARK if end else 2.5 if i % 5 == 0 else 1.5)))
    for i in range(inches + 1):
        x = from_inches(i)
        lines.append(Line((x, 0.0), (x, -3.0 if i in (0, inches) else -1.8)))
    height = 2.2
    for x, y, words in (
        (bar.length - 1.5, 2.8, f"{bar.length:g} mm"),
        (from_inches(inches) - 1.5, -1.8 - height, f"{inches} in"),
    ):
        texts.append(
            Text(layer=SCALE_BARS, text=words, at=(x, y), height=height, anchor=Anchor.RIGHT)
        )
    x_axis = (0.0, 1.0) if bar.upright else (1.0, 0.0)
    move = Move.onto(bar.start, x_axis)
    items: list[Item] = [Stroke(layer=SCALE_BARS, edge=line.moved(move)) for line in lines]
    items.extend(text.moved(move) for text in texts)
    return tuple(items)


def frame(window: Box) -> Ring:
    """Return the limit of what a page shows."""
    return Ring(layer=FRAME, loop=Loop.rectangle(*window))


def foot_lines(at: Point, *lines: str, width: float) -> tuple[Item, ...]:
    """Return lines of the foot, the first one heavy, each shrunk to fit.

    Args:
        at: left end of the first baseline [mm]
        lines: what they say
        width: they must not be longer [mm]
    """
    items: list[Item] = []
    x, y = at
    for i, line in enumerate(lines):
        height = 2.6 if i == 0 else 2.0
        text = Text(layer=NOTES, text=line, at=(x, y), height=height, bold=i == 0)
        if text.width > width:
            text = Text(
                layer=NOTES,
                text=line,
                at=(x, y),
                height=height * width / text.width,
                bold=i == 0,
            )
        items.append(text)
        y -= 3.6
    return tuple(items)


def page_map(
    box: Box, names: Sequence[Sequence[str]], here: str = "", *, named: bool = False
) -> tuple[Item, ...]:
    """Return a map of the pages.

    Args:
        box: room for it [mm]
        names: names of the pages row by row, the top row first; empty where no page is needed
        here: name of the page to be shaded
        named: whether the pages' names are written
    """
    rows, columns = len(names), len(names[0])
    x0, y0, x1, y1 = box
    wide, high = (x1 - x0) / columns, (y1 - y0) / rows
    items: list[Item] = []
    for i, row in enumerate(names):
        for j, name in enumerate(row):
            left, top = x0 + j * wide, y1 - i * high
            cell = Loop.rectangle(left, top - high, left + wide, top)
            if name and name == here:
                corners = tuple(edge.start for edge in cell.edges)
                items.append(Fill(layer=PAGE_MAP, corners=corners, shade=0.35))
            if name:
                items.append(Ring(layer=PAGE_MAP, loop=cell))
            if name and named:
                height = min(4.0, 0.3 * high, 0.25 * wide)
                items.append(
                    Text(
                        layer=PAGE_MAP,
                        text=name,
                        at=(left + wide / 2, top - high / 2 - height / 2),
                        height=height,
                        anchor=Anchor.CENTER,
                    )
                )
    return tuple(items)
