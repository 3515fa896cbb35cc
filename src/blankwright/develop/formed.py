"""The formed part at any state of bending, and the one map between it and the blank.

Law of bending. While a bend goes from flat to finished, the length of its neutral fibre stays:
at angle θ the inside radius is R(θ) = allowance/θ − k·T, which is the stated radius at the full
angle. (Geometry; no source needed.) Each flat moves as a rigid body.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from blankwright.base.tolerance import CHORD, TOUCH
from blankwright.develop.blank import BEND, Blank, BlankBend
from blankwright.geom import vec
from blankwright.geom.edges import Arc
from blankwright.geom.move import Move
from blankwright.geom.pose import Array, Point3, Pose
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

FLAT_ANGLE = 1e-9
"""A bend opened to less than this is taken as flat [rad]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BendShape:
    """A bend in space, at some state of bending.

    A blank point at (x along, y across) in the strip's frame and height z over the back face is,
    with φ = θ·y/allowance and r = axis height − z, where `place` puts
    (x, |r|·sin φ, axis height − r·cos φ).

    Args:
        bend: the bend on the blank
        angle: angle it is bent through now, θ [rad]
        inside_radius: inside radius now [mm]; infinite when flat
        place: carries the strip's frame, z up from the back face, into space
    """

    bend: BlankBend
    angle: float
    inside_radius: float
    place: Pose

    @property
    def is_flat(self) -> bool:
        """Whether it is not bent at all now."""
        return self.angle < FLAT_ANGLE

    def chord_step(self, thickness: float) -> float:
        """Return how far across the strip a chord within `CHORD` of the bend reaches [mm]."""
        if self.is_flat:
            return math.inf
        outer = self.inside_radius + thickness
        turn = 2 * math.acos(max(0.0, 1 - CHORD / outer))
        return self.bend.allowance * turn / self.angle

    def axis_height(self, thickness: float) -> float:
        """Return the height z of the bend's axis over the back face [mm], in the strip's frame."""
        r = self.inside_radius
        return thickness + r if self.bend.up else -r

    def local(self, x: float, y: float, z: float, thickness: float) -> Point3:
        """Return a strip point bent, in the frame of the unbent strip [mm]."""
        if self.is_flat:
            return (x, y, z)
        axis = self.axis_height(thickness)
        phi = self.angle * y / self.bend.allowance
        r = axis - z
        return (x, abs(r) * math.sin(phi), axis - r * math.cos(phi))

    def locals(self, array: Array, thickness: float) -> Array:
        """Bend many strip points at once: shape (n, 3) [mm] to shape (n, 3) [mm]."""
        if self.is_flat:
            return array
        axis = self.axis_height(thickness)
        phi = array[:, 1] * (self.angle / self.bend.allowance)
        r = axis - array[:, 2]
        return np.column_stack((array[:, 0], np.abs(r) * np.sin(phi), axis - r * np.cos(phi)))

    def unbent(self, p: Point3, thickness: float) -> Point3:
        """Return the strip point (x, y, z) [mm] of a point in the frame of the unbent strip."""
        if self.is_flat:
            return p
        axis = self.axis_height(thickness)
        sign = 1.0 if self.bend.up else -1.0
        phi = math.atan2(p[1], (axis - p[2]) * sign)
        if phi < -(math.tau - self.angle) / 2:
            phi += math.tau
        r = math.hypot(p[1], axis - p[2])
        return (p[0], phi * self.bend.allowance / self.angle, axis - sign * r)

    def peaks(self) -> list[float]:
        """Return where across the strip the bend turns back along x, y or z of space [mm]."""
        sign = 1.0 if self.bend.up else -1.0
        found = []
        for y, z in zip(self.place.y, self.place.z, strict=True):
            phi = math.atan2(-y, sign * z) % math.pi
            if 0.0 < phi < self.angle:
                found.append(phi * self.bend.allowance / self.angle)
        return found

    def leg_turn(self, thickness: float) -> Pose:
        """Return how bending carries the leg, in the unbent strip's frame; `thickness` [mm]."""
        if self.is_flat:
            return Pose()
        return leg_turn(self.bend.allowance, self.angle, self.axis_height(thickness), self.bend.up)


def leg_turn(allowance: float, angle: float, axis_height: float, up: bool) -> Pose:
    """Return how a bend carries its leg, in the frame of the unbent strip.

    Args:
        allowance: width of the strip [mm]
        angle: angle bent through [rad]
        axis_height: height of the bend's axis over the back face [mm]
        up: whether the leg goes to the face side
    """
    back = Pose(origin=(0.0, -allowance, 0.0))
    turn = Pose.turn((0.0, 0.0, axis_height), (1.0, 0.0, 0.0), angle if up else -angle)
    return back.then(turn)


@dataclass(frozen=True, kw_only=True)
class Formed:
    """The blank with each flat placed in space, at some state of bending.

    Args:
        blank: the blank
        flats: placement of each flat: carries the blank's frame (z up from the back face) into
            space, valid for that flat alone
        bends: each bend in space
    """

    blank: Blank
    flats: Mapping[str, Pose]
    bends: Mapping[str, BendShape]

    def point(self, p: Point, z: float = 0.0, on: str | None = None) -> Point3:
        """Return where a point of the blank is in space [mm].

        Args:
            p: point on the blank [mm]
            z: height over the back face [mm]
            on: the flat's name or the bend's `label` to take it on; found when not stated

        Raises:
            ValueError: when the point is on no flat and no bend
            KeyError: when there is no such flat or bend
        """
        name = on if on is not None else locate(self.blank, p)
        if name is None:
            raise ValueError(f"({p[0]:g}, {p[1]:g}) is not on the blank")
        if name in self.flats:
            return self.flats[name]((p[0], p[1], z))
        shape = self._shape(name)
        x, y = shape.bend.place.inverse()(p)
        return shape.place(shape.local(x, y, z, self.blank.thickness))

    def points(self, array: Array, on: str) -> Array:
        """Place many blank points of one flat or bend: shape (n, 3), z over the back face [mm].

        Args:
            array: points of the blank
            on: the flat's name or the bend's `label`
        """
        if on in self.flats:
            return self.flats[on].points(array)
        shape = self._shape(on)
        strip = as_pose(shape.bend.place.inverse()).points(array)
        return shape.place.points(shape.locals(strip, self.blank.thickness))

    def blank_point(self, p: Point3, on: str | None = None) -> tuple[Point, float, str]:
        """Return the blank point, the height over the back face, and the flat or bend.

        Args:
            p: point in space [mm], in the metal or on its faces
            on: the flat's name or the bend's `label`; found when not stated

        Raises:
            ValueError: when the point is not in the metal
        """
        for name in (on,) if on is not None else places(self.blank):
            q, z = self._unplaced(p, name)
            if on is not None:
                return q, z, name
            if -TOUCH <= z <= self.blank.thickness + TOUCH and _is_on(self.blank, name, q):
                return q, z, name
        raise ValueError(f"({p[0]:g}, {p[1]:g}, {p[2]:g}) is not in the metal")

    def _shape(self, label: str) -> BendShape:
        return self.bends[label.removeprefix(BEND)]

    def _unplaced(self, p: Point3, name: str) -> tuple[Point, float]:
        if name in self.flats:
            x, y, z = self.flats[name].inverse()(p)
            return (x, y), z
        shape = self._shape(name)
        x, y, z = shape.unbent(shape.place.inverse()(p), self.blank.thickness)
        return shape.bend.place((x, y)), z

    @cached_property
    def box(self) -> tuple[Point3, Point3]:
        """Least and greatest corner of the box around the part [mm].

        Exact, but where an arc of the blank's edge runs over a bend: there within `CHORD`.
        """
        least = np.full(3, np.inf)
        most = np.full(3, -np.inf)
        for name in places(self.blank):
            for region in regions_on(self.blank, name):
                outer = self._rim(name, region)
                for z in (0.0, self.blank.thickness):
                    array = np.column_stack((outer, np.full(len(outer), z)))
                    placed = self.points(array, name)
                    least = np.minimum(least, placed.min(axis=0))
                    most = np.maximum(most, placed.max(axis=0))
        return (
            (float(least[0]), float(least[1]), float(least[2])),
            (float(most[0]), float(most[1]), float(most[2])),
        )

    def _rim(self, name: str, region: Region) -> Array:
        """Return points of a region's edge, the farthest in space along x, y and z among them."""
        if name in self.flats:
            return _arc_peaks(region, self.flats[name])
        shape = self._shape(name)
        if shape.is_flat:
            return _arc_peaks(region, as_pose(shape.bend.place.inverse()).then(shape.place))
        dense = _dense(region.outer.points(), shape.chord_step(self.blank.thickness))
        after = np.roll(dense, -1, axis=0)
        strip = shape.bend.place.inverse()
        across = np.array([strip((float(x), float(y)))[1] for x, y in dense])
        across_after = np.roll(across, -1)
        rows = [dense]
        for peak in shape.peaks():
            over = (across - peak) * (across_after - peak) < 0.0
            share = (peak - across[over]) / (across_after[over] - across[over])
            rows.append(dense[over] + (after[over] - dense[over]) * share[:, None])
        return np.concatenate(rows)


def form(blank: Blank, state: float | Mapping[str, float] = 1.0) -> Formed:
    """Bend a blank.

    Args:
        blank: the blank
        state: share of each bend's angle [-], 0 flat to 1 finished (over 1 is overbent); one for
            all, or by bend name, where bends not named are finished

    Returns:
        The formed part, its root flat where it lies on the blank.
    """
    flats: dict[str, Pose] = {blank.root.name: Pose()}
    bends: dict[str, BendShape] = {}
    for bend in blank.bends:
        share = state if isinstance(state, float | int) else state.get(bend.name, 1.0)
        angle = bend.angle * share
        flat = angle < FLAT_ANGLE
        radius = math.inf if flat else bend.allowance / angle - bend.k * blank.thickness
        strip = as_pose(bend.place)
        shape = BendShape(
            bend=bend,
            angle=0.0 if flat else angle,
            inside_radius=max(0.0, radius),
            place=strip.then(flats[bend.parent]),
        )
        bends[bend.name] = shape
        turn = shape.leg_turn(blank.thickness)
        flats[bend.leg] = as_pose(bend.place.inverse()).then(turn).then(shape.place)
    return Formed(blank=blank, flats=flats, bends=bends)


def as_pose(move: Move) -> Pose:
    """Return a move of the blank's plane, without flip, as a placement in space."""
    return Pose(
        (move.cos, move.sin, 0.0),
        (-move.sin, move.cos, 0.0),
        (0.0, 0.0, 1.0),
        (move.dx, move.dy, 0.0),
    )


def places(blank: Blank) -> tuple[str, ...]:
    """Return the names of all places on a blank: flats by name, bends by label."""
    return (*blank.flat_by_name, *(bend.label for bend in blank.bends))


def regions_on(blank: Blank, place: str) -> tuple[Region, ...]:
    """Return where a flat or bend lies on the blank [mm]. Raises KeyError."""
    flat = blank.flat_by_name.get(place)
    if flat is not None:
        return (flat.region,)
    return blank.bend_by_name[place.removeprefix(BEND)].regions


def locate(blank: Blank, p: Point) -> str | None:
    """Return the flat's name or the bend's label that a point [mm] is on, or nothing.

    A point on a bend tangent line belongs to the flat.
    """
    return next((name for name in places(blank) if _is_on(blank, name, p)), None)


def _is_on(blank: Blank, place: str, p: Point) -> bool:
    return any(r.contains(p) or r.distance_to_edge(p) <= TOUCH for r in regions_on(blank, place))


def _arc_peaks(region: Region, pose: Pose) -> Array:
    """Return the corners of a flat region and where its arcs turn back along x, y or z of space.

    Shape (n, 2) [mm], in the region's frame.
    """
    points = [edge.start for edge in region.outer.edges]
    for edge in region.outer.edges:
        if not isinstance(edge, Arc):
            continue
        for x, y in zip(pose.x, pose.y, strict=True):
            turn = math.atan2(y, x)
            ends = [vec.polar(edge.center, edge.radius, turn + half) for half in (0.0, math.pi)]
            points.extend(p for p in ends if edge.distance(p) <= TOUCH)
    return np.array(points)


def _dense(points: list[Point], step: float) -> Array:
    """Put points on the sides of a polygon at most `step` apart, so that bending shows."""
    array = np.array(points)
    if math.isinf(step):
        return array
    rows = []
    for a, b in zip(array, np.roll(array, -1, axis=0), strict=True):
        n = max(1, math.ceil(float(np.hypot(*(b - a))) / step))
        rows.append(a + (b - a) * (np.arange(n) / n)[:, None])
    return np.concatenate(rows)
