"""Where two solids lie on each other, or are pressed into each other: area and middle."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from blankwright.fit.section import section_of
from blankwright.fit.solid import Solid
from blankwright.geom.pose import Array, Point3, Pose, cross3

HAIR: Final = 0.005
"""Parts that are nearer than this touch [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """Where two solids are in contact.

    Args:
        area: [mm²]
        middle: middle of that area [mm]
    """

    area: float
    middle: Point3


def pressed(part: Solid, wall: Solid, depth: float, direction: Point3) -> Contact | None:
    """Return where two solids overlap, seen along a direction; nothing where they do not.

    The overlap is cut half way down its depth [mm], square to the direction.
    """
    level = float((wall.triangles[0] @ np.array(direction)).max()) - depth / 2
    frame = frame_along(direction, level)
    a, b = section_of(part, frame), section_of(wall, frame)
    return _contact(a.shape.intersection(b.shape), frame)


def touching(part: Solid, wall: Solid) -> Contact | None:
    """Return where plane faces of two solids lie on each other; nothing where none do.

    Such a face is rim of the wall and has the part right before it, a hair off.
    """
    best: Contact | None = None
    theirs, ours = _faces(wall), _faces(part)
    for (x, y, z), (direction, levels) in theirs.items():
        _, facing = ours.get((-x + 0.0, -y + 0.0, -z + 0.0), (direction, ()))
        met = [v for v in levels if any(abs(v + other) <= HAIR for other in facing)]
        for level in dict.fromkeys(met):
            frame = frame_along(direction, level)
            ahead = section_of(part, frame_along(direction, level + 2 * HAIR))
            within = section_of(wall, frame_along(direction, level - 2 * HAIR))
            beyond = section_of(wall, frame_along(direction, level + 2 * HAIR))
            shape = ahead.shape.intersection(within.shape.difference(beyond.shape))
            found = _contact(shape, frame)
            if found is not None and (best is None or found.area > best.area):
                best = found
    return best


def feature_at(solid: Solid, point: Point3) -> str:
    """Return the feature of a solid that a point [mm] lies in, or is nearest to by its planes."""
    if not solid.pieces:
        return solid.name
    corners, triangles = solid.triangles
    a, b, c = (corners[triangles[:, k]] for k in range(3))
    normal = np.cross(b - a, c - a)
    size = np.linalg.norm(normal, axis=1)
    off = ((np.array(point) - a) * normal).sum(axis=1) / np.where(size > 1e-12, size, np.inf)
    # Eight triangles a wedge: a point is as far off a wedge as off the plane that it is farthest
    # out of, or farther.
    of_wedges = off[: 8 * (len(off) // 8)].reshape(-1, 8).max(axis=1)
    return solid.triangle_features[8 * int(np.argmin(of_wedges))]


def one_in_other(a: Solid, b: Solid) -> bool:
    """Whether a solid lies in the other where their surfaces do not meet: surfaces can't tell that.

    One corner of each piece that holds together by itself is enough to ask; asked is the first.
    """
    return _holds(a, b.triangles[0][0]) or _holds(b, a.triangles[0][0])


def _holds(solid: Solid, point: Array) -> bool:
    """Whether a point off its surface lies in a solid: an odd number of crossings of a ray."""
    corners, triangles = solid.triangles
    ray = np.array((0.5773, 0.5774, 0.5772))  # askew, so that it misses edges
    a, b, c = (corners[triangles[:, k]] for k in range(3))
    u, v = b - a, c - a
    h = np.cross(ray, v)
    det = (u * h).sum(axis=1)
    good = np.abs(det) > 1e-12
    with np.errstate(divide="ignore", invalid="ignore"):
        s = ((point - a) * h).sum(axis=1) / det
        q = np.cross(point - a, u)
        t = (q @ ray) / det
        far = (v * q).sum(axis=1) / det
    crossed = good & (s >= 0) & (t >= 0) & (s + t <= 1) & (far > 0)
    return bool(int(crossed.sum()) % 2)


def _contact(shape: object, frame: Pose) -> Contact | None:
    import shapely

    area = float(shapely.area(shape))
    if area < 1e-3:
        return None
    middle = shapely.centroid(shape)
    return Contact(area=area, middle=frame((float(middle.x), float(middle.y), 0.0)))


def _faces(solid: Solid) -> dict[Point3, tuple[Point3, tuple[float, ...]]]:
    """Return outward normals of a solid's plane faces, and their levels along them [mm].

    By the normal rounded, so that those of another solid can be looked up.
    """
    unit, area, corners = _triangles(solid)
    levels = np.round((corners * unit).sum(axis=1), 4).tolist()
    exact: dict[Point3, Point3] = {}
    found: dict[Point3, set[float]] = {}
    for normal, level, size in zip(unit.tolist(), levels, area.tolist(), strict=True):
        if size > 0.01:
            x, y, z = normal
            key = (round(x, 3) + 0.0, round(y, 3) + 0.0, round(z, 3) + 0.0)
            exact.setdefault(key, (x, y, z))
            found.setdefault(key, set()).add(level)
    return {key: (exact[key], tuple(sorted(values))) for key, values in found.items()}


def _triangles(solid: Solid) -> tuple[Array, Array, Array]:
    """Return unit normals, areas, and a corner of each triangle that has an area."""
    corners, triangles = solid.triangles
    a, b, c = (corners[triangles[:, k]] for k in range(3))
    normal = np.cross(b - a, c - a)
    area = np.linalg.norm(normal, axis=1) / 2
    keep = area > 5e-10
    return normal[keep] / (2 * area[keep, None]), area[keep], a[keep]


def normals_of(solid: Solid, sign: float, most: int = 10) -> list[Point3]:
    """Return the outward normals of a solid's greatest plane faces, turned by a sign, both ways."""
    unit, area, _ = _triangles(solid)
    kinds, index = np.unique(np.round(unit, 4) + 0.0, axis=0, return_inverse=True)
    total = np.bincount(index.ravel(), weights=area)
    order = np.argsort(-total, kind="stable")[:most]
    found = []
    for k in order.tolist():
        x, y, z = (kinds[k] / np.linalg.norm(kinds[k]) * sign).tolist()
        found.append((x, y, z))
        found.append((-x, -y, -z))
    return list(dict.fromkeys(found))


def frame_along(direction: Point3, level: float) -> Pose:
    """Return a frame whose z runs along a unit direction, its origin at a level along it [mm]."""
    x, y, z = direction
    helper = (1.0, 0.0, 0.0) if abs(x) < 0.9 else (0.0, 1.0, 0.0)
    side = np.array(cross3(helper, direction))
    side = side / np.linalg.norm(side)
    u = (float(side[0]), float(side[1]), float(side[2]))
    return Pose(u, cross3(direction, u), direction, (x * level, y * level, z * level))
