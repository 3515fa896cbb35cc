"""Fit in space: distances and squeeze at rest, contact area, what holds the part each way.

Distances come from a `Collider`, which the adapter to the collision library gives.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, Protocol

import numpy as np
import shapely

from blankwright.fit.contact import HAIR, feature_at, normals_of, one_in_other, pressed, touching
from blankwright.fit.place import Pair, Place
from blankwright.fit.solid import Solid
from blankwright.geom.pose import Array, Point3, Pose

FAR: Final = 12.0
"""Free travel and distances over this are not told [mm]."""


_STILL: Final = Pose()


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """How near the part is to one piece of structure.

    Args:
        wall: its name
        distance: [mm]; 0 where they touch or overlap
        part_point: nearest point of the part [mm]
        wall_point: nearest point of the wall [mm]
        feature: the part's flat or bend there
    """

    wall: str
    distance: float
    part_point: Point3
    wall_point: Point3
    feature: str


class Collider(Protocol):
    """The part and the structure in a collision library."""

    def near(self, pose: Pose, wall: str) -> Near:
        """Return the least distance to one wall, the part moved from rest."""

    def hits(self, pose: Pose, wall: str) -> bool:
        """Say whether the part, moved from rest, overlaps one wall."""

    def hits_any(self, pose: Pose) -> bool:
        """Say whether the part, moved from rest, overlaps any wall that it must not."""


@dataclass(frozen=True, kw_only=True)
class RestPair:
    """The part and one neighbour at rest.

    Args:
        wall: name of the neighbour
        pair: what is wanted
        gap: clearance [mm]; below zero a squeeze, and how deep at least where one lies in the other
        near: the least distance and where
        area: contact area of a squeezed pair [mm²]
    """

    wall: str
    pair: Pair
    gap: float
    near: Near
    area: float

    @property
    def short(self) -> float:
        """How much is missing to what is wanted [mm]; 0 when it is right."""
        if self.gap < self.pair.clearance:
            return self.pair.clearance - self.gap
        return max(0.0, self.gap - self.pair.most)


def at_rest(
    place: Place, part: Solid, collider: Collider, pose: Pose = _STILL
) -> tuple[RestPair, ...]:
    """Return the part's clearance or squeeze to every neighbour, least first.

    Args:
        place: the place
        part: the part at rest
        collider: part and structure
        pose: how the part is moved from rest
    """
    found = [rest_pair(place, part, wall, collider, pose) for wall in place.solids]
    return tuple(sorted(found, key=lambda pair: (pair.gap - pair.pair.clearance, pair.wall)))


def rest_pair(
    place: Place, part: Solid, wall: Solid, collider: Collider, pose: Pose = _STILL
) -> RestPair:
    """Return the part's clearance or squeeze to one neighbour, the part moved from rest."""
    near = collider.near(pose, wall.name)
    gap, area = near.distance, 0.0
    if gap <= HAIR:
        there = part.moved(pose)
        depth, contact = 0.0, None
        if collider.hits(pose, wall.name):
            depth, direction = squeeze(there, wall, collider, pose)
            contact = pressed(there, wall, depth, direction)
        if depth <= HAIR / 5:
            # Faces that lie on each other may be found to overlap by rounding.
            depth, contact = 0.0, touching(there, wall) or contact
        gap = -depth if depth else min(gap, HAIR)
        if contact is not None:
            area = contact.area
            near = replace(
                near,
                part_point=contact.middle,
                wall_point=contact.middle,
                feature=feature_at(there, contact.middle),
            )
    elif one_in_other(part.moved(pose), wall):
        gap = -gap
    return RestPair(
        wall=wall.name,
        pair=place.pair(part.material, wall.material),
        gap=gap,
        near=near,
        area=area,
    )


def rest_gap(part: Solid, wall: Solid, collider: Collider) -> float:
    """Return the part's clearance to one neighbour at rest, below zero the squeeze [mm]."""
    gap = collider.near(_STILL, wall.name).distance
    if gap <= HAIR and collider.hits(_STILL, wall.name):
        depth, _ = squeeze(part, wall, collider)
        return -depth if depth > HAIR / 5 else 0.0
    return -gap if one_in_other(part, wall) else gap


def squeeze(
    part: Solid, wall: Solid, collider: Collider, pose: Pose = _STILL
) -> tuple[float, Point3]:
    """Return the least shift that parts two solids, and its direction.

    Args:
        part: where it is
        wall: the other
        collider: part and structure
        pose: how the part was moved from rest to where it is

    Looked for along the normals of all plane faces of both: exact where a plane face of one is
    pressed into the other, and never too small.
    """
    best, way = np.inf, (0.0, 0.0, 1.0)
    for direction in normals_of(wall, 1.0) + normals_of(part, -1.0):
        reach = best if np.isfinite(best) else 2 * FAR
        if _overlap(collider, pose, wall, direction, reach):
            continue
        low, high = 0.0, reach
        for _ in range(26):
            middle = (low + high) / 2
            if _overlap(collider, pose, wall, direction, middle):
                low = middle
            else:
                high = middle
        if high < best:
            best, way = high, direction
    return (float(best), way) if np.isfinite(best) else (2 * FAR, way)


def _overlap(collider: Collider, pose: Pose, wall: Solid, direction: Point3, shift: float) -> bool:
    x, y, z = direction
    shifted = pose.then(Pose(origin=(x * shift, y * shift, z * shift)))
    return collider.hits(shifted, wall.name)


def footprint(part: Solid, pose: Pose, frame: Pose) -> object:
    """Return the part's shadow on the x-y plane of a frame: a shapely shape [mm]."""
    into = pose.then(frame.inverse())
    shadows = []
    for piece in part.pieces:
        flat: Array = into.points(piece.wedges.reshape(-1, 3)).reshape(-1, 6, 3)[:, :, :2]
        shadows.extend(shapely.convex_hull(shapely.multipoints(flat)))
    return shapely.union_all(shadows)
