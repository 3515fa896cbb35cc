"""Notes written along lines: bend notes, fold notes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from blankwright.drawing.layers import Layer
from blankwright.drawing.model import Anchor, Text
from blankwright.drawing.room import Room
from blankwright.geom import vec
from blankwright.geom.edges import Line
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

_REPEAT = 200.0
"""Notes along a long line are repeated this far apart, so that each page has one [mm]."""

_LIFT = 1.2
"""White between a line and a note beside it [mm]."""

Sided = tuple[Line, Point]
"""A line, and the unit direction to the side of it where a note may stand."""


def readable(angle: float) -> float:
    """Return a text direction [rad] turned by half a turn where it would stand on its head."""
    turn = math.remainder(angle, math.tau)
    if turn > math.pi / 2 + 1e-6 or turn <= -math.pi / 2 + 1e-6:
        turn = math.remainder(turn + math.pi, math.tau)
    return turn


def line_notes(
    beside: Sequence[Sided],
    axis: Line,
    words: Sequence[str],
    height: float,
    layer: Layer,
    room: Room,
    metal: Sequence[Region],
    least: float = 0.0,
) -> Iterable[Text]:
    """Return notes along a line, where there is room for them; and keep them clear.

    Args:
        beside: lines that they may stand beside, the best side first
        axis: the line they belong to
        words: what they say, the fullest first: a shorter one stands where there is little room
        height: of capital letters [mm]
        layer: of the notes
        room: what is drawn already
        metal: what the line lies in; where no note fits there, one is written outside
        least: notes are not made smaller than this to fit [mm]
    """
    count = max(1, round(axis.length / _REPEAT))
    placed = False
    for i in range(count):
        share = (i + 0.5) / count
        places = (
            text
            for say in words
            for text in _along(beside, say, height, layer, share, 1.0 / count)
            if text.height >= min(least, height) and _lies_in(text, metal)
        )
        note = room.first_free(places, 0.4)
        if note is not None:
            placed = True
            yield note
    if not placed:
        note = room.first_free(_past_ends(axis, words[-1], height, layer, metal), 0.4)
        if note is not None:
            yield note


def _lies_in(text: Text, metal: Sequence[Region]) -> bool:
    return any(all(r.outer.contains(corner) for corner in text.corners) for r in metal)


def _along(
    beside: Sequence[Sided], words: str, height: float, layer: Layer, share: float, part: float
) -> Iterable[Text]:
    for factor in (1.0, 0.8, 0.65):
        h = height * factor
        for line, out in beside:
            d = line.direction()
            angle = readable(math.atan2(d[1], d[0]))
            upright = vec.left((math.cos(angle), math.sin(angle)))
            lift = _LIFT if vec.dot(out, upright) > 0 else -_LIFT - h
            for step in (0.0, -0.15, 0.15, -0.3, 0.3):
                foot = line.point(min(1.0, max(0.0, share + step * part)))
                yield Text(
                    layer=layer,
                    text=words,
                    at=vec.along(foot, upright, lift),
                    height=h,
                    angle=angle,
                    anchor=Anchor.CENTER,
                )


def _past_ends(
    line: Line, words: str, height: float, layer: Layer, metal: Sequence[Region]
) -> Iterable[Text]:
    """Return places outside, in line with the line, past its ends."""
    d = line.direction()
    angle = readable(math.atan2(d[1], d[0]))
    forward = math.cos(angle) * d[0] + math.sin(angle) * d[1] > 0
    upright = vec.left((math.cos(angle), math.sin(angle)))
    for gap in (3.0, 8.0, 16.0, 30.0, 60.0):
        for foot, way, ahead in ((line.end, d, True), (line.start, vec.scale(d, -1.0), False)):
            p = vec.along(vec.along(foot, way, gap), upright, -height / 2)
            anchor = Anchor.LEFT if ahead == forward else Anchor.RIGHT
            text = Text(layer=layer, text=words, at=p, height=height, angle=angle, anchor=anchor)
            if not any(r.outer.contains(corner) for r in metal for corner in text.corners):
                yield text
