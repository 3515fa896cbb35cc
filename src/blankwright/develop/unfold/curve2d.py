"""Curves on the blank: points made into lines and arcs, exact where the curve is one."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from blankwright.geom import vec
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.pose import Array
from blankwright.geom.vec import Point

EXACT = 2e-7
"""A curve whose points are within this of a line or arc is that line or arc [mm]."""

FIT = 0.002
"""How far arcs may stand off a curve that is neither line nor arc [mm]."""

_DEEPEST = 12


def edges_of(curve: Callable[[Array], Array], fit: float = FIT) -> list[Edge]:
    """Return a curve on the blank as lines and arcs.

    Args:
        curve: blank points at shares 0…1, shape (n,) to shape (n, 2) [mm]
        fit: how far arcs may stand off a curve that is neither line nor arc [mm]
    """
    shares = np.linspace(0.0, 1.0, 25)
    points = curve(shares)
    exact = _one_edge(points, EXACT)
    if exact is not None:
        return [exact]
    if float(np.hypot(*(points[-1] - points[0]))) < 1e-6:
        halves = (0.0, 0.5), (0.5, 1.0)
        return [edge for a, b in halves for edge in _fitted(curve, a, b, fit, 1)]
    return _fitted(curve, 0.0, 1.0, fit, 0)


def _fitted(
    curve: Callable[[Array], Array], t0: float, t1: float, fit: float, depth: int
) -> list[Edge]:
    points = curve(np.linspace(t0, t1, 17))
    edge = _one_edge(points, EXACT) or _through_ends(points, fit)
    if edge is not None or depth >= _DEEPEST:
        return [edge or Line(_pair(points[0]), _pair(points[-1]))]
    middle = (t0 + t1) / 2
    return [
        *_fitted(curve, t0, middle, fit, depth + 1),
        *_fitted(curve, middle, t1, fit, depth + 1),
    ]


def _one_edge(points: Array, tolerance: float) -> Edge | None:
    """Return the line or arc that all points are on, or nothing."""
    a, b = points[0], points[-1]
    chord = b - a
    size = float(np.hypot(*chord))
    if size > 1e-6:
        off = np.abs(chord[0] * (points[:, 1] - a[1]) - chord[1] * (points[:, 0] - a[0])) / size
        along = (points - a) @ chord
        if off.max() <= tolerance and (np.diff(along) > 0).all():
            return Line(_pair(a), _pair(b))
    fitted = circle_through(points)
    if fitted is None:
        return None
    center, radius, off_circle = fitted
    if off_circle > tolerance:
        return None
    return _arc(points, center, radius)


def circle_through(points: Array) -> tuple[Point, float, float] | None:
    """Return the least-squares circle of points, centre, radius and worst slip [mm]."""
    base = points.mean(axis=0)
    p = points - base
    matrix = np.column_stack((p, np.ones(len(p))))
    solution, _, rank, _ = np.linalg.lstsq(matrix, (p**2).sum(axis=1), rcond=None)
    if rank < 3:
        return None
    center = solution[:2] / 2
    square = solution[2] + float(center @ center)
    if square <= 0 or square > 1e12:
        return None
    radius = math.sqrt(square)
    for _ in range(2):  # Gauss–Newton on the true distances
        d = p - center
        r = np.hypot(d[:, 0], d[:, 1])
        if r.min() < 1e-12:
            return None
        jacobian = np.column_stack((-d / r[:, None], -np.ones(len(p))))
        step, *_ = np.linalg.lstsq(jacobian, -(r - radius), rcond=None)
        center, radius = center + step[:2], radius + float(step[2])
    d = p - center
    off = float(np.abs(np.hypot(d[:, 0], d[:, 1]) - radius).max())
    return (float(base[0] + center[0]), float(base[1] + center[1])), radius, off


def _arc(points: Array, center: Point, radius: float) -> Arc | None:
    """Return the arc about a centre from the first point to the last, the way the points go."""
    angles = np.arctan2(points[:, 1] - center[1], points[:, 0] - center[0])
    steps = (np.diff(angles) + math.pi) % math.tau - math.pi
    if not ((steps > 0).all() or (steps < 0).all()):
        return None
    sweep = float(steps.sum())
    if float(np.hypot(*(points[-1] - points[0]))) < 1e-6:
        sweep = math.copysign(math.tau, sweep)
    if abs(sweep) > math.tau + 1e-9:
        return None
    return Arc(center, radius, float(angles[0]), sweep)


def _through_ends(points: Array, fit: float) -> Edge | None:
    """Return the arc (or line) through both ends and the middle, if it is near enough."""
    a, m, b = _pair(points[0]), _pair(points[len(points) // 2]), _pair(points[-1])
    u, v = vec.sub(m, a), vec.sub(b, a)
    size = vec.length(v)
    if size < 1e-9:
        return None
    bend = vec.cross(u, v)
    if abs(bend) / size < fit / 100:
        line = Line(a, b)
        off = max(line.distance(_pair(p)) for p in points)
        return line if off <= fit else None
    # Centre of the circle through three points.
    du, dv = vec.dot(u, u), vec.dot(v, v)
    center = vec.add(
        a,
        ((v[1] * du - u[1] * dv) / (2 * bend), (u[0] * dv - v[0] * du) / (2 * bend)),
    )
    radius = vec.distance(center, a)
    off = float(np.abs(np.hypot(points[:, 0] - center[0], points[:, 1] - center[1]) - radius).max())
    return _arc(points, center, radius) if off <= fit else None


def chained(groups: list[list[Edge]], bridge: float) -> list[Edge] | None:
    """Turn and close a chain of curves given in order but each either way round.

    Args:
        groups: for each curve the edges that it consists of, in order
        bridge: gaps up to this are closed by a line [mm]

    Returns:
        The edges, each beginning where the last ended, or nothing when a gap is wider.
    """
    groups = [group for group in groups if group]
    if not groups:
        return None
    if len(groups) > 1:
        first, second = groups[0], groups[1]
        if _gap(first[0].start, second) < _gap(first[-1].end, second):
            groups[0] = turned(first)
    chain = list(groups[0])
    for group in groups[1:]:
        last = chain[-1].end
        if vec.distance(last, group[-1].end) < vec.distance(last, group[0].start):
            group = turned(group)
        if not _bridged(chain, group[0].start, bridge):
            return None
        chain += group
    return chain if _bridged(chain, chain[0].start, bridge) else None


def turned(group: list[Edge]) -> list[Edge]:
    """Return edges travelled the other way."""
    return [edge.reversed() for edge in reversed(group)]


def _gap(p: Point, group: list[Edge]) -> float:
    return min(vec.distance(p, group[0].start), vec.distance(p, group[-1].end))


def _bridged(chain: list[Edge], to: Point, bridge: float) -> bool:
    last = chain[-1].end
    gap = vec.distance(last, to)
    if gap > 2e-6 and gap <= bridge:
        chain.append(Line(last, to))
    return gap <= bridge


def _pair(p: Array) -> Point:
    return (float(p[0]), float(p[1]))
