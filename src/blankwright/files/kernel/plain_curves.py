"""Lines and circles among the free-form curves of a file."""

from __future__ import annotations

import math

import numpy as np

from blankwright.geom.pose import Array

TRUE = 1e-6
"""A curve whose points are within this of a line or circle is that [mm]."""


def is_straight(points: Array) -> bool:
    """Say whether points, shape (n, 3) [mm], lie along a line and never turn back."""
    d = points[-1] - points[0]
    size = float(np.linalg.norm(d))
    if size < 10 * TRUE:
        return False
    d = d / size
    along = (points - points[0]) @ d
    off = points - points[0] - np.outer(along, d)
    return bool(float(np.abs(off).max()) <= TRUE and (np.diff(along) > 0).all())


def circle_of(points: Array) -> tuple[Array, Array, float] | None:
    """Return centre [mm], axis [-] and radius [mm] of the circle that points lie on, or nothing.

    The points go counter-clockwise about the axis.
    """
    n = len(points)
    a, b, c = points[0], points[n // 3], points[2 * n // 3]
    u, v = b - a, c - a
    normal = np.cross(u, v)
    square = float(normal @ normal)
    if square < 1e-18 * max(1.0, float(u @ u) ** 2):
        return None
    to_center = np.cross(float(u @ u) * v - float(v @ v) * u, normal) / (2 * square)
    axis = normal / math.sqrt(square)
    center = a + to_center
    radius = float(np.linalg.norm(to_center))
    d = points - center
    off = np.abs(np.linalg.norm(d - np.outer(d @ axis, axis), axis=1) - radius)
    if float(off.max()) > TRUE or float(np.abs(d @ axis).max()) > TRUE or radius > 1e6:
        return None
    x = (a - center) / radius
    turn = np.unwrap(np.arctan2(d @ np.cross(axis, x), d @ x))
    if not (np.diff(turn) > 0).all():
        return None
    return center, axis, radius
