"""The pieces of a part as they lie in a tool, for each state that has been asked for."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from blankwright.bending.grown import Grown
from blankwright.bending.lay import Lay
from blankwright.bending.motion import Bools, Ints
from blankwright.bending.pool_entries import Entries, entries_of, sides_of
from blankwright.bending.trials import finished
from blankwright.bending.ways import Way
from blankwright.geom.pose import Array

_WHOLE = 10
"""Flats with so many bends in their path have a slot for each state from the start; others have
slots for those states that come up: there would be too many."""


class Pool:
    """The pieces in one lay.

    A *slot* stands for one flat (with the bends and bends' pieces that go with it) in one state of
    the bends between it and the bend being made. A *row* is one piece in one slot; a slot's rows
    follow one another.

    Args:
        lay: how the part lies
    """

    def __init__(self, lay: Lay) -> None:
        self.lay = lay
        self.bits = [len(lay.paths[f][2]) for f in range(len(lay.tree.names))]
        """Number of bends in the path of each flat."""
        self._flat, self._code, self._inner, self._depth = (Grown(dtype=np.int64) for _ in range(4))
        self._pose = Grown((4, 4))
        self._first_row, self._row_count = Grown(dtype=np.int64), Grown(dtype=np.int64)
        self._corners = 2 * sides_of(lay)
        self._points = Grown((self._corners, 3))
        self._row_slot, self._place = Grown(dtype=np.int64), Grown(dtype=np.int64)
        self._held, self._near = Grown(dtype=bool), Grown(dtype=bool)
        self._low, self._high, self._ring = Grown((3,)), Grown((3,)), Grown((2,))
        self._finished: dict[float, tuple[Grown, Grown, Grown]] = {}
        self._box = Grown((4,))
        self._start: dict[int, int] = {}
        self._later: dict[int, dict[int, int]] = {}
        for flat in self.by_depth:
            if self.bits[flat] <= _WHOLE:
                self._start[flat] = self.slots
                codes = np.arange(1 << self.bits[flat], dtype=np.int64)
                before = self._before[flat]
                low = codes & ((1 << max(0, self.bits[flat] - 1)) - 1)
                self._add(flat, codes, low + self._start[before] if before >= 0 else codes * 0 - 1)
            else:
                self._later[flat] = {}

    @cached_property
    def _pieces(self) -> Entries:
        return entries_of(self.lay)

    @cached_property
    def by_depth(self) -> tuple[int, ...]:
        """Flats, those with the fewest bends in their path first."""
        return tuple(sorted(range(len(self.bits)), key=lambda f: (self.bits[f], f)))

    @cached_property
    def _before(self) -> dict[int, int]:
        """For each flat the one before the last bend of its path; -1 for a flat at the bend."""
        paths = self.lay.paths
        at = {(start, path): f for f, (start, _, path) in paths.items()}
        return {f: at[start, path[:-1]] if path else -1 for f, (start, _, path) in paths.items()}

    @cached_property
    def places(self) -> tuple[str, ...]:
        """Names of flats and labels of bends."""
        tree = self.lay.tree
        return (*tree.names, *(bend.label for bend in tree.bends))

    @property
    def slots(self) -> int:
        """Number of slots so far: states of flats with long paths are added as they come up."""
        return len(self._flat)

    @property
    def whole(self) -> bool:
        """Whether every state has its slots from the start."""
        return not self._later

    @property
    def flat_of(self) -> Ints:
        """Flat of each slot; shape (slots,)."""
        return self._flat.all

    @property
    def depth_of(self) -> Ints:
        """Number of bends in the path of each slot's flat; shape (slots,)."""
        return self._depth.all

    @property
    def inner_of(self) -> Ints:
        """Slot of the flat before the last bend of each slot's path, in the same state; or -1."""
        return self._inner.all

    def _add(self, flat: int, codes: Ints, inner: Ints) -> None:
        """Add slots of a flat."""
        n = len(codes)
        if self.bits[flat]:
            j = self.lay.paths[flat][2][-1]
            tree = self.lay.tree
            step = tree.legs_turn[j] if tree.ends[j][1] == flat else tree.legs_back[j]
            pose = self._pose.all[inner].copy()
            made = (codes >> (self.bits[flat] - 1)) & 1 == 1
            pose[made] = pose[made] @ step
        else:
            pose = np.broadcast_to(self.lay.frame.matrix(), (n, 4, 4))
        self._flat.add(np.full(n, flat))
        self._code.add(codes)
        self._inner.add(inner)
        self._depth.add(np.full(n, self.bits[flat]))
        self._pose.add(pose)
        self._first_row.add(np.full(n, -1))
        self._row_count.add(np.zeros(n, dtype=np.int64))
        self._box.add(np.tile((np.inf, -np.inf, np.inf, -np.inf), (n, 1)))

    def slots_of(self, masks: Ints) -> Ints:
        """Return the slot of every flat for states of the whole part; shape (flats, n).

        Args:
            masks: bit j tells whether bend j is made; shape (n,)
        """
        bits = [(masks >> j) & 1 for j in range(len(self.lay.tree.bends))]
        codes = np.empty((len(self.bits), len(masks)), dtype=np.int64)
        result = np.empty_like(codes)
        for flat in self.by_depth:
            before, path = self._before[flat], self.lay.paths[flat][2]
            if before < 0:
                codes[flat] = 0
            else:
                codes[flat] = codes[before] + (bits[path[-1]] << (len(path) - 1))
            if flat in self._start:
                result[flat] = codes[flat] + self._start[flat]
            else:
                result[flat] = self._slots_later(flat, codes[flat], result[before])
        return result

    def _slots_later(self, flat: int, codes: Ints, before: Ints) -> Ints:
        """Return slots of a flat with a long path, new ones for states not met before."""
        known = self._later[flat]
        some, first, row = np.unique(codes, return_index=True, return_inverse=True)
        new = [
            (code, i)
            for code, i in zip(some.tolist(), first.tolist(), strict=True)
            if code not in known
        ]
        if new:
            known.update((code, self.slots + n) for n, (code, _) in enumerate(new))
            added = np.array(new, dtype=np.int64)
            self._add(flat, added[:, 0], before[added[:, 1]])
        slots = np.array([known[code] for code in some.tolist()], dtype=np.int64)
        result: Ints = slots[row.reshape(-1)]
        return result

    @property
    def points(self) -> Array:
        """Corners of each row's piece in the tool frame; shape (rows, 2k, 3) [mm]."""
        return self._points.all

    @property
    def row_slot(self) -> Ints:
        """Slot of each row."""
        return self._row_slot.all

    @property
    def held(self) -> Bools:
        """Whether each row is on the held side."""
        return self._held.all

    @property
    def near(self) -> Bools:
        """Whether each row is of a flat at the bend."""
        return self._near.all

    @property
    def place(self) -> Ints:
        """Number in `places` of each row."""
        return self._place.all

    @property
    def low(self) -> Array:
        """Least corner of the box round each row; shape (rows, 3) [mm]."""
        return self._low.all

    @property
    def high(self) -> Array:
        """Greatest corner of the box round each row; shape (rows, 3) [mm]."""
        return self._high.all

    @property
    def ring(self) -> Array:
        """Least and greatest distance of each row from the bend; shape (rows, 2) [mm]."""
        return self._ring.all

    @property
    def box(self) -> Array:
        """Stretch along the bend, and ring about it, of each slot's rows; shape (slots, 4) [mm]."""
        return self._box.all

    def rows_of(self, slots: Ints) -> Ints:
        """Return the rows of some slots, one slot after the other."""
        self._make(slots)
        return spread(self._first_row.all[slots], self._row_count.all[slots])

    def first_row_of(self, slots: Ints) -> Ints:
        """Return the first row of each of some slots, which must have been asked for."""
        result: Ints = self._first_row.all[slots]
        return result

    def counts_of(self, slots: Ints) -> Ints:
        """Return how many rows each of some slots has, which must have been asked for."""
        result: Ints = self._row_count.all[slots]
        return result

    def finished(self, way: Way) -> tuple[Array, Array, Array]:
        """Return points of all rows with the bend made and sprung back, and their boxes.

        Returns:
            Shapes (rows, 2k, 3), (rows, 2), (rows, 2) [mm]; the boxes across the bend.
        """
        kept = self._finished.setdefault(
            way.set_up.share, (Grown((self._corners, 3)), Grown((2,)), Grown((2,)))
        )
        have, now = len(kept[0]), len(self._points)
        if have < now:
            points = finished(self.points[have:now], self.held[have:now], way)
            kept[0].add(points)
            kept[1].add(points[:, :, 1:].min(axis=1))
            kept[2].add(points[:, :, 1:].max(axis=1))
        return kept[0].all, kept[1].all, kept[2].all

    def _make(self, slots: Ints) -> None:
        """Make the rows of those slots that have none yet."""
        new = slots[self._first_row.all[slots] < 0]
        if not len(new):
            return
        new = np.unique(new)
        t = self._pieces
        flat, code, inner = self.flat_of[new], self._code.all[new], self.inner_of[new]
        count = t.count[flat]
        row = spread(t.first[flat], count)
        at = np.repeat(np.arange(len(new)), count)
        last = self.depth_of[new] - 1
        made = np.where(last >= 0, (code >> np.maximum(last, 0)) & 1, 0)[at]
        keep = np.flatnonzero((t.own[row] < 0) | (t.own[row] == made))
        row, at = row[keep], at[keep]
        pose = self._pose.all[np.where(t.inner[row], inner[at], new[at])]
        turn = np.where(t.laid[row, None, None], np.eye(3), pose[:, :3, :3])
        shift = np.where(t.laid[row, None], 0.0, pose[:, :3, 3])
        points = np.matmul(t.points[row], turn.transpose(0, 2, 1)) + shift[:, None]
        counts = np.bincount(at, minlength=len(new))
        self._first_row.all[new] = len(self._points) + np.cumsum(counts) - counts
        self._row_count.all[new] = counts
        low, high, about = points.min(axis=1), points.max(axis=1), ring(points[:, :, 1:])
        self._points.add(points)
        self._row_slot.add(new[at])
        self._place.add(t.place[row])
        self._held.add(t.held[row])
        self._near.add(t.near[row])
        self._low.add(low)
        self._high.add(high)
        self._ring.add(about)
        box = self._box.all
        np.minimum.at(box[:, 0], new[at], low[:, 0])
        np.maximum.at(box[:, 1], new[at], high[:, 0])
        np.minimum.at(box[:, 2], new[at], about[:, 0])
        np.maximum.at(box[:, 3], new[at], about[:, 1])


def spread(first: Ints, count: Ints) -> Ints:
    """Return first, first + 1, ... for each of some runs, one after the other."""
    ends = np.cumsum(count)
    whole = int(ends[-1]) if len(ends) else 0
    result: Ints = np.arange(whole) + np.repeat(first - (ends - count), count)
    return result


def ring(points: Array) -> Array:
    """Return bounds of the distance of convex shapes from the origin; (n, k, 2) to (n, 2) [mm]."""
    y, z = points[:, :, 0], points[:, :, 1]
    far = np.sqrt((y * y + z * z).max(axis=1))
    y0, z0 = (y.min(axis=1) + y.max(axis=1)) / 2, (z.min(axis=1) + z.max(axis=1)) / 2
    dy, dz = y - y0[:, None], z - z0[:, None]
    radius = np.sqrt((dy * dy + dz * dz).max(axis=1))
    near = np.maximum(0.0, np.hypot(y0, z0) - radius)
    return np.column_stack((near, far))
