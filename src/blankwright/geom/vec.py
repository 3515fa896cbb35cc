"""Points and vectors in the plane as plain pairs of floats [mm]."""

from __future__ import annotations

import math

Point = tuple[float, float]


def add(a: Point, b: Point) -> Point:
    """Return a + b [mm]."""
    return (a[0] + b[0], a[1] + b[1])


def sub(a: Point, b: Point) -> Point:
    """Return a − b [mm]."""
    return (a[0] - b[0], a[1] - b[1])


def scale(a: Point, factor: float) -> Point:
    """Return the vector times a factor [-]."""
    return (a[0] * factor, a[1] * factor)


def along(a: Point, direction: Point, distance: float) -> Point:
    """Return the point at a distance [mm] from a in a unit direction."""
    return (a[0] + direction[0] * distance, a[1] + direction[1] * distance)


def dot(a: Point, b: Point) -> float:
    """Return the scalar product [mm²]."""
    return a[0] * b[0] + a[1] * b[1]


def cross(a: Point, b: Point) -> float:
    """Return the z part of the cross product [mm²]; positive when b is to the left of a."""
    return a[0] * b[1] - a[1] * b[0]


def length(a: Point) -> float:
    """Return the length of a vector [mm]."""
    return math.hypot(a[0], a[1])


def distance(a: Point, b: Point) -> float:
    """Return the distance between two points [mm]."""
    return math.hypot(a[0] - b[0], a[1] - b[1])


def unit(a: Point) -> Point:
    """Return the vector at length 1 [-]. Raises ZeroDivisionError for a null vector."""
    n = math.hypot(a[0], a[1])
    return (a[0] / n, a[1] / n)


def left(a: Point) -> Point:
    """Return the vector turned a quarter turn to the left."""
    return (-a[1], a[0])


def right(a: Point) -> Point:
    """Return the vector turned a quarter turn to the right."""
    return (a[1], -a[0])


def polar(center: Point, radius: float, angle: float) -> Point:
    """Return the point at a radius [mm] and angle [rad] from a centre [mm]."""
    return (center[0] + radius * math.cos(angle), center[1] + radius * math.sin(angle))


def middle(a: Point, b: Point) -> Point:
    """Return the point half way between two points [mm]."""
    return ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
