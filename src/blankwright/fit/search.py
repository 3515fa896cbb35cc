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
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import Enum
from typing import Any

import shapely

from blankwright.fit.convolution import ROUNDING
from blankwright.fit.planar import PlanarQuestion, State
from blankwright.fit.slices import Shapes, Slice

Node = tuple[Slice, int]


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
    while True:
        starts = [(s, i) for s in at_rest for i, r in enumerate(s.maybe) if _near(r, center)]
        if not starts:
            return _blocked(at_rest, made)
        sure_starts = [
            (s, i) for s in at_rest for i, r in enumerate(s.sure) if shapely.intersects(r, seat)
        ]
        known = _reach(sure_starts, question.outside, sure=True, cost=_turned)
        if known.goal is not None:
            chain = known.chain()
            return Found(
                verdict=Verdict.WAY,
                chain=chain,
                slack=min(node[0].slack for node in chain),
                slices=made,
                reached=_span(known.nodes),
            )
        maybe = _reach(starts, question.outside, sure=False, cost=_doubt)
        if maybe.goal is None:
            return Found(
                verdict=Verdict.NO_WAY,
                slack=min(node[0].slack for node in maybe.nodes),
                slices=made,
                reached=_span(maybe.nodes),
            )
        chain = maybe.chain()
        doubtful = _doubtful(chain, known.nodes, question.outside)
        split = [s for s in doubtful if s.slack / 2 >= finest]
        if not split or made + len(split) > most_slices:
            worst = min(doubtful, key=lambda s: (s.slack, abs(s.turn)))
            return Found(
                verdict=Verdict.UNDECIDED,
                chain=chain,
                narrowest=_narrowest(worst, chain),
                slack=worst.slack,
                slices=made,
                reached=_span(maybe.nodes),
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


@dataclass(slots=True)
class _Reached:
    nodes: dict[Node, Node | None]
    goal: Node | None

    def chain(self) -> tuple[Node, ...]:
        chain: list[Node] = []
        at = self.goal
        while at is not None:
            chain.append(at)
            at = self.nodes[at]
        return tuple(reversed(chain))


def _reach(
    starts: Iterable[Node], outside: Any, *, sure: bool, cost: Callable[[Node], float]
) -> _Reached:
    """Walk one graph from the starts, cheapest first, to the outside or to the end."""
    best: dict[Node, float] = {}
    parent: dict[Node, Node | None] = {}
    done: dict[Node, Node | None] = {}
    queue: list[tuple[float, int, Node]] = []
    count = 0
    for node in starts:
        best[node], parent[node] = 0.0, None
        queue.append((0.0, count, node))
        count += 1
    heapq.heapify(queue)
    while queue:
        value, _, node = heapq.heappop(queue)
        if node in done:
            continue
        done[node] = parent[node]
        here, i = node
        if shapely.intersects(here.regions(sure)[i], outside):
            return _Reached(done, node)
        for there in here.neighbours():
            for j in here.links(there, sure)[i].nonzero()[0].tolist():
                neighbour = (there, j)
                step = value + cost(neighbour)
                if step < best.get(neighbour, math.inf):
                    best[neighbour], parent[neighbour] = step, node
                    heapq.heappush(queue, (step, count, neighbour))
                    count += 1
    return _Reached(done, None)


def _turned(node: Node) -> float:
    return node[0].half


def _doubt(node: Node) -> float:
    """Cost of a node of the maybe graph: high where nothing sure is in the slice."""
    here, i = node
    region = here.maybe[i]
    known = any(shapely.intersects(region, sure) for sure in here.sure)
    return here.half if known else here.half + 1.0


def _doubtful(chain: tuple[Node, ...], known: dict[Node, Node | None], outside: Any) -> list[Slice]:
    """Return the slices of a maybe-chain where the sure graph does not follow it."""
    reached: dict[int, list[int]] = {}
    for here, i in known:
        reached.setdefault(id(here), []).append(i)
    first = 0
    for k, (here, i) in enumerate(chain):
        inside = reached.get(id(here), ())
        if any(shapely.intersects(here.maybe[i], here.sure[j]) for j in inside):
            first = k
    last = len(chain) - 1
    back: list[int] = []
    for k in range(len(chain) - 1, first, -1):
        here, i = chain[k]
        inside_maybe = [j for j, r in enumerate(here.sure) if shapely.intersects(r, here.maybe[i])]
        if k == len(chain) - 1:
            back = [j for j in inside_maybe if shapely.intersects(here.sure[j], outside)]
        else:
            table = here.links(chain[k + 1][0], sure=True)
            back = [j for j in inside_maybe if any(table[j, m] for m in back)]
        last = k
        if not back:
            break
    slices: list[Slice] = []
    for here, _ in chain[first : last + 1]:
        if here not in slices:
            slices.append(here)
    return slices


def _near(region: Any, center: Any) -> bool:
    return bool(shapely.distance(region, center) <= 2 * ROUNDING)


def _span(nodes: dict[Node, Node | None]) -> tuple[float, float]:
    turns = [(node[0].low, node[0].high) for node in nodes]
    return (min(t[0] for t in turns), max(t[1] for t in turns)) if turns else (0.0, 0.0)


def _blocked(at_rest: list[Slice], made: int) -> Found:
    return Found(verdict=Verdict.BLOCKED_AT_REST, slack=min(s.slack for s in at_rest), slices=made)


def _narrowest(here: Slice, chain: tuple[Node, ...]) -> State:
    """A state in the doubtful slice: where the maybe-region is left when the sure ones go."""
    for other, i in chain:
        if other is here:
            region = here.maybe[i]
            rest = region.difference(shapely.union_all(here.sure)) if here.sure else region
            parts = [p for p in shapely.get_parts(rest) if p.area > 0] or [region]
            # Between two sure regions the neck is the piece that touches both.
            neck = max(
                parts,
                key=lambda p: (sum(p.distance(s) < 1e-3 for s in here.sure), -p.area),
            )
            at = neck.representative_point()
            return State(here.turn, float(at.x), float(at.y))
    return State(here.turn, 0.0, 0.0)
