"""The collision library's one adapter: solids, distances and overlaps between them.

Surfaces are meshes, so a solid wholly inside another counts as apart: callers start from states
that are known and move in steps that can't jump through a wall.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from blankwright.fit.solid import Solid
from blankwright.fit.space import Near
from blankwright.geom.pose import Array, Point3, Pose


class MeshCollider:
    """The part and the structure.

    Args:
        part: the part at rest
        walls: the structure
        soft: names of walls that the part may be pressed into
    """

    def __init__(self, part: Solid, walls: Iterable[Solid], soft: Iterable[str] = ()) -> None:
        self._features = part.triangle_features
        self._part = _object(part)
        self._walls = {wall.name: _object(wall) for wall in walls}
        self._soft = frozenset(soft)

    def near(self, pose: Pose, wall: str) -> Near:
        """Return the least distance to one wall, the part moved from rest."""
        import fcl

        self._move(pose)
        request = fcl.DistanceRequest(enable_nearest_points=True)
        result = fcl.DistanceResult()
        distance = fcl.distance(self._part, self._walls[wall], request, result)
        on_part, on_wall = (_point(p) for p in result.nearest_points)
        triangle = int(result.b1)
        known = 0 <= triangle < len(self._features)
        return Near(
            wall=wall,
            distance=max(0.0, float(distance)),
            part_point=on_part,
            wall_point=on_wall,
            feature=self._features[triangle] if known else "",
        )

    def hits(self, pose: Pose, wall: str) -> bool:
        """Say whether the part, moved from rest, overlaps one wall."""
        self._move(pose)
        return objects_meet(self._part, self._walls[wall])

    def hits_any(self, pose: Pose) -> bool:
        """Say whether the part, moved from rest, overlaps any wall that it must not."""
        import fcl

        self._move(pose)
        request = fcl.CollisionRequest()
        return any(
            bool(fcl.collide(self._part, wall, request, fcl.CollisionResult()))
            for name, wall in self._walls.items()
            if name not in self._soft
        )

    def _move(self, pose: Pose) -> None:
        import fcl

        matrix = pose.matrix()
        self._part.setTransform(fcl.Transform(matrix[:3, :3], matrix[:3, 3]))


def _object(solid: Solid) -> Any:
    return mesh_object(*solid.triangles)


def mesh_object(points: Array, triangles: Any) -> Any:
    """Return triangles as a surface of the library.

    Args:
        points: corners; shape (n, 3) [mm]
        triangles: numbers of the corners of each; shape (m, 3)
    """
    import fcl

    model = fcl.BVHModel()
    model.beginModel(len(points), len(triangles))
    model.addSubModel(np.ascontiguousarray(points), np.ascontiguousarray(triangles))
    model.endModel()
    return fcl.CollisionObject(model, fcl.Transform())


def solid_object(points: Array, faces: Sequence[Sequence[int]]) -> Any:
    """Return a convex solid of the library.

    Args:
        points: corners; shape (n, 3) [mm]
        faces: numbers of the corners of each face
    """
    import fcl

    flat: list[int] = []
    for face in faces:
        flat += [len(face), *face]
    return fcl.CollisionObject(
        fcl.Convex(points, len(faces), np.array(flat, dtype=np.int32)), fcl.Transform()
    )


def moved_by(thing: Any, shift: Point3) -> Any:
    """Move a thing of the library from rest by a shift [mm], and return it."""
    import fcl

    thing.setTransform(fcl.Transform(np.eye(3), np.array(shift, dtype=np.float64)))
    return thing


def objects_meet(a: Any, b: Any) -> bool:
    """Say whether two things of the library meet."""
    import fcl

    return bool(fcl.collide(a, b, fcl.CollisionRequest(), fcl.CollisionResult()))


def _point(p: Any) -> Point3:
    x, y, z = (float(v) for v in np.asarray(p))
    return (x, y, z)
