"""Cutting polygons into few convex pieces, and clipping those."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from blankwright.geom.pose import Array
from blankwright.geom.triangles import triangulate
from blankwright.geom.vec import Point

_FLAT = 1e-7
"""A corner that turns right by less than this still counts as convex [mm²]."""


def convex_pieces(corners: Sequence[Point]) -> list[Array]:
    """Cut a simple polygon into convex pieces, few but not fewest.

    Triangles are joined across shared sides while what comes out stays convex (the method of
    Hertel and Mehlhorn: at most four times the fewest).

    Args:
        corners: either way round [mm]

    Returns:
        Pieces, each of shape (n, 2), counter-clockwise [mm].
    """
    points, triangles = triangulate(list(corners))
    pieces = [[int(i) for i in triangle] for triangle in triangles]
    joined = True
    while joined:
        joined = False
        for a in range(len(pieces)):
            for b in range(a + 1, len(pieces)):
                both = _join(pieces[a], pieces[b], points)
                if both is not None:
                    pieces[a] = both
                    del pieces[b]
                    joined = True
                    break
            if joined:
                break
    return [points[_trim(piece, points)] for piece in pieces]


def clip(piece: Array, normal: Point, most: float) -> Array:
    """Return what of a convex polygon has n·p ≤ `most` [mm]; shape (m, 2), m may be 0."""
    n = np.asarray(normal)
    height = piece @ n - most
    kept: list[Array] = []
    for i in range(len(piece)):
        j = (i + 1) % len(piece)
        if height[i] <= 0:
            kept.append(piece[i])
        if (height[i] < 0 < height[j]) or (height[j] < 0 < height[i]):
            share = height[i] / (height[i] - height[j])
            kept.append(piece[i] + share * (piece[j] - piece[i]))
    return np.array(kept) if len(kept) > 2 else np.empty((0, 2))


def piece_area(piece: Array) -> float:
    """Return the area of a polygon [mm²]."""
    if len(piece) < 3:
        return 0.0
    x, y = piece[:, 0], piece[:, 1]
    return float(np.dot(x, np.roll(y, -1)) - np.dot(np.roll(x, -1), y)) / 2


def _join(a: list[int], b: list[int], points: Array) -> list[int] | None:
    for i in range(len(a)):
        u, v = a[i], a[(i + 1) % len(a)]
        if v not in b:
            continue
        j = b.index(v)
        if b[(j + 1) % len(b)] != u:
            continue
        # a runs u → v, b runs v → u: leave that side out.
        ring = a[i + 1 :] + a[: i + 1]
        rest = b[j + 1 :] + b[: j + 1]
        both = ring + rest[1:-1]
        return both if _is_convex(both, points) else None
    return None


def _is_convex(ring: list[int], points: Array) -> bool:
    p = points[ring]
    before, after = p - np.roll(p, 1, axis=0), np.roll(p, -1, axis=0) - p
    turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return bool((turn >= -_FLAT).all())


def _trim(ring: list[int], points: Array) -> list[int]:
    """Leave out corners that lie on a straight side."""
    kept = list(ring)
    i = 0
    while i < len(kept) and len(kept) > 3:
        a, b, c = (points[kept[(i + d) % len(kept)]] for d in (-1, 0, 1))
        turn = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
        if abs(turn) <= _FLAT:
            del kept[i]
        else:
            i += 1
    return kept
