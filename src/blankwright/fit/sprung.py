"""A part that springs: its leg beyond one bend gives way, and the search goes over springing too.

The leg and all beyond it turn about the bend, as a whole; how far is told by the way that the
point farthest from the bend goes. Springings are laid side by side like floors, each with its own
slices of turns: in turn one single springing and the range up to the next. Over a range no point
of the leg moves farther than half its width from where it is in the middle of it. So the leg grown
by that covers all that it covers anywhere in the range, and the leg shrunk by that is covered
everywhere in it. Both answers stay sound: a way is a way, and no way is a proof. Ways run mostly on
the single springings, where nothing is lost, and cross the ranges where there is room.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
import shapely
from shapely import affinity

from blankwright.base.errors import OurBug, Problem
from blankwright.fit.planar import PlanarQuestion, State
from blankwright.fit.search import Verdict, search
from blankwright.fit.slices import Shapes, half_thickness
from blankwright.fit.sweep import Sweep, as_array
from blankwright.fit.walk import Node
from blankwright.fit.way import raw_legs, smoothed
from blankwright.geom.vec import Point

_SHARE: Final = 0.3
"""Half a range of springing, over half the thickness of the leg [-]: so the shrunk leg stands."""

_ALLOWED: Final = 0.002
"""How far search and sweep may differ before the way is thrown away [mm]."""

_EFFORT: Final = 8000
"""How many slices may be made for one answer."""


@dataclass(frozen=True, kw_only=True)
class Springing:
    """What springs, in the section.

    Args:
        root: what stays, a shapely shape [mm]
        leg: what turns about the pivot, a shapely shape [mm]
        pivot: axis of the bend that gives way [mm]
        features: what turns, by name of flat or bend
    """

    root: Any
    leg: Any
    pivot: Point
    features: frozenset[str]

    @property
    def reach(self) -> float:
        """Distance from the pivot to the leg's farthest point [mm]."""
        away = shapely.get_coordinates(self.leg) - np.array(self.pivot)
        return float(np.hypot(away[:, 0], away[:, 1]).max())

    def sprung(self, shape: Any, spring: float) -> Any:
        """Return the leg, or a piece of it, sprung so far [mm], anticlockwise above zero."""
        return affinity.rotate(shape, spring / self.reach, origin=self.pivot, use_radians=True)

    def part(self, spring: float) -> Any:
        """Return the part sprung so far [mm]."""
        return shapely.union_all([self.root, self.sprung(self.leg, spring)])

    def over(self, middle: float, half: float) -> tuple[Any, Any]:
        """Return what the part covers at some and at every springing of a range [mm]."""
        leg = self.sprung(self.leg, middle)
        if half == 0:
            whole = shapely.union_all([self.root, leg])
            return whole, whole
        grown = leg.buffer(half, join_style="mitre")
        shrunk = leg.buffer(-half, join_style="mitre")
        return shapely.union_all([self.root, grown]), shapely.union_all([self.root, shrunk])


@dataclass(frozen=True, kw_only=True)
class SprungLeg:
    """A stretch of a way on which the part stays sprung alike.

    Args:
        spring: how far it is sprung [mm], anticlockwise above zero
        question: the question for the part sprung so
        states: corners of the stretch
        least: least clearance on it, over what is to be kept off [mm]
    """

    spring: float
    question: PlanarQuestion
    states: tuple[State, ...]
    least: float


@dataclass(frozen=True, kw_only=True)
class Sprung:
    """Whether the part gets out when it may be sprung.

    Args:
        verdict: way, no way, undecided
        most: how far it may be sprung [mm]
        none_at: sprung no farther than this there is surely no way [mm]
        enough: a way was found that springs it no farther than this [mm]; infinite without one
        legs: the way from rest to outside, parted where the springing changes
    """

    verdict: Verdict
    most: float
    none_at: float = 0.0
    enough: float = math.inf
    legs: tuple[SprungLeg, ...] = ()


def answer_sprung(question: PlanarQuestion, springing: Springing, most: float) -> Sprung:
    """Search for a way out with the leg sprung so far at most, and for the least that is enough.

    Args:
        question: part at rest, walls and side; without springing it has no way
        springing: what springs
        most: how far the leg's farthest point may be moved [mm]
    """
    verdict, legs, used = _asked(question, springing, most, _EFFORT)
    if verdict is not Verdict.WAY:
        return Sprung(verdict=verdict, most=most, none_at=most if verdict is Verdict.NO_WAY else 0)
    low, high = 0.0, used
    for _ in range(2):
        if high - low < max(0.05, 0.1 * high):
            break
        middle = (low + high) / 2
        found, better, less = _asked(question, springing, middle, _EFFORT // 2)
        if found is Verdict.WAY:
            legs, high = better, min(less, middle)
        elif found is Verdict.NO_WAY:
            low = middle
        else:
            break
    return Sprung(verdict=Verdict.WAY, most=most, none_at=low, enough=high, legs=legs)


def _asked(
    question: PlanarQuestion, springing: Springing, most: float, effort: int
) -> tuple[Verdict, tuple[SprungLeg, ...], float]:
    """Return the answer for one greatest springing: verdict, way, and how far it springs [mm]."""
    count = math.ceil(most / (2 * _SHARE * half_thickness(springing.leg)))
    while True:
        middles = [most * k / (2 * count) for k in range(-2 * count, 2 * count + 1)]
        half = most / (2 * count)
        # Whole and half steps in turn: the halves are the middles of the ranges between.
        ranges = [
            springing.over(middle, half * 1.0001 if k % 2 else 0.0)
            for k, middle in enumerate(middles)
        ]
        base = replace(question, part=shapely.union_all([covered for covered, _ in ranges]))
        levels = [Shapes(base, covered, always) for covered, always in ranges]
        found = search(base, levels=levels, finest=0.02, most_slices=effort)
        if found.verdict is Verdict.WAY:
            springs = {id(shapes): middle for shapes, middle in zip(levels, middles, strict=True)}
            legs = tuple(_legs(question, base, springing, found.chain, springs))
            return Verdict.WAY, legs, max(abs(leg.spring) for leg in legs)
        if found.verdict is not Verdict.UNDECIDED:
            return found.verdict, (), 0.0
        effort -= found.slices
        count *= 2
        if effort < 50 * count:
            return Verdict.UNDECIDED, (), 0.0


def _legs(
    question: PlanarQuestion,
    base: PlanarQuestion,
    springing: Springing,
    chain: tuple[Node, ...],
    springs: dict[int, float],
) -> Iterator[SprungLeg]:
    """Straighten each leg of the way, and check it with exact distances."""
    before: SprungLeg | None = None
    for shapes, raw in raw_legs(base, chain):
        spring = springs[id(shapes)]
        asked = replace(question, part=springing.part(spring), center=base.middle)
        sweep = Sweep(asked)
        states = tuple(smoothed(sweep, raw)) if len(raw) > 1 else tuple(raw)
        least = sweep.least(as_array(states)).least
        off_rest = least if before else sweep.least(as_array(states[1:] or states)).least
        worst = min(off_rest, _while_springing(question, base, springing, before, spring))
        if worst < -_ALLOWED:
            raise OurBug(
                Problem(
                    code="FIT-901",
                    where=f"way in, sprung {spring:.3f} mm",
                    got=f"the way is {-worst:.4f} mm nearer than the search says",
                    allowed=f"{_ALLOWED} mm",
                )
            )
        before = SprungLeg(spring=spring, question=asked, states=states, least=least)
        yield before


def _while_springing(
    question: PlanarQuestion,
    base: PlanarQuestion,
    springing: Springing,
    before: SprungLeg | None,
    spring: float,
) -> float:
    """Return the least clearance while the part is sprung on from one leg to the next [mm]."""
    if before is None:
        return math.inf
    at = as_array(before.states[-1:])
    found = math.inf
    for share in np.linspace(0.0, 1.0, 17).tolist():
        between = before.spring + (spring - before.spring) * share
        asked = replace(question, part=springing.part(between), center=base.middle)
        found = min(found, float(Sweep(asked).clearances(at)[0]))
    return found
