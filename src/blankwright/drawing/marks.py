"""Small marks: hole centres, punch crosses, register marks, arrows."""

from __future__ import annotations

import math

from blankwright.drawing.layers import CENTER_MARKS, CENTER_PUNCH, GRAIN, REGISTER
from blankwright.drawing.model import Anchor, Item, Stroke, Text
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.loop import Loop
from blankwright.geom.vec import Point

PUNCH_ARM = 2.5
"""Half the length of a punch cross [mm]."""


def cross(center: Point, arm: float) -> tuple[Line, Line]:
    """Return the two lines of an upright cross [mm]."""
    x, y = center
    return Line((x - arm, y), (x + arm, y)), Line((x, y - arm), (x, y + arm))


def center_marks(loop: Loop, center: Point) -> tuple[Stroke, ...]:
    """Return the cross through the centre of an opening; it passes the edge of a round hole."""
    circle = loop.as_circle
    arm = max(1.2, min(circle.radius + 1.5, 6.0)) if circle else 2.0
    return tuple(Stroke(layer=CENTER_MARKS, edge=line) for line in cross(center, arm))


def punch_points(loop: Loop, center: Point) -> tuple[Point, ...]:
    """Return where an opening is punched: centres of its circle or round ends [mm].

    A cut-out without arcs gets its corners.
    """
    if loop.as_circle:
        return (center,)
    arcs = [edge.center for edge in loop.edges if isinstance(edge, Arc)]
    points: list[Point] = []
    for p in arcs or [edge.start for edge in loop.edges]:
        if all(vec.distance(p, q) > 1e-3 for q in points):
            points.append(p)
    return tuple(points)


def punch_cross(center: Point) -> tuple[Stroke, ...]:
    """Return a cross to be centre-punched."""
    return tuple(Stroke(layer=CENTER_PUNCH, edge=line) for line in cross(center, PUNCH_ARM))


def register_mark(center: Point, label: str) -> tuple[Item, ...]:
    """Return a register mark: a cross in a circle, as printers use, with its name."""
    x, y = center
    lines: tuple[Edge, ...] = (*cross(center, 4.0), Arc.circle(center, 2.0))
    name = Text(layer=REGISTER, text=label, at=(x + 1.2, y + 2.2), height=2.0)
    return (*(Stroke(layer=REGISTER, edge=edge) for edge in lines), name)


def grain_arrow(
    center: Point, angle: float, length: float = 30.0, height: float = 2.4
) -> tuple[Item, ...]:
    """Return a double arrow along the grain with the word over it.

    Args:
        center: middle of the arrow [mm]
        angle: direction of the grain, from the x axis [rad]
        length: of the arrow [mm]
        height: of the word's capital letters [mm]
    """
    along = (math.cos(angle), math.sin(angle))
    if along[0] < -1e-9 or (abs(along[0]) <= 1e-9 and along[1] < 0):
        along = vec.scale(along, -1.0)
    a = vec.along(center, along, -length / 2)
    b = vec.along(center, along, length / 2)
    lines = [Line(a, b)]
    for tip, way in ((a, along), (b, vec.scale(along, -1.0))):
        for side in (1.0, -1.0):
            back = vec.along(vec.along(tip, way, length / 8), vec.left(way), side * length / 24)
            lines.append(Line(tip, back))
    word = Text(
        layer=GRAIN,
        text="GRAIN",
        at=vec.along(center, vec.left(along), 0.6 * height),
        height=height,
        angle=math.atan2(along[1], along[0]),
        anchor=Anchor.CENTER,
    )
    return (*(Stroke(layer=GRAIN, edge=line) for line in lines), word)
