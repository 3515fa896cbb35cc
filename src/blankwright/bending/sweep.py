"""Proof that a moving convex piece stays clear of a tool, or where it does not.

A tool's bodies run along x, and pieces move across it; so a piece meets a body where their
shadows on the (y, z) plane meet, the piece first cut to the body's stretch of x. That is exact:
the question is one of convex polygons that turn and shift in their plane.

The whole stroke is covered without gaps: along a separating direction at the middle of an interval
of angles, each point less the most that it can move in half the interval gives a lower bound for
the gap in all of it. Intervals that no direction clears are halved.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import numpy as np

from blankwright.bending.motion import Bools, Ints, Kind, Motions
from blankwright.bending.shadows import Sections, Shadows
from blankwright.geom.pose import Array

SLACK = 0.05
"""Running into a body by less than this is touching it [mm]; see `play`."""

PLAY = (0.3, 0.3)
"""Sheet gives way by so much without harm: this share of its thickness, and at most [mm]. Far less
than the sheet is thick, so that nothing slips through. Common practice, no source."""


_SURE = 0.005
"""Intervals in which no point moves further than this are not halved again [mm]."""

_WORKERS = 2
"""Threads: numpy works outside Python's lock."""

_CHUNK = 1024
"""Rows worked on at a time, to keep arrays in the processor's cache."""


def play(thickness: float) -> float:
    """Return by how much sheet may run into something and count as touching it [mm].

    Args:
        thickness: of the sheet [mm]
    """
    return min(PLAY[0] * thickness, PLAY[1])


def gaps(shadow: Shadows, sections: Sections, body: Ints) -> Array:
    """Return gaps between shadows and sections, less than nought where they overlap.

    Where they overlap it is the least shift that would part them, less than nought, if all side
    directions are given, and more overlap if not; where they are apart it is no more than the gap.

    Args:
        shadow: n shadows
        sections: bodies
        body: the body of each; shape (n,)
    """
    p, q = _last(shadow.points), _last(sections.points[body])
    of_p = _part_by(_last(shadow.normals), p, q)
    return np.maximum(of_p, _over(_last(sections.normals[body]), sections.reach[body].T, p))


def meets(
    shadow: Shadows,
    sections: Sections,
    body: Ints,
    motions: Motions,
    span: Array,
    slack: float = SLACK,
) -> tuple[Bools, Array, Array]:
    """Say which pieces meet their bodies anywhere in their motion.

    Args:
        shadow: n shadows at rest
        sections: bodies
        body: the body of each; shape (n,)
        motions: the motion of each
        span: the angle that each motion goes up to; shape (n,) [rad]
        slack: running in by less than this is touching [mm]

    Returns:
        Which meet, at what angle [rad], and how deep there [mm]; the angle is one of those found,
        not the first.
    """
    n = len(body)
    out = (np.zeros(n, dtype=bool), np.zeros(n), np.zeros(n))

    at_rest = bool((motions.kind == Kind.REST).all())

    def work(start: int) -> None:
        if at_rest:
            part = slice(start, min(n, start + _CHUNK))
            gap = _gaps_at_rest(shadow, sections, body, part, slack)
            out[0][part] = gap + slack <= 0
            out[2][part] = -gap
            return
        rows = np.arange(start, min(n, start + _CHUNK))
        _Chunk(rows, shadow, sections, body, motions, span, slack).run(out)

    starts = range(0, n, _CHUNK)
    if len(starts) < 3:
        for start in starts:
            work(start)
    else:
        # Each chunk has rows of its own, so that the order they are done in doesn't matter.
        with ThreadPoolExecutor(_WORKERS) as pool:
            list(pool.map(work, starts))
    return out


def _gaps_at_rest(
    shadow: Shadows, sections: Sections, body: Ints, part: slice, slack: float
) -> Array:
    """Return gaps of rows that don't turn; those that a body's own sides show are lower bounds."""
    some = body[part]
    p = _last(shadow.points[part])
    gap = _over(_last(sections.normals[some]), np.ascontiguousarray(sections.reach[some].T), p)
    more = np.flatnonzero(gap + slack <= 0)
    if len(more):
        normals = _last(shadow.normals[part][more])
        gap[more] = np.maximum(
            gap[more], _part_by(normals, p[:, :, more], _last(sections.points[some[more]]))
        )
    return gap


class _Chunk:
    """Some rows, arrays laid so that the rows are last: that is what the processor likes."""

    def __init__(
        self,
        rows: Ints,
        shadow: Shadows,
        sections: Sections,
        body: Ints,
        motions: Motions,
        span: Array,
        slack: float,
    ) -> None:
        self.rows, self.motions, self.span, self.slack = rows, motions, span[rows], slack
        self.p, self.p_normals = _last(shadow.points[rows]), _last(shadow.normals[rows])
        self.q = _last(sections.points[body[rows]])
        self.q_normals = _last(sections.normals[body[rows]])
        self.q_reach = np.ascontiguousarray(sections.reach[body[rows]].T)
        self.middle, self.radius = _disc(self.p)
        self.q_middle, self.q_radius = _disc(self.q)
        self.speeds = motions.speeds(rows, np.sqrt((self.p**2).sum(axis=0)))
        self.speed = self.speeds.max(axis=0)

    def run(self, out: tuple[Bools, Array, Array]) -> None:
        """Halve intervals until each is clear or meets."""
        hit, at, deep = out
        # Intervals to look at: which row (counted from the first of this chunk), from, to.
        todo = np.arange(len(self.rows))
        low, high = np.zeros(len(todo)), self.span.copy()
        while len(todo):
            angle = (low + high) / 2
            reach = self.speed[todo] * (high - low) / 2
            place = self.motions.at(self.rows[todo], angle)
            moved = _moved(self.middle[:, todo], place) - self.q_middle[:, todo]
            apart = np.hypot(moved[0], moved[1]) - self.radius[todo] - self.q_radius[todo]
            near = np.flatnonzero(apart + self.slack <= reach)
            todo = todo[near]
            low, high, angle, reach = (v[near] for v in (low, high, angle, reach))
            if not len(todo):
                return
            half = (high - low) / 2
            sure, gap = self._gaps(todo, tuple(v[near] for v in place), half)
            clear = sure + self.slack > 0
            met = ~clear & ((gap < -self.slack) | (2 * reach < _SURE))
            which = self.rows[todo[met]]
            order = np.argsort(-gap[met], kind="stable")
            hit[which] = True
            at[which[order]] = angle[met][order]
            deep[which[order]] = -gap[met][order]
            unclear = ~met & ~clear & ~hit[self.rows[todo]]
            todo = np.tile(todo[unclear], 2)
            low, high, angle = (v[unclear] for v in (low, high, angle))
            low, high = np.concatenate((low, angle)), np.concatenate((angle, high))

    def _gaps(self, todo: Ints, place: tuple[Array, ...], half: Array) -> tuple[Array, Array]:
        """Return a lower bound of the gap in each whole interval, and the gap at its middle.

        The gap is worked out only where the bound does not clear the interval.
        """
        p, q = _moved(self.p[:, :, todo], place), self.q[:, :, todo]
        moves = self.speeds[:, todo] * half
        q_normals, q_reach = self.q_normals[:, :, todo], self.q_reach[:, todo]
        sure = _over(q_normals, q_reach, p, moves)
        gap = np.full(len(todo), np.inf)
        # The bodies' own sides part most of them; only for the others look along the pieces'.
        more = np.flatnonzero(sure + self.slack <= 0)
        if len(more):
            p, q, moves = p[:, :, more], q[:, :, more], moves[:, more]
            cos, sin = place[0][more], place[1][more]
            n = self.p_normals[:, :, todo[more]]
            normals = np.stack((cos * n[0] - sin * n[1], sin * n[0] + cos * n[1]))
            sure[more] = np.maximum(sure[more], _part_by(normals, p, q, moves))
            last = np.flatnonzero(sure[more] + self.slack <= 0)
            p, q = p[:, :, last], q[:, :, last]
            gap[more[last]] = np.maximum(
                _part_by(normals[:, :, last], p, q),
                _over(q_normals[:, :, more[last]], q_reach[:, more[last]], p),
            )
        return sure, gap


def _last(array: Array) -> Array:
    """Put the rows last: shape (n, k, 2) to (2, k, n)."""
    return np.ascontiguousarray(array.transpose(2, 1, 0))


def _disc(points: Array) -> tuple[Array, Array]:
    """Return middle and radius of a disc round each shape; points (2, k, n)."""
    middle = (points.min(axis=1) + points.max(axis=1)) / 2
    radius = np.sqrt(((points - middle[:, None]) ** 2).sum(axis=0).max(axis=0))
    return middle, radius


def _moved(points: Array, place: tuple[Array, ...]) -> Array:
    """Turn and shift points (2, ..., n)."""
    cos, sin, dy, dz = place
    return np.stack(
        (cos * points[0] - sin * points[1] + dy, sin * points[0] + cos * points[1] + dz)
    )


def _part_by(normals: Array, p: Array, q: Array, moves: Array | None = None) -> Array:
    """Return the widest gap that a normal shows; normals (2, d, n), shapes (2, k, n).

    With `moves`, shape (k, n), each point of p may be off by so much: the gap is that which is
    left all the same.
    """
    on_p = normals[0][:, None] * p[0][None] + normals[1][:, None] * p[1][None]
    on_q = normals[0][:, None] * q[0][None] + normals[1][:, None] * q[1][None]
    low, high = (on_p, on_p) if moves is None else (on_p - moves, on_p + moves)
    gap = np.maximum(low.min(axis=1) - on_q.max(axis=1), on_q.min(axis=1) - high.max(axis=1))
    none = (normals[0] == 0) & (normals[1] == 0)
    result: Array = np.where(none, -np.inf, gap).max(axis=0)
    return result


def _over(normals: Array, reach: Array, p: Array, moves: Array | None = None) -> Array:
    """Return by how much p lies outside the farthest of some sides, each of known reach (d, n)."""
    on_p = normals[0][:, None] * p[0][None] + normals[1][:, None] * p[1][None]
    if moves is not None:
        on_p -= moves
    result: Array = (on_p.min(axis=1) - reach).max(axis=0)
    return result
