"""Solids for fitting: convex pieces for sections, triangles for distances in space.

A sheet, a frame or a block is a plane region drawn out along the normal of its plane. A formed
part is a region of thickness for each flat, and narrow facets for each bend. All are cut into
convex pieces of six corners (a triangle on each face), whose sections by a plane are hulls.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from blankwright.develop.formed import BendShape, Formed
from blankwright.geom.edges import Arc
from blankwright.geom.pose import Array, Pose
from blankwright.geom.region import Region
from blankwright.geom.triangles import triangulate

Numbers = NDArray[np.int32]

SAG: Final = 0.005
"""How far a chord may stand off its arc in fitting [mm]."""

ERROR: Final = 2 * SAG
"""How far a solid's surface may stand off the true one, either way [mm]: the chords of its
outlines and the facets of its bends."""

_FACES: Final = np.array(((0, 2, 1), (3, 4, 5)), dtype=np.int32)
_RIMS: Final = np.array(
    ((0, 1, 4), (0, 4, 3), (1, 2, 5), (1, 5, 4), (2, 0, 3), (2, 3, 5)), dtype=np.int32
)


@dataclass(frozen=True)
class Piece:
    """Convex pieces that belong to one feature.

    Args:
        feature: name of the flat, bend, opening side or the like
        wedges: corners, the lower triangle first: shape (k, 6, 3) [mm]
        error: how far their surface may stand off the true one [mm]
    """

    feature: str
    wedges: Array
    error: float = ERROR


@dataclass(frozen=True, kw_only=True)
class Solid:
    """A solid that may be moved as one.

    Args:
        name: its name in the place; empty for the part itself
        material: what it is made of, in the words of the place
        pieces: its convex pieces
        shell: corners of triangles in space where there are no convex pieces, shape (k, 3, 3)
        shell_error: how far the triangles may stand off the true surface [mm]
        steps: named sizes of the place that it hangs on
    """

    name: str
    material: str
    pieces: tuple[Piece, ...] = ()
    shell: Array = field(default_factory=lambda: np.zeros((0, 3, 3)))
    shell_error: float = ERROR
    steps: tuple[str, ...] = ()

    @cached_property
    def error(self) -> float:
        """How far its surface may stand off the true one, either way [mm]."""
        errors = [piece.error for piece in self.pieces]
        return max((*errors, self.shell_error) if len(self.shell) else errors, default=0.0)

    @cached_property
    def triangles(self) -> tuple[Array, Numbers]:
        """Corners, shape (n, 3) [mm], and triangles, shape (m, 3), from all pieces."""
        corners, numbers = [], []
        count = 0
        for piece in self.pieces:
            k = len(piece.wedges)
            corners.append(piece.wedges.reshape(-1, 3))
            one = np.concatenate((_FACES, _RIMS))
            offset = (count + 6 * np.arange(k, dtype=np.int32))[:, None, None]
            numbers.append((one[None, :, :] + offset).reshape(-1, 3))
            count += 6 * k
        if len(self.shell):
            corners.append(self.shell.reshape(-1, 3))
            numbers.append(np.arange(3 * len(self.shell), dtype=np.int32).reshape(-1, 3) + count)
        if not corners:
            return np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32)
        return np.concatenate(corners), np.concatenate(numbers).astype(np.int32)

    @cached_property
    def triangle_features(self) -> tuple[str, ...]:
        """The feature of each triangle."""
        names = [piece.feature for piece in self.pieces for _ in range(8 * len(piece.wedges))]
        return (*names, *(self.name,) * len(self.shell))

    def moved(self, pose: Pose) -> Solid:
        """Return the solid after a rigid move."""
        return Solid(
            name=self.name,
            material=self.material,
            pieces=tuple(
                Piece(p.feature, pose.points(p.wedges.reshape(-1, 3)).reshape(-1, 6, 3), p.error)
                for p in self.pieces
            ),
            shell=pose.points(self.shell.reshape(-1, 3)).reshape(-1, 3, 3),
            shell_error=self.shell_error,
            steps=self.steps,
        )


def drawn_out(feature: str, region: Region, low: float, high: float, pose: Pose) -> Piece:
    """Return a region drawn out along z from low to high [mm], then placed."""
    corners, triangles = triangulate(*region.polygon(SAG))
    return Piece(feature, _wedges(corners, triangles, low, high, pose), _edge_error(region))


def _edge_error(region: Region) -> float:
    return SAG if any(isinstance(edge, Arc) for edge in region.edges) else 0.0


def solid_of_formed(
    formed: Formed, pose: Pose, *, name: str = "", material: str = "metal"
) -> Solid:
    """Return a formed part as a solid, each flat and bend a feature."""
    thickness = formed.blank.thickness
    pieces = []
    for flat in formed.blank.flats:
        corners, triangles = triangulate(*flat.region.polygon(SAG))
        wedges = _wedges(corners, triangles, 0.0, thickness, formed.flats[flat.name].then(pose))
        pieces.append(Piece(flat.name, wedges, _edge_error(flat.region)))
    for bend in formed.blank.bends:
        shape = formed.bends[bend.name]
        back = bend.place.inverse()
        cuts = _cuts(shape, thickness)
        found = []
        for region in bend.regions:
            outer, holes = region.moved(back).polygon(SAG)
            corners, triangles = triangulate(outer, holes, cuts)
            if shape.is_flat:
                found.append(_wedges(corners, triangles, 0.0, thickness, shape.place.then(pose)))
                continue
            found.append(_bent(corners, triangles, shape, thickness, pose))
        if found:
            pieces.append(Piece(f"bend {bend.name}", np.concatenate(found)))
    return Solid(name=name, material=material, pieces=tuple(p for p in pieces if len(p.wedges)))


def _cuts(shape: BendShape, thickness: float) -> list[float]:
    if shape.is_flat:
        return []
    outer = shape.inside_radius + thickness
    turn = math.pi / 4 if outer <= SAG else min(math.pi / 4, 2 * math.acos(1 - SAG / outer))
    n = math.ceil(shape.angle / turn)
    return [shape.bend.allowance * i / n for i in range(1, n)]


def _wedges(corners: Array, triangles: Numbers, low: float, high: float, pose: Pose) -> Array:
    flat = corners[triangles].reshape(-1, 2)
    both = [
        pose.points(np.column_stack((flat, np.full(len(flat), z)))).reshape(-1, 3, 3)
        for z in (low, high)
    ]
    return np.concatenate(both, axis=1)


def _bent(
    corners: Array, triangles: Numbers, shape: BendShape, thickness: float, pose: Pose
) -> Array:
    flat = corners[triangles].reshape(-1, 2)
    place = shape.place.then(pose)
    both = []
    for z in (0.0, thickness):
        strip = np.column_stack((flat, np.full(len(flat), z)))
        both.append(place.points(shape.locals(strip, thickness)).reshape(-1, 3, 3))
    return np.concatenate(both, axis=1)


def box_of(solids: Iterable[Solid]) -> tuple[Array, Array]:
    """Return the least and the greatest corner of the box around solids, shape (3,) each [mm]."""
    corners = np.concatenate([s.triangles[0] for s in solids])
    return corners.min(axis=0), corners.max(axis=0)
