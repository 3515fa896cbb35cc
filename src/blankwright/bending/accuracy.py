"""What the finished part will measure: plus and minus of its legs, angles and hole distances.

The part is formed once more with each of its sources of error on its own: where each bend lands,
how much metal it takes, its angle, where edges and holes were cut. To first order a dimension's
error is the sum of each source times its slope, so that its variance is the sum of squares (the
law of propagation, JCGM 100 par. 5.1.2). Each is checked without that shortcut, on parts whose
sources are all drawn at random (JCGM 101).

Where a bend lands hangs on how it is gauged. By the sight line it lands where the line is, so the
held side is true to the line and the free side takes what the bend takes more or less than
reckoned. By a stop it is true to what lies against the stop: an edge as it was cut, or a bend made
before, wherever that landed. That is how the order of bends comes into it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from blankwright.bending.pieces import Tree
from blankwright.bending.plan import BendPlan, Step
from blankwright.bending.settings import Against, Stop, stop_of
from blankwright.bending.tools import Capability
from blankwright.develop.blank import BlankBend
from blankwright.develop.formed import as_pose
from blankwright.geom.pose import Array
from blankwright.geom.vec import Point

COVERAGE = 1.96
"""Standard deviations in 95 % of a normal spread [-]."""

THICKNESS = "thickness of the sheet"
"""Name of the source that all bends share."""

_STEP = 1e-4
"""For slopes, as a share of each source's own plus/minus [-]."""

Values = Mapping[str, Array]
"""Errors by source name, each of shape (n,) for n parts: mm, rad, or share of the thickness."""

Measure = Callable[[Values], Array]
"""A dimension of n parts for given errors; shape (n,)."""

_NONE = np.zeros(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A point of the part: on a flat, cut or drilled with an error of its own.

    Args:
        flat: number of the flat
        point: on the blank [mm]
        source: name of its error; empty for none
    """

    flat: int
    point: Point
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """How far a dimension may be off.

    Args:
        plus_minus: by propagation, 95 %
        by_chance: 95 % of parts made at random, the same unit
        most: the source that adds most
    """

    plus_minus: float
    by_chance: float
    most: str


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

    def held_parent(self, bend: BlankBend) -> bool:
        """Say whether a bend's parent is held while it is made."""
        step = self._step_of.get(bend.name)
        return True if step is None else bend.parent in step.held

    @cached_property
    def sources(self) -> dict[str, float]:
        """Plus/minus of every source of error that all dimensions share, 95 %."""
        c, thickness = self.capability, self.plan.blank.thickness
        found: dict[str, float] = {THICKNESS: c.thickness}
        for bend in self.plan.blank.bends:
            place = c.stop if self._gauged(bend) else c.sight
            found[f"place of {bend.label}"] = place
            k = self.k_plus_minus.get(bend.name, c.k)
            found[f"allowance of {bend.label}"] = bend.angle * thickness * k
            found[f"angle of {bend.label}"] = c.angle
            stop = self._stops.get(bend.name)
            if self._gauged(bend) and stop is not None and stop.against is Against.EDGE:
                found[cut_source(stop.name, stop.edge)] = c.cut
        return found

    def spread(
        self, measure: Measure, own: Mapping[str, float], count: int = 4000, seed: int = 20
    ) -> Spread:
        """Return how far a dimension may be off, by propagation and of parts made at random.

        Args:
            measure: the dimension for given errors
            own: further sources of its own, such as holes, with their plus/minus
            count: number of parts made at random
            seed: of the random numbers
        """
        sizes = {name: size for name, size in {**self.sources, **own}.items() if size > 0}
        names, size = list(sizes), np.array(list(sizes.values()))
        if not names:
            return Spread(plus_minus=0.0, by_chance=0.0, most="")
        n = len(names)
        steps = np.concatenate((np.diag(size * _STEP), np.diag(-size * _STEP)))
        # What hangs on none of them comes as one value.
        value = np.broadcast_to(measure(dict(zip(names, steps.T, strict=True))), 2 * n)
        parts = ((value[:n] - value[n:]) / (2 * _STEP)) ** 2
        rng = np.random.default_rng(seed)
        drawn = rng.standard_normal((count, n)) * (size / COVERAGE)
        made = np.broadcast_to(measure(dict(zip(names, drawn.T, strict=True))), count)
        biggest = int(np.argmax(np.round(parts, 12)))
        return Spread(
            plus_minus=math.sqrt(float(parts.sum())),
            by_chance=COVERAGE * float(np.std(made, ddof=1)),
            most=names[biggest].split("/")[0] if parts[biggest] > 0 else "",
        )

    def taken(self, bend: BlankBend, errors: Values) -> Array:
        """Return how much more metal a bend takes than reckoned [mm]; thicker sheet takes more."""
        own = errors.get(f"allowance of {bend.label}", _NONE)
        return own + bend.angle * bend.k * errors.get(THICKNESS, _NONE)

    def shift(self, bend: BlankBend, errors: Values) -> Array:
        """Return where a bend's held tangent line lands, across the strip [mm].

        Args:
            bend: the bend
            errors: errors by source
        """
        own = errors.get(f"place of {bend.label}", _NONE)
        if not self._gauged(bend):
            return own
        stop = self._stops[bend.name]
        step = self._step_of[bend.name]
        across = 1.0 if self.held_parent(bend) else -1.0
        if stop.against is Against.EDGE:
            # The edge lies further out by its own error: so does the bend.
            return own - across * errors.get(cut_source(stop.name, stop.edge), _NONE)
        wall = self.plan.blank.bend_by_name[stop.name]
        return own + across * self._wall_shift(wall, step, errors)

    def _wall_shift(self, wall: BlankBend, step: Step, errors: Values) -> Array:
        """Return how far a bend made before has moved the stop's contact towards the new bend."""
        tree = self.tree
        parent = wall.parent in {tree.names[f] for f in step.way.lay.paths} and (
            step.way.lay.paths[tree.number[wall.parent]][1]
            and len(step.way.lay.paths[tree.number[wall.parent]][2])
            <= len(step.way.lay.paths[tree.number[wall.leg]][2])
        )
        landed, taken = self.shift(wall, errors), self.taken(wall, errors)
        # The outside of thicker sheet stands further out.
        out = math.tan(min(wall.angle, math.radians(150)) / 2) * errors.get(THICKNESS, _NONE)
        # The tangent line on the side of the plane that is held now.
        if parent:
            return -(landed if self.held_parent(wall) else landed - taken) - out
        return (landed if not self.held_parent(wall) else landed + taken) - out

    def start(self, bend: BlankBend, errors: Values) -> Array:
        """Return how far a bend's tangent line on its parent has moved, across the strip [mm]."""
        landed = self.shift(bend, errors)
        return landed if self.held_parent(bend) else landed - self.taken(bend, errors)

    def angle(self, bend: BlankBend, errors: Values) -> Array:
        """Return a bend's angle [rad]."""
        return bend.angle + errors.get(f"angle of {bend.label}", _NONE)

    def thickness(self, errors: Values) -> Array:
        """Return the sheet's thickness [mm]."""
        return self.plan.blank.thickness + errors.get(THICKNESS, _NONE)

    def turn(self, bend: BlankBend, errors: Values) -> Array:
        """Return how a bend carries its leg's blank frame into its parent's; shape (n, 4, 4).

        The nose keeps the inside radius; the neutral fibre takes what `taken` says.
        """
        taken, angle = self.taken(bend, errors), self.angle(bend, errors)
        start, thickness = self.start(bend, errors), self.thickness(errors)
        axis = thickness + bend.inside_radius if bend.up else np.full(1, -bend.inside_radius)
        back, angle, start, axis = np.broadcast_arrays(bend.allowance + taken, angle, start, axis)
        c, s = np.cos(angle), np.sin(angle) * (1.0 if bend.up else -1.0)
        turn = np.zeros((len(c), 4, 4))
        turn[:, 0, 0] = turn[:, 3, 3] = 1.0
        turn[:, 1, 1], turn[:, 1, 2], turn[:, 2, 1], turn[:, 2, 2] = c, -s, s, c
        # Back by the strip, round the axis, and on to where the bend has landed.
        turn[:, 1, 3] = start + s * axis - c * (back + start)
        turn[:, 2, 3] = axis - c * axis - s * (back + start)
        strip = as_pose(bend.place).matrix()
        result: Array = strip @ turn @ np.linalg.inv(strip)
        return result

    def placed(self, spot: Spot, flat: int, errors: Values, z: Array = _NONE) -> Array:
        """Return a spot of the part in the frame of a flat; shape (n, 3) [mm].

        Args:
            spot: the point
            flat: number of the flat whose frame it is
            errors: errors by source
            z: height over the back face [mm]
        """
        x = spot.point[0] + errors.get(f"{spot.source} along", _NONE)
        y = spot.point[1] + errors.get(f"{spot.source} across", _NONE)
        return self.carried(spot.flat, flat, errors, x, y, z)

    def carried(self, start: int, end: int, errors: Values, x: Array, y: Array, z: Array) -> Array:
        """Return points of one flat's blank frame in another's; shape (n, 3) [mm]."""
        x, y, z, one = np.broadcast_arrays(x, y, z, np.ones(1))
        point = np.stack((x, y, z, one), axis=-1)[..., None]
        flat = start
        for j in reversed(self.tree.paths(end, frozenset())[start]):
            parent, leg = self.tree.ends[j]
            turn = self.turn(self.tree.bends[j], errors)
            point = (turn if flat == leg else np.linalg.inv(turn)) @ point
            flat = parent if flat == leg else leg
        result: Array = point[..., :3, 0]
        return result


def cut_source(flat: str, edge: int) -> str:
    """Return the name of the source for where an edge of a flat was cut."""
    return f"cut of {flat}/{edge}"
