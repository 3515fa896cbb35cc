"""Where a straight line through space goes through a formed part: flats and round bends."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from blankwright.base.tolerance import TOUCH
from blankwright.develop.blank import Blank
from blankwright.develop.formed import BendShape, Formed
from blankwright.geom.pose import Point3, Pose, cross3, dot3
from blankwright.geom.vec import Point

_ALONG = 1e-9
"""A line this nearly along a surface does not go through it [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pierce:
    """Where a line goes through one face of a formed part.

    Args:
        point: on the blank [mm]
        face: height over the blank's back face: 0 or the thickness [mm]
        place: flat's name or bend's label
        at: in space [mm]
        along: distance along the line from its origin [mm]
        normal: of the face there, out of the metal [-]
    """

    point: Point
    face: float
    place: str
    at: Point3
    along: float
    normal: Point3


def place_of(blank: Blank, p: Point, flat: str) -> str:
    """Return the flat's name or the bend's label that a hole's centre [mm] is on.

    The centre of a hole is on no metal, so the flats' outer edges and the bends' strips decide.

    Args:
        blank: the blank
        p: the centre
        flat: the flat in whose frame the hole was drawn, taken where nothing else fits
    """
    for bend in blank.bends:
        x, y = bend.place.inverse()(p)
        if TOUCH < y < bend.allowance - TOUCH and -TOUCH <= x <= bend.width + TOUCH:
            return bend.label
    if on_flat(blank, flat, p):
        return flat
    return next((f.name for f in blank.flats if on_flat(blank, f.name, p)), flat)


def on_flat(blank: Blank, name: str, p: Point) -> bool:
    """Say whether a point of the blank [mm] is on a flat, its holes counted as part of it.

    A hole over a bend tangent line takes a bite out of the flat's edge: its centre belongs to the
    flat when it is on the flat's side of the line.
    """
    outer = blank.flat_by_name[name].region.outer
    if outer.contains(p) or outer.distance(p) <= TOUCH:
        return True
    hole = next((hole for hole in blank.holes if hole.loop.contains(p)), None)
    if hole is None:
        return False
    for bend in blank.bends:
        x, y = bend.place.inverse()(p)
        if not -TOUCH <= x <= bend.width + TOUCH:
            continue
        if (bend.parent == name and y > TOUCH) or (bend.leg == name and y < bend.allowance - TOUCH):
            return False
    x0, y0, x1, y1 = hole.loop.box
    return outer.distance(p) <= math.hypot(x1 - x0, y1 - y0)


def hole_axis(formed: Formed, frame: Pose, p: Point, place: str) -> tuple[Point3, Point3]:
    """Return where a hole's axis meets the back and the face side, in the frame's space [mm].

    Args:
        formed: the part
        frame: where its own frame is
        p: the hole's centre on the blank [mm]
        place: flat's name or bend's label that it is on
    """
    low = frame(formed.point(p, 0.0, place))
    high = frame(formed.point(p, formed.blank.thickness, place))
    return low, high


def unit3(a: Point3) -> Point3:
    """Return a vector at length 1 [-]."""
    n = math.sqrt(dot3(a, a))
    return (a[0] / n, a[1] / n, a[2] / n)


def sub3(a: Point3, b: Point3) -> Point3:
    """Return a − b [mm]."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def along3(a: Point3, d: Point3, t: float) -> Point3:
    """Return the point at a distance [mm] from a in a unit direction."""
    return (a[0] + d[0] * t, a[1] + d[1] * t, a[2] + d[2] * t)


def distance_off(origin: Point3, direction: Point3, p: Point3) -> float:
    """Return how far a point is off a line through an origin in a unit direction [mm]."""
    off = cross3(direction, sub3(p, origin))
    return math.sqrt(dot3(off, off))


def pierces(formed: Formed, frame: Pose, origin: Point3, direction: Point3) -> list[Pierce]:
    """Return where a line goes through the faces of a formed part, holes in it left out of count.

    Args:
        formed: the part
        frame: where its own frame is
        origin: a point of the line [mm]
        direction: its unit direction [-]
    """
    found: list[Pierce] = []
    blank = formed.blank
    for name, pose in formed.flats.items():
        found += _through_flat(blank, name, pose.then(frame), origin, direction)
    for shape in formed.bends.values():
        found += _through_bend(blank, shape, shape.place.then(frame), origin, direction)
    return sorted(found, key=lambda one: one.along)


def _through_flat(
    blank: Blank, name: str, pose: Pose, origin: Point3, direction: Point3
) -> Iterator[Pierce]:
    back = pose.inverse()
    o, d = back(origin), back.vector(direction)
    if abs(d[2]) < _ALONG:
        return
    for face in (0.0, blank.thickness):
        t = (face - o[2]) / d[2]
        p = (o[0] + d[0] * t, o[1] + d[1] * t)
        if on_flat(blank, name, p):
            up = 1.0 if face else -1.0
            yield Pierce(
                point=p,
                face=face,
                place=name,
                at=along3(origin, direction, t),
                along=t,
                normal=pose.vector((0.0, 0.0, up)),
            )


def _through_bend(
    blank: Blank, shape: BendShape, pose: Pose, origin: Point3, direction: Point3
) -> Iterator[Pierce]:
    bend = shape.bend
    if shape.is_flat:
        return
    back = pose.inverse()
    o, d = back(origin), back.vector(direction)
    axis = shape.axis_height(blank.thickness)
    a = d[1] * d[1] + d[2] * d[2]
    if a < _ALONG:
        return
    b = o[1] * d[1] + (o[2] - axis) * d[2]
    for face in (0.0, blank.thickness):
        r = abs(axis - face)
        c = o[1] * o[1] + (o[2] - axis) ** 2 - r * r
        inside = b * b - a * c
        if inside < 0 or r < TOUCH:
            continue
        for sign in (-1.0, 1.0):
            t = (-b + sign * math.sqrt(inside)) / a
            q = (o[0] + d[0] * t, o[1] + d[1] * t, o[2] + d[2] * t)
            x, y, _ = shape.unbent(q, blank.thickness)
            if not (-TOUCH <= y <= bend.allowance + TOUCH and -TOUCH <= x <= bend.width + TOUCH):
                continue
            # Out of the metal: away from the axis on the outside of the bend, else towards it.
            outside = (face == 0.0) == bend.up
            way = unit3((0.0, q[1], q[2] - axis))
            normal = way if outside else (0.0, -way[1], -way[2])
            yield Pierce(
                point=bend.place((x, y)),
                face=face,
                place=bend.label,
                at=along3(origin, direction, t),
                along=t,
                normal=pose.vector(normal),
            )
