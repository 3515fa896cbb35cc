"""Placements in space as rows: x, y, z [mm], and a unit quaternion w, x, y, z [-]."""

from __future__ import annotations

import math

import numpy as np

from blankwright.fit.convolution import Array
from blankwright.geom.pose import Pose


def state_of(place: Array, q: Array) -> Array:
    """Return the row of a placement from its place [mm] and quaternion [-]."""
    return np.concatenate((place, q))


def angle_between(p: Array, q: Array) -> float:
    """Return the angle between two turns given as quaternions [rad]."""
    return 2.0 * math.acos(min(1.0, abs(float(p @ q))))


def between(a: Array, b: Array, t: float) -> Array:
    """Return the placement at a share of the straight move between two, turning evenly."""
    p, q = a[3:], b[3:]
    dot = float(p @ q)
    if dot < 0:
        q, dot = -q, -dot
    if dot > 1 - 1e-10:
        turn = p + (q - p) * t
    else:
        angle = math.acos(min(1.0, dot))
        turn = (math.sin((1 - t) * angle) * p + math.sin(t * angle) * q) / math.sin(angle)
    return state_of(a[:3] + (b[:3] - a[:3]) * t, turn / np.linalg.norm(turn))


def as_pose(q: Array) -> Pose:
    """Return the turn of a quaternion about the origin."""
    w, x, y, z = (float(v) for v in q)
    return Pose(
        (1 - 2 * (y * y + z * z), 2 * (x * y + z * w), 2 * (x * z - y * w)),
        (2 * (x * y - z * w), 1 - 2 * (x * x + z * z), 2 * (y * z + x * w)),
        (2 * (x * z + y * w), 2 * (y * z - x * w), 1 - 2 * (x * x + y * y)),
    )


def small_turn(v: Array) -> Array:
    """Return the quaternion of a turn about a vector by its length [rad]."""
    angle = float(np.linalg.norm(v))
    if angle < 1e-12:
        return np.array((1.0, 0.0, 0.0, 0.0))
    return np.array((math.cos(angle / 2), *(v / angle * math.sin(angle / 2))))


def times(p: Array, q: Array) -> Array:
    """Return the turn q followed by the turn p."""
    a, b, c, d = p
    e, f, g, h = q
    return np.array(
        (
            a * e - b * f - c * g - d * h,
            a * f + b * e + c * h - d * g,
            a * g - b * h + c * e + d * f,
            a * h + b * g - c * f + d * e,
        )
    )
