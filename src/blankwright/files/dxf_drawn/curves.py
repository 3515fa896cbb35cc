"""Drawn curves as lines and arcs: circles and straight splines exact, others within a tolerance."""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np

from blankwright.develop.unfold.curve2d import edges_of
from blankwright.geom.edges import Edge
from blankwright.geom.pose import Array


def ellipse_edges(
    center: Array, major: Array, minor: Array, start: float, end: float, fit: float
) -> list[Edge]:
    """Return an ellipse, or a stretch of one, as arcs.

    Args:
        center: shape (2,) [mm]
        major: half the long axis, shape (2,) [mm]
        minor: half the short axis, shape (2,) [mm]
        start: where it begins, parameter of the ellipse [rad]
        end: where it ends [rad]
        fit: how far arcs may stand off it [mm]
    """
    if end <= start + 1e-12:
        end += math.tau
    edges: list[Edge] = []
    # Cut at the ends of the axes, so that what is symmetric stays so.
    marks = [start]
    quarter = math.pi / 2
    k = math.floor(start / quarter + 1e-9) + 1
    while k * quarter < end - 1e-9:
        marks.append(k * quarter)
        k += 1
    marks.append(end)
    if abs(math.hypot(*major) - math.hypot(*minor)) < 1e-9 * math.hypot(*major):
        marks = [start, end]
    for a, b in itertools.pairwise(marks):

        def curve(shares: Array, a: float = a, b: float = b) -> Array:
            t = (a + (b - a) * shares)[:, None]
            result: Array = center + np.cos(t) * major + np.sin(t) * minor
            return result

        edges.extend(edges_of(curve, fit))
    return edges


def spline_edges(spline: Any, scale: float, fit: float) -> list[Edge]:
    """Return a B-spline of ezdxf as lines and arcs, piece by piece between its corners.

    Args:
        spline: an `ezdxf.math.BSpline`
        scale: one unit of the drawing [mm]
        fit: how far arcs may stand off it [mm]
    """
    knots = sorted(set(spline.knots()))
    low, high = knots[0], knots[-1]
    order = spline.order
    counted = list(spline.knots())
    # A knot as often as the degree lets the curve turn a corner there: a piece ends.
    marks = [low]
    marks += [
        k for k in knots[1:-1] if sum(abs(k - other) < 1e-12 for other in counted) >= order - 1
    ]
    marks.append(high)
    edges: list[Edge] = []
    for a, b in itertools.pairwise(marks):

        def curve(shares: Array, a: float = a, b: float = b) -> Array:
            inside = np.clip(a + (b - a) * shares, low, high)
            return np.array([(p.x, p.y) for p in spline.points(inside)]) * scale

        edges.extend(edges_of(curve, fit))
    return edges
