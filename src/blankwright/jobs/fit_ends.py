"""What holds the part where it stands: at rest, and at the end of each motion."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from blankwright.fit.decide import Held, held, question_of
from blankwright.fit.motion import Travel
from blankwright.fit.place import Force, Place, PlaneOfFit
from blankwright.fit.room import Room, rooms
from blankwright.fit.section import section_of, sections_of
from blankwright.fit.space import RestPair, at_rest
from blankwright.geom.pose import Point3, Pose
from blankwright.jobs.fit_open import Fit

SIDES: Final = (
    (1.0, 0.0, 0.0),
    (-1.0, 0.0, 0.0),
    (0.0, 1.0, 0.0),
    (0.0, -1.0, 0.0),
    (0.0, 0.0, 1.0),
    (0.0, 0.0, -1.0),
)


@dataclass(frozen=True, kw_only=True)
class End:
    """The part where it stands.

    Args:
        name: ``at rest``, or ``at the end of`` and the motion
        pressed: soft neighbours that it is pressed into
        rooms: how far it can be moved each way of the place before something hard stops it
        held: what the stated forces do there
    """

    name: str
    pressed: tuple[RestPair, ...]
    rooms: tuple[Room, ...]
    held: tuple[Held, ...]


def ends_of(fit: Fit, rest: Sequence[RestPair], travels: Sequence[Travel]) -> tuple[End, ...]:
    """Return what holds the part at rest, and at the end of each motion.

    Args:
        fit: part and place
        rest: clearances at rest
        travels: motions, looked at
    """
    ends = [_end(fit, "at rest", Pose(), rest)]
    for travel in travels:
        pose = travel.motion.at(_just_before(travel.end))
        there = at_rest(fit.place, fit.solid, fit.collider, pose)
        ends.append(_end(fit, f"at the end of {travel.motion.name}", pose, there))
    return tuple(ends)


def _just_before(end: float) -> float:
    return math.copysign(max(0.0, abs(end) - 1e-3), end)


def _end(fit: Fit, name: str, pose: Pose, pairs: Sequence[RestPair]) -> End:
    planes = {plane.name: plane for plane in fit.place.sections}
    found = [_held(fit, pose, planes[force.section], force) for force in fit.place.forces]
    return End(
        name=name,
        pressed=tuple(pair for pair in pairs if pair.pair.is_soft and pair.gap < 0),
        rooms=rooms(fit.place, fit.collider, pose, SIDES),
        held=tuple(one for one in found if one is not None),
    )


def _held(fit: Fit, pose: Pose, plane: PlaneOfFit, force: Force) -> Held | None:
    """Ask whether a force brings the part out from where it stands; nothing where it is not cut.

    The section goes with the part where a motion carries it out of the plane.
    """
    center = pose(fit.center)
    ahead = sum(
        (after - before) * n
        for before, after, n in zip(fit.center, center, plane.frame.z, strict=True)
    )
    x, y, z = plane.frame.z
    frame = plane.frame.then(Pose(origin=(x * ahead, y * ahead, z * ahead)))
    part = section_of(fit.solid.moved(pose), frame)
    if part.is_empty:
        return None
    walls = sections_of(fit.place.solids, frame)
    # Nobody guides it here: metal may touch metal, or what is proved would not hold.
    question, _ = question_of(fit.place, replace(plane, frame=frame), part, walls, touching=True)
    middle = frame.inverse()(center)
    return held(question, force, (middle[0], middle[1]), part.features, plane.words)


def way_word(place: Place, direction: Point3) -> str:
    """Return what a direction of the place is called: in a section's words where one has it."""
    for plane in place.sections:
        u = plane.frame.inverse().vector(direction)
        words = {
            (1, 0): plane.words.right,
            (-1, 0): plane.words.left,
            (0, 1): plane.words.up,
            (0, -1): plane.words.down,
        }
        if abs(u[2]) < 1e-6:
            word = words.get((round(u[0]), round(u[1])))
            if word is not None and abs(abs(u[0]) + abs(u[1]) - 1) < 1e-6:
                return word
    k = max(range(3), key=lambda i: abs(direction[i]))
    return f"{'+' if direction[k] > 0 else '-'}{'xyz'[k]}"
