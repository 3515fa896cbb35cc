"""Cutting polygons into few convex pieces, and clipping those."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

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
    pieces = {n: [int(i) for i in triangle] for n, triangle in enumerate(triangles)}
    owner = {side: n for n, piece in pieces.items() for side in _sides(piece)}
    joined = True
    while joined:
        joined = False
        for u, v in list(owner):
            a, b = owner.get((u, v)), owner.get((v, u))
            if a is None or b is None or a == b:
                continue
            both = _join(pieces[a], pieces[b], u, v)
            if not _is_convex(both, points):
                continue
            del owner[u, v], owner[v, u], pieces[b]
            pieces[a] = both
            owner.update((side, a) for side in _sides(both))
            joined = True
    return [points[_trim(piece, points)] for piece in pieces.values()]


def _sides(piece: list[int]) -> Iterator[tuple[int, int]]:
    return zip(piece, (*piece[1:], piece[0]), strict=True)


def clip(piece: Array, normal: Point, most: float) -> Array:
    """Return what of a convex polygon has n·p ≤ `most` [mm]; shape (m, 2), m may be 0."""
    nx, ny = float(normal[0]), float(normal[1])
    points = [(float(x), float(y)) for x, y in piece]
    height = [nx * x + ny * y - most for x, y in points]
    if all(h <= 0 for h in height):
        return piece
    kept: list[Point] = []
    for i, (x, y) in enumerate(points):
        j = (i + 1) % len(points)
        h, g = height[i], height[j]
        if h <= 0:
            kept.append((x, y))
        if (h < 0 < g) or (g < 0 < h):
            share = h / (h - g)
            kept.append((x + share * (points[j][0] - x), y + share * (points[j][1] - y)))
    return np.array(kept) if len(kept) > 2 else np.empty((0, 2))


def piece_area(piece: Array) -> float:
    """Return the area of a polygon [mm²]."""
    if len(piece) < 3:
        return 0.0
    x, y = piece[:, 0], piece[:, 1]
    return float(np.dot(x, np.roll(y, -1)) - np.dot(np.roll(x, -1), y)) / 2


def _join(a: list[int], b: list[int], u: int, v: int) -> list[int]:
    """Return two rings as one without the side that a runs from u to v, and b back."""
    i = a.index(v)
    j = b.index(u)
    return [*a[i:], *a[:i], *b[j + 1 :], *b[:j]][: len(a) + len(b) - 2]


def _is_convex(ring: list[int], points: Array) -> bool:
    xs = [(float(points[i][0]), float(points[i][1])) for i in ring]
    for (ax, ay), (bx, by), (cx, cy) in zip((xs[-1], *xs[:-1]), xs, (*xs[1:], xs[0]), strict=True):
        if (bx - ax) * (cy - by) - (by - ay) * (cx - bx) < -_FLAT:
            return False
    return True


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
