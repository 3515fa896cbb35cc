"""The picture of a packed sheet: parts with their names, clamps, offcuts, use of the sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from blankwright.base.units import fixed
from blankwright.cutting.packing import PackedSheet, Placement
from blankwright.cutting.stock import StockSheet
from blankwright.cutting.work import Tab
from blankwright.drawing.layers import (
    BLANK_EDGE,
    CLAMPS,
    GRAIN,
    HOLES,
    NAMES,
    NOTES,
    OFFCUTS,
    STOCK_EDGE,
    TABS,
)
from blankwright.drawing.model import Anchor, Drawing, Item, Ring, Stroke, Text
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Line
from blankwright.geom.region import Region
from blankwright.geom.vec import Point


def sheet_drawing(
    packed: PackedSheet,
    offcuts: Sequence[tuple[StockSheet, Point]] = (),
    tabs: Sequence[Tab] = (),
) -> Drawing:
    """Draw a packed sheet at full size.

    Args:
        packed: the sheet with its parts
        offcuts: what goes back on the rack, each with its lower left corner on the sheet [mm]
        tabs: bridges that the machine file leaves
    """
    sheet = packed.sheet
    x0, y0, x1, y1 = sheet.region.box
    size = max(x1 - x0, y1 - y0) / 60
    items: list[Item] = [Ring(layer=STOCK_EDGE, loop=loop) for loop in sheet.region.loops]
    for clamp in sheet.clamps:
        items += [Ring(layer=CLAMPS, loop=loop) for loop in clamp.region.loops]
    for placement in packed.placements:
        items += _part(placement, size)
    for offcut, at in offcuts:
        items += _offcut(offcut, at, size)
    for tab in tabs:
        items.append(Stroke(layer=TABS, edge=Arc.circle(tab.at, size / 5)))
    items += _notes(packed, size)
    return Drawing(title=packed.title, items=tuple(items))


def _part(placement: Placement, size: float) -> Iterator[Item]:
    region = placement.region
    yield Ring(layer=BLANK_EDGE, loop=region.outer)
    for hole in region.holes:
        yield Ring(layer=HOLES, loop=hole)
    name = placement.part.name
    at = _inside(region)
    height = max(2.5, min(size, 2.9 * region.distance_to_edge(at) / max(3, len(name))))
    yield Text(layer=NAMES, text=name, at=at, height=height, anchor=Anchor.CENTER)
    if placement.part.grain is not None:
        way = placement.move.vector(_unit(placement.part.grain))
        ends = (vec.along(at, way, -2 * size), vec.along(at, way, 2 * size))
        below = (0.0, -height)
        line = Line(vec.add(ends[0], below), vec.add(ends[1], below))
        yield Stroke(layer=GRAIN, edge=line)


def _unit(angle: float) -> Point:
    return vec.polar((0.0, 0.0), 1.0, angle)


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


def _offcut(offcut: StockSheet, at: Point, size: float) -> Iterator[Item]:
    from blankwright.geom.move import Move

    region = offcut.region.moved(Move.shift(*at))
    for loop in region.loops:
        yield Ring(layer=OFFCUTS, loop=loop)
    w, h = offcut.size
    middle = vec.middle(region.box[:2], region.box[2:])
    text = f"offcut {fixed(w, 0)} x {fixed(h, 0)} mm"
    yield Text(layer=OFFCUTS, text=text, at=middle, height=size, anchor=Anchor.CENTER)


def _notes(packed: PackedSheet, size: float) -> Iterator[Item]:
    sheet = packed.sheet
    x0, y0, _, y1 = sheet.region.box
    w, h = sheet.size
    lines = [
        f"{packed.title}: {sheet.alloy}, {fixed(sheet.thickness, 2)} mm, "
        f"{fixed(w, 0)} x {fixed(h, 0)} mm",
        f"{len(packed.placements)} parts, {fixed(100 * packed.use, 0)} % of the sheet used",
    ]
    for number, line in enumerate(lines):
        at = (x0, y0 - (number + 1) * 2 * size)
        yield Text(layer=NOTES, text=line, at=at, height=size)
    if sheet.grain is not None:
        start = (x0, y1 + 2 * size)
        way = _unit(sheet.grain)
        if sheet.grain > 0.8:
            start = (x0 - 2 * size, y0)
        yield Stroke(layer=GRAIN, edge=Line(start, vec.along(start, way, 10 * size)))
        yield Text(layer=GRAIN, text="grain", at=(x0 + 11 * size, y1 + 1.5 * size), height=size)
