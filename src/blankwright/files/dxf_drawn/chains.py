"""Pieces of lines that hang together, and their loose ends."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from blankwright.develop.flat.clean import Traced
from blankwright.geom.pieces import Vertices
from blankwright.geom.vec import Point


def chains_of(pieces: Sequence[Traced]) -> list[list[Traced]]:
    """Sort pieces into those that hang together by their ends."""
    vertices = Vertices()
    ends = [(vertices.number(p.edge.start), vertices.number(p.edge.end)) for p in pieces]
    at: dict[int, list[int]] = defaultdict(list)
    for i, pair in enumerate(ends):
        for v in pair:
            at[v].append(i)
    seen: set[int] = set()
    chains: list[list[Traced]] = []
    for seed in range(len(pieces)):
        if seed in seen:
            continue
        seen.add(seed)
        chain, queue = [], [seed]
        while queue:
            i = queue.pop()
            chain.append(i)
            for j in (j for v in ends[i] for j in at[v]):
                if j not in seen:
                    seen.add(j)
                    queue.append(j)
        chains.append([pieces[i] for i in sorted(chain)])
    return chains


def loose_ends(pieces: Sequence[Traced]) -> list[Point]:
    """Return the ends that no other piece begins or ends at."""
    vertices = Vertices()
    count: dict[int, int] = defaultdict(int)
    ends: list[tuple[int, Point]] = []
    for piece in pieces:
        for p in (piece.edge.start, piece.edge.end):
            number = vertices.number(p)
            count[number] += 1
            ends.append((number, p))
    return [p for number, p in ends if count[number] == 1]
