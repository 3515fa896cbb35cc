"""Shadows of pieces, and sections of tools, on the plane across the bend."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from blankwright.bending.motion import Bools, Ints
from blankwright.geom.pose import Array


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Shadows:
    """Shadows of pieces on the plane across the bend.

    Args:
        points: corners and points inside, repeated to make up the number; shape (n, k, 2) [mm]
        normals: unit directions square to its sides, some nought; shape (n, d, 2)
    """

    points: Array
    normals: Array

    def take(self, rows: Ints | Bools) -> Shadows:
        """Return some of them."""
        return Shadows(points=self.points[rows], normals=self.normals[rows])


def shadows(points: Array) -> Shadows:
    """Return the shadows of whole pieces.

    Args:
        points: shape (n, 2m, 3), as `pieces.Piece` has them [mm]
    """
    half = points.shape[1] // 2
    low = points[:, :half]
    edges = np.concatenate(
        (
            np.roll(low, -1, axis=1) - low,
            points[:, half:][:, [0, half // 2]] - low[:, [0, half // 2]],
        ),
        axis=1,
    )
    return Shadows(points=points[:, :, 1:], normals=square(edges[:, :, 1:]))


def cut_shadows(points: Array, least: Array, most: Array) -> tuple[Shadows, Bools]:
    """Return the shadows of what pieces have in a stretch of x, and which have anything there.

    Args:
        points: shape (n, 2m, 3) [mm]
        least: where the stretch begins; shape (n,) [mm]
        most: where it ends; shape (n,) [mm]
    """
    half = points.shape[1] // 2
    low, high = points[:, :half], points[:, half:]
    a = np.concatenate((low, high, low), axis=1)
    b = np.concatenate((np.roll(low, -1, axis=1), np.roll(high, -1, axis=1), high), axis=1)
    xa, dx = a[:, :, 0], b[:, :, 0] - a[:, :, 0]
    along = np.abs(dx) > 1e-9
    safe = np.where(along, dx, 1.0)
    s0, s1 = (least[:, None] - xa) / safe, (most[:, None] - xa) / safe
    outside = ~along & ((xa < least[:, None]) | (xa > most[:, None]))
    first = np.where(along, np.clip(np.minimum(s0, s1), 0.0, 1.0), 0.0)
    last = np.where(along, np.clip(np.maximum(s0, s1), 0.0, 1.0), 1.0)
    outside |= along & ((np.minimum(s0, s1) > 1) | (np.maximum(s0, s1) < 0))
    ends = np.concatenate((a + first[:, :, None] * (b - a), a + last[:, :, None] * (b - a)), axis=1)
    out = np.concatenate((outside, outside), axis=1)
    there: Bools = np.logical_not(out.all(axis=1))
    # Points that are cut away are put on one that is kept.
    keep = np.argmin(out, axis=1)
    kept = ends[np.arange(len(ends)), keep][:, None, :]
    ends = np.where(out[:, :, None], kept, ends)
    side = np.roll(low, -1, axis=1) - low
    up = high - low
    flat = np.cross(side[:, 0], np.roll(low, 1, axis=1)[:, 0] - low[:, 0])
    faces = np.concatenate((np.cross(side, up), flat[:, None]), axis=1)
    edges = np.concatenate((side, up[:, [0, half // 2]]), axis=1)
    normals = np.concatenate((square(edges[:, :, 1:]), unit(faces[:, :, 1:])), axis=1)
    return Shadows(points=ends[:, :, 1:], normals=normals), there


def swept(shadow: Shadows, way: Array) -> Shadows:
    """Return what shadows cover while each shifts straight along its way (y, z); (n, 2) [mm]."""
    points = np.concatenate((shadow.points, shadow.points + way[:, None]), axis=1)
    side = square(way[:, None])
    return Shadows(points=points, normals=np.concatenate((shadow.normals, side), axis=1))


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Sections:
    """Convex sections of tool bodies.

    Args:
        points: corners, the last repeated; shape (n, m, 2) [mm]
        normals: outward; shape (n, m, 2) [-], nought for repeated corners
        reach: how far each section reaches along each of its normals; shape (n, m) [mm],
            infinite for repeated corners
    """

    points: Array
    normals: Array
    reach: Array

    @classmethod
    def of(cls, corners: list[Array]) -> Sections:
        """Build from counter-clockwise corners."""
        most = max(len(c) for c in corners)
        points = np.array(
            [np.concatenate((c, np.repeat(c[-1:], most - len(c), 0))) for c in corners]
        )
        normals = square(np.roll(points, -1, axis=1) - points)
        reach = np.matmul(normals, points.transpose(0, 2, 1)).max(axis=2)
        reach[(normals == 0).all(axis=2)] = np.inf
        return cls(points=points, normals=normals, reach=reach)


def square(edges: Array) -> Array:
    """Return unit vectors to the right of edges; nought for an edge of no length."""
    return unit(np.stack((edges[..., 1], -edges[..., 0]), axis=-1))


def unit(vectors: Array) -> Array:
    """Return unit vectors; nought for one of no length; shape (..., d)."""
    size = np.sqrt((vectors**2).sum(axis=-1, keepdims=True))
    result: Array = np.where(size > 1e-9, vectors / np.where(size > 1e-9, size, 1.0), 0.0)
    return result
