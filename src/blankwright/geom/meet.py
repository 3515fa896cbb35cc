"""Where two edges meet: crossings, touches and shared stretches."""

from __future__ import annotations

import math

from blankwright.base.tolerance import TOUCH
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.vec import Point


def meetings(a: Edge, b: Edge, tolerance: float = TOUCH) -> list[Point]:
    """Return the points [mm] where two edges meet, ends of shared stretches among them.

    Every end of one edge that lies on the other within the tolerance [mm] counts. A point may
    appear twice; the caller joins points that are one.
    """
    if isinstance(a, Line) and isinstance(b, Line):
        return _lines_meet(a, b, tolerance)
    points: list[Point] = []
    for p in (b.start, b.end):
        if a.distance(p) <= tolerance:
            points.append(p)
    for p in (a.start, a.end):
        if b.distance(p) <= tolerance:
            points.append(p)
    for p in crossings(a, b):
        if a.distance(p) <= tolerance and b.distance(p) <= tolerance:
            points.append(p)
    return points


def _lines_meet(a: Line, b: Line, tolerance: float) -> list[Point]:
    """`meetings` of two lines, written out flat: development spends most of its time here."""
    (ax, ay), (bx, by) = a.start, a.end
    (cx, cy), (dx, dy) = b.start, b.end
    rx, ry, sx, sy = bx - ax, by - ay, dx - cx, dy - cy
    r, s = math.hypot(rx, ry), math.hypot(sx, sy)
    if r == 0.0 or s == 0.0:
        return []
    points: list[Point] = []
    # Heights of one line's ends over the other line.
    c_off = (rx * (cy - ay) - ry * (cx - ax)) / r
    d_off = (rx * (dy - ay) - ry * (dx - ax)) / r
    a_off = (sx * (ay - cy) - sy * (ax - cx)) / s
    b_off = (sx * (by - cy) - sy * (bx - cx)) / s
    low = -tolerance
    if low <= c_off <= tolerance and low <= (rx * (cx - ax) + ry * (cy - ay)) / r <= r + tolerance:
        points.append(b.start)
    if low <= d_off <= tolerance and low <= (rx * (dx - ax) + ry * (dy - ay)) / r <= r + tolerance:
        points.append(b.end)
    if low <= a_off <= tolerance and low <= (sx * (ax - cx) + sy * (ay - cy)) / s <= s + tolerance:
        points.append(a.start)
    if low <= b_off <= tolerance and low <= (sx * (bx - cx) + sy * (by - cy)) / s <= s + tolerance:
        points.append(a.end)
    if not points and c_off * d_off < 0.0 and a_off * b_off < 0.0:
        t = a_off / (a_off - b_off)
        points.append((ax + rx * t, ay + ry * t))
    return points


def crossings(a: Edge, b: Edge) -> list[Point]:
    """Return the points [mm] where the whole lines or circles of two edges cross or touch.

    Where they are one and the same line or circle there is no such point.
    """
    if isinstance(a, Line):
        if isinstance(b, Line):
            return _line_line(a, b)
        return _line_circle(a, b)
    if isinstance(b, Line):
        return _line_circle(b, a)
    return _circle_circle(a, b)


def _line_line(a: Line, b: Line) -> list[Point]:
    da, db = vec.sub(a.end, a.start), vec.sub(b.end, b.start)
    size = vec.cross(da, db)
    if abs(size) <= 1e-12 * vec.length(da) * vec.length(db):
        return []
    t = vec.cross(vec.sub(b.start, a.start), db) / size
    return [a.point(t)]


def _line_circle(line: Line, arc: Arc) -> list[Point]:
    d = line.direction()
    rel = vec.sub(arc.center, line.start)
    foot = vec.along(line.start, d, vec.dot(rel, d))
    off = vec.cross(d, rel)
    inside = (arc.radius - abs(off)) * (arc.radius + abs(off))
    if inside < 0:
        # A tangent line misses its circle by a rounding error: the foot is the touch point.
        return [foot] if arc.radius - abs(off) > -TOUCH else []
    half = math.sqrt(inside)
    if half < TOUCH:
        return [foot]
    return [vec.along(foot, d, -half), vec.along(foot, d, half)]


def _circle_circle(a: Arc, b: Arc) -> list[Point]:
    rel = vec.sub(b.center, a.center)
    gap = vec.length(rel)
    if gap < TOUCH:
        return []
    u = (rel[0] / gap, rel[1] / gap)
    if gap > a.radius + b.radius + TOUCH or gap < abs(a.radius - b.radius) - TOUCH:
        return []
    reach = (gap * gap + (a.radius - b.radius) * (a.radius + b.radius)) / (2 * gap)
    foot = vec.along(a.center, u, reach)
    inside = (a.radius - reach) * (a.radius + reach)
    if inside < TOUCH * TOUCH:
        return [foot]
    half = math.sqrt(inside)
    normal = vec.left(u)
    return [vec.along(foot, normal, half), vec.along(foot, normal, -half)]
