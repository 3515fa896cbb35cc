"""Walks over the graphs of the complete search: the sure one, and the one of what may be free."""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterable, Mapping
from typing import Any, TypeVar

import shapely

from blankwright.fit.slices import Slice

Node = tuple[Slice, int]
UNSURE = -1

Place = tuple[Slice, int, int]
_S = TypeVar("_S")


def reach_surely(
    starts: Iterable[Node], outside: Any
) -> tuple[dict[Node, Node | None], Node | None]:
    """Walk the sure graph from the starts, least turning first, to the outside or to the end."""
    parent: dict[Node, Node | None] = dict.fromkeys(starts)
    done: dict[Node, Node | None] = {}
    queue = [(0.0, k, node) for k, node in enumerate(parent)]
    count = len(queue)
    while queue:
        value, _, node = heapq.heappop(queue)
        if node in done:
            continue
        done[node] = parent[node]
        here, i = node
        if shapely.intersects(here.sure[i], outside):
            return done, node
        for there in here.neighbours():
            for j in here.links(there, True, True)[i].nonzero()[0].tolist():
                if (there, j) not in parent:
                    parent[there, j] = node
                    heapq.heappush(queue, (value + here.step(there), count, (there, j)))
                    count += 1
    return done, None


def chain_to(parent: Mapping[_S, _S | None], goal: _S) -> tuple[_S, ...]:
    """Return the places from a start to the goal."""
    chain = [goal]
    while (before := parent[chain[-1]]) is not None:
        chain.append(before)
    return tuple(reversed(chain))


class Walk:
    """The cheapest walk in the maybe graph, where what is not sure costs.

    A place of the walk is a maybe-region and the sure region in it that the walk stands on, or
    `UNSURE`. Stepping onto a sure region costs the turn alone. Stepping off them costs the more
    the finer the slice is already, so that a way across slices still coarse is looked into before
    one that was parted often, such as the turn at which a gap just opens, where some doubt is
    always left.
    """

    def __init__(self, outside: Any, finest: float) -> None:
        self.outside = outside
        self.finest = finest
        self.parent: dict[Place, Place | None] = {}
        self._best: dict[Place, float] = {}
        self._queue: list[tuple[float, int, Place]] = []
        self._count = 0

    def spent(self, here: Slice) -> bool:
        """Whether a slice is too fine to be parted."""
        return here.slack / 2 < self.finest

    def all_doubtful(self, on_walk: list[Slice]) -> list[Slice]:
        """Return the slices on the walk, and all doubtful ones looked at that are as coarse."""
        finest = min(s.half for s in on_walk)
        others = (here for here, _, a in self.parent if a == UNSURE and here.half >= finest)
        return list(dict.fromkeys((*on_walk, *others)))

    def chain(self, starts: Iterable[Node], sure_starts: Iterable[Node]) -> tuple[Place, ...]:
        """Return the places from rest to outside; empty when there is no way at all."""
        for here, i in starts:
            self._offer((here, i, UNSURE), self._doubt(here), None)
        for here, a in sure_starts:
            for i in _around(here, a):
                self._offer((here, i, a), 0.0, None)
        done: set[Place] = set()
        while self._queue:
            value, _, place = heapq.heappop(self._queue)
            if place in done:
                continue
            done.add(place)
            here, i, a = place
            region = here.maybe[i] if a == UNSURE else here.sure[a]
            if shapely.intersects(region, self.outside):
                return chain_to(self.parent, place)
            self._steps(place, value)
        return ()

    def _steps(self, place: Place, value: float) -> None:
        here, i, a = place
        if a == UNSURE:
            for b in _within(here, i):
                self._offer((here, i, b), value, place)
        else:
            self._offer((here, i, UNSURE), value + self._doubt(here), place)
        for there in here.neighbours():
            turn = here.step(there)
            row = i if a == UNSURE else a
            for b in here.links(there, a != UNSURE, True)[row].nonzero()[0].tolist():
                for j in _around(there, b):
                    self._offer((there, j, b), value + turn, place)
            for j in here.links(there, a != UNSURE, False)[row].nonzero()[0].tolist():
                self._offer((there, j, UNSURE), value + self._doubt(there), place)

    def _offer(self, place: Place, value: float, parent: Place | None) -> None:
        if value < self._best.get(place, math.inf):
            self._best[place], self.parent[place] = value, parent
            heapq.heappush(self._queue, (value, self._count, place))
            self._count += 1

    def _doubt(self, here: Slice) -> float:
        return 1e9 if self.spent(here) else 0.01 / here.half


def _within(here: Slice, i: int) -> list[int]:
    """Return the sure regions in a maybe-region of a slice."""
    found: list[int] = here.nested[i].nonzero()[0].tolist()
    return found


def _around(here: Slice, a: int) -> list[int]:
    """Return the maybe-regions around a sure region of a slice: one, but for rounding."""
    found: list[int] = here.nested[:, a].nonzero()[0].tolist()
    return found
