"""Pieces of lines that hang together, their loose ends, and circles drawn in pieces."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

from blankwright.develop.flat.clean import Traced
from blankwright.geom.edges import TAU, Arc
from blankwright.geom.loop import Loop
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


_ROUND = 0.001
"""Arcs whose centres and radii differ by no more than this are one circle [mm]."""


def round_again(loop: Loop) -> Loop:
    """Return a loop as one circle when it was drawn as arcs of one circle, as polylines have it."""
    arcs = [edge for edge in loop.edges if isinstance(edge, Arc)]
    if len(arcs) < 2 or len(arcs) < len(loop.edges):
        return loop
    n = len(arcs)
    x, y = sum(a.center[0] for a in arcs) / n, sum(a.center[1] for a in arcs) / n
    radius = sum(a.radius for a in arcs) / n
    if abs(abs(sum(a.sweep for a in arcs)) - TAU) > 1e-3:
        return loop
    if any(math.dist(a.center, (x, y)) > _ROUND or abs(a.radius - radius) > _ROUND for a in arcs):
        return loop
    return Loop.circle((x, y), radius)
