"""Pieces of lines that hang together, and their loose ends."""

from __future__ import annotations

from collections.abc import Sequence

from blankwright.develop.flat.clean import Traced
from blankwright.geom import vec
from blankwright.geom.vec import Point


def chains_of(pieces: Sequence[Traced]) -> list[list[Traced]]:
    """Sort pieces into those that hang together by their ends."""
    left = list(pieces)
    chains: list[list[Traced]] = []
    while left:
        chain = [left.pop(0)]
        for piece in chain:
            met = [other for other in left if _meet(piece, other)]
            chain.extend(met)
            left = [other for other in left if all(other is not one for one in met)]
        chains.append(chain)
    return chains


def _meet(a: Traced, b: Traced) -> bool:
    ends = (a.edge.start, a.edge.end)
    return any(vec.distance(p, q) <= 1e-5 for p in ends for q in (b.edge.start, b.edge.end))


def loose_ends(pieces: Sequence[Traced]) -> list[Point]:
    """Return the ends that no other piece begins or ends at."""
    ends: list[Point] = []
    for i, piece in enumerate(pieces):
        others = [other.edge for j, other in enumerate(pieces) if j != i]
        for p in (piece.edge.start, piece.edge.end):
            if all(vec.distance(p, q) > 1e-5 for o in others for q in (o.start, o.end)):
                ends.append(p)
    return ends
