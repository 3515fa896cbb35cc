"""The pieces of a part in one lay, as arrays, each with what its place hangs on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from blankwright.bending.lay import Lay
from blankwright.bending.motion import Bools, Ints
from blankwright.bending.pieces import Piece
from blankwright.geom.pose import Array


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Entry:
    """A piece in a lay.

    Args:
        place: number of its flat or bend's label in `Pool.places`
        own: 1 or 0 when the last bend of its owner's path must be made or unmade; -1 when either
        inner: whether it lies in the frame of the flat before its owner's last bend
        held: whether it is on the held side
        near: whether it is of a flat at the bend
        points: in the blank frame of its flat; for near ones in the tool frame already
        laid: whether points are in the tool frame already
    """

    place: int
    own: int
    inner: bool
    held: bool
    near: bool
    points: Array
    laid: bool


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Entries:
    """The pieces in a lay as arrays, those of a flat one after the other; see `Entry`.

    Args:
        first: number of each flat's first piece; shape (flats,)
        count: how many it has
        points: shape (n, 2k, 3) [mm]
    """

    first: Ints
    count: Ints
    place: Ints
    own: Ints
    inner: Bools
    held: Bools
    near: Bools
    laid: Bools
    points: Array

    @classmethod
    def of(cls, of_flat: list[list[Entry]]) -> Entries:
        """Build from the pieces of each flat."""
        count = np.array([len(some) for some in of_flat], dtype=np.int64)
        entries = [entry for some in of_flat for entry in some]
        return cls(
            first=np.cumsum(count) - count,
            count=count,
            place=np.array([e.place for e in entries], dtype=np.int64),
            own=np.array([e.own for e in entries], dtype=np.int64),
            inner=np.array([e.inner for e in entries], dtype=bool),
            held=np.array([e.held for e in entries], dtype=bool),
            near=np.array([e.near for e in entries], dtype=bool),
            laid=np.array([e.laid for e in entries], dtype=bool),
            points=np.array([e.points for e in entries]),
        )


def sides_of(lay: Lay) -> int:
    """Return to how many sides every piece is filled up; three cuts add one each at most."""
    return 3 + max((piece.sides for piece in lay.tree.pieces), default=3)


def entries_of(lay: Lay) -> Entries:
    """Return the pieces of a part but those of the bends that are being made."""
    tree, sides = lay.tree, sides_of(lay)
    of_flat: list[list[Entry]] = [[] for _ in tree.names]
    at_bend = {flat for flat, _ in lay.sides}
    for piece in tree.pieces:
        if piece.bend in lay.group:
            continue
        near = piece.bend < 0 and piece.flat in at_bend
        ends = (piece.flat,) if piece.bend < 0 else tree.ends[piece.bend]
        owner = max(ends, key=lambda f: len(lay.paths[f][2]))
        for points in lay.near_pieces(piece) if near else [piece.points]:
            of_flat[owner].append(_entry(lay, piece, owner, _padded(points, sides), near))
    return Entries.of(of_flat)


def _entry(lay: Lay, piece: Piece, owner: int, points: Array, near: bool) -> Entry:
    is_strip = piece.bend >= 0
    return Entry(
        place=len(lay.tree.names) + piece.bend if is_strip else piece.flat,
        own=int(piece.made) if is_strip else -1,
        inner=piece.flat != owner,
        held=lay.paths[owner][1],
        near=near,
        points=points,
        laid=near,
    )


def _padded(points: Array, sides: int) -> Array:
    """Repeat the last corner of each face so that every piece has as many."""
    half = len(points) // 2
    assert half <= sides
    index = np.minimum(np.arange(sides), half - 1)
    result: Array = points[np.concatenate((index, index + half))]
    return result
