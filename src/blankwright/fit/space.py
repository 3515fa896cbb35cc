"""Fit in space: distances and squeeze at rest, contact area, what holds the part each way.

Distances come from a `Collider`, which the adapter to the collision library gives.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Protocol

import numpy as np
import shapely

from blankwright.fit.place import Pair, Place
from blankwright.fit.section import section_of
from blankwright.fit.solid import Solid
from blankwright.geom.pose import Array, Point3, Pose, cross3

FAR: Final = 12.0
"""Free travel and distances over this are not told [mm]."""


HAIR: Final = 0.005
"""Parts that are nearer than this touch [mm]."""


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
        gap: clearance [mm]; below zero a squeeze
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


def at_rest(place: Place, part: Solid, collider: Collider) -> tuple[RestPair, ...]:
    """Return the part's clearance or squeeze to every neighbour, least first."""
    found = [rest_pair(place, part, wall, collider) for wall in place.solids]
    return tuple(sorted(found, key=lambda pair: (pair.gap - pair.pair.clearance, pair.wall)))


def rest_pair(place: Place, part: Solid, wall: Solid, collider: Collider) -> RestPair:
    """Return the part's clearance or squeeze to one neighbour."""
    near = collider.near(Pose(), wall.name)
    gap, area = near.distance, 0.0
    if gap <= 0.0 and collider.hits(Pose(), wall.name):
        depth, direction = squeeze(part, wall, collider)
        gap = -depth
        area = contact_area(part, wall, depth, direction)
    return RestPair(
        wall=wall.name,
        pair=place.pair(part.material, wall.material),
        gap=gap,
        near=near,
        area=area,
    )


def squeeze(part: Solid, wall: Solid, collider: Collider) -> tuple[float, Point3]:
    """Return the least shift that parts two solids, and its direction.

    Looked for along the normals of all plane faces of both: exact where a plane face of one is
    pressed into the other, and never too small.
    """
    best, way = np.inf, (0.0, 0.0, 1.0)
    for direction in _normals(wall, 1.0) + _normals(part, -1.0):
        reach = best if np.isfinite(best) else 2 * FAR
        if _overlap(collider, wall, direction, reach):
            continue
        low, high = 0.0, reach
        for _ in range(26):
            middle = (low + high) / 2
            if _overlap(collider, wall, direction, middle):
                low = middle
            else:
                high = middle
        if high < best:
            best, way = high, direction
    return (float(best), way) if np.isfinite(best) else (2 * FAR, way)


def _overlap(collider: Collider, wall: Solid, direction: Point3, shift: float) -> bool:
    x, y, z = direction
    return collider.hits(Pose(origin=(x * shift, y * shift, z * shift)), wall.name)


def _normals(solid: Solid, sign: float, most: int = 10) -> list[Point3]:
    """Return the outward normals of a solid's greatest plane faces, turned by a sign."""
    corners, triangles = solid.triangles
    a, b, c = (corners[triangles[:, k]] for k in range(3))
    normal = np.cross(b - a, c - a)
    area = np.linalg.norm(normal, axis=1)
    keep = area > 1e-9
    unit = np.round(normal[keep] / area[keep, None], 4) + 0.0
    kinds, index = np.unique(unit, axis=0, return_inverse=True)
    total = np.bincount(index.ravel(), weights=area[keep])
    order = np.argsort(-total, kind="stable")[:most]
    found = []
    for k in order.tolist():
        x, y, z = (kinds[k] / np.linalg.norm(kinds[k]) * sign).tolist()
        found.append((x, y, z))
        found.append((-x, -y, -z))
    return list(dict.fromkeys(found))


def contact_area(part: Solid, wall: Solid, depth: float, direction: Point3) -> float:
    """Return the area over which two solids overlap, seen along a direction [mm²].

    The overlap is cut half way down its depth, square to the direction.
    """
    corners = wall.triangles[0]
    along = corners @ np.array(direction)
    level = float(along.max()) - depth / 2
    frame = frame_along(direction, level)
    a, b = section_of(part, frame), section_of(wall, frame)
    return float(a.shape.intersection(b.shape).area)


def frame_along(direction: Point3, level: float) -> Pose:
    """Return a frame whose z runs along a unit direction, its origin at a level along it [mm]."""
    x, y, z = direction
    helper = (1.0, 0.0, 0.0) if abs(x) < 0.9 else (0.0, 1.0, 0.0)
    side = np.array(cross3(helper, direction))
    side = side / np.linalg.norm(side)
    u = (float(side[0]), float(side[1]), float(side[2]))
    return Pose(u, cross3(direction, u), direction, (x * level, y * level, z * level))


def footprint(part: Solid, pose: Pose, frame: Pose) -> object:
    """Return the part's shadow on the x-y plane of a frame: a shapely shape [mm]."""
    into = pose.then(frame.inverse())
    shadows = []
    for piece in part.pieces:
        flat: Array = into.points(piece.wedges.reshape(-1, 3)).reshape(-1, 6, 3)[:, :, :2]
        shadows.extend(shapely.convex_hull(shapely.multipoints(flat)))
    return shapely.union_all(shadows)
