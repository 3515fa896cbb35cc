"""How far the part can be moved before something hard stops it: what holds it where it stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from blankwright.fit.contact import HAIR
from blankwright.fit.place import Place
from blankwright.fit.space import FAR, Collider
from blankwright.geom.pose import Point3, Pose

_PROBE: Final = 0.25
"""How finely to look along a wall that is all but touched [mm]: less than any sheet is thick."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """How far the part can be moved one way before it meets something.

    Args:
        direction: unit direction [-]
        travel: free travel [mm]; infinite when over `FAR`
        wall: what it meets
    """

    direction: Point3
    travel: float
    wall: str


def rooms(place: Place, collider: Collider, base: Pose, axes: Sequence[Point3]) -> tuple[Room, ...]:
    """Return how far the part can move each way from a placement.

    Args:
        place: the place; soft pairs do not stop it
        collider: the solids
        base: how the part is moved from rest
        axes: unit directions to try
    """
    starts = {
        wall.name: base.then(Pose(origin=loosened(collider, base, wall.name)))
        for wall in place.solids
        if not place.pair(place.part.material, wall.material).is_soft
    }
    return tuple(_room(collider, starts, direction) for direction in axes)


def loosened(collider: Collider, base: Pose, wall: str) -> Point3:
    """Return a hair's shift that frees the part of a wall that it touches, zeros when none does.

    So a part that lies on a wall may slide along it and is stopped only by what it goes into.
    """
    if not collider.hits(base, wall):
        return (0.0, 0.0, 0.0)
    for sign in (HAIR, -HAIR):
        for k in range(3):
            shift = (sign * (k == 0), sign * (k == 1), sign * (k == 2))
            if not collider.hits(base.then(Pose(origin=shift)), wall):
                return shift
    return (0.0, 0.0, 0.0)


def _room(collider: Collider, starts: dict[str, Pose], direction: Point3) -> Room:
    best = Room(direction=direction, travel=float("inf"), wall="")
    for wall, start in starts.items():
        travel = _free_travel(collider, start, direction, wall, min(FAR, best.travel))
        if travel < best.travel:
            best = Room(direction=direction, travel=travel, wall=wall)
    return best


def _free_travel(
    collider: Collider, start: Pose, direction: Point3, wall: str, most: float
) -> float:
    """Return how far the part goes before it meets a wall [mm]; infinite when over `most`."""
    travel, probes = 0.0, 1
    while travel < most:
        distance = collider.near(_shifted(start, direction, travel), wall).distance
        if distance > _PROBE:
            travel += distance
            probes = 1
            continue
        # Along a wall: overlaps are found faster than distances, so look at ever more of them.
        for _ in range(probes):
            if collider.hits(_shifted(start, direction, travel + _PROBE), wall):
                return _contact(collider, start, direction, wall, travel)
            travel += _PROBE
        probes = min(2 * probes, 16)
    return float("inf")


def _contact(collider: Collider, start: Pose, direction: Point3, wall: str, travel: float) -> float:
    low, high = travel, travel + _PROBE
    for _ in range(14):
        middle = (low + high) / 2
        if collider.hits(_shifted(start, direction, middle), wall):
            high = middle
        else:
            low = middle
    return low if low > 2 * HAIR else 0.0


def _shifted(base: Pose, direction: Point3, travel: float) -> Pose:
    x, y, z = direction
    return base.then(Pose(origin=(x * travel, y * travel, z * travel)))
