"""A way found in a section, checked with the whole solid at every moment of it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from blankwright.fit.decide import WayIn
from blankwright.fit.planar import State
from blankwright.fit.solid import Solid
from blankwright.fit.space import Collider
from blankwright.fit.surely import Kept, Passing, Stretch, kept_along, leaning
from blankwright.geom.pose import Pose
from blankwright.geom.vec import Point
from blankwright.jobs.fit_open import Fit


@dataclass(frozen=True, kw_only=True)
class SolidCheck:
    """A way found in a section, checked with the whole solid.

    Args:
        passing: free, meets something, or too near to tell
        least: least clearance found to what must not be met [mm]
        surely: the clearance is nowhere less than this, chords of round surfaces taken off [mm]
        wall: what comes nearest
        leans: walls that the part leans on at rest: it may slide along them, so they are left out
            of both numbers
    """

    passing: Passing
    least: float
    surely: float
    wall: str
    leans: tuple[str, ...]

    @property
    def free(self) -> bool:
        """Whether the whole solid surely goes along the way."""
        return self.passing is Passing.FREE


def with_solid(fit: Fit, way: WayIn) -> SolidCheck:
    """Move the whole solid along a way found in a section."""
    assert way.answer.way is not None
    middle = way.question.middle
    states = way.answer.way.states
    return along_states(fit, fit.solid, fit.collider, way.section.frame, middle, states)


def along_states(
    fit: Fit,
    solid: Solid,
    collider: Collider,
    frame: Pose,
    middle: Point,
    states: Sequence[State],
) -> SolidCheck:
    """Move a solid through states of a section.

    Args:
        fit: part and place
        solid: the part, sprung or not
        collider: that solid and the structure
        frame: frame of the section
        middle: what turns are about at rest, in the section [mm]
        states: corners of the way
    """
    stretches = _stretches(solid, frame, middle, states)
    hard = [wall for wall in fit.place.solids if wall.name in set(fit.hard)]
    leant = leaning(collider, solid, hard, fit.hard)
    chords = solid.error + max((wall.error for wall in hard), default=0.0)
    clear = [wall.name for wall in hard if wall.name not in leant]
    off = kept_along(collider, clear, stretches, floor=chords)
    # What it leans on: a hair off all the way is enough.
    on = kept_along(collider, list(leant), stretches, shifts=leant)
    worst = on if _rank(on) > _rank(off) else off
    return SolidCheck(
        passing=worst.passing,
        least=off.least if worst is off else worst.least,
        surely=max(0.0, off.surely - chords) if worst is off else 0.0,
        wall=worst.wall,
        leans=tuple(leant),
    )


def _rank(kept: Kept) -> int:
    return (Passing.FREE, Passing.UNSURE, Passing.MEETS).index(kept.passing)


def _stretches(solid: Solid, frame: Pose, middle: Point, states: Sequence[State]) -> list[Stretch]:
    corners = frame.inverse().points(solid.triangles[0])
    x, y = middle
    # Turning is about the middle in the plane, so points off the plane move no farther.
    reach = float(np.hypot(corners[:, 0] - x, corners[:, 1] - y).max())

    def stretch(a: State, b: State) -> Stretch:
        def at(t: float) -> Pose:
            between = State(
                a.turn + (b.turn - a.turn) * t, a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t
            )
            return pose_at(frame, middle, between)

        return Stretch(at, math.hypot(b.x - a.x, b.y - a.y) + reach * abs(b.turn - a.turn))

    return [stretch(a, b) for a, b in itertools.pairwise(states)]


def pose_of(way: WayIn, state: State) -> Pose:
    """Return how the solid is moved from rest in a state of its section."""
    return pose_at(way.section.frame, way.question.middle, state)


def pose_at(frame: Pose, middle: Point, state: State) -> Pose:
    """Return how the solid is moved from rest in a state of a section.

    Args:
        frame: frame of the section
        middle: what turns are about at rest, in the section [mm]
        state: the state
    """
    x, y = middle
    local = Pose.turn((x, y, 0.0), (0.0, 0.0, 1.0), state.turn).then(
        Pose(origin=(state.x - x, state.y - y, 0.0))
    )
    return frame.inverse().then(local).then(frame)
