"""The picture of a packed sheet: parts with their names, clamps, offcuts, use of the sheet."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache

from blankwright.base.units import fixed
from blankwright.cutting.packing import PackedSheet, Placement
from blankwright.cutting.stock import StockSheet
from blankwright.drawing.layers import (
    BLANK_EDGE,
    CLAMPS,
    HOLES,
    NAMES,
    NOTES,
    OFFCUTS,
    STOCK_EDGE,
)
from blankwright.drawing.lettering import text_width
from blankwright.drawing.marks import grain_arrow
from blankwright.drawing.model import Anchor, Drawing, Item, Ring, Text
from blankwright.drawing.pages import Page
from blankwright.geom import vec
from blankwright.geom.move import Move
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

PAGE_MARGIN = 12.0
"""White around a page [mm]."""

LETTERS = 3.5
"""Height of letters on a page [mm]."""


def sheet_drawing(
    packed: PackedSheet,
    offcuts: Sequence[tuple[StockSheet, Point]] = (),
    lettering: float = 0.0,
) -> Drawing:
    """Draw a packed sheet at full size, parts numbered, with the list of parts below it.

    Args:
        packed: the sheet with its parts
        offcuts: what goes back on the rack, each with its lower left corner on the sheet [mm]
        lettering: height of letters [mm]; 0 for what suits the sheet
    """
    sheet = packed.sheet
    x0, y0, x1, y1 = sheet.region.box
    size = lettering or max(x1 - x0, y1 - y0) / 70
    items: list[Item] = [Ring(layer=STOCK_EDGE, loop=loop) for loop in sheet.region.loops]
    for clamp in sheet.clamps:
        items += [Ring(layer=CLAMPS, loop=loop) for loop in clamp.region.loops]
    for number, placement in enumerate(packed.placements, start=1):
        items += _part(placement, number, size)
    for number, (offcut, at) in enumerate(offcuts, start=1):
        items += _offcut(offcut, at, number, size)
    items += _notes(packed, offcuts, size)
    return Drawing(title=packed.title, items=tuple(items))


def _part(placement: Placement, number: int, size: float) -> Iterator[Item]:
    region = placement.region
    yield Ring(layer=BLANK_EDGE, loop=region.outer)
    for hole in region.holes:
        yield Ring(layer=HOLES, loop=hole)
    at = _inside(region)
    room = region.distance_to_edge(at)
    widest = 1.8 * room / text_width(str(number), 1.0, bold=True)
    height = max(0.4 * size, min(1.5 * size, 1.2 * room, widest))
    base = (at[0], at[1] - height / 2)
    yield Text(
        layer=NAMES, text=str(number), at=base, height=height, anchor=Anchor.CENTER, bold=True
    )
    if placement.part.grain is not None:
        way = placement.move.vector(_unit(placement.part.grain))
        wide = text_width(str(number), height, bold=True)
        # Beside the number, level grain under it and upright grain right of it.
        off = vec.left(way) if abs(way[1]) > abs(way[0]) else vec.right(way)
        off = off if off[0] - off[1] > 0 else vec.scale(off, -1.0)
        far = abs(off[0]) * wide / 2 + abs(off[1]) * height / 2 + 0.6 * size
        reach = max(1.5 * size, min(4 * size, room))
        yield from grain_arrow(vec.along(at, off, far), math.atan2(way[1], way[0]), reach)[:-1]


def _unit(angle: float) -> Point:
    return vec.polar((0.0, 0.0), 1.0, angle)


@lru_cache(maxsize=1000)
def _inside(region: Region) -> Point:
    """Return a point well inside a region for its name [mm]: the best of a coarse grid."""
    x0, y0, x1, y1 = region.box
    best, at = -1.0, vec.middle((x0, y0), (x1, y1))
    for i in range(1, 20):
        for j in range(1, 20):
            p = (x0 + (x1 - x0) * i / 20, y0 + (y1 - y0) * j / 20)
            if region.contains(p):
                room = region.distance_to_edge(p)
                if room > best + 1e-9:
                    best, at = room, p
    return at


def _offcut(offcut: StockSheet, at: Point, number: int, size: float) -> Iterator[Item]:
    region = offcut.region.moved(Move.shift(*at))
    for loop in region.loops:
        yield Ring(layer=OFFCUTS, loop=loop)
    middle = vec.middle(region.box[:2], region.box[2:])
    text = f"O{number}"
    yield Text(layer=OFFCUTS, text=text, at=middle, height=1.5 * size, anchor=Anchor.CENTER)


def _notes(
    packed: PackedSheet, offcuts: Sequence[tuple[StockSheet, Point]], size: float
) -> Iterator[Item]:
    sheet = packed.sheet
    x0, y0, x1, y1 = sheet.region.box
    w, h = sheet.size
    head = (
        f"{packed.title}: {sheet.alloy}, {fixed(sheet.thickness, 2)} mm, "
        f"{fixed(w, 0)} x {fixed(h, 0)} mm; {fixed(100 * packed.use, 0)} % becomes parts"
    )
    at = (x0, y0 - 2.5 * size)
    yield Text(layer=NOTES, text=head, at=at, height=1.2 * size, bold=True)
    rows = [
        f"{number}  {placement.part.name}"
        for number, placement in enumerate(packed.placements, start=1)
    ]
    rows += [
        f"O{number}  offcut {fixed(o.size[0], 0)} x {fixed(o.size[1], 0)} mm"
        for number, (o, _) in enumerate(offcuts, start=1)
    ]
    wide = max((text_width(row, size) for row in rows), default=size) + 3 * size
    columns = max(1, int((x1 - x0) // wide))
    for place, row in enumerate(rows):
        at = (x0 + wide * (place % columns), y0 - (4.5 + 1.8 * (place // columns)) * size)
        yield Text(layer=NOTES, text=row, at=at, height=size)
    if sheet.grain is not None:
        lift = (1.0 + 4.0 * abs(math.sin(sheet.grain))) * size
        middle = (x0 + 5.0 * size, y1 + lift)
        yield from grain_arrow(middle, sheet.grain, 8.0 * size, size)


def sheet_page(
    packed: PackedSheet,
    offcuts: Sequence[tuple[StockSheet, Point]],
    paper: tuple[float, float],
    name: str,
) -> Page:
    """Return the picture of a packed sheet, made small to go on one page, lying.

    Args:
        packed: the sheet with its parts
        offcuts: what goes back on the rack, each with its lower left corner on the sheet [mm]
        paper: width and length of the paper [mm]
        name: of the page
    """
    width, height = max(paper), min(paper)
    room = (width - 2 * PAGE_MARGIN, height - 2 * PAGE_MARGIN - 6.0)
    lettering = max(packed.sheet.size) / 80
    for _ in range(4):
        # Letters are to be 3.5 mm on paper, but the list of parts takes room that sets the scale.
        x0, y0, x1, y1 = sheet_drawing(packed, offcuts, lettering).box
        factor = min(room[0] / (x1 - x0), room[1] / (y1 - y0), 1.0)
        lettering = LETTERS / factor
    drawing = sheet_drawing(packed, offcuts, lettering)
    x0, y0, x1, y1 = drawing.box
    factor = min(room[0] / (x1 - x0), room[1] / (y1 - y0), 1.0)
    small = drawing.scaled(factor)
    shift = Move.shift(PAGE_MARGIN - small.box[0], height - PAGE_MARGIN - small.box[3])
    foot = f"Scale 1 : {fixed(1 / factor, 1)}. A picture to lay out by, not to be traced."
    at = (PAGE_MARGIN, PAGE_MARGIN)
    return Page(
        name=name,
        width=width,
        height=height,
        drawing=None,
        shift=(0.0, 0.0),
        window=(0.0, 0.0, width, height),
        furniture=(
            *small.moved(shift).items,
            Text(layer=NOTES, text=foot, at=at, height=LETTERS),
        ),
    )
