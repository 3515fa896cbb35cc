"""Distances of many points from many edges at once."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from blankwright.geom.edges import Arc, Edge, Line

Array = NDArray[np.float64]


class Nearest:
    """Edges that points are held against.

    Args:
        edges: lines and arcs [mm]
    """

    def __init__(self, edges: Sequence[Edge]) -> None:
        lines = [edge for edge in edges if isinstance(edge, Line)]
        arcs = [edge for edge in edges if isinstance(edge, Arc)]
        self._a = np.array([line.start for line in lines]).reshape(-1, 2)
        self._d = np.array([line.end for line in lines]).reshape(-1, 2) - self._a
        self._dd = np.maximum((self._d**2).sum(axis=1), 1e-30)
        self._c = np.array([arc.center for arc in arcs]).reshape(-1, 2)
        self._r = np.array([arc.radius for arc in arcs])
        self._sweep = np.array([min(abs(arc.sweep), math.tau) for arc in arcs])
        self._begin = np.array(
            [arc.begin if arc.sweep >= 0 else arc.begin + arc.sweep for arc in arcs]
        )

    def __call__(self, points: Array) -> tuple[Array, Array]:
        """Return for points, shape (n, 2) [mm], their distances, shape (n,) [mm], and the nearest
        points on the edges, shape (n, 2) [mm]."""
        n = len(points)
        best = np.full(n, np.inf)
        foot = np.zeros((n, 2))
        if len(self._a):
            off = points[:, None, :] - self._a
            t = np.clip((off * self._d).sum(axis=2) / self._dd, 0.0, 1.0)
            on = self._a + t[..., None] * self._d
            self._take(points, on, best, foot)
        if len(self._c):
            off = points[:, None, :] - self._c
            angle = np.arctan2(off[..., 1], off[..., 0])
            past = (angle - self._begin) % math.tau
            # Beyond the arc the nearer of its ends counts.
            beyond = past > self._sweep
            nearer = np.where(past - self._sweep < math.tau - past, self._sweep, 0.0)
            past = np.where(beyond, nearer, past) + self._begin
            around = np.stack((np.cos(past), np.sin(past)), axis=2)
            self._take(points, self._c + self._r[:, None] * around, best, foot)
        return best, foot

    @staticmethod
    def _take(points: Array, on: Array, best: Array, foot: Array) -> None:
        away = np.hypot(*np.moveaxis(points[:, None, :] - on, 2, 0))
        which = away.argmin(axis=1)
        rows = np.arange(len(points))
        nearer = away[rows, which] < best
        best[nearer] = away[rows, which][nearer]
        foot[nearer] = on[rows, which][nearer]


def points_along(edges: Sequence[Edge], step: float) -> Array:
    """Return points along edges, about a step apart [mm], each edge's start and middle among them:
    shape (n, 2) [mm]."""
    points = []
    for edge in edges:
        n = max(2, math.ceil(edge.length / step))
        points += [edge.point(i / n) for i in range(n)]
    return np.array(points).reshape(-1, 2)
