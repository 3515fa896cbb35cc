"""A way found in a section, checked with the whole solid at every moment of it."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np

from blankwright.fit.decide import WayIn
from blankwright.fit.planar import State
from blankwright.fit.surely import Kept, Passing, Stretch, kept_along, leaning
from blankwright.geom.pose import Pose
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
    stretches = _stretches(fit, way, way.answer.way.states)
    hard = [wall for wall in fit.place.solids if wall.name in set(fit.hard)]
    leant = leaning(fit.collider, fit.solid, hard, fit.hard)
    chords = fit.solid.error + max((wall.error for wall in hard), default=0.0)
    clear = [wall.name for wall in hard if wall.name not in leant]
    off = kept_along(fit.collider, clear, stretches, floor=chords)
    # What it leans on: a hair off all the way is enough.
    on = kept_along(fit.collider, list(leant), stretches, shifts=leant)
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


def _stretches(fit: Fit, way: WayIn, states: tuple[State, ...]) -> list[Stretch]:
    corners = way.section.frame.inverse().points(fit.solid.triangles[0])
    x, y = way.question.middle
    # Turning is about the middle in the plane, so points off the plane move no farther.
    reach = float(np.hypot(corners[:, 0] - x, corners[:, 1] - y).max())

    def stretch(a: State, b: State) -> Stretch:
        def at(t: float) -> Pose:
            return pose_of(
                way,
                State(a.turn + (b.turn - a.turn) * t, a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t),
            )

        return Stretch(at, math.hypot(b.x - a.x, b.y - a.y) + reach * abs(b.turn - a.turn))

    return [stretch(a, b) for a, b in itertools.pairwise(states)]


def pose_of(way: WayIn, state: State) -> Pose:
    """Return how the solid is moved from rest in a state of its section."""
    x, y = way.question.middle
    frame = way.section.frame
    local = Pose.turn((x, y, 0.0), (0.0, 0.0, 1.0), state.turn).then(
        Pose(origin=(state.x - x, state.y - y, 0.0))
    )
    return frame.inverse().then(local).then(frame)
