"""The two skins of a sheet: which faces are its face side, which its back, and how thick it is.

A face of the sheet has a mate: the same plane or axis, one thickness behind it, looking the other
way. From the largest pair the skins grow over smooth edges, a face on one side taking its mate on
the other along. Rims, hole walls, chamfers and what else is left are not reached, because they
join the skins at an edge, or have no mate.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np

from blankwright.base.errors import NotPossible, Problem
from blankwright.develop.unfold.curve2d import chained
from blankwright.develop.unfold.flatten import FlatFrame, loops_of
from blankwright.develop.unfold.model import (
    SolidEdge,
    SolidFace,
    SolidModel,
    SurfaceKind,
    place_of,
)
from blankwright.geom.loop import Loop
from blankwright.geom.pieces import regions_of
from blankwright.geom.pose import Array
from blankwright.geom.region import Region

SAME = 1e-4
"""Distances that differ by less than this are one thickness, one axis, one plane [mm]."""

PARALLEL = 1e-5
"""Directions closer than this are one [rad]; files carry fewer digits than we do."""

SMOOTH = 2e-3
"""Faces whose normals differ by less at their edge meet smoothly [rad]."""


@dataclass(eq=False)
class Skins:
    """The two sides of a sheet.

    Args:
        thickness: [mm]
        sides: numbers of the faces of each side
        mates: for each face of a side the faces behind it, on the other side
    """

    thickness: float
    sides: tuple[set[int], set[int]]
    mates: dict[int, list[int]] = field(default_factory=dict)

    @property
    def all(self) -> set[int]:
        """Faces of both sides."""
        return self.sides[0] | self.sides[1]


class Mates:
    """Finds, for plane and cylinder faces, the faces that look the other way behind them."""

    def __init__(self, model: SolidModel) -> None:
        self.model = model
        self.planes: dict[tuple[int, int, int], list[SolidFace]] = defaultdict(list)
        self.cylinders: dict[tuple[int, int, int], list[SolidFace]] = defaultdict(list)
        self._regions: dict[int, tuple[FlatFrame, tuple[Region, ...]]] = {}
        self._inner: dict[int, Array] = {}
        self._opposite: dict[int, list[tuple[float, SolidFace]]] = {}
        self._overlaps: dict[tuple[int, int], bool] = {}
        for face in model.faces:
            if face.kind is SurfaceKind.PLANE:
                self.planes[_cell(face.axis)].append(face)
            elif face.kind is SurfaceKind.CYLINDER:
                self.cylinders[_cell(_half(face.axis))].append(face)

    def at(self, face: SolidFace, thickness: float) -> list[SolidFace]:
        """Return the faces one thickness behind a face."""
        return [
            mate
            for d, mate in self.opposite(face)
            if abs(d - thickness) <= SAME and self.overlap(face, mate)
        ]

    def nearest(self, face: SolidFace) -> tuple[float, SolidFace] | None:
        """Return the nearest face behind a face, with its distance [mm]."""
        found = (item for item in self.opposite(face) if self.overlap(face, item[1]))
        return next(found, None)

    def opposite(self, face: SolidFace) -> list[tuple[float, SolidFace]]:
        """Return faces that look the other way farther back, beside or behind, nearest first."""
        if face.number not in self._opposite:
            if face.kind is SurfaceKind.PLANE:
                found = self._planes(face)
            elif face.kind is SurfaceKind.CYLINDER:
                found = self._cylinders(face)
            else:
                found = []
            found.sort(key=lambda item: (item[0], item[1].number))
            self._opposite[face.number] = found
        return self._opposite[face.number]

    def _planes(self, face: SolidFace) -> list[tuple[float, SolidFace]]:
        result = []
        for other in _near(self.planes, -face.axis):
            if float(np.abs(face.axis + other.axis).max()) <= PARALLEL:
                distance = float((face.origin - other.origin) @ face.axis)
                if distance > SAME:
                    result.append((distance, other))
        return result

    def _cylinders(self, face: SolidFace) -> list[tuple[float, SolidFace]]:
        result = []
        for other in _near(self.cylinders, _half(face.axis)):
            distance = (face.radius - other.radius) * face.outward
            if other.outward == face.outward or distance <= SAME:
                continue
            apart = other.origin - face.origin
            off = apart - (apart @ face.axis) * face.axis
            if float(np.linalg.norm(off)) > 10 * SAME:
                continue
            if abs(abs(float(face.axis @ other.axis)) - 1) <= PARALLEL:
                result.append((distance, other))
        return result

    def overlap(self, face: SolidFace, other: SolidFace) -> bool:
        """Say whether a face looking the other way lies behind another, not beside it."""
        key = (face.number, other.number)
        if key not in self._overlaps:
            if face.kind is SurfaceKind.CYLINDER:
                self._overlaps[key] = _spans_meet(face, other)
            else:
                self._overlaps[key] = self._covers(face, other) or self._covers(other, face)
        return self._overlaps[key]

    def _covers(self, face: SolidFace, other: SolidFace) -> bool:
        back, regions = self.region(other)
        points = self.inner_points(face)
        return any(
            region.contains((float(x), float(y))) for x, y in back(points) for region in regions
        )

    def inner_points(self, face: SolidFace) -> Array:
        """Return a few points inside a plane face, off its longest edges: shape (n, 3) [mm]."""
        if face.number not in self._inner:
            frame, regions = self.region(face)
            found = np.array(_inner_points(regions)).reshape(-1, 2)
            self._inner[face.number] = (
                frame.origin + found[:, :1] * frame.x + found[:, 1:] * frame.y
            )
        return self._inner[face.number]

    def region(self, face: SolidFace) -> tuple[FlatFrame, tuple[Region, ...]]:
        """Return a plane face in a frame of its own."""
        if face.number not in self._regions:
            frame = own_frame(face)
            loops = []
            for groups in loops_of(face, frame, 0.05):
                chain = chained(groups, 1e-3)
                if chain is not None:
                    loops.append(Loop(tuple(chain)))
            self._regions[face.number] = (frame, oriented(loops))
        return self._regions[face.number]


def oriented(loops: list[Loop]) -> tuple[Region, ...]:
    """Return the region of a face: its largest loop is the outside, the others are holes."""
    if not loops:
        return ()
    outer = max(loops, key=lambda loop: abs(loop.area))
    return regions_of(
        [outer.ccw(), *(loop.ccw().reversed() for loop in loops if loop is not outer)]
    )


def own_frame(face: SolidFace) -> FlatFrame:
    """Return a frame on a plane face: x as the fixed x axis runs, or y where that stands up."""
    x = in_plane(face.axis)
    return FlatFrame(face.origin, x, np.cross(face.axis, x), np.zeros(2))


def in_plane(normal: Array) -> Array:
    """Return the fixed x axis laid into a plane, or the y axis where x stands square to it."""
    for axis in np.eye(3):
        flat = axis - (axis @ normal) * normal
        size = float(np.linalg.norm(flat))
        if size > 0.5:
            result: Array = flat / size
            return result
    raise AssertionError("no axis lies in the plane")


def find_skins(model: SolidModel, mates: Mates) -> Skins:
    """Find the thickness and both skins of a sheet.

    Args:
        model: the solid
        mates: of the same solid

    Raises:
        NotPossible: when no two faces make a sheet
    """
    thickness = _thickness(model, mates)
    seed = next(
        face
        for face in sorted(model.faces, key=lambda f: (-round(f.area, 6), f.number))
        if mates.at(face, thickness)
    )
    return _grown(model, mates, thickness, seed)


def _thickness(model: SolidModel, mates: Mates) -> float:
    """Return the distance over which most area of the solid has a face behind it."""
    largest = sorted(model.faces, key=lambda f: (-f.area, f.number))[:24]
    votes: list[tuple[float, float]] = []
    for face in largest:
        behind = mates.nearest(face)
        if behind is not None:
            votes.append((behind[0], face.area))
    if not votes:
        worst = largest[0]
        if worst.kind not in (SurfaceKind.PLANE, SurfaceKind.CYLINDER):
            raise NotPossible(curved_problem(model, worst))
        raise NotPossible(
            Problem(
                code="STEP-010",
                where=model.name,
                got="no two faces lie one behind the other",
                allowed="a sheet part of one thickness",
                fix="This solid is no sheet part; leave it out",
            )
        )
    best, weight = 0.0, -1.0
    for distance, _ in votes:
        total = sum(area for d, area in votes if abs(d - distance) <= SAME)
        if total > weight + 1e-9 or (abs(total - weight) <= 1e-9 and distance < best):
            best, weight = distance, total
    return best


def curved_problem(model: SolidModel, face: SolidFace) -> Problem:
    """Say that a cone or a doubly curved face stops the part from being unfolded."""
    code, got = "STEP-012", f"a doubly curved face ({face.kind.value})"
    if face.kind is SurfaceKind.CONE:
        half = math.degrees(abs(face.half_angle))
        code, got = "STEP-014", f"a cone of {half:.3f}° half angle"
    return Problem(
        code=code,
        where=model.name,
        got=f"{got} at {place_of(face.some_point)}",
        allowed="plane flats and cylinder bends of one thickness",
        fix="Such a solid can't be unfolded as a sheet part",
    )


def _grown(model: SolidModel, mates: Mates, thickness: float, seed: SolidFace) -> Skins:
    sides: tuple[set[int], set[int]] = (set(), set())
    skins = Skins(thickness, sides)
    waiting: list[tuple[int, SolidFace]] = [(0, seed)]
    while waiting:
        side, face = waiting.pop()
        if face.number in sides[side]:
            continue
        if face.number in sides[1 - side]:
            raise NotPossible(
                Problem(
                    code="STEP-011",
                    where=model.name,
                    got=f"the face at {place_of(face.some_point)} is on both sides of the sheet",
                    allowed="a sheet with a face side and a back",
                    fix="Look at the solid there",
                )
            )
        sides[side].add(face.number)
        behind = mates.at(face, thickness)
        skins.mates[face.number] = [mate.number for mate in behind]
        waiting += [(1 - side, mate) for mate in behind]
        for edge, other in model.neighbours(face):
            if is_skin(other, mates, thickness) and meet_smoothly(edge, face, other):
                waiting.append((side, other))
    return skins


def is_skin(face: SolidFace, mates: Mates, thickness: float) -> bool:
    """Say whether a face may be one side of the sheet."""
    if mates.at(face, thickness):
        return True
    # A bend without inside radius has an outer face only.
    return (
        face.kind is SurfaceKind.CYLINDER
        and face.outward > 0
        and abs(face.radius - thickness) <= SAME
    )


def meet_smoothly(edge: SolidEdge, a: SolidFace, b: SolidFace) -> bool:
    """Say whether two faces run into one another without a corner."""
    p = edge.middle
    return float(np.linalg.norm(a.normal(p) - b.normal(p))) <= SMOOTH


def _inner_points(regions: tuple[Region, ...]) -> list[tuple[float, float]]:
    found: list[tuple[float, float]] = []
    for region in regions:
        longest = sorted(region.edges, key=lambda e: -e.length)[:4]
        for edge, (t, step) in itertools.product(
            longest, ((0.5, 0.4), (0.23, 0.4), (0.5, 0.02), (0.5, 2.0))
        ):
            p, d = edge.point(t), edge.direction(t)
            q = (p[0] - d[1] * step, p[1] + d[0] * step)
            if region.contains(q):
                found.append(q)
    return found


def _spans_meet(a: SolidFace, b: SolidFace) -> bool:
    """Say whether two faces about one axis lie beside one another, along it and round it."""
    pa, pb = (np.concatenate([edge.points for edge in f.edges]) for f in (a, b))
    za, zb = (pa - a.origin) @ a.axis, (pb - a.origin) @ a.axis
    if za.max() < zb.min() + SAME or zb.max() < za.min() + SAME:
        return False
    x = in_plane(a.axis)
    y = np.cross(a.axis, x)
    spans = []
    for p in (pa, pb):
        d = p - a.origin
        spans.append(arc_span(np.arctan2(d @ y, d @ x)))
    (a0, sa), (b0, sb) = spans
    return (b0 - a0) % math.tau < sa - 1e-6 or (a0 - b0) % math.tau < sb - 1e-6


def arc_span(angles: Array) -> tuple[float, float]:
    """Return where the least arc that holds all angles begins, and how far it goes [rad]."""
    ordered = np.sort(angles % math.tau)
    gaps = np.diff(np.append(ordered, ordered[0] + math.tau))
    widest = int(gaps.argmax())
    begin = float(ordered[(widest + 1) % len(ordered)])
    return begin, math.tau - float(gaps[widest])


def _cell(v: Array) -> tuple[int, int, int]:
    return (round(float(v[0]) * 100), round(float(v[1]) * 100), round(float(v[2]) * 100))


def _near(table: dict[tuple[int, int, int], list[SolidFace]], v: Array) -> list[SolidFace]:
    i, j, k = _cell(v)
    return [
        face
        for a, b, c in itertools.product((-1, 0, 1), repeat=3)
        for face in table.get((i + a, j + b, k + c), ())
    ]


def _half(v: Array) -> Array:
    """Return a direction or its opposite, the same for both."""
    for value in v:
        if abs(value) > 1e-3:
            result: Array = v if value > 0 else -v
            return result
    return v
