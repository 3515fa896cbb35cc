"""Where the part meets itself while a bend is made.

The two sides of a bend turn against each other by the law of bending. Which pieces meet hangs only
on the bends between them. Pieces whose stretches along the bend, or whose rings about it, do not
overlap can't meet; the others are tried with separating planes, over the whole stroke without
gaps, as in `sweep`.
"""

from __future__ import annotations

import numpy as np

from blankwright.bending.motion import Bools, Ints, Kind, Motions
from blankwright.bending.pairs import PairsInTable, PairsSeen, PairsSorted
from blankwright.bending.pool import Pool, spread
from blankwright.bending.shadows import unit
from blankwright.bending.sweep import play
from blankwright.bending.ways import Way
from blankwright.geom.pose import Array

_SURE = 0.01
"""As in `sweep`, for pieces against pieces [mm]."""

_CHUNK = 500

_MOST_IN_TABLE = 1 << 20
"""Pairs of slots up to so many are kept in a table."""


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
        paths = pool.lay.paths
        self._free = np.array(sorted(f for f in paths if not paths[f][1]), dtype=np.int64)
        self._held = np.array(sorted(f for f in paths if paths[f][1]), dtype=np.int64)
        self._pairs = self._known_pairs()

    def _known_pairs(self) -> PairsSeen:
        if self.pool.whole:
            numbers = np.zeros(self.pool.slots, dtype=np.int64)
            size = []
            for flats in (self._free, self._held):
                some = np.flatnonzero(np.isin(self.pool.flat_of, flats))
                numbers[some] = np.arange(len(some))
                size.append(len(some))
            if size[0] * size[1] <= _MOST_IN_TABLE:
                return PairsInTable(numbers, (size[0], size[1]))
        return PairsSorted()

    def blocked(self, slots: Ints) -> Bools:
        """Say for which states of the part it meets itself.

        Args:
            slots: slot of every flat in each state, as `Pool.slots_of` gives them; (flats, n)
        """
        n = slots.shape[1]
        if not n:
            return np.zeros(0, dtype=bool)
        shape = (len(self._free), len(self._held), n)
        a = np.broadcast_to(slots[self._free][:, None], shape).ravel()
        b = np.broadcast_to(slots[self._held][None], shape).ravel()
        new_a, new_b = self._pairs.unknown(a, b)
        if len(new_a):
            self._pairs.add(new_a, new_b, self._meet(new_a, new_b))
        met = self._pairs.meets(a, b).reshape(-1, n)
        return np.asarray(met.any(axis=0), dtype=bool)

    def _meet(self, a: Ints, b: Ints) -> Bools:
        """Say which slots of the free side meet slots of the held side."""
        pool, stroke = self.pool, self.way.stroke
        play = 1.6 * stroke.allowance + stroke.thickness
        hit = np.zeros(len(a), dtype=bool)
        pool.rows_of(np.concatenate((a, b)))
        pair = np.flatnonzero(_near(pool.box[a], pool.box[b], play))
        rows_a, count_a = pool.rows_of(a[pair]), pool.counts_of(a[pair])
        count_b = pool.counts_of(b[pair])
        first_b = pool.first_row_of(b[pair])
        # Each row of a slot with each row of the other one.
        own = np.repeat(np.arange(len(pair)), count_a)
        p = np.repeat(rows_a, count_b[own])
        q = spread(first_b[own], count_b[own])
        own = np.repeat(own, count_b[own])
        keep = ~(pool.near[p] & pool.near[q])
        p, q, own = p[keep], q[keep], own[keep]
        box = np.column_stack((pool.low[:, 0], pool.high[:, 0], pool.ring))
        keep = _near(box[p], box[q], play)
        p, q, own = p[keep], q[keep], own[keep]
        if len(p):
            met = turning_meet(pool.points[p], pool.points[q], self.way, self.slack)
            hit[pair[own[met]]] = True
        return hit


def _near(a: Array, b: Array, play: float) -> Bools:
    """Say where stretches along the bend and rings about it overlap; shapes (n, 4)."""
    result: Bools = (
        (a[:, 0] < b[:, 1])
        & (b[:, 0] < a[:, 1])
        & (a[:, 2] < b[:, 3] + play)
        & (b[:, 2] < a[:, 3] + play)
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
