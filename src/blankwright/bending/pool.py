"""The pieces of a part as they lie in a tool, for each state that has been asked for."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np

from blankwright.bending.motion import Bools, Ints
from blankwright.bending.pieces import Piece
from blankwright.bending.ways import Lay
from blankwright.geom.pose import Array

_WHOLE = 10
"""Flats with so many bends in their path have a slot for each state from the start; others have
slots for those states that come up: there would be too many."""


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class _Entry:
    """A piece in a lay.

    Args:
        place: number of its flat or bend's label in `Pool.places`
        start: flat at the bend on its side
        chain: bends from there to the flat in whose frame it is
        owner: the flat whose slots it belongs to
        own: 1 or 0 when the last of them must be made or unmade; -1 when either
        held: whether it is on the held side
        near: whether it is of a flat at the bend
        points: in the blank frame of its flat; for near ones in the tool frame already
        laid: whether points are in the tool frame already
    """

    place: int
    start: int
    chain: tuple[int, ...]
    owner: int
    own: int
    held: bool
    near: bool
    points: Array
    laid: bool


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class PoolRows:
    """Pieces in states, in the tool frame.

    Args:
        points: shape (n, 2k, 3) [mm]
        slot: slot of each
        held: whether on the held side
        near: whether of a flat at the bend
        place: number of its flat or bend
        low: least corner of the box round each; shape (n, 3) [mm]
        high: greatest corner [mm]
        ring: least and greatest distance from the origin, across the bend; shape (n, 2) [mm]
    """

    points: Array
    slot: Ints
    held: Bools
    near: Bools
    place: Ints
    low: Array
    high: Array
    ring: Array


class Pool:
    """The pieces in one lay.

    A *slot* stands for one flat (with the bends and bends' pieces that go with it) in one state of
    the bends between it and the bend being made.

    Args:
        lay: how the part lies
    """

    def __init__(self, lay: Lay) -> None:
        self.lay = lay
        self._parts: list[PoolRows] = []
        self._rows: PoolRows | None = None
        self.bits = [len(lay.paths[f][2]) for f in range(len(lay.tree.names))]
        """Number of bends in the path of each flat."""
        whole = [f for f, bits in enumerate(self.bits) if bits <= _WHOLE]
        counts = [1 << self.bits[f] for f in whole]
        self._first = dict(zip(whole, np.cumsum([0, *counts]).tolist(), strict=False))
        self._later: dict[int, dict[int, int]] = {
            f: {} for f in range(len(self.bits)) if f not in self._first
        }
        self.flat_of: Ints = np.repeat(np.array(whole, dtype=np.int64), counts)
        """Flat of each slot; shape (slots,)."""
        self.code_of: Ints = np.concatenate([np.arange(n, dtype=np.int64) for n in counts])
        """State of each slot, bit i telling whether bend i of the flat's path is made."""
        self.done: Bools = np.zeros(len(self.flat_of), dtype=bool)
        """Whether a slot's pieces are in the rows."""

    @cached_property
    def places(self) -> tuple[str, ...]:
        """Names of flats and labels of bends."""
        tree = self.lay.tree
        return (*tree.names, *(bend.label for bend in tree.bends))

    @property
    def slots(self) -> int:
        """Number of slots so far: states of flats with long paths are added as they come up."""
        return len(self.flat_of)

    def slots_of(self, masks: Ints) -> Ints:
        """Return the slot of every flat for states of the whole part; shape (flats, n).

        Args:
            masks: bit j tells whether bend j is made; shape (n,)
        """
        bits = [(masks >> j) & 1 for j in range(len(self.lay.tree.bends))]
        result = np.empty((len(self.bits), len(masks)), dtype=np.int64)
        for flat in range(len(self.bits)):
            code = np.zeros(len(masks), dtype=np.int64)
            for i, j in enumerate(self.lay.paths[flat][2]):
                code += bits[j] << i
            if flat in self._first:
                result[flat] = code + self._first[flat]
            else:
                result[flat] = self._added(flat, code)
        return result

    def _added(self, flat: int, codes: Ints) -> Ints:
        """Return slots of a flat with a long path, new ones for states not met before."""
        known = self._later[flat]
        some, row = np.unique(codes, return_inverse=True)
        new = [code for code in some.tolist() if code not in known]
        if new:
            known.update(zip(new, range(self.slots, self.slots + len(new)), strict=True))
            self.flat_of = np.append(self.flat_of, np.full(len(new), flat))
            self.code_of = np.append(self.code_of, np.array(new, dtype=np.int64))
            self.done = np.append(self.done, np.zeros(len(new), dtype=bool))
        slots = np.array([known[code] for code in some.tolist()], dtype=np.int64)
        result: Ints = slots[row.reshape(-1)]
        return result

    def rows(self, need: Bools) -> PoolRows:
        """Return all rows, at least those of the slots needed; shape of `need`: (slots,)."""
        new = need & ~self.done
        if new.any():
            self._parts.append(self._made(new))
            self.done[new] = True
            self._rows = None
        if self._rows is None:
            parts = self._parts or [self._made(new)]
            self._rows = PoolRows(
                **{
                    field.name: np.concatenate([getattr(part, field.name) for part in parts])
                    for field in fields(PoolRows)
                }
            )
            self._parts = [self._rows]
        return self._rows

    def _made(self, new: Bools) -> PoolRows:
        points, slot, held, near, place = [], [], [], [], []
        frame = self.lay.frame.matrix()
        tree = self.lay.tree
        asked = np.flatnonzero(new)
        of_flat = {
            int(flat): asked[self.flat_of[asked] == flat] for flat in np.unique(self.flat_of[asked])
        }
        for entry in self._entries:
            slots = of_flat.get(entry.owner, asked[:0])
            codes = self.code_of[slots]
            if entry.own >= 0:
                valid = (codes >> (self.bits[entry.owner] - 1)) & 1 == entry.own
                slots, codes = slots[valid], codes[valid]
            if not len(codes):
                continue
            if entry.laid:
                placed = np.broadcast_to(entry.points, (len(codes), *entry.points.shape))
            else:
                poses = np.matmul(frame, tree.placings(entry.start, entry.chain, codes))
                placed = (
                    np.matmul(entry.points, poses[:, :3, :3].transpose(0, 2, 1))
                    + poses[:, None, :3, 3]
                )
            points.append(placed)
            slot.append(slots)
            held.append(np.full(len(codes), entry.held))
            near.append(np.full(len(codes), entry.near))
            place.append(np.full(len(codes), entry.place))
        if not points:
            points.append(np.empty((0, 2 * self._sides, 3)))
            slot, held, near, place = ([np.empty(0, dtype=np.int64)] for _ in range(4))
        whole = np.concatenate(points)
        return PoolRows(
            points=whole,
            slot=np.concatenate(slot).astype(np.int64),
            held=np.concatenate(held).astype(bool),
            near=np.concatenate(near).astype(bool),
            place=np.concatenate(place).astype(np.int64),
            low=whole.min(axis=1),
            high=whole.max(axis=1),
            ring=ring(whole[:, :, 1:]),
        )

    @cached_property
    def _sides(self) -> int:
        """Sides that every piece is filled up to; three cuts at the bend add one each at most."""
        return 3 + max((piece.sides for piece in self.lay.tree.pieces), default=3)

    @cached_property
    def _entries(self) -> list[_Entry]:
        tree, lay = self.lay.tree, self.lay
        raw: list[tuple[Piece, int, Array, bool, bool]] = []
        at_bend = {flat for flat, _ in lay.sides}
        for piece in tree.pieces:
            if piece.bend in lay.group:
                continue
            near = piece.bend < 0 and piece.flat in at_bend
            if near:
                raw += [(piece, piece.flat, p, True, True) for p in lay.near_pieces(piece)]
                continue
            owner = piece.flat
            if piece.bend >= 0:
                parent, leg = tree.ends[piece.bend]
                owner = max(parent, leg, key=lambda f: len(lay.paths[f][2]))
            raw.append((piece, owner, piece.points, False, False))
        found: list[_Entry] = []
        for piece, owner, points, near, laid in raw:
            start, held, _ = lay.paths[owner]
            chain = lay.paths[piece.flat][2]
            is_strip = piece.bend >= 0
            found.append(
                _Entry(
                    place=len(tree.names) + piece.bend if is_strip else piece.flat,
                    start=start,
                    chain=chain,
                    owner=owner,
                    own=int(piece.made) if is_strip else -1,
                    held=held,
                    near=near,
                    points=_padded(points, self._sides),
                    laid=laid,
                )
            )
        return found


def _padded(points: Array, sides: int) -> Array:
    """Repeat the last corner of each face so that every piece has as many."""
    half = len(points) // 2
    assert half <= sides
    index = np.minimum(np.arange(sides), half - 1)
    result: Array = points[np.concatenate((index, index + half))]
    return result


def ring(points: Array) -> Array:
    """Return bounds of the distance of convex shapes from the origin; (n, k, 2) to (n, 2) [mm]."""
    far = np.sqrt((points**2).sum(axis=2)).max(axis=1)
    middle = (points.min(axis=1) + points.max(axis=1)) / 2
    radius = np.sqrt(((points - middle[:, None]) ** 2).sum(axis=2).max(axis=1))
    near = np.maximum(0.0, np.hypot(middle[:, 0], middle[:, 1]) - radius)
    result: Array = np.column_stack((near, far))
    return result
