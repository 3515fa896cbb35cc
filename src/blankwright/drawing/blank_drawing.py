"""The blank as a drawing at full size: edges, bend lines, holes, names and notes."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum

from blankwright.base.units import System
from blankwright.develop.blank import Blank, BlankBend
from blankwright.drawing.beside import line_notes, readable
from blankwright.drawing.hole_table import cut_holes, hole_groups
from blankwright.drawing.layers import (
    BEND_CENTER,
    BEND_NOTES,
    BEND_TANGENT,
    BLANK_EDGE,
    HOLE_NOTES,
    HOLES,
    NAMES,
    SIGHT_LINE,
    Layer,
)
from blankwright.drawing.marks import center_marks, grain_arrow, punch_cross, punch_points
from blankwright.drawing.model import Anchor, Drawing, Item, Ring, Stroke, Text
from blankwright.drawing.room import Room, smaller
from blankwright.drawing.within import stretches
from blankwright.drawing.words import bend_words, short_bend_words
from blankwright.geom import vec
from blankwright.geom.edges import Line
from blankwright.geom.region import Region
from blankwright.geom.vec import Point


class Marking(Enum):
    """What a full-size print is for."""

    FULL = "full"
    """All lines and notes: to read, or to glue on template board."""
    OUTLINE = "thin outline"
    """Edges, openings, bend tangent lines and crosses, no words: to glue on metal and cut."""
    PUNCH = "centre-punch crosses"
    """Crosses only, at hole centres, bend line ends and outer corners: to punch through."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BlankLook:
    """What a drawing of the blank shows.

    Args:
        marking: which lines
        system: units of notes
        text: height of capital letters in notes [mm]
        least: notes are not made smaller than this to fit [mm]
        full_notes: whether bend notes always say all; else without the radius where there is little
            room, for drawings with a bend table beside
        clamped: flat under the brake's nose by bend name, for the sight line; the parent where a
            bend is not named
        sight_lines: whether sight lines are drawn
        center_lines: whether centre lines are drawn where a sight line lies within
            `CENTER_LINE_GAP`, and the two would run together on paper
    """

    marking: Marking = Marking.FULL
    system: System = System.BOTH
    text: float = 3.0
    least: float = 1.9
    full_notes: bool = True
    clamped: tuple[tuple[str, str], ...] = ()
    sight_lines: bool = True
    center_lines: bool = True


FULL_LOOK = BlankLook()
"""All lines and notes, mm and inch."""

THIN = 0.18
"""Weight of edges that are cut along [mm]."""

CENTER_LINE_GAP = 0.8
"""A centre line nearer than this to a sight line can be left out of prints [mm]."""


def blank_drawing(
    blank: Blank, title: str, look: BlankLook = FULL_LOOK, taken: Iterable[Item] = ()
) -> Drawing:
    """Draw a blank at full size in its own frame, seen from its face side.

    Args:
        blank: the blank
        title: what the drawing is called
        look: what it shows
        taken: what else will be drawn there, for notes to keep clear of

    Returns:
        The drawing; its edges are the blank's own edges, unchanged.
    """
    if look.marking is Marking.PUNCH:
        return Drawing(title=title, items=_punch_marks(blank))
    items: list[Item] = [*_edges(blank, look), *_bend_lines(blank, look)]
    for hole in cut_holes(blank):
        items.extend(center_marks(hole.loop, hole.center))
    if look.marking is Marking.OUTLINE:
        return Drawing(title=title, items=tuple(items))
    room = Room(edge for item in items if isinstance(item, Stroke) for edge in (item.edge,))
    room.add_edges(blank.outline.edges)
    room.add_items(taken)
    items.extend(_bend_notes(blank, look, room))
    items.extend(_flat_names(blank, look, room))
    items.extend(_hole_letters(blank, look, room))
    items.extend(_grain(blank, look, room))
    return Drawing(title=title, items=tuple(items))


def _edges(blank: Blank, look: BlankLook) -> Iterable[Item]:
    edge, holes = BLANK_EDGE, HOLES
    if look.marking is Marking.OUTLINE:
        edge, holes = replace(edge, weight=THIN), replace(holes, weight=THIN)
    yield Ring(layer=edge, loop=blank.outline.outer)
    for loop in blank.outline.holes:
        yield Ring(layer=holes, loop=loop)


def bend_strokes(blank: Blank, bend: BlankBend, look: BlankLook = FULL_LOOK) -> tuple[Stroke, ...]:
    """Return the lines of a bend as far as there is metal."""
    lines: list[tuple[Layer, Line]] = [
        (BEND_TANGENT, bend.parent_tangent),
        (BEND_TANGENT, bend.leg_tangent),
    ]
    if look.marking is Marking.FULL:
        gap = abs(bend.inside_radius - bend.allowance / 2)
        if look.center_lines or not look.sight_lines or gap >= CENTER_LINE_GAP:
            lines.append((BEND_CENTER, bend.center_line))
        if look.sight_lines:
            clamped = dict(look.clamped).get(bend.name, bend.parent)
            lines.append((SIGHT_LINE, bend.sight_line(clamped)))
    return tuple(
        Stroke(layer=layer, edge=piece)
        for layer, line in lines
        for piece in stretches(line, (blank.outline,))
    )


def _bend_lines(blank: Blank, look: BlankLook) -> Iterable[Item]:
    for bend in blank.bends:
        yield from bend_strokes(blank, bend, look)


def _punch_marks(blank: Blank) -> tuple[Item, ...]:
    points: list[Point] = []
    for edge in blank.outline.outer.edges:
        points.append(edge.start)
    for hole in cut_holes(blank):
        points.extend(punch_points(hole.loop, hole.center))
    for bend in blank.bends:
        for line in (bend.parent_tangent, bend.leg_tangent):
            for piece in stretches(line, (blank.outline,)):
                points.extend((piece.start, piece.end))
    kept: list[Point] = []
    for p in points:
        if all(vec.distance(p, q) > 0.5 for q in kept):
            kept.append(p)
    return tuple(stroke for p in kept for stroke in punch_cross(p))


def _bend_notes(blank: Blank, look: BlankLook, room: Room) -> Iterable[Text]:
    for bend in blank.bends:
        away = bend.place.vector((0.0, 1.0))
        words = (bend_words(bend, look.system),)
        lines = ((bend.leg_tangent, away), (bend.parent_tangent, vec.scale(away, -1.0)))
        yield from line_notes(
            lines,
            bend.center_line,
            words if look.full_notes else (*words, short_bend_words(bend)),
            look.text,
            BEND_NOTES,
            room,
            (blank.outline,),
            look.least,
        )


def inner_points(region: Region, clear: float = 6.0, steps: int = 11) -> tuple[Point, ...]:
    """Return grid points in a region [mm], first those nearest its middle and clear of its edges.

    Args:
        region: where
        clear: farther from the edges than this is not better [mm]
        steps: points in each direction [-]
    """
    x0, y0, x1, y1 = region.box
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    found = []
    for i in range(steps):
        for j in range(steps):
            p = (x0 + (x1 - x0) * (i + 0.5) / steps, y0 + (y1 - y0) * (j + 0.5) / steps)
            if region.contains(p):
                off = vec.distance(p, middle)
                found.append((-round(min(clear, region.distance_to_edge(p)), 6), off, p))
    return tuple(p for _, _, p in sorted(found))


def _flat_names(blank: Blank, look: BlankLook, room: Room) -> Iterable[Text]:
    for flat in blank.flats:
        x_axis = flat.place.vector((1.0, 0.0))
        angle = readable(math.atan2(x_axis[1], x_axis[0]))
        height = 1.4 * look.text
        texts = [
            Text(layer=NAMES, text=flat.name, at=_lowered(p, a, height), height=height, angle=a)
            for a in (angle, readable(angle + math.pi / 2))
            for p in inner_points(flat.region)[:30]
        ]
        centred = [_centred(text) for text in texts]
        name = room.first_free(smaller(centred, 0.7, 0.5), 0.8, flat.region)
        if name is not None:
            yield name


def _lowered(p: Point, angle: float, height: float) -> Point:
    return vec.along(p, vec.left((math.cos(angle), math.sin(angle))), -height / 2)


def _centred(text: Text) -> Text:
    return Text(
        layer=text.layer,
        text=text.text,
        at=text.at,
        height=text.height,
        angle=text.angle,
        anchor=Anchor.CENTER,
    )


def _hole_letters(blank: Blank, look: BlankLook, room: Room) -> Iterable[Text]:
    cut = {hole.name for hole in cut_holes(blank)}
    for group in hole_groups(blank, look.system):
        for hole in group.holes:
            if hole.name not in cut:
                continue
            x0, y0, x1, y1 = hole.loop.box
            r = max(x1 - x0, y1 - y0) / 2
            h = 0.75 * look.text
            places = []
            for gap in (0.8, 2.0, 3.5):
                for turn in (1, 3, 5, 7, 0, 4, 2, 6):
                    p = vec.polar(hole.center, r + gap + h / 2, turn * math.pi / 4)
                    wide = Text(layer=HOLE_NOTES, text=group.letter, at=p, height=h)
                    shift = math.cos(turn * math.pi / 4) * wide.width / 2 - wide.width / 2
                    places.append(
                        Text(
                            layer=HOLE_NOTES,
                            text=group.letter,
                            at=(p[0] + shift, p[1] - h / 2),
                            height=h,
                        )
                    )
            letter = room.first_free(places, 0.2)
            if letter is not None:
                yield letter


def _grain(blank: Blank, look: BlankLook, room: Room) -> Iterable[Item]:
    if blank.grain is None:
        return ()
    height = 0.8 * look.text
    for length in (10.0 * look.text, 6.0 * look.text):
        for p in inner_points(blank.root.region)[:40]:
            arrow = grain_arrow(p, blank.grain, length, height)
            word = arrow[-1]
            assert isinstance(word, Text)
            # A line of letters as large as arrow and word together stands for both.
            body = replace(
                word,
                text="M" * max(2, round(length / (3.2 * height))),
                at=vec.along(p, vec.left((math.cos(word.angle), math.sin(word.angle))), -height),
                height=2.6 * height,
            )
            if room.is_free(body, 0.5, blank.root.region):
                room.add_text(body)
                return arrow
    return ()
