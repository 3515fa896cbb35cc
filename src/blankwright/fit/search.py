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

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Any

import shapely

from blankwright.fit.convolution import ROUNDING
from blankwright.fit.planar import PlanarQuestion, State
from blankwright.fit.slices import Shapes, Slice
from blankwright.fit.walk import UNSURE, Node, Place, Walk, chain_to, reach_surely

_PATIENCE = 12
"""After so many rounds all doubtful slices are parted at once, not only those on the walk."""


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
    levels: Sequence[Shapes] = (),
) -> Found:
    """Answer the planar question.

    Args:
        question: part, walls and side
        finest: least slack that slices are parted to [mm]; a way or a hindrance finer than this
            stays undecided
        most_slices: how many slices may be made
        levels: for a part that springs, its shapes over each range of springing, in order, each
            range ending where the next begins; the part rests in the middle one

    Returns:
        The answer. Same question, same answer: the effort is counted in slices, not in seconds.
    """
    stacks = [_first_slices(question, shapes) for shapes in levels or (Shapes(question),)]
    for here, there in itertools.pairwise(stacks):
        _join(here, there)
    made = sum(len(stack) for stack in stacks)
    at_rest = [s for s in stacks[len(stacks) // 2] if s.holds(question.rest)]
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
        known, goal = reach_surely(sure_starts, question.outside)
        if goal is not None:
            chain = chain_to(known, goal)
            return Found(
                verdict=Verdict.WAY,
                chain=chain,
                slack=min(node[0].slack for node in chain),
                slices=made,
                reached=_span(node[0] for node in known),
            )
        walk = Walk(question.outside, finest)
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
                narrowest=_narrowest(worst, states),
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


def _join(here: Sequence[Slice], there: Sequence[Slice]) -> None:
    """Make slices of neighbouring ranges of springing neighbours where they share turns."""
    for a, b in itertools.product(here, there):
        if a.shares_turns(b):
            a.across.append(b)
            b.across.append(a)


def _doubtful(places: tuple[Place, ...]) -> list[Slice]:
    """Return the slices of a walk where it does not stand on sure regions."""
    return list(dict.fromkeys(here for here, _, a in places if a == UNSURE))


def _near(region: Any, center: Any) -> bool:
    return bool(shapely.distance(region, center) <= 2 * ROUNDING)


def _span(slices: Iterable[Slice]) -> tuple[float, float]:
    turns = [(s.low, s.high) for s in slices]
    return (min(t[0] for t in turns), max(t[1] for t in turns)) if turns else (0.0, 0.0)


def _blocked(at_rest: list[Slice], made: int) -> Found:
    return Found(verdict=Verdict.BLOCKED_AT_REST, slack=min(s.slack for s in at_rest), slices=made)


def _narrowest(here: Slice, walk: Sequence[Place]) -> State:
    """A state in the narrowest spot of a slice: the longest stretch that is nowhere near sure."""
    i = next((i for s, i, a in walk if s is here and a == UNSURE), 0)
    region = here.maybe[i]
    # All round what is sure there is a seam that is not, as wide as the slack either way.
    sure = shapely.union_all(here.sure).buffer(4 * here.slack)
    parts = [p for p in shapely.get_parts(region.difference(sure)) if p.area > 0] or [region]
    neck = max(parts, key=lambda p: float(p.length))
    at = neck.representative_point()
    return State(here.turn, float(at.x), float(at.y))
