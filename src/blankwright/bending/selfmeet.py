"""Where the part meets itself while a bend is made.

The two sides of a bend turn against each other by the law of bending. Which pieces meet hangs only
on the bends between them. Pieces whose stretches along the bend, or whose rings about it, do not
overlap can't meet; the others are tried with separating planes, over the whole stroke without
gaps, as in `sweep`.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np

from blankwright.bending.motion import Bools, Ints, Kind, Motions
from blankwright.bending.pool import Pool, PoolRows
from blankwright.bending.sweep import play, unit
from blankwright.bending.ways import Way
from blankwright.geom.pose import Array

_SURE = 0.01
"""As in `sweep`, for pieces against pieces [mm]."""

_CHUNK = 500


class SelfMeet:
    """Which slots of a bend's two sides meet, worked out when first asked for.

    Args:
        way: any way to make the bend; the tool does not matter
        pool: its pieces
    """

    def __init__(self, way: Way, pool: Pool) -> None:
        self.way = way
        self.pool = pool
        self.slack = play(way.stroke.thickness)
        self._bounds: _Bounds | None = None
        self._known: dict[tuple[int, int], _Pairs] = {}

    @cached_property
    def _sides(self) -> tuple[list[int], list[int]]:
        paths = self.pool.lay.paths
        free = [f for f in paths if not paths[f][1]]
        held = [f for f in paths if paths[f][1]]
        return sorted(free), sorted(held)

    def blocked(self, slots: Ints) -> Bools:
        """Say for which states of the part it meets itself.

        Args:
            slots: slot of every flat in each state, as `Pool.slots_of` gives them; (flats, n)
        """
        result = np.zeros(slots.shape[1], dtype=bool)
        if not slots.shape[1]:
            return result
        need = np.zeros(self.pool.slots, dtype=bool)
        need[slots.ravel()] = True
        rows = self.pool.rows(need)
        if self._bounds is None or self._bounds.rows is not rows:
            self._bounds = _Bounds(rows, self.pool.slots)
        free, held = self._sides
        pairs = [(f, h, self._pairs(f, h)) for f in free for h in held]
        asked: list[tuple[_Pairs, Ints, Ints]] = []
        for f, h, known in pairs:
            new = known.unknown(slots[f], slots[h])
            if len(new):
                asked.append((known, new >> _SHIFT, new & _LOW))
        if asked:
            self._learn(asked, rows, self._bounds)
        for f, h, known in pairs:
            result |= known.meets(slots[f], slots[h])
        return result

    def _pairs(self, free: int, held: int) -> _Pairs:
        if (free, held) not in self._known:
            self._known[free, held] = _Pairs()
        return self._known[free, held]

    def _learn(
        self, asked: list[tuple[_Pairs, Ints, Ints]], rows: PoolRows, bounds: _Bounds
    ) -> None:
        stroke = self.way.stroke
        play = 1.6 * stroke.allowance + stroke.thickness
        first, second, owner, at = [], [], [], []
        for n, (_, a, b) in enumerate(asked):
            near = np.flatnonzero(bounds.near(a, b, play))
            for k, s, t in zip(near.tolist(), a[near].tolist(), b[near].tolist(), strict=True):
                i, j = bounds.rows_of(s), bounds.rows_of(t)
                first.append(np.repeat(i, len(j)))
                second.append(np.tile(j, len(i)))
                owner.append(np.full(len(i) * len(j), n))
                at.append(np.full(len(i) * len(j), k))
        hits = [np.zeros(len(a), dtype=bool) for _, a, _ in asked]
        if first:
            p, q, own, row = (np.concatenate(v) for v in (first, second, owner, at))
            keep = ~(rows.near[p] & rows.near[q]) & bounds.rows_near(p, q, play)
            p, q, own, row = p[keep], q[keep], own[keep], row[keep]
            met = turning_meet(rows.points[p], rows.points[q], self.way, self.slack)
            for n, which in zip(own[met].tolist(), row[met].tolist(), strict=True):
                hits[n][which] = True
        for (pairs, a, b), hit in zip(asked, hits, strict=True):
            pairs.add((a << _SHIFT) | b, hit)


_SHIFT = 31
_LOW = (1 << _SHIFT) - 1
"""Two slots are packed in one number."""


class _Pairs:
    """What is known of pairs of slots of two flats."""

    def __init__(self) -> None:
        self.keys: Ints = np.empty(0, dtype=np.int64)
        self.hit: Bools = np.empty(0, dtype=bool)

    def unknown(self, a: Ints, b: Ints) -> Ints:
        """Return the pairs that aren't known yet, packed, each once."""
        keys: Ints = np.unique((a << _SHIFT) | b)
        if not len(self.keys):
            return keys
        at = np.minimum(np.searchsorted(self.keys, keys), len(self.keys) - 1)
        new: Ints = keys[self.keys[at] != keys]
        return new

    def add(self, keys: Ints, hit: Bools) -> None:
        """Remember pairs."""
        whole, known = np.append(self.keys, keys), np.append(self.hit, hit)
        order = np.argsort(whole, kind="stable")
        self.keys, self.hit = whole[order], known[order]

    def meets(self, a: Ints, b: Ints) -> Bools:
        """Say which known pairs meet."""
        if not self.hit.any():
            return np.zeros(len(a), dtype=bool)
        result: Bools = self.hit[np.searchsorted(self.keys, (a << _SHIFT) | b)]
        return result


class _Bounds:
    """Stretches along the bend and rings about it, of rows and of slots."""

    def __init__(self, rows: PoolRows, slots: int) -> None:
        self.rows = rows
        self.x0, self.x1 = rows.low[:, 0], rows.high[:, 0]
        self.near_ring, self.far_ring = rows.ring.T
        self._order = np.argsort(rows.slot, kind="stable")
        self._ends = np.searchsorted(rows.slot[self._order], np.arange(slots + 1))
        self._slot = np.empty((4, slots))
        self._slot[0::2], self._slot[1::2] = np.inf, -np.inf
        np.minimum.at(self._slot[0], rows.slot, self.x0)
        np.maximum.at(self._slot[1], rows.slot, self.x1)
        np.minimum.at(self._slot[2], rows.slot, self.near_ring)
        np.maximum.at(self._slot[3], rows.slot, self.far_ring)

    def rows_of(self, slot: int) -> Ints:
        return self._order[self._ends[slot] : self._ends[slot + 1]]

    def near(self, a: Ints, b: Ints, play: float) -> Bools:
        s = self._slot
        result: Bools = (
            (s[0, a] < s[1, b])
            & (s[0, b] < s[1, a])
            & (s[2, a] < s[3, b] + play)
            & (s[2, b] < s[3, a] + play)
        )
        return result

    def rows_near(self, i: Ints, j: Ints, play: float) -> Bools:
        result: Bools = (
            (self.x0[i] < self.x1[j])
            & (self.x0[j] < self.x1[i])
            & (self.near_ring[i] < self.far_ring[j] + play)
            & (self.near_ring[j] < self.far_ring[i] + play)
        )
        return result


def turning_meet(free: Array, held: Array, way: Way, slack: float) -> Bools:
    """Say which pieces of the free side meet which of the held side during the stroke.

    Args:
        free: pieces before the bend; shape (n, 2k, 3) [mm]
        held: the piece that each is held against; shape (n, 2k, 3) [mm]
        way: the bend
        slack: running in by less than this is touching [mm]
    """
    hit = np.zeros(len(free), dtype=bool)
    for start in range(0, len(free), _CHUNK):
        part = slice(start, start + _CHUNK)
        hit[part] = _turning_meet(free[part], held[part], way, slack)
    return hit


def _turning_meet(free: Array, held: Array, way: Way, slack: float) -> Bools:
    count = len(free)
    hit = np.zeros(count, dtype=bool)
    stroke = way.stroke
    numbers = np.array(
        [(stroke.allowance, stroke.k * stroke.thickness, stroke.thickness, 0.0, 1.0, 0.0, 0.0)]
    )
    motion = Motions(kind=np.array([int(Kind.SWING)]), numbers=numbers)
    middle = (free.min(axis=1) + free.max(axis=1)) / 2
    radius = np.sqrt(((free - middle[:, None]) ** 2).sum(axis=2).max(axis=1))
    other = (held.min(axis=1) + held.max(axis=1)) / 2
    other_radius = np.sqrt(((held - other[:, None]) ** 2).sum(axis=2).max(axis=1))
    far = np.sqrt((free[:, :, 1:] ** 2).sum(axis=2).max(axis=1))
    speed = motion.speeds(np.zeros(count, dtype=np.int64), far[None])[0]
    todo = np.arange(count)
    low, high = np.zeros(count), np.full(count, stroke.angle)
    while len(todo):
        angle = (low + high) / 2
        reach = speed[todo] * (high - low) / 2
        place = motion.at(np.zeros(len(todo), dtype=np.int64), angle)
        at = _moved(middle[todo, None], place)[:, 0]
        apart = np.sqrt(((at - other[todo]) ** 2).sum(axis=1)) - radius[todo] - other_radius[todo]
        near = apart + slack <= reach
        todo = todo[near]
        low, high, angle, reach = (v[near] for v in (low, high, angle, reach))
        if not len(todo):
            return hit
        gap = solid_gaps(_moved(free[todo], tuple(v[near] for v in place)), held[todo])
        met = (gap < -slack) | ((gap + slack <= reach) & (2 * reach < _SURE))
        hit[todo[met]] = True
        unclear = ~met & (gap + slack <= reach) & ~hit[todo]
        todo = np.tile(todo[unclear], 2)
        low, high, angle = (v[unclear] for v in (low, high, angle))
        low, high = np.concatenate((low, angle)), np.concatenate((angle, high))
    return hit


def _moved(points: Array, place: tuple[Array, ...]) -> Array:
    cos, sin, dy, dz = (v[:, None] for v in place)
    y, z = points[:, :, 1], points[:, :, 2]
    return np.stack((points[:, :, 0], cos * y - sin * z + dy, sin * y + cos * z + dz), axis=2)


def solid_gaps(a: Array, b: Array) -> Array:
    """Return gaps between convex pieces, less than nought where they overlap.

    The separating axis theorem: two convex solids are apart if a plane square to a face of either,
    or along an edge of both, parts them. Apart, the result is no more than the distance.

    Args:
        a: shape (n, 2k, 3) [mm]
        b: shape (n, 2k, 3) [mm]
    """
    faces_a, edges_a = _axes(a)
    faces_b, edges_b = _axes(b)
    crossed = np.cross(edges_a[:, :, None], edges_b[:, None]).reshape(len(a), -1, 3)
    # Nearly parallel edges give a direction that is all rounding: it may only be left out.
    size = np.sqrt((crossed**2).sum(axis=2, keepdims=True))
    crossed = np.where(size > 1e-5, crossed / np.where(size > 1e-5, size, 1.0), 0.0)
    best = np.full(len(a), -np.inf)
    for axes in (faces_a, faces_b, crossed):
        on_a = np.matmul(axes, a.transpose(0, 2, 1))
        on_b = np.matmul(axes, b.transpose(0, 2, 1))
        gap = np.maximum(on_a.min(axis=2) - on_b.max(axis=2), on_b.min(axis=2) - on_a.max(axis=2))
        none = (axes == 0).all(axis=2)
        best = np.maximum(best, np.where(none, -np.inf, gap).max(axis=1))
    return best


def _axes(points: Array) -> tuple[Array, Array]:
    """Return unit face normals and unit edge directions of pieces; shapes (n, m, 3)."""
    half = points.shape[1] // 2
    low, high = points[:, :half], points[:, half:]
    side = np.roll(low, -1, axis=1) - low
    up = high - low
    flat = np.cross(side[:, 0], low[:, half - 1] - low[:, 0])
    if half > 3:
        # The last corner may be a repeated one.
        flat = np.cross(side[:, 0], low[:, 2] - low[:, 0])
    faces = np.concatenate((np.cross(side, up), flat[:, None]), axis=1)
    edges = np.concatenate((side, up[:, [0, half // 2]]), axis=1)
    return unit(faces), unit(edges)
