"""Which faces of a solid lie behind one another, looking opposite ways, and how far apart."""

from __future__ import annotations

import itertools
import math
from collections import defaultdict

import numpy as np

from blankwright.develop.unfold.curve2d import chained
from blankwright.develop.unfold.flatten import FlatFrame, loops_of
from blankwright.develop.unfold.model import SolidFace, SolidModel, SurfaceKind
from blankwright.geom.loop import Loop
from blankwright.geom.pieces import regions_of
from blankwright.geom.pose import Array
from blankwright.geom.region import Region


class Mates:
    """Finds, for plane and cylinder faces, the faces that look the other way behind them."""

    def __init__(self, model: SolidModel) -> None:
        self.model = model
        self.slack = model.slack
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
        """Return the faces one `thickness` [mm] behind a face."""
        return [
            mate
            for d, mate in self.opposite(face)
            if abs(d - thickness) <= self.slack.same and self.overlap(face, mate)
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
            if float(np.abs(face.axis + other.axis).max()) <= self.slack.parallel:
                # Between the two, so that a slip in either direction counts half.
                distance = float((face.spot - other.spot) @ (face.axis - other.axis)) / 2
                if distance > self.slack.same:
                    result.append((distance, other))
        return result

    def _cylinders(self, face: SolidFace) -> list[tuple[float, SolidFace]]:
        result = []
        for other in _near(self.cylinders, _half(face.axis)):
            distance = (face.radius - other.radius) * face.outward
            if other.outward == face.outward or distance <= self.slack.same:
                continue
            # A slip of a direction turns both ends of it: the axes are held to one another by both.
            if float(np.abs(_half(face.axis) - _half(other.axis)).max()) > self.slack.parallel:
                continue
            if axes_apart(face, other) <= 10 * self.slack.same:
                result.append((distance, other))
        return result

    def overlap(self, face: SolidFace, other: SolidFace) -> bool:
        """Say whether a face looking the other way lies behind another, not beside it."""
        key = (face.number, other.number)
        if key not in self._overlaps:
            if face.kind is SurfaceKind.CYLINDER:
                self._overlaps[key] = _spans_meet(face, other, self.slack.same)
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
                chain = chained(groups, max(1e-3, 4 * self.slack.join))
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


def axes_apart(a: SolidFace, b: SolidFace) -> float:
    """Return how far the axes of two cylinders are apart beside the first one's face [mm]."""
    foot = a.origin + float((a.spot - a.origin) @ a.axis) * a.axis
    apart = foot - b.origin
    return float(np.linalg.norm(apart - (apart @ b.axis) * b.axis))


def _spans_meet(a: SolidFace, b: SolidFace, same: float) -> bool:
    """Say whether two faces about one axis lie beside one another, along it and round it."""
    pa, pb = (np.concatenate([edge.points for edge in f.edges]) for f in (a, b))
    za, zb = (pa - a.origin) @ a.axis, (pb - a.origin) @ a.axis
    if za.max() < zb.min() + same or zb.max() < za.min() + same:
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
