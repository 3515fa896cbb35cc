"""How far off its place a hole of a formed part is likely to be."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from blankwright.develop.formed import Formed, form
from blankwright.geom.pose import Point3, Pose
from blankwright.geom.vec import Point
from blankwright.holes.pierce import distance_off

USUAL_PLACE: Final = 0.5
"""How far off a part is likely to be set in its place [mm]; common practice, no source."""

USUAL_BEND: Final = 0.25
"""How far off a bend line is likely to lie on the blank [mm]; common practice, no source."""

USUAL_ANGLE: Final = math.radians(1.0)
"""How far off a bend's angle is likely to be [rad]; common practice, no source."""

_STEP: Final = 1e-4
"""Turn by which the effect of an angle is found [rad]."""


@dataclass(frozen=True, kw_only=True)
class Placed:
    """A part in its place.

    Args:
        name: what it is called
        formed: finished
        frame: where its own frame is [mm]
    """

    name: str
    formed: Formed
    frame: Pose


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerances:
    """How sure places and bends are.

    Args:
        place: of one part against the other [mm]
        bend: of each bend line on its blank [mm]
        angle: of each bend [rad]
    """

    place: float = USUAL_PLACE
    bend: float = USUAL_BEND
    angle: float = USUAL_ANGLE


class PositionErrors:
    """How far a hole may be off square to its axis, by the bends between it and the root.

    Each bend's line may be off across the bend, and its angle may be off; both carry all that
    hangs on the bend with them. Found by turning each bend a little; taken together as a root of
    squares.
    """

    def __init__(self, placed: Placed, tolerances: Tolerances) -> None:
        self.placed = placed
        self.tolerances = tolerances
        blank = placed.formed.blank
        self.turned: Mapping[str, Formed] = {
            bend.name: form(blank, {bend.name: 1.0 + _STEP / bend.angle}) for bend in blank.bends
        }

    def at(self, p: Point, place: str, direction: Point3) -> float:
        """Return the error [mm] at a point of the blank on a place, square to a direction."""
        blank = self.placed.formed.blank
        total = 0.0
        here = self.placed.frame(self.placed.formed.point(p, 0.0, place))
        for name in self._chain(place):
            bend = blank.bend_by_name[name]
            moved = self.placed.frame(self.turned[name].point(p, 0.0, place))
            by_angle = distance_off(here, direction, moved) / _STEP * self.tolerances.angle
            # Off across the bend on the blank: everything beyond it shifts along the leg.
            x, y = bend.place.vector((0.0, 1.0))
            way = self.placed.frame.vector(self.placed.formed.flats[bend.leg].vector((x, y, 0.0)))
            by_line = distance_off((0.0, 0.0, 0.0), direction, way) * self.tolerances.bend
            total += by_angle**2 + by_line**2
        return math.sqrt(total)

    def _chain(self, place: str) -> Sequence[str]:
        """Return the bends from the root to a place."""
        blank = self.placed.formed.blank
        by_leg = {bend.leg: bend for bend in blank.bends}
        chain: list[str] = []
        flat = place
        if place not in blank.flat_by_name:
            bend = next(b for b in blank.bends if b.label == place)
            chain.append(bend.name)
            flat = bend.parent
        while flat in by_leg:
            bend = by_leg[flat]
            chain.append(bend.name)
            flat = bend.parent
        return chain
