"""Maps from a face in space to the blank, and a face's edges through them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from blankwright.develop.unfold.curve2d import edges_of
from blankwright.develop.unfold.model import CurveKind, SolidEdge, SolidFace
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.pose import Array
from blankwright.geom.vec import Point

Flatten = Callable[[Array], Array]
"""Points in space, shape (n, 3) [mm], to points on the blank, shape (n, 2) [mm]."""


@dataclass(frozen=True, eq=False)
class FlatFrame:
    """Where the plane of a flat lies on the blank.

    Args:
        origin: a point of the face side in space [mm]
        x: what the blank's x axis is in space [-]
        y: what the blank's y axis is in space [-]
        at: where the origin is on the blank [mm]
    """

    origin: Array
    x: Array
    y: Array
    at: Array

    @cached_property
    def normal(self) -> Array:
        """Outward normal of the face side [-]."""
        result: Array = np.cross(self.x, self.y)
        return result

    def __call__(self, points: Array) -> Array:
        """Return blank points [mm] of points in space, seen square to the flat."""
        d = points - self.origin
        return np.column_stack((d @ self.x, d @ self.y)) + self.at

    def vector(self, v: Array) -> Array:
        """Return the blank direction of a direction in space."""
        return np.array((v @ self.x, v @ self.y))


@dataclass(frozen=True, eq=False)
class BendFrame:
    """Where the strip of a bend lies on the blank.

    Args:
        center: a point of the axis in space, square beside the strip's origin [mm]
        along: the strip's x axis in space, along the bend [-]
        start: from the axis to the parent's tangent line [-]
        across: the strip's y axis at the parent's tangent line [-]
        angle: angle bent through [rad]
        allowance: width of the strip [mm]
        at: where the strip's origin is on the blank [mm]
        x: the strip's x axis on the blank [-]
        y: the strip's y axis on the blank [-]
    """

    center: Array
    along: Array
    start: Array
    across: Array
    angle: float
    allowance: float
    at: Array
    x: Array
    y: Array

    def turn(self, points: Array) -> Array:
        """Return how far round the axis points are, from the parent's tangent line [rad]."""
        d = points - self.center
        turn = np.arctan2(d @ self.across, d @ self.start)
        turn[turn < (self.angle - math.tau) / 2] += math.tau
        result: Array = turn
        return result

    def __call__(self, points: Array) -> Array:
        """Return blank points [mm] of points on the bend, seen along its radii."""
        along = (points - self.center) @ self.along
        across = self.turn(points) * (self.allowance / self.angle)
        return self.at + along[:, None] * self.x + across[:, None] * self.y


def flattened(edge: SolidEdge, flatten: Flatten, fit: float) -> list[Edge]:
    """Return a solid's edge on the blank as lines and arcs, the way it runs in the solid.

    Curves that are neither are fitted within `fit` [mm].
    """
    if isinstance(flatten, FlatFrame):
        if edge.kind is CurveKind.LINE:
            a, b = flatten(edge.points[[0, -1]])
            return [Line(_pair(a), _pair(b))]
        if edge.kind is CurveKind.CIRCLE:
            square = float(edge.axis @ flatten.normal)
            if abs(abs(square) - 1) < 1e-9:
                return [_flat_arc(edge, flatten, square)]
    elif isinstance(flatten, BendFrame):
        along = edge.kind is CurveKind.LINE
        across = (
            edge.kind is CurveKind.CIRCLE and abs(abs(float(edge.axis @ flatten.along)) - 1) < 1e-9
        )
        if along or (across and not edge.closed):
            a, b = flatten(edge.points[[0, -1]])
            return [Line(_pair(a), _pair(b))]
    return edges_of(lambda shares: flatten(edge.at(shares)), fit)


def _flat_arc(edge: SolidEdge, flatten: FlatFrame, square: float) -> Arc:
    (center,) = flatten(edge.center[None, :])
    points = flatten(edge.points) - center
    begin = math.atan2(points[0, 1], points[0, 0])
    if edge.closed:
        return Arc(_pair(center), edge.radius, begin, math.copysign(math.tau, square))
    turns = np.arctan2(points[:, 1], points[:, 0])
    steps = (np.diff(turns) * math.copysign(1.0, square)) % math.tau
    return Arc(_pair(center), edge.radius, begin, math.copysign(float(steps.sum()), square))


def loops_of(face: SolidFace, flatten: Flatten, fit: float) -> list[list[list[Edge]]]:
    """Return the loops of a face on the blank, for each edge its lines and arcs, either way.

    Curves that are neither are fitted within `fit` [mm].
    """
    return [[flattened(edge, flatten, fit) for edge in loop] for loop in face.loops]


def _pair(p: Array) -> Point:
    return (float(p[0]), float(p[1]))
