"""Proof that a moving convex piece stays clear of a tool, or where it does not.

A tool's bodies run along x, and pieces move across it; so a piece meets a body where their
shadows on the (y, z) plane meet, the piece first cut to the body's stretch of x. That is exact:
the question is one of convex polygons that turn and shift in their plane.

The whole stroke is covered without gaps: for an interval of angles the gap at its middle, found
by separating directions, less the most that any point can move in half the interval, is a lower
bound for the gap in all of it. Intervals that this does not clear are halved.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from blankwright.bending.motion import Bools, Ints, Motions
from blankwright.geom.pose import Array

SLACK = 0.05
"""Running into a body by less than this is touching it [mm]."""

_SURE = 0.005
"""Intervals in which no point moves further than this are not halved again [mm]."""

_CHUNK = 6000
"""Rows worked on at a time, to keep arrays in the processor's cache."""


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Shadows:
    """Shadows of pieces on the plane across the bend.

    Args:
        points: corners and points inside, repeated to make up the number; shape (n, k, 2) [mm]
        normals: unit directions square to its sides, some nought; shape (n, d, 2)
    """

    points: Array
    normals: Array

    def take(self, rows: Ints) -> Shadows:
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
    return Shadows(points=points[:, :, 1:], normals=_square(edges[:, :, 1:]))


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
    ends = np.concatenate(
        (a + first[:, :, None] * (b - a), a + last[:, :, None] * (b - a)), axis=1
    )
    out = np.concatenate((outside, outside), axis=1)
    there = ~out.all(axis=1)
    # Points that are cut away are put on one that is kept.
    keep = np.argmin(out, axis=1)
    kept = ends[np.arange(len(ends)), keep][:, None, :]
    ends = np.where(out[:, :, None], kept, ends)
    side = np.roll(low, -1, axis=1) - low
    up = high - low
    flat = np.cross(side[:, 0], np.roll(low, 1, axis=1)[:, 0] - low[:, 0])
    faces = np.concatenate((np.cross(side, up), flat[:, None]), axis=1)
    edges = np.concatenate((side, up[:, [0, half // 2]]), axis=1)
    normals = np.concatenate((_square(edges[:, :, 1:]), unit(faces[:, :, 1:])), axis=1)
    return Shadows(points=ends[:, :, 1:], normals=normals), there


def swept(shadow: Shadows, way: Array) -> Shadows:
    """Return what shadows cover while each shifts straight along its way (y, z); (n, 2) [mm]."""
    points = np.concatenate((shadow.points, shadow.points + way[:, None]), axis=1)
    side = _square(way[:, None])
    return Shadows(points=points, normals=np.concatenate((shadow.normals, side), axis=1))


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Sections:
    """Convex sections of tool bodies.

    Args:
        points: corners, the last repeated; shape (n, m, 2) [mm]
        normals: outward; shape (n, m, 2) [-], nought for repeated corners
    """

    points: Array
    normals: Array

    @classmethod
    def of(cls, corners: list[Array]) -> Sections:
        """Build from counter-clockwise corners."""
        most = max(len(c) for c in corners)
        points = np.array([np.concatenate((c, np.repeat(c[-1:], most - len(c), 0))) for c in corners])
        return cls(points=points, normals=_square(np.roll(points, -1, axis=1) - points))


def gaps(shadow: Shadows, sections: Sections, body: Ints) -> Array:
    """Return gaps between shadows and sections, less than nought where they overlap.

    Where they overlap it is the least shift that would part them, less than nought, if all side
    directions are given, and more overlap if not; where they are apart it is no more than the gap.

    Args:
        shadow: n shadows
        sections: bodies
        body: the body of each; shape (n,)
    """
    p, q = shadow.points, sections.points[body]
    best = np.full(len(p), -np.inf)
    for normals in (shadow.normals, sections.normals[body]):
        on_p = np.matmul(normals, p.transpose(0, 2, 1))
        on_q = np.matmul(normals, q.transpose(0, 2, 1))
        gap = np.maximum(
            on_p.min(axis=2) - on_q.max(axis=2), on_q.min(axis=2) - on_p.max(axis=2)
        )
        none = (normals[:, :, 0] == 0) & (normals[:, :, 1] == 0)
        gap = np.where(none, -np.inf, gap)
        best = np.maximum(best, gap.max(axis=1))
    return best


def meets(
    shadow: Shadows,
    sections: Sections,
    body: Ints,
    motions: Motions,
    span: Array,
) -> tuple[Bools, Array, Array]:
    """Say which pieces meet their bodies anywhere in their motion.

    Args:
        shadow: n shadows at rest
        sections: bodies
        body: the body of each; shape (n,)
        motions: the motion of each
        span: the angle that each motion goes up to; shape (n,) [rad]

    Returns:
        Which meet, at what angle [rad], and how deep there [mm]; the angle is one of those found,
        not the first.
    """
    n = len(body)
    hit = np.zeros(n, dtype=bool)
    at, deep = np.zeros(n), np.zeros(n)
    for start in range(0, n, _CHUNK):
        rows = np.arange(start, min(n, start + _CHUNK))
        _meets(rows, shadow, sections, body, motions, span, (hit, at, deep))
    return hit, at, deep


def _meets(
    rows: Ints,
    shadow: Shadows,
    sections: Sections,
    body: Ints,
    motions: Motions,
    span: Array,
    out: tuple[Bools, Array, Array],
) -> None:
    hit, at, deep = out
    points = shadow.points[rows]
    middle = (points.min(axis=1) + points.max(axis=1)) / 2
    radius = np.sqrt(((points - middle[:, None]) ** 2).sum(axis=2).max(axis=1))
    far = np.sqrt((points**2).sum(axis=2).max(axis=1))
    speed = motions.speed(rows, far)
    q = sections.points[body[rows]]
    q_middle = (q.min(axis=1) + q.max(axis=1)) / 2
    q_radius = np.sqrt(((q - q_middle[:, None]) ** 2).sum(axis=2).max(axis=1))
    # Intervals to look at: which row (counted from the first of this chunk), from, to.
    todo = np.arange(len(rows))
    low, high = np.zeros(len(rows)), span[rows].copy()
    while len(todo):
        angle = (low + high) / 2
        reach = speed[todo] * (high - low) / 2
        cos, sin, dy, dz = motions.at(rows[todo], angle)
        y = cos * middle[todo, 0] - sin * middle[todo, 1] + dy
        z = sin * middle[todo, 0] + cos * middle[todo, 1] + dz
        apart = np.hypot(y - q_middle[todo, 0], z - q_middle[todo, 1])
        near = apart - radius[todo] - q_radius[todo] + SLACK <= reach
        if not near.any():
            return
        todo, low, high, angle, reach = (v[near] for v in (todo, low, high, angle, reach))
        cos, sin, dy, dz = (v[near] for v in (cos, sin, dy, dz))
        moved = _moved(shadow.take(rows[todo]), cos, sin, dy, dz)
        gap = gaps(moved, sections, body[rows[todo]])
        meets_now = gap < -SLACK
        stuck = ~meets_now & (gap + SLACK <= reach) & (2 * reach < _SURE)
        # Motion too small to halve: gap is within rounding of the slack; the safe word is "meets".
        met = meets_now | stuck | ((reach == 0) & (gap + SLACK <= 0))
        which = rows[todo[met]]
        order = np.argsort(-gap[met], kind="stable")
        hit[which] = True
        at[which[order]] = angle[met][order]
        deep[which[order]] = -gap[met][order]
        unclear = ~met & (gap + SLACK <= reach) & ~hit[rows[todo]]
        todo, low, high, angle = (v[unclear] for v in (todo, low, high, angle))
        todo = np.concatenate((todo, todo))
        low, high = np.concatenate((low, angle)), np.concatenate((angle, high))


def _moved(shadow: Shadows, cos: Array, sin: Array, dy: Array, dz: Array) -> Shadows:
    turn = np.empty((len(cos), 2, 2))
    turn[:, 0, 0], turn[:, 0, 1] = cos, sin
    turn[:, 1, 0], turn[:, 1, 1] = -sin, cos
    points = np.matmul(shadow.points, turn)
    points[:, :, 0] += dy[:, None]
    points[:, :, 1] += dz[:, None]
    return Shadows(points=points, normals=np.matmul(shadow.normals, turn))


def _square(edges: Array) -> Array:
    """Return unit vectors to the right of edges; nought for an edge of no length."""
    return unit(np.stack((edges[..., 1], -edges[..., 0]), axis=-1))


def unit(vectors: Array) -> Array:
    """Return unit vectors; nought for one of no length; shape (..., d)."""
    size = np.sqrt((vectors**2).sum(axis=-1, keepdims=True))
    result: Array = np.where(size > 1e-9, vectors / np.where(size > 1e-9, size, 1.0), 0.0)
    return result
