"""The dimensions of a finished part that are told: angles, legs, and holes across bends."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from blankwright.bending.accuracy import Accuracy, Measure, Spot, Values, cut_source
from blankwright.bending.plan import BendPlan
from blankwright.develop.blank import Blank, BlankBend, BlankFlat, BlankHole
from blankwright.geom.edges import Line
from blankwright.geom.pose import Array
from blankwright.geom.vec import Point
from blankwright.part.model import HoleKind

_FAR_BENDS = 3
"""Holes are measured across so many bends at most."""

_MOST_PAIRS = 40
"""So many hole distances are told at most, those across the fewest bends first."""

_FOLD = math.radians(150)
"""A bend through more than this is a hem: it has no mold line, its fold's outside stands for it."""

_PARALLEL = 0.01
"""Sine of the angle within which two bends run along one another [-]."""

_UPRIGHT = math.radians(30)
"""A leg that leans less than this against its parent is measured along itself, not in height."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """One dimension of the finished part.

    Args:
        name: what it is
        kind: ``length`` or ``angle``
        value: as drawn, and as formed without error [mm] or [rad]
        plus_minus: bends set by the sight line, 95 %, half width, in the same unit
        by_stop: bends set by the stop wherever something lies against it
        by_chance: 95 % of parts made at random, bends set by the sight line
        by_stop_by_chance: the same, bends set by the stop
        most: what adds most to it, by the sight line
    """

    name: str
    kind: str
    value: float
    plus_minus: float
    by_stop: float
    by_chance: float
    by_stop_by_chance: float
    most: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimension:
    """A dimension and how it comes from errors.

    Args:
        name: what it is
        kind: ``length`` or ``angle``
        measure: the dimension for given errors [mm] or [rad]
        own: sources of its own, with their plus/minus
    """

    name: str
    kind: str
    measure: Measure
    own: Mapping[str, float]


def expected_of(
    plan: BendPlan, k_plus_minus: Mapping[str, float] | None = None
) -> tuple[Expected, ...]:
    """Return what the finished part will measure, made by a plan.

    Args:
        plan: the plan
        k_plus_minus: of each bend's neutral-axis factor by name, where a coupon says it [-]
    """
    ways = [
        Accuracy(plan, plan.shop.capability, k_plus_minus or {}, by_stop)
        for by_stop in (False, True)
    ]
    found = []
    for line, stop in zip(*(dimensions_of(accuracy) for accuracy in ways), strict=True):
        by_line = ways[0].spread(line.measure, line.own)
        by_stop = ways[1].spread(stop.measure, stop.own)
        found.append(
            Expected(
                name=line.name,
                kind=line.kind,
                value=float(line.measure({})[0]),
                plus_minus=by_line.plus_minus,
                by_stop=by_stop.plus_minus,
                by_chance=by_line.by_chance,
                by_stop_by_chance=by_stop.by_chance,
                most=by_line.most,
            )
        )
    return tuple(found)


def dimensions_of(accuracy: Accuracy) -> tuple[Dimension, ...]:
    """Return the dimensions of a part: of every bend its angle and leg, then holes across bends."""
    found: list[Dimension] = []
    for bend in accuracy.plan.blank.bends:
        found.append(_angle(accuracy, bend))
        leg = leg_of(accuracy, bend)
        if leg is not None:
            found.append(leg)
    return (*found, *_holes(accuracy))


def _angle(accuracy: Accuracy, bend: BlankBend) -> Dimension:
    return Dimension(
        name=f"angle of {bend.name}",
        kind="angle",
        measure=lambda errors: accuracy.angle(bend, errors),
        own={},
    )


def leg_of(accuracy: Accuracy, bend: BlankBend) -> Dimension | None:
    """Return how high a leg stands over its parent's outside, or how long it is along itself.

    It goes to the leg's farthest cut edge, or to the mold line of a bend beyond it that runs along
    its own bend, whichever is farther. Nothing when it has neither.
    """
    leg = accuracy.plan.blank.flat_by_name[bend.leg]
    tip, beyond = _tip(leg, bend), _beyond(accuracy.plan.blank, bend)
    own: dict[str, float] = {}
    if beyond is not None and (tip is None or _across(bend, beyond) >= tip[0]):
        top, to = _mold_line(accuracy, beyond), f", to the fold of {beyond.leg}"
    elif tip is not None:
        source = cut_source(leg.name, tip[2])
        top, to = _edge(accuracy, bend, tip[1], source), ""
        own[source] = accuracy.capability.cut
    else:
        return None
    if min(bend.angle, math.pi - bend.angle) < _UPRIGHT:
        return Dimension(
            name=f"length of {bend.leg} from its own fold{to}",
            kind="length",
            measure=lambda errors: _along(accuracy, bend, top, errors),
            own=own,
        )
    return Dimension(
        name=f"height of {bend.leg} over {bend.parent}{to}",
        kind="length",
        measure=lambda errors: _height(accuracy, bend, top, errors),
        own=own,
    )


Top = Callable[[Values], tuple[Array, Array, tuple[Array, ...]]]
"""Where a leg ends, in its own blank frame: x, y, and the heights over the back to look at [mm]."""


def _height(accuracy: Accuracy, bend: BlankBend, top: Top, errors: Values) -> Array:
    leg, parent = (accuracy.tree.number[name] for name in (bend.leg, bend.parent))
    outside = np.zeros(1) if bend.up else accuracy.thickness(errors)
    x, y, heights = top(errors)
    over = [np.abs(accuracy.carried(leg, parent, errors, x, y, z)[:, 2] - outside) for z in heights]
    return np.asarray(np.maximum.reduce(np.broadcast_arrays(*over)))


def _along(accuracy: Accuracy, bend: BlankBend, top: Top, errors: Values) -> Array:
    x, y, _ = top(errors)
    to_strip = bend.place.inverse()
    along, across = to_strip.vector((1.0, 0.0)), to_strip.vector((0.0, 1.0))
    reach = to_strip((0.0, 0.0))[1] + along[1] * x + across[1] * y
    begins = accuracy.start(bend, errors) + bend.allowance + accuracy.taken(bend, errors)
    return reach - begins + _setback(accuracy, bend, errors)


def _setback(accuracy: Accuracy, bend: BlankBend, errors: Values) -> Array:
    """Return from a bend's tangent line to its mold line, or to a hem's outside [mm]."""
    wide = bend.inside_radius + accuracy.thickness(errors)
    if bend.angle > _FOLD:
        return wide
    return wide * np.tan(accuracy.angle(bend, errors) / 2)


def _edge(accuracy: Accuracy, bend: BlankBend, point: Point, source: str) -> Top:
    """Return the top of a leg that ends in a cut edge; both of its corners count."""
    out = bend.place.vector((0.0, 1.0))

    def top(errors: Values) -> tuple[Array, Array, tuple[Array, ...]]:
        cut = errors.get(source, np.zeros(1))
        heights = (np.zeros(1), accuracy.thickness(errors))
        return point[0] + out[0] * cut, point[1] + out[1] * cut, heights

    return top


def _mold_line(accuracy: Accuracy, beyond: BlankBend) -> Top:
    """Return the top of a leg that ends in the mold line of the next bend."""

    def top(errors: Values) -> tuple[Array, Array, tuple[Array, ...]]:
        reach = accuracy.start(beyond, errors) + _setback(accuracy, beyond, errors)
        (x0, y0), out = beyond.place((beyond.width / 2, 0.0)), beyond.place.vector((0.0, 1.0))
        outside = np.zeros(1) if beyond.up else accuracy.thickness(errors)
        return x0 + out[0] * reach, y0 + out[1] * reach, (outside,)

    return top


def _across(bend: BlankBend, beyond: BlankBend) -> float:
    """Return how far across a bend's strip the next bend begins [mm]."""
    return bend.place.inverse()(beyond.place((beyond.width / 2, 0.0)))[1]


def _beyond(blank: Blank, bend: BlankBend) -> BlankBend | None:
    """Return the farthest bend of a leg that runs along the leg's own bend."""
    along = bend.place.vector((1.0, 0.0))
    found = []
    for other in blank.bends:
        if other.parent != bend.leg:
            continue
        way = other.place.vector((1.0, 0.0))
        if abs(way[0] * along[1] - way[1] * along[0]) < _PARALLEL and _across(bend, other) > 0:
            found.append(other)
    return max(found, key=lambda b: (round(_across(bend, b), 6), b.name), default=None)


def _tip(leg: BlankFlat, bend: BlankBend) -> tuple[float, Point, int] | None:
    """Return how far out the leg's farthest straight edge along the bend is, its middle, number."""
    back = bend.place.inverse()
    best: tuple[float, Point, int] | None = None
    for number, edge in enumerate(leg.region.outer.edges):
        if not isinstance(edge, Line):
            continue
        a, b = back(edge.start), back(edge.end)
        if abs(a[1] - b[1]) > 1e-3 or abs(a[0] - b[0]) < 1.0:
            continue
        middle = ((edge.start[0] + edge.end[0]) / 2, (edge.start[1] + edge.end[1]) / 2)
        if best is None or a[1] > best[0]:
            best = (a[1], middle, number)
    return best


def _holes(accuracy: Accuracy) -> Iterator[Dimension]:
    """Yield distances of holes across bends: of two flats the holes that lie nearest."""
    blank, tree = accuracy.plan.blank, accuracy.tree
    by_flat: dict[int, list[BlankHole]] = {}
    for hole in blank.holes:
        if hole.diameter is not None and hole.kind is not HoleKind.RELIEF:
            by_flat.setdefault(tree.number[hole.flat], []).append(hole)
    pairs: list[tuple[int, int, int]] = []
    for a, b in itertools.combinations(sorted(by_flat), 2):
        between = len(tree.paths(a, frozenset())[b])
        if between <= _FAR_BENDS:
            pairs.append((between, a, b))
    for _, a, b in sorted(pairs)[:_MOST_PAIRS]:
        yield holes_of(accuracy, a, b, _nearest(accuracy, by_flat[a], by_flat[b]))


def _nearest(
    accuracy: Accuracy, some: Sequence[BlankHole], others: Sequence[BlankHole]
) -> tuple[BlankHole, BlankHole]:
    """Return the two holes on two flats of the finished part that lie nearest."""
    end = accuracy.tree.number[some[0].flat]
    here = np.array([(*hole.center, 0.0) for hole in some])
    there = np.concatenate([accuracy.placed(_spot(accuracy, hole), end, {}) for hole in others])
    apart = np.round(np.linalg.norm(here[:, None] - there[None], axis=2), 6)
    i, j = np.unravel_index(int(np.argmin(apart)), apart.shape)
    return some[int(i)], others[int(j)]


def _spot(accuracy: Accuracy, hole: BlankHole) -> Spot:
    return Spot(flat=accuracy.tree.number[hole.flat], point=hole.center, source=f"hole {hole.name}")


def holes_of(
    accuracy: Accuracy, start: int, end: int, holes: tuple[BlankHole, BlankHole]
) -> Dimension:
    """Return the distance of two holes' centres on two flats, straight through the air.

    Args:
        accuracy: errors of the part
        start: number of the first hole's flat
        end: number of the other one's
        holes: the two
    """
    first, second = (_spot(accuracy, hole) for hole in holes)
    bends = [accuracy.tree.bends[j].name for j in accuracy.tree.paths(start, frozenset())[end]]

    def measure(errors: Values) -> Array:
        apart = accuracy.placed(first, start, errors) - accuracy.placed(second, start, errors)
        return np.asarray(np.linalg.norm(apart, axis=1))

    cut = accuracy.capability.cut
    ways = [f"{spot.source} {way}" for spot in (first, second) for way in ("along", "across")]
    return Dimension(
        name=f"hole {holes[0].name} to hole {holes[1].name} across {' and '.join(bends)}",
        kind="length",
        measure=measure,
        own=dict.fromkeys(ways, cut),
    )
