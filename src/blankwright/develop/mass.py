"""Volume, mass, centre of gravity and moments of inertia of a formed part, without the kernel.

Flats are plane regions times the thickness. A bend is its strip wrapped on a cylinder: with
ω = θ/allowance, φ = ω·y and q the distance from the axis, dV = q·ω dx dy dq, so that every integral
is one over q, known in closed form, times one over the strip's region, taken along its edges
(see `geom.moments`). The results are exact to rounding, holes across bends included.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from blankwright.develop.formed import BendShape, Formed, as_pose
from blankwright.geom.moments import area_moments, edge_nodes
from blankwright.geom.pose import Array, Point3, Pose
from blankwright.geom.region import Region

Matrix3 = tuple[Point3, Point3, Point3]

_SWING = 1.0
"""Greatest turn over one integration stretch [rad]; 16 points then reach rounding."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mass:
    """Mass properties of a formed part, in the frame it is formed in.

    Args:
        volume: [mm³]
        mass: [kg]
        center: centre of gravity [mm]
        inertia: moments of inertia about the centre of gravity, rows of the 3 × 3 tensor, products
            with their minus sign [kg·mm²]
        principal: the three principal moments, least first [kg·mm²]
    """

    volume: float
    mass: float
    center: Point3
    inertia: Matrix3
    principal: Point3


@dataclass(frozen=True, slots=True)
class _Moments:
    """Volume [mm³], ∫p dV [mm⁴] shape (3,), ∫p pᵀ dV [mm⁵] shape (3, 3)."""

    volume: float
    first: Array
    second: Array

    def placed(self, pose: Pose) -> _Moments:
        turn = np.array((pose.x, pose.y, pose.z)).T
        o = np.array(pose.origin)
        first = turn @ self.first
        cross = np.outer(first, o)
        second = turn @ self.second @ turn.T + cross + cross.T + self.volume * np.outer(o, o)
        return _Moments(self.volume, first + self.volume * o, second)


def volume_of(formed: Formed) -> float:
    """Return the volume of the metal [mm³]."""
    return sum(moments.volume for moments in _cells(formed))


def mass_of(formed: Formed, density: float) -> Mass:
    """Return volume, mass, centre of gravity and moments of inertia.

    Args:
        formed: the formed part, at any state
        density: density of the alloy [kg/mm³]
    """
    cells = list(_cells(formed))
    volume = sum(cell.volume for cell in cells)
    first = sum((cell.first for cell in cells), np.zeros(3))
    second = sum((cell.second for cell in cells), np.zeros((3, 3)))
    center = first / volume
    about = second - volume * np.outer(center, center)
    inertia = density * (np.trace(about) * np.eye(3) - about)
    inertia = (inertia + inertia.T) / 2
    return Mass(
        volume=volume,
        mass=density * volume,
        center=_point(center),
        inertia=(_point(inertia[0]), _point(inertia[1]), _point(inertia[2])),
        principal=_point(np.linalg.eigvalsh(inertia)),
    )


def _point(v: Array) -> Point3:
    return (float(v[0]), float(v[1]), float(v[2]))


def _cells(formed: Formed) -> Iterator[_Moments]:
    thickness = formed.blank.thickness
    for flat in formed.blank.flats:
        yield _slab(flat.region, thickness).placed(formed.flats[flat.name])
    for bend in formed.blank.bends:
        shape = formed.bends[bend.name]
        for region in bend.regions:
            strip = region.moved(bend.place.inverse())
            if shape.is_flat:
                yield _slab(region, thickness).placed(
                    as_pose(bend.place.inverse()).then(shape.place)
                )
            else:
                yield _wrapped(strip, shape, thickness).placed(shape.place)


def _slab(region: Region, thickness: float) -> _Moments:
    m = area_moments(region)
    t1, t2, t3 = thickness, thickness**2 / 2, thickness**3 / 3
    return _Moments(
        m.area * t1,
        np.array((m.x * t1, m.y * t1, m.area * t2)),
        np.array(
            (
                (m.xx * t1, m.xy * t1, m.x * t2),
                (m.xy * t1, m.yy * t1, m.y * t2),
                (m.x * t2, m.y * t2, m.area * t3),
            )
        ),
    )


def _wrapped(strip: Region, shape: BendShape, thickness: float) -> _Moments:
    """Return the moments of a strip region bent, in the frame of the unbent strip."""
    omega = shape.angle / shape.bend.allowance
    inner, outer = shape.inside_radius, shape.inside_radius + thickness
    j1, j2, j3 = (omega * (outer**n - inner**n) / n for n in (2, 3, 4))
    nodes = edge_nodes(strip.edges, longest=_SWING / omega)
    x, sin, cos = nodes.x, np.sin(omega * nodes.y), np.cos(omega * nodes.y)
    # The axis is the line (x, 0, axis height); down bends have it under the back face.
    side = -1.0 if shape.bend.up else 1.0
    total = nodes.integral
    area, sx, xx = total(x), total(x * x) / 2, total(x**3) / 3
    first = np.array((j1 * sx, j2 * total(x * sin), side * j2 * total(x * cos)))
    x_sin = j2 * total(x * x * sin) / 2
    x_cos = side * j2 * total(x * x * cos) / 2
    sin_cos = side * j3 * total(x * sin * cos)
    second = np.array(
        (
            (j1 * xx, x_sin, x_cos),
            (x_sin, j3 * total(x * sin * sin), sin_cos),
            (x_cos, sin_cos, j3 * total(x * cos * cos)),
        )
    )
    lift = Pose(origin=(0.0, 0.0, shape.axis_height(thickness)))
    return _Moments(j1 * area, first, second).placed(lift)
