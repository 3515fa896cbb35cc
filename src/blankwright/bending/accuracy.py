"""What the finished part will measure: plus and minus of its legs, angles and hole distances.

The part is formed once more with each of its sources of error on its own: where each bend lands,
how much metal it takes, its angle, where edges and holes were cut. To first order a dimension's
error is the sum of each source times its slope, so that its variance is the sum of squares (the
law of propagation, JCGM 100 par. 5.1.2). `drawn_at_random` does the same without that shortcut,
by drawing all sources at random, and is there to check it.

Where a bend lands hangs on how it is gauged. By the sight line it lands where the line is, so the
held side is true to the line and the free side takes what the bend takes more or less than
reckoned. By a stop it is true to what lies against the stop: an edge as it was cut, or a bend made
before, wherever that landed. That is how the order of bends comes into it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from blankwright.bending.pieces import Tree
from blankwright.bending.plan import BendPlan, Step
from blankwright.bending.settings import Against, Stop, stop_of
from blankwright.bending.tools import Capability
from blankwright.develop.blank import BlankBend, BlankFlat
from blankwright.develop.formed import as_pose, leg_turn
from blankwright.geom.edges import Line
from blankwright.geom.move import Move
from blankwright.geom.pose import Array, Pose
from blankwright.geom.vec import Point

COVERAGE = 1.96
"""Standard deviations in 95 % of a normal spread [-]."""

_STEP = 1e-4
"""For slopes, as a share of each source's own plus/minus [-]."""

Values = Mapping[str, float]
"""Errors by source name: mm, rad, or share of the thickness."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """One dimension of the finished part.

    Args:
        name: what it is
        kind: ``length`` or ``angle``
        value: as drawn, and as formed without error [mm] or [rad]
        plus_minus: 95 % interval, half width, in the same unit
        most: what adds most to it
    """

    name: str
    kind: str
    value: float
    plus_minus: float
    most: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Spot:
    """A point of the part: on a flat, cut or drilled with an error of its own."""

    flat: int
    point: Point
    source: str


Measure = Callable[[Values], float]


@dataclass(frozen=True, eq=False)
class Accuracy:
    """Errors of a part made by a plan.

    Args:
        plan: the plan
        capability: how closely the shop works
        k_plus_minus: of each bend's neutral-axis factor, by name, where a coupon says it [-]
        by_stop: whether bends are gauged by the stop where something lies against it
    """

    plan: BendPlan
    capability: Capability
    k_plus_minus: Mapping[str, float]
    by_stop: bool = False

    @cached_property
    def tree(self) -> Tree:
        """The part."""
        return Tree(self.plan.blank)

    @cached_property
    def _step_of(self) -> dict[str, Step]:
        return {name: step for step in self.plan.steps for name in step.bends}

    @cached_property
    def _stops(self) -> dict[str, Stop]:
        return {name: stop_of(step) for name, step in self._step_of.items()}

    def _gauged(self, bend: BlankBend) -> bool:
        """Whether a bend is gauged by the stop."""
        stop = self._stops.get(bend.name)
        return self.by_stop and stop is not None and stop.against is not Against.NOTHING

    def _held_parent(self, bend: BlankBend) -> bool:
        step = self._step_of.get(bend.name)
        return True if step is None else bend.parent in step.held

    @cached_property
    def sources(self) -> dict[str, float]:
        """Plus/minus of every source of error, 95 %."""
        c, thickness = self.capability, self.plan.blank.thickness
        found: dict[str, float] = {}
        for bend in self.plan.blank.bends:
            place = c.stop if self._gauged(bend) else c.sight
            found[f"place of {bend.label}"] = place
            k = self.k_plus_minus.get(bend.name, c.k)
            found[f"allowance of {bend.label}"] = bend.angle * thickness * k
            found[f"angle of {bend.label}"] = c.angle
        return found

    def spread(self, measure: Measure, own: Mapping[str, float]) -> tuple[float, str]:
        """Return a dimension's plus/minus by propagation, and the source that adds most.

        Args:
            measure: the dimension for given errors
            own: further sources of its own, such as holes, with their plus/minus
        """
        total, most = 0.0, ("", 0.0)
        for name, size in {**self.sources, **own}.items():
            if size <= 0:
                continue
            step = size * _STEP
            slope = (measure({name: step}) - measure({name: -step})) / (2 * step)
            part = (slope * size) ** 2
            total += part
            if part > most[1] + 1e-15:
                most = (name, part)
        return math.sqrt(total), most[0]

    def drawn_at_random(
        self, measure: Measure, own: Mapping[str, float], count: int, seed: int
    ) -> float:
        """Return a dimension's plus/minus from parts made at random, 95 %.

        Args:
            measure: the dimension for given errors
            own: further sources of its own
            count: number of parts
            seed: of the random numbers
        """
        rng = np.random.default_rng(seed)
        sizes = {**self.sources, **own}
        names = list(sizes)
        draws = rng.standard_normal((count, len(names))) * (
            np.array([sizes[name] for name in names]) / COVERAGE
        )
        values = [measure(dict(zip(names, draw.tolist(), strict=True))) for draw in draws]
        return COVERAGE * float(np.std(values, ddof=1))

    def shift(self, bend: BlankBend, errors: Values) -> float:
        """Return where a bend's held tangent line lands, across the strip [mm].

        Args:
            bend: the bend
            errors: errors by source
        """
        own = errors.get(f"place of {bend.label}", 0.0)
        if not self._gauged(bend):
            return own
        stop = self._stops[bend.name]
        step = self._step_of[bend.name]
        across = 1.0 if self._held_parent(bend) else -1.0
        if stop.against is Against.EDGE:
            # The edge lies further out by its own error: so does the bend.
            return own - across * errors.get(f"cut of {stop.name}", 0.0)
        wall = self.plan.blank.bend_by_name[stop.name]
        return own + across * self._wall_shift(wall, step, errors)

    def _wall_shift(self, wall: BlankBend, step: Step, errors: Values) -> float:
        """Return how far a bend made before has moved the stop's contact towards the new bend."""
        tree = self.tree
        parent = wall.parent in {tree.names[f] for f in step.way.lay.paths} and (
            step.way.lay.paths[tree.number[wall.parent]][1]
            and len(step.way.lay.paths[tree.number[wall.parent]][2])
            <= len(step.way.lay.paths[tree.number[wall.leg]][2])
        )
        landed = self.shift(wall, errors)
        taken = errors.get(f"allowance of {wall.label}", 0.0)
        # The tangent line on the side of the plane that is held now.
        if parent:
            return -(landed if self._held_parent(wall) else landed - taken)
        return landed if not self._held_parent(wall) else landed + taken

    def turn(self, bend: BlankBend, errors: Values) -> Pose:
        """Return how a bend made with errors carries its leg's blank frame into its parent's."""
        thickness = self.plan.blank.thickness
        taken = errors.get(f"allowance of {bend.label}", 0.0)
        angle = bend.angle + errors.get(f"angle of {bend.label}", 0.0)
        landed = self.shift(bend, errors)
        start = landed if self._held_parent(bend) else landed - taken
        axis = thickness + bend.inside_radius if bend.up else -bend.inside_radius
        turn = leg_turn(bend.allowance + taken, angle, axis, bend.up)
        strip = as_pose(Move.shift(0.0, start)).then(as_pose(bend.place))
        return strip.inverse().then(turn).then(strip)

    def placed(self, spot: _Spot, flat: int, errors: Values) -> Array:
        """Return a spot of the part in the frame of a flat; shape (3,) [mm].

        Args:
            spot: the point
            flat: number of the flat whose frame it is
            errors: errors by source
        """
        x = spot.point[0] + errors.get(f"{spot.source} along", 0.0)
        y = spot.point[1] + errors.get(f"{spot.source} across", 0.0)
        pose = self._between(spot.flat, flat, errors)
        return np.array(pose((x, y, 0.0)))

    def _between(self, start: int, end: int, errors: Values) -> Pose:
        """Return how a flat's blank frame is placed in another's."""
        path = self.tree.paths(end, frozenset())[start]
        pose, flat = Pose(), end
        for j in path:
            parent, leg = self.tree.ends[j]
            turn = self.turn(self.tree.bends[j], errors)
            step = turn if flat == parent else turn.inverse()
            pose = step.then(pose)
            flat = leg if flat == parent else parent
        return pose

    def expected(self) -> tuple[Expected, ...]:
        """Return what legs, angles and hole distances will measure."""
        found: list[Expected] = []
        for bend in self.plan.blank.bends:
            found.append(self._angle(bend))
            leg = self._leg(bend)
            if leg is not None:
                found.append(leg)
            holes = self._holes(bend)
            if holes is not None:
                found.append(holes)
        return tuple(found)

    def _angle(self, bend: BlankBend) -> Expected:
        name = f"angle of {bend.label}"
        return Expected(
            name=f"angle of {bend.name}",
            kind="angle",
            value=bend.angle,
            plus_minus=self.capability.angle,
            most=name,
        )

    def leg_measure(self, bend: BlankBend) -> tuple[Measure, dict[str, float], float] | None:
        """Return how a leg's height over its parent's outside measures, its own sources, its value.

        The height is square to the outside of the parent, from there to the leg's farthest edge;
        only for a leg that ends in a cut edge and leans by a right angle or near it.
        """
        leg = self.tree.blank.flat_by_name[bend.leg]
        if any(b.parent == leg.name for b in self.tree.bends):
            return None
        far = _tip(leg, bend)
        if far is None or abs(math.sin(bend.angle)) < 0.5:
            return None
        point, source = far, f"cut of {leg.name}"
        spot = _Spot(flat=self.tree.number[leg.name], point=point, source=source)
        parent = self.tree.number[bend.parent]
        outside = 0.0 if bend.up else self.tree.blank.thickness
        strip = as_pose(bend.place.inverse())

        def measure(errors: Values) -> float:
            cut = errors.get(source, 0.0)
            out = bend.place.vector((0.0, 1.0))
            moved = _Spot(
                flat=spot.flat,
                point=(point[0] + out[0] * cut, point[1] + out[1] * cut),
                source=source,
            )
            z = strip(tuple(self.placed(moved, parent, errors).tolist()))[2]
            return abs(z - outside)

        own = {source: self.capability.cut}
        return measure, own, measure({})

    def _leg(self, bend: BlankBend) -> Expected | None:
        found = self.leg_measure(bend)
        if found is None:
            return None
        measure, own, value = found
        plus_minus, most = self.spread(measure, own)
        return Expected(
            name=f"height of {bend.leg} over {bend.parent}",
            kind="length",
            value=value,
            plus_minus=plus_minus,
            most=most,
        )

    def holes_measure(self, bend: BlankBend) -> tuple[str, Measure, dict[str, float]] | None:
        """Return the distance between the nearest holes on either side of a bend."""
        blank = self.tree.blank
        round_ = [hole for hole in blank.holes if hole.diameter is not None]
        sides = [[h for h in round_ if h.flat == flat] for flat in (bend.parent, bend.leg)]
        if not all(sides):
            return None
        a, b = min(
            ((a, b) for a in sides[0] for b in sides[1]),
            key=lambda pair: (math.dist(pair[0].center, pair[1].center), pair[0].name),
        )
        spots = [
            _Spot(flat=self.tree.number[h.flat], point=h.center, source=f"hole {h.name}")
            for h in (a, b)
        ]
        parent = self.tree.number[bend.parent]

        def measure(errors: Values) -> float:
            p, q = (self.placed(spot, parent, errors) for spot in spots)
            return float(np.linalg.norm(p - q))

        own = {
            f"{spot.source} {way}": self.capability.cut
            for spot in spots
            for way in ("along", "across")
        }
        return f"hole {a.name} to hole {b.name} across {bend.name}", measure, own

    def _holes(self, bend: BlankBend) -> Expected | None:
        found = self.holes_measure(bend)
        if found is None:
            return None
        name, measure, own = found
        plus_minus, most = self.spread(measure, own)
        return Expected(
            name=name,
            kind="length",
            value=measure({}),
            plus_minus=plus_minus,
            most=most,
        )


def expected_of(
    plan: BendPlan, k_plus_minus: Mapping[str, float] | None = None, *, by_stop: bool = False
) -> tuple[Expected, ...]:
    """Return what the finished part will measure, made by a plan.

    Args:
        plan: the plan
        k_plus_minus: of each bend's neutral-axis factor by name, where a coupon says it [-]
        by_stop: whether bends are gauged by the stop
    """
    return Accuracy(plan, plan.shop.capability, k_plus_minus or {}, by_stop).expected()


def _tip(leg: BlankFlat, bend: BlankBend) -> Point | None:
    """Return the middle of the leg's farthest straight edge along the bend [mm]."""
    back = bend.place.inverse()
    best: tuple[float, Point] | None = None
    for edge in leg.region.outer.edges:
        if not isinstance(edge, Line):
            continue
        a, b = back(edge.start), back(edge.end)
        if abs(a[1] - b[1]) > 1e-3 or abs(a[0] - b[0]) < 1.0:
            continue
        middle = ((edge.start[0] + edge.end[0]) / 2, (edge.start[1] + edge.end[1]) / 2)
        if best is None or a[1] > best[0]:
            best = (a[1], middle)
    return None if best is None else best[1]


def worst(found: Sequence[Expected], kind: str) -> float:
    """Return the greatest plus/minus of a kind; nought when there is none."""
    return max((e.plus_minus for e in found if e.kind == kind), default=0.0)
