"""Rigid placements in space."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Point3 = tuple[float, float, float]
Array = NDArray[np.float64]


def cross3(a: Point3, b: Point3) -> Point3:
    """Return the cross product."""
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


def dot3(a: Point3, b: Point3) -> float:
    """Return the scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


@dataclass(frozen=True, slots=True)
class Pose:
    """A rigid placement: the axes and the origin of a moved frame, seen from the fixed one.

    Args:
        x: where the x axis goes [-]
        y: where the y axis goes [-]
        z: where the z axis goes [-]
        origin: where (0, 0, 0) goes [mm]
    """

    x: Point3 = (1.0, 0.0, 0.0)
    y: Point3 = (0.0, 1.0, 0.0)
    z: Point3 = (0.0, 0.0, 1.0)
    origin: Point3 = (0.0, 0.0, 0.0)

    @classmethod
    def turn(cls, point: Point3, axis: Point3, angle: float) -> Pose:
        """Turn by an angle [rad] about the line through a point [mm] along a unit axis [-]."""
        c, s = math.cos(angle), math.sin(angle)
        d = 1.0 - c
        ax, ay, az = axis
        pose = cls(
            (c + ax * ax * d, ay * ax * d + az * s, az * ax * d - ay * s),
            (ax * ay * d - az * s, c + ay * ay * d, az * ay * d + ax * s),
            (ax * az * d + ay * s, ay * az * d - ax * s, c + az * az * d),
        )
        moved = pose.vector(point)
        return cls(
            pose.x,
            pose.y,
            pose.z,
            (point[0] - moved[0], point[1] - moved[1], point[2] - moved[2]),
        )

    def __call__(self, p: Point3) -> Point3:
        """Place a point [mm]."""
        v = self.vector(p)
        o = self.origin
        return (v[0] + o[0], v[1] + o[1], v[2] + o[2])

    def vector(self, v: Point3) -> Point3:
        """Turn a direction; the shift does not apply."""
        a, b, c = v
        x, y, z = self.x, self.y, self.z
        return (
            x[0] * a + y[0] * b + z[0] * c,
            x[1] * a + y[1] * b + z[1] * c,
            x[2] * a + y[2] * b + z[2] * c,
        )

    def points(self, array: Array) -> Array:
        """Place many points at once: shape (n, 3) [mm] to shape (n, 3) [mm]."""
        result: Array = array @ np.array((self.x, self.y, self.z)) + np.array(self.origin)
        return result

    def then(self, other: Pose) -> Pose:
        """Return the placement that does this one first and `other` after it."""
        return Pose(
            other.vector(self.x),
            other.vector(self.y),
            other.vector(self.z),
            other(self.origin),
        )

    def inverse(self) -> Pose:
        """Return the placement that takes this one back."""
        x, y, z, o = self.x, self.y, self.z, self.origin
        return Pose(
            (x[0], y[0], z[0]),
            (x[1], y[1], z[1]),
            (x[2], y[2], z[2]),
            (-dot3(x, o), -dot3(y, o), -dot3(z, o)),
        )

    def matrix(self) -> Array:
        """Return the 4 × 4 matrix that places column vectors [-, last column mm]."""
        m = np.eye(4)
        m[:3, 0], m[:3, 1], m[:3, 2], m[:3, 3] = self.x, self.y, self.z, self.origin
        return m
