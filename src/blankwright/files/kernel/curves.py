"""Curves on bends: blank edges wrapped on a cylinder, and their images in its (u, v) plane.

On the cylinder's (u, v) plane, u the turn and v along the axis, a blank line is a line and a blank
arc an ellipse: these are exact. In space they are a helix and the like, which no exchange format
has; they are written as splines of degree 5 through points with first and second derivatives, as
many as keep within `FIT` of the true curve.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from OCP.collections import Array1_double, Array1_gp_Pnt, Array1_gp_Pnt2d, Array1_int, Array2_gp_Pnt
from OCP.Geom import Geom_BSplineCurve, Geom_BSplineSurface
from OCP.Geom2d import Geom2d_BSplineCurve, Geom2d_Curve, Geom2d_Ellipse, Geom2d_Line
from OCP.gp import gp_Ax22d, gp_Dir2d, gp_Pnt, gp_Pnt2d

from blankwright.develop.formed import BendShape
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.pose import Array, Pose
from blankwright.geom.vec import Point

FIT = 1e-8
"""How far a spline may stand off the curve it stands for [mm]; a tenth of the kernel's own."""


@dataclass(frozen=True, slots=True)
class Spline:
    """A spline of degree 5 in space: poles shape (n, 3) [mm], knots with their multiplicities."""

    poles: Array
    knots: list[float]
    multiplicities: list[int]

    def curve(self) -> Geom_BSplineCurve:
        """Return it as a kernel curve."""
        return Geom_BSplineCurve(
            _points(self.poles), _doubles(self.knots), _ints(self.multiplicities), 5
        )

    def on_axis(self, pose: Pose, height: float) -> Spline:
        """Return its foot on the axis of the bend: the line y = 0, z = height of the frame."""
        local = pose.inverse().points(self.poles)
        local[:, 1], local[:, 2] = 0.0, height
        return Spline(pose.points(local), self.knots, self.multiplicities)


@dataclass(frozen=True, slots=True)
class Wrapped:
    """A blank edge, travelled with growing parameter, on the cylinder of a bend.

    Args:
        shape: the bend in space
        thickness: [mm]
        edge: a line, or an arc with a positive sweep, in the strip's frame
    """

    shape: BendShape
    thickness: float
    edge: Edge

    @property
    def turn(self) -> float:
        """Turn per length across the strip [rad/mm]."""
        return self.shape.angle / self.shape.bend.allowance

    @property
    def v_sense(self) -> float:
        """1 where v runs along x of the strip, −1 where against it."""
        return 1.0 if self.shape.bend.up else -1.0

    def uv(self, p: Point) -> Point:
        """Return (u, v) [rad, mm] of a strip point [mm]."""
        return (p[1] * self.turn, p[0] * self.v_sense)

    @property
    def span(self) -> tuple[float, float]:
        """Parameter at the start and at the end [-]."""
        if isinstance(self.edge, Arc):
            shift = 0.0 if self.turn <= 1.0 else -math.pi / 2
            return (self.edge.begin + shift, self.edge.begin + self.edge.sweep + shift)
        a, b = self.uv(self.edge.start), self.uv(self.edge.end)
        return (0.0, math.hypot(b[0] - a[0], b[1] - a[1]))

    def image(self) -> Geom2d_Curve:
        """Return the exact curve in (u, v), with the parameter of `span`."""
        if isinstance(self.edge, Line):
            return line_2d(self.uv(self.edge.start), self.uv(self.edge.end), self.span)
        u, v = self.uv(self.edge.center)
        r, s = self.edge.radius, self.v_sense
        if self.turn <= 1.0:
            axes = gp_Ax22d(gp_Pnt2d(u, v), gp_Dir2d(0.0, s), gp_Dir2d(1.0, 0.0))
            return Geom2d_Ellipse(axes, r, r * self.turn)
        axes = gp_Ax22d(gp_Pnt2d(u, v), gp_Dir2d(1.0, 0.0), gp_Dir2d(0.0, -s))
        return Geom2d_Ellipse(axes, r * self.turn, r)

    def spline(self, z: float) -> Spline:
        """Return the curve in space at a height over the back face [mm].

        Its knots are those that the outer face needs, so that both faces' curves share them.
        """
        t0, t1 = self.span
        outer = 0.0 if self.shape.bend.up else self.thickness
        n = max(1, math.ceil(abs(self._swing()) / 0.2))
        while n < 2000:
            knots = np.linspace(t0, t1, n + 1)
            middle = self._derivatives((knots[1:] + knots[:-1]) / 2, outer)[0]
            off = _at_half(self._bezier(knots, outer)) - middle
            if float(np.sqrt((off**2).sum(axis=1)).max()) <= FIT:
                break
            n *= 2
        knots = np.linspace(t0, t1, n + 1)
        poles = self._bezier(knots, z)
        return Spline(
            self.shape.place.points(_c2_poles(poles, knots)),
            [float(k) for k in knots],
            [6, *[3] * (n - 1), 6],
        )

    def _swing(self) -> float:
        if isinstance(self.edge, Arc):
            return self.edge.sweep
        return abs(self.edge.end[1] - self.edge.start[1]) * self.turn

    def _derivatives(self, t: Array, z: float) -> tuple[Array, Array, Array]:
        """Return points, first and second derivatives in the strip's bent frame."""
        t0, t1 = self.span
        if isinstance(self.edge, Arc):
            a = t - t0 + self.edge.begin
            (cx, cy), r = self.edge.center, self.edge.radius
            x, x1, x2 = cx + r * np.cos(a), -r * np.sin(a), -r * np.cos(a)
            y, y1, y2 = cy + r * np.sin(a), r * np.cos(a), -r * np.sin(a)
        else:
            (ax, ay), (bx, by) = self.edge.start, self.edge.end
            s = (t - t0) / (t1 - t0)
            x1, y1 = np.full_like(t, (bx - ax) / (t1 - t0)), np.full_like(t, (by - ay) / (t1 - t0))
            x, y, x2, y2 = ax + (bx - ax) * s, ay + (by - ay) * s, 0 * t, 0 * t
        height = self.shape.axis_height(self.thickness)
        r = height - z
        q, w = abs(r), self.turn
        p, p1, p2 = w * y, w * y1, w * y2
        sin, cos = np.sin(p), np.cos(p)
        return (
            np.column_stack((x, q * sin, height - r * cos)),
            np.column_stack((x1, q * cos * p1, r * sin * p1)),
            np.column_stack((x2, q * (cos * p2 - sin * p1 * p1), r * (sin * p2 + cos * p1 * p1))),
        )

    def _bezier(self, knots: Array, z: float) -> Array:
        """Return the Bézier poles of each stretch, shape (n, 6, 3)."""
        p, d, dd = self._derivatives(knots, z)
        h = np.diff(knots)[:, None]
        a, b = slice(None, -1), slice(1, None)
        return np.stack(
            (
                p[a],
                p[a] + d[a] * h / 5,
                p[a] + 2 * d[a] * h / 5 + dd[a] * h * h / 20,
                p[b] - 2 * d[b] * h / 5 + dd[b] * h * h / 20,
                p[b] - d[b] * h / 5,
                p[b],
            ),
            axis=1,
        )


def _at_half(poles: Array) -> Array:
    weights = np.array((1, 5, 10, 10, 5, 1)) / 32
    result: Array = np.einsum("k,nkd->nd", weights, poles)
    return result


def _c2_poles(bezier: Array, knots: Array) -> Array:
    """Return the poles of the spline with triple inner knots: blossoms at five knots in a row."""
    rows = [*bezier[0, :4]]
    for i in range(len(bezier) - 1):
        left, right = bezier[i], bezier[i + 1]
        ratio = (knots[i + 2] - knots[i]) / (knots[i + 1] - knots[i])
        rows += [left[3] + (left[4] - left[3]) * ratio, right[2], right[3]]
    rows += [bezier[-1, 4], bezier[-1, 5]]
    return np.array(rows)


def ruled(low: Spline, high: Spline, height: float) -> Geom_BSplineSurface:
    """Return the ruled surface between two splines with the same knots; v from 0 to height [mm]."""
    n = len(low.poles)
    poles = Array2_gp_Pnt(1, n, 1, 2)
    for i in range(n):
        poles.SetValue(i + 1, 1, gp_Pnt(*map(float, low.poles[i])))
        poles.SetValue(i + 1, 2, gp_Pnt(*map(float, high.poles[i])))
    return Geom_BSplineSurface(
        poles,
        _doubles(low.knots),
        _doubles([0.0, height]),
        _ints(low.multiplicities),
        _ints([2, 2]),
        5,
        1,
    )


def line_2d(a: Point, b: Point, span: tuple[float, float]) -> Geom2d_Curve:
    """Return the straight curve in (u, v) from a to b with a stated parameter span."""
    du, dv = b[0] - a[0], b[1] - a[1]
    size = math.hypot(du, dv)
    t0, t1 = span
    if abs(size - (t1 - t0)) <= 1e-12 * max(1.0, size):
        start = gp_Pnt2d(a[0] - du / size * t0, a[1] - dv / size * t0)
        return Geom2d_Line(start, gp_Dir2d(du, dv))
    return polyline_2d([a, b], [t0, t1])


def polyline_2d(points: list[Point], knots: list[float]) -> Geom2d_BSplineCurve:
    """Return the broken line in (u, v) through points at stated parameters."""
    poles = Array1_gp_Pnt2d(1, len(points))
    for i, p in enumerate(points):
        poles.SetValue(i + 1, gp_Pnt2d(*p))
    multiplicities = [2, *[1] * (len(points) - 2), 2]
    return Geom2d_BSplineCurve(poles, _doubles(knots), _ints(multiplicities), 1)


def _points(array: Array) -> Array1_gp_Pnt:
    result = Array1_gp_Pnt(1, len(array))
    for i, row in enumerate(array):
        result.SetValue(i + 1, gp_Pnt(float(row[0]), float(row[1]), float(row[2])))
    return result


def _doubles(values: list[float]) -> Array1_double:
    result = Array1_double(1, len(values))
    for i, value in enumerate(values):
        result.SetValue(i + 1, float(value))
    return result


def _ints(values: list[int]) -> Array1_int:
    result = Array1_int(1, len(values))
    for i, value in enumerate(values):
        result.SetValue(i + 1, value)
    return result
