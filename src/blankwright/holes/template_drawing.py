"""A template at full size: the plate, its holes, lines to lay on the structure's, tape, words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from blankwright.base.units import System, trimmed
from blankwright.develop.blank import Blank
from blankwright.drawing.blank_drawing import BlankLook, Marking, blank_drawing
from blankwright.drawing.layers import LINE_UP, NAMES, OPENING_EDGE, TAPE_AREA
from blankwright.drawing.model import Anchor, Drawing, Item, Ring, Stroke, Text
from blankwright.drawing.room import Room
from blankwright.drawing.within import stretches
from blankwright.geom import vec
from blankwright.geom.edges import Line
from blankwright.geom.region import Region
from blankwright.geom.vec import Point
from blankwright.holes.template import PlacedTemplate
from blankwright.holes.template_sizes import lines_over, sizes_from

TEMPLATE_LOOK = BlankLook(system=System.BOTH, text=2.6)

_TEXT = 2.6
"""Height of words on the template [mm]."""


def template_drawing(
    placed: PlacedTemplate, blank: Blank, title: str, look: BlankLook = TEMPLATE_LOOK
) -> Drawing:
    """Draw a template at full size, the side up that lies up.

    Args:
        placed: the template among its references
        blank: its plate developed
        title: what the drawing is called
        look: which lines and notes of the plate
    """
    lines = tuple(_lines(placed))
    if look.marking is Marking.PUNCH:
        return blank_drawing(blank, title, look).plus(lines)
    words = tuple(_words(placed, blank, lines))
    up = "THIS SIDE UP" + (", other side of the airplane" if placed.other_side else "")
    named = replace(blank, flats=(replace(blank.flats[0], name=up), *blank.flats[1:]))
    marks = (*lines, *words)
    return blank_drawing(named, title, look, marks).plus(marks)


def _lines(placed: PlacedTemplate) -> Iterator[Item]:
    template = placed.template
    for _, line in lines_over(placed):
        yield Stroke(layer=LINE_UP, edge=line)
    x0, y0, x1, y1 = template.box
    width = template.tape.width
    strips = {
        "left": Line((x0 + width, y0), (x0 + width, y1)),
        "right": Line((x1 - width, y0), (x1 - width, y1)),
        "front": Line((x0, y0 + width), (x1, y0 + width)),
        "back": Line((x0, y1 - width), (x1, y1 - width)),
    }
    plate = Region(template.plate.root.outline.ccw())
    for side in template.tape.edges:
        for piece in stretches(strips[side], (plate,)):
            yield Stroke(layer=TAPE_AREA, edge=piece)
    opening = template.opening
    if opening is not None and not opening.in_plate and not template.paper:
        yield Ring(layer=OPENING_EDGE, loop=opening.loop)


def _words(placed: PlacedTemplate, blank: Blank, lines: tuple[Item, ...]) -> Iterator[Text]:
    """Yield what each side is called and how far off its references it stays, where it fits."""
    template = placed.template
    x0, y0, x1, y1 = template.box
    room = Room(blank.outline.edges)
    room.add_items(lines)
    sizes = sizes_from(placed)
    sides: dict[str, tuple[Point, Point, Point]] = {
        # corner at the left as one looks outward, way along, way inward
        "front": ((x0, y0), (1.0, 0.0), (0.0, 1.0)),
        "back": ((x0, y1), (1.0, 0.0), (0.0, -1.0)),
        "left": ((x0, y0), (0.0, 1.0), (1.0, 0.0)),
        "right": ((x1, y0), (0.0, 1.0), (-1.0, 0.0)),
    }
    for side, (corner, along, inward) in sides.items():
        length = x1 - x0 if along[0] else y1 - y0
        texts = [template.word(side).upper()]
        for size in sizes:
            if size.side == side and not size.over:
                low, high = trimmed(size.low, 1), trimmed(size.high, 1)
                figure = low if low == high else f"{low} to {high}"
                texts.append(f"{figure} mm to {size.reference}")
        for text in texts:
            placed_text = room.first_free(
                _candidates(text, corner, along, inward, length), 0.6, blank.outline
            )
            if placed_text is not None:
                yield placed_text
    for name, line in lines_over(placed):
        along = line.direction()
        offers = [
            Text(
                layer=LINE_UP,
                text=name,
                at=vec.along(line.point(share), vec.left(along), side * 0.9 - (side < 0) * _TEXT),
                height=0.8 * _TEXT,
                angle=0.0 if along[0] > 0.5 else 1.5707963267948966,
                anchor=Anchor.CENTER,
            )
            for share in (0.5, 0.3, 0.7, 0.15, 0.85)
            for side in (1.0, -1.0)
        ]
        found = room.first_free(offers, 0.3, blank.outline)
        if found is not None:
            yield found


def _candidates(
    text: str, corner: Point, along: Point, inward: Point, length: float
) -> Iterator[Text]:
    angle = 0.0 if along[0] else 1.5707963267948966
    up = vec.left(along)
    # The baseline lies under the letters: seen along the side, inward is up or down.
    rise = 0.0 if vec.dot(up, inward) > 0 else -_TEXT
    for height in (1.0, 0.75):
        for depth in (1.8, 5.5, 9.2, 13.0):
            for share in (0.5, 0.3, 0.7, 0.15, 0.85):
                base = vec.along(vec.along(corner, along, share * length), inward, depth)
                yield Text(
                    layer=NAMES,
                    text=text,
                    at=vec.along(base, up, rise * height),
                    height=_TEXT * height,
                    angle=angle,
                    anchor=Anchor.CENTER,
                )
