"""The complete search in the section: a way out, a proof that there is none, or *undecided*.

Two graphs are laid over slices of turns. In the *sure* graph each node is a connected region of
places free at every turn of its slice, and neighbours that overlap are joined: a chain of nodes is
a way. In the *maybe* graph each node is a region of places free at some turn of its slice: every
way that there is runs along a chain of its nodes, so no chain means no way. Where the sure graph
has no way and the maybe graph has one, the slices on that one are parted and both are asked again.

Source: the scheme is that of approximate cell decomposition with refinement (D. Zhu and
J.-C. Latombe, IEEE Trans. Robotics and Automation 7, 1991, cited from memory), here with exact
slices in place of boxes.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any, TypeVar

import shapely

from blankwright.fit.convolution import ROUNDING
from blankwright.fit.planar import PlanarQuestion, State
from blankwright.fit.slices import Shapes, Slice

Node = tuple[Slice, int]
UNSURE = -1
_PATIENCE = 12
"""After so many rounds all doubtful slices are parted at once, not only those on the walk."""

_Place = tuple[Slice, int, int]
_S = TypeVar("_S")


class Verdict(Enum):
    """What the search found."""

    WAY = "a way"
    NO_WAY = "no way"
    BLOCKED_AT_REST = "not free at rest"
    UNDECIDED = "undecided"


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """The answer of the search.

    Args:
        verdict: way, no way, or undecided
        chain: the nodes of the way, from rest to outside; for *undecided* those of the way that
            there may be
        narrowest: for *undecided*, a state in the narrowest spot
        slack: for *undecided*, what could not be told apart there [mm]; otherwise the least slack
            that the answer needed [mm]
        slices: how many slices were looked at
        reached: least and greatest turn that the part can reach from rest at most [rad]
    """

    verdict: Verdict
    chain: tuple[Node, ...] = ()
    narrowest: State | None = None
    slack: float = 0.0
    slices: int = 0
    reached: tuple[float, float] = (0.0, 0.0)


def search(
    question: PlanarQuestion,
    *,
    finest: float = 0.005,
    most_slices: int = 6000,
) -> Found:
    """Answer the planar question.

    Args:
        question: part, walls and side
        finest: least slack that slices are parted to [mm]; a way or a hindrance finer than this
            stays undecided
        most_slices: how many slices may be made

    Returns:
        The answer. Same question, same answer: the effort is counted in slices, not in seconds.
    """
    shapes = Shapes(question)
    first = _first_slices(question, shapes)
    made = len(first)
    at_rest = [s for s in first if s.holds(question.rest)]
    center = shapely.Point(question.middle)
    seat = center.buffer(question.seat, quad_segs=16)
    rounds = 0
    while True:
        starts = [(s, i) for s in at_rest for i, r in enumerate(s.maybe) if _near(r, center)]
        if not starts:
            return _blocked(at_rest, made)
        sure_starts = [
            (s, i) for s in at_rest for i, r in enumerate(s.sure) if shapely.intersects(r, seat)
        ]
        known, goal = _reach_surely(sure_starts, question.outside)
        if goal is not None:
            chain = _chain(known, goal)
            return Found(
                verdict=Verdict.WAY,
                chain=chain,
                slack=min(node[0].slack for node in chain),
                slices=made,
                reached=_span(node[0] for node in known),
            )
        walk = _Walk(question.outside, finest)
        states = walk.chain(starts, sure_starts)
        reached = _span(state[0] for state in walk.parent)
        if not states:
            return Found(
                verdict=Verdict.NO_WAY,
                slack=min(state[0].slack for state in walk.parent),
                slices=made,
                reached=reached,
            )
        doubtful = _doubtful(states)
        rounds += 1
        if rounds > _PATIENCE:
            doubtful = walk.all_doubtful(doubtful)
        split = [s for s in doubtful if not walk.spent(s)]
        if not split or made + len(split) > most_slices:
            worst = min(doubtful, key=lambda s: (s.slack, abs(s.turn)))
            return Found(
                verdict=Verdict.UNDECIDED,
                chain=tuple(dict.fromkeys((s, i) for s, i, _ in states)),
                narrowest=_narrowest(worst, next(i for s, i, _ in walk.parent if s is worst)),
                slack=worst.slack,
                slices=made,
                reached=reached,
            )
        made += len(split)
        for old in split:
            halves = old.split()
            if old in at_rest:
                at_rest.remove(old)
                at_rest.extend(h for h in halves if h.holds(question.rest))


def _first_slices(question: PlanarQuestion, shapes: Shapes) -> list[Slice]:
    """Lay slices over all turns, fine enough that shrinking leaves thin sheet standing."""
    slack = min(max(0.3 * shapes.thickness, 0.02), 0.1 * question.reach)
    half = slack / question.reach
    whole = question.most_turn >= math.pi
    span = math.tau if whole else 2 * question.most_turn
    # An odd count puts the rest in the middle of a slice.
    count = max(3, math.ceil(span / (2 * half)) | 1)
    step = span / count
    half = step / 2 * (1 + 1e-9)
    edges = [-span / 2 + i * step for i in range(count)] + [span / 2]
    slices = [Slice(shapes, a, b, half) for a, b in itertools.pairwise(edges)]
    for a, b in itertools.pairwise(slices):
        a.after, b.before = b, a
    if whole:
        slices[0].before, slices[-1].after = slices[-1], slices[0]
    return slices


def _reach_surely(
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
                    heapq.heappush(queue, (value + here.half + there.half, count, (there, j)))
                    count += 1
    return done, None


def _chain(parent: Mapping[_S, _S | None], goal: _S) -> tuple[_S, ...]:
    chain = [goal]
    while (before := parent[chain[-1]]) is not None:
        chain.append(before)
    return tuple(reversed(chain))


class _Walk:
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
        self.parent: dict[_Place, _Place | None] = {}
        self._best: dict[_Place, float] = {}
        self._queue: list[tuple[float, int, _Place]] = []
        self._count = 0

    def spent(self, here: Slice) -> bool:
        """Whether a slice is too fine to be parted."""
        return here.slack / 2 < self.finest

    def all_doubtful(self, on_walk: list[Slice]) -> list[Slice]:
        """Return the slices on the walk, and all doubtful ones looked at that are as coarse."""
        finest = min(s.half for s in on_walk)
        others = (here for here, _, a in self.parent if a == UNSURE and here.half >= finest)
        return list(dict.fromkeys((*on_walk, *others)))

    def chain(self, starts: Iterable[Node], sure_starts: Iterable[Node]) -> tuple[_Place, ...]:
        """Return the places from rest to outside; empty when there is no way at all."""
        for here, i in starts:
            self._offer((here, i, UNSURE), self._doubt(here), None)
        for here, a in sure_starts:
            for i in _around(here, a):
                self._offer((here, i, a), 0.0, None)
        done: set[_Place] = set()
        while self._queue:
            value, _, place = heapq.heappop(self._queue)
            if place in done:
                continue
            done.add(place)
            here, i, a = place
            region = here.maybe[i] if a == UNSURE else here.sure[a]
            if shapely.intersects(region, self.outside):
                return _chain(self.parent, place)
            self._steps(place, value)
        return ()

    def _steps(self, place: _Place, value: float) -> None:
        here, i, a = place
        if a == UNSURE:
            for b in _within(here, i):
                self._offer((here, i, b), value, place)
        else:
            self._offer((here, i, UNSURE), value + self._doubt(here), place)
        for there in here.neighbours():
            turn = here.half + there.half
            row = i if a == UNSURE else a
            for b in here.links(there, a != UNSURE, True)[row].nonzero()[0].tolist():
                for j in _around(there, b):
                    self._offer((there, j, b), value + turn, place)
            for j in here.links(there, a != UNSURE, False)[row].nonzero()[0].tolist():
                self._offer((there, j, UNSURE), value + self._doubt(there), place)

    def _offer(self, place: _Place, value: float, parent: _Place | None) -> None:
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


def _doubtful(places: tuple[_Place, ...]) -> list[Slice]:
    """Return the slices of a walk where it does not stand on sure regions."""
    return list(dict.fromkeys(here for here, _, a in places if a == UNSURE))


def _near(region: Any, center: Any) -> bool:
    return bool(shapely.distance(region, center) <= 2 * ROUNDING)


def _span(slices: Iterable[Slice]) -> tuple[float, float]:
    turns = [(s.low, s.high) for s in slices]
    return (min(t[0] for t in turns), max(t[1] for t in turns)) if turns else (0.0, 0.0)


def _blocked(at_rest: list[Slice], made: int) -> Found:
    return Found(verdict=Verdict.BLOCKED_AT_REST, slack=min(s.slack for s in at_rest), slices=made)


def _narrowest(here: Slice, i: int) -> State:
    """A state in the doubtful slice: where the maybe-region is left when the sure ones go."""
    region = here.maybe[i]
    rest = region.difference(shapely.union_all(here.sure)) if here.sure else region
    parts = [p for p in shapely.get_parts(rest) if p.area > 0] or [region]
    # Between two sure regions the neck is the piece that touches both.
    neck = max(parts, key=lambda p: (sum(p.distance(s) < 1e-3 for s in here.sure), -p.area))
    at = neck.representative_point()
    return State(here.turn, float(at.x), float(at.y))
