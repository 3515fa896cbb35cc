"""Features pressed into a flat: embosses, louvers, extruded holes. The blank is without them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from blankwright.develop.unfold.model import (
    SolidFace,
    SolidModel,
    SurfaceKind,
)
from blankwright.develop.unfold.rims import Rim, RimKind, depth_of
from blankwright.develop.unfold.skins import Skins
from blankwright.geom.pose import Array

_WALL = 1.25
"""The wall of an extruded hole is no thicker than this share of the sheet [-]; a nut's is."""

_SHARE = 0.5
"""A feature on more than this share of its flat is no feature of it [-]."""


@dataclass(frozen=True, slots=True, eq=False)
class Bore:
    """The opening through an extruded hole.

    Args:
        center: a point on its axis [mm]
        radius: [mm]
    """

    center: Array
    radius: float


def mark_pressed(model: SolidModel, skins: Skins, rims: Sequence[Rim]) -> None:
    """Find which of the rims that stand off the sheet are pressed features, and mark them.

    A feature is pressed when it lies within one flat and shows on both sides of it, so that the
    sheet keeps its thickness: what stands on one side alone is a boss.
    """
    off = [rim for rim in rims if rim.kind is RimKind.OFF and _within_one_flat(model, rim)]
    for rim in off:
        if rim.touches[0] and rim.touches[1]:
            if _thin_walled(model, skins, rim):
                rim.kind = RimKind.PRESSED
            continue
        for other in off:
            if other is not rim and _behind(model, skins, rim, other):
                rim.kind = other.kind = RimKind.PRESSED


def bore_of(model: SolidModel, rim: Rim) -> Bore | None:
    """Return the opening through a pressed feature, nothing where it has none of its own."""
    if not (rim.touches[0] and rim.touches[1]):
        return None
    axis = _flat_of(model, rim).axis
    bores = [f for f in rim.faces if _upright(f, axis) and f.outward < 0]
    least = min(bores, key=lambda f: f.radius, default=None)
    return None if least is None else Bore(least.origin, least.radius)


def _flat_of(model: SolidModel, rim: Rim) -> SolidFace:
    return model.faces[min(rim.touches[0] | rim.touches[1])]


def _within_one_flat(model: SolidModel, rim: Rim) -> bool:
    """Say whether a rim lies inside one plane face of each side that it touches."""
    touched = [*rim.touches[0], *rim.touches[1]]
    if not touched or max(len(rim.touches[0]), len(rim.touches[1])) > 1:
        return False
    own = {face.number for face in rim.faces}
    for number in touched:
        face = model.faces[number]
        if face.kind is not SurfaceKind.PLANE:
            return False
        spans = [np.ptp(np.concatenate([e.points for e in loop]), axis=0) for loop in face.loops]
        sizes = [float(np.linalg.norm(span)) for span in spans]
        mine = [
            i
            for i, loop in enumerate(face.loops)
            if any(model.beyond(edge, face).number in own for edge in loop)
        ]
        whole = all(model.beyond(edge, face).number in own for i in mine for edge in face.loops[i])
        if not whole or any(sizes[i] > _SHARE * max(sizes) for i in mine):
            return False
    return True


def _behind(model: SolidModel, skins: Skins, rim: Rim, other: Rim) -> bool:
    """Say whether another rim is the other side of a pressed feature: the sheet between is as thick
    as everywhere, within what a draft takes off."""
    sides = [side for side in (0, 1) if rim.touches[side]]
    if len(sides) != 1 or not other.touches[1 - sides[0]] or other.touches[sides[0]]:
        return False
    flat = _flat_of(model, rim)
    high, low = depth_of(rim.points, flat), depth_of(other.points, flat)
    t = skins.thickness
    tall = float(-high.min()) if -high.min() > high.max() else float(high.max())
    tall_back = float(-low.min()) if -high.min() > high.max() else float(low.max() - t)
    shift = rim.points.mean(axis=0) - other.points.mean(axis=0)
    aside = shift - float(shift @ flat.axis) * flat.axis
    reach = float(np.linalg.norm(np.ptp(rim.points, axis=0)))
    return float(np.linalg.norm(aside)) < reach / 3 and abs(tall - tall_back - t) < t


def _thin_walled(model: SolidModel, skins: Skins, rim: Rim) -> bool:
    axis = _flat_of(model, rim).axis
    bores = [f for f in rim.faces if _upright(f, axis) and f.outward < 0]
    walls = [f for f in rim.faces if _upright(f, axis) and f.outward > 0]
    if not bores:
        # A louver's slit is open to both sides; its bridge is as thick as the sheet.
        return not walls
    radius = min(face.radius for face in bores)
    return all(face.radius - radius <= _WALL * skins.thickness for face in walls)


def _upright(face: SolidFace, axis: Array) -> bool:
    return face.kind is SurfaceKind.CYLINDER and abs(abs(float(face.axis @ axis)) - 1) < 1e-4
