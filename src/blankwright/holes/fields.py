"""Fields of holes: a square or staggered pattern over a region of any outline.

By pitch, by count or by open area. Open area is found twice: as the sum of the holes, and as what
the exact cut takes off the region; the two must agree.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from blankwright.base.errors import OurBug, Problem
from blankwright.base.quantities import BadText
from blankwright.base.units import show_mm
from blankwright.geom.boolean import cut_out
from blankwright.geom.edges import Edge, Line
from blankwright.geom.loop import Loop
from blankwright.geom.pose import Array
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

MOST = 5000
"""More holes than this in one field are a slip of the pen [-]."""

_ROUNDING = 1e-7
"""A hole may be nearer to the edge than its margin by this [mm]."""

_AGREE = 1e-6
"""How far the two computations of open area may differ, over the region's area [-]."""

_STEPS = 36
"""Pitches tried for a wanted count in each of two rounds [-]."""

_SLACK = 0.02
"""For an even pattern the open area may be off by this share of it [-]."""

_FEW = 80
"""Up to this many holes it is tried how the pattern lies over the middle [-]."""

PHASES = ((0.0, 0.0), (0.5, 0.0), (0.0, 0.5), (0.5, 0.5))
"""Where the middle of the region lies in the pattern, in pitches."""

MANY_PHASES = ((0.0, 0.0), (0.25, 0.25))
"""The same for many holes; an even pattern alone would gain them by whole rings at a time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedField:
    """A field of round holes as asked for; one of pitch, count and open_area.

    Args:
        diameter: of the holes [mm]
        margin: least metal between a hole's edge and the region's edge [mm]
        staggered: whether every second row stands half a pitch aside, holes 60° to one another
        turn: of the rows from the x axis [rad]
        pitch: from hole to hole [mm], or 0
        count: how many [-], or 0
        open_area: share of the region that is to be open [-], or 0
    """

    diameter: float
    margin: float
    staggered: bool = True
    turn: float = 0.0
    pitch: float = 0.0
    count: int = 0
    open_area: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """A field of holes laid out.

    Args:
        centers: of its holes, row by row [mm]
        pitch: from hole to hole [mm]
        area: of the region [mm²]
        open_area: share of the region that is open, by the sum of the holes [-]
        open_area_by_cut: the same, by the area that cutting them takes off the region [-]
    """

    centers: tuple[Point, ...]
    pitch: float
    area: float
    open_area: float
    open_area_by_cut: float


def lay_field(regions: tuple[Region, ...], area: float, asked: AskedField) -> Field:
    """Lay a field of holes on what is free of a region.

    Args:
        regions: the region, less openings that are in it already
        area: of the region whole, which open area is a share of [mm²]
        asked: the field

    Raises:
        BadText: when no hole has room, or holes would run into one another (FIELD-001)
        OurBug: when the two computations of open area differ
    """
    if sum(1 for value in (asked.pitch, asked.count, asked.open_area) if value) != 1:
        raise BadText("FIELD-001", "the field has no single spacing", "pitch, count or open_area")
    room = _Room(regions, asked)
    if asked.pitch:
        pitch, points = asked.pitch, room.best(asked.pitch)
        if pitch < asked.diameter - _ROUNDING:
            raise BadText(
                "FIELD-001",
                f"the pitch is {show_mm(pitch)}, the holes are {show_mm(asked.diameter)} wide",
                "a pitch over the diameter",
            )
    else:
        one = math.pi * asked.diameter**2 / 4
        wanted = asked.count or max(1, round(asked.open_area * area / one))
        if wanted > MOST:
            raise BadText("FIELD-001", f"the field would have {wanted} holes", f"at most {MOST}")
        slack = 0 if asked.count else round(_SLACK * wanted)
        pitch, points = room.for_count(wanted, slack)
    if not points:
        raise BadText(
            "FIELD-001",
            "no hole has room in the region",
            "a region wider than a hole and twice its margin",
        )
    if len(points) > MOST:
        raise BadText("FIELD-001", f"the field has {len(points)} holes", f"at most {MOST}")
    radius = asked.diameter / 2
    by_sum = len(points) * math.pi * radius**2 / area
    loops = [Loop.circle(p, radius) for p in points]
    left = sum(region.area for region in cut_out(regions, loops))
    by_cut = (sum(region.area for region in regions) - left) / area
    if abs(by_sum - by_cut) > _AGREE:
        raise OurBug(
            Problem(
                code="FIELD-004",
                where="field of holes",
                got=f"open area {by_sum:.6f} by the sum, {by_cut:.6f} by the cut",
                fix="Please report this with the part file: it is our bug",
            )
        )
    return Field(
        centers=tuple(points),
        pitch=pitch,
        area=area,
        open_area=by_sum,
        open_area_by_cut=by_cut,
    )


def endless_open_area(diameter: float, pitch: float, staggered: bool) -> float:
    """Return the open area of a pattern without end [-].

    Args:
        diameter: of the holes [mm]
        pitch: from hole to hole [mm]
        staggered: 60° between neighbours, else square

    Source: geometry; π d²/(4 p²) square, π d²/(2√3 p²) staggered.
    """
    cell = pitch * pitch * (math.sqrt(3) / 2 if staggered else 1.0)
    return math.pi * diameter**2 / 4 / cell


class _Room:
    """Where the centres of holes may be, asked for many patterns."""

    def __init__(self, regions: tuple[Region, ...], asked: AskedField) -> None:
        self.regions = regions
        self.asked = asked
        self.reach = asked.diameter / 2 + asked.margin
        boxes = [region.box for region in regions]
        self.box = (
            min(b[0] for b in boxes),
            min(b[1] for b in boxes),
            max(b[2] for b in boxes),
            max(b[3] for b in boxes),
        )
        self.middle = ((self.box[0] + self.box[2]) / 2, (self.box[1] + self.box[3]) / 2)
        # Inside or out is asked only of points well off every edge: chords are near enough.
        self._loops = [
            (np.array(loop.points()), loop.edges) for region in regions for loop in region.loops
        ]

    def best(self, pitch: float) -> list[Point]:
        """Return the pattern of a pitch [mm] in the phase that takes most holes."""
        return max((self._members(pitch, phase) for phase in PHASES), key=len)

    def for_count(self, wanted: int, slack: int) -> tuple[float, list[Point]]:
        """Return the greatest pitch [mm] that takes a count, or the nearest count there is.

        Within `slack` of the count a pattern that lies even about the middle is preferred.
        """
        asked = self.asked
        x0, y0, x1, y1 = self.box
        least = asked.diameter * 1.0005
        most = max(math.hypot(x1 - x0, y1 - y0), 2 * least)
        cell = math.sqrt(3) / 2 if asked.staggered else 1.0
        guess = min(most, max(least, math.sqrt(self._free_area() / wanted / cell)))
        phases = PHASES if wanted <= _FEW else MANY_PHASES
        best: tuple[tuple[int, int, int, float], float, tuple[float, float]] | None = None
        # Coarse over all that may be, then fine about the best: counts jump from pitch to pitch.
        low, high = max(least, 0.6 * guess), min(most, 2.0 * guess)
        for _ in range(2):
            step = (high / low) ** (1 / _STEPS)
            for i in range(_STEPS + 1):
                pitch = high / step**i
                for rank, phase in enumerate(phases):
                    off = abs(self._count(pitch, phase) - wanted)
                    uneven = rank if phases is MANY_PHASES else 0
                    key = (max(0, off - slack), uneven, off, -pitch)
                    if best is None or key < best[0]:
                        best = (key, pitch, phase)
            assert best is not None
            low, high = max(low, best[1] / step), min(high, best[1] * step)
        assert best is not None
        (_, _, off, _), pitch, phase = best
        if off == 0:
            pitch = self._widened(pitch, high, phase, wanted)
        return pitch, self._members(pitch, phase)

    def _free_area(self) -> float:
        """Return about how much room centres have [mm²], for a first guess."""
        free = sum(
            region.area - self.reach * sum(loop.length for loop in region.loops)
            for region in self.regions
        )
        return max(free, math.pi * self.reach**2)

    def _widened(self, fits: float, fails: float, phase: tuple[float, float], wanted: int) -> float:
        for _ in range(40):
            middle = (fits + fails) / 2
            if self._count(middle, phase) == wanted:
                fits = middle
            else:
                fails = middle
        return fits

    def _count(self, pitch: float, phase: tuple[float, float]) -> int:
        return int(self._free(self._lattice(pitch, phase)).sum())

    def _members(self, pitch: float, phase: tuple[float, float]) -> list[Point]:
        lattice = self._lattice(pitch, phase)
        return [(float(x), float(y)) for x, y in lattice[self._free(lattice)]]

    def _lattice(self, pitch: float, phase: tuple[float, float]) -> Array:
        asked = self.asked
        x0, y0, x1, y1 = self.box
        rise = pitch * (math.sqrt(3) / 2 if asked.staggered else 1.0)
        reach = math.hypot(x1 - x0, y1 - y0) / 2
        if (2 * reach / pitch) * (2 * reach / rise) > 20 * MOST:  # before any memory is taken
            raise BadText("FIELD-001", "the pattern is finer than any drill", "a greater pitch")
        c, s = math.cos(asked.turn), math.sin(asked.turn)
        wide, high = (x1 - x0) / 2, (y1 - y0) / 2
        n = math.ceil((wide * abs(c) + high * abs(s)) / pitch) + 1
        m = math.ceil((wide * abs(s) + high * abs(c)) / rise) + 1
        j, i = np.meshgrid(np.arange(-m, m + 1), np.arange(-n, n + 1), indexing="ij")
        shift = np.where(j % 2 == 1, 0.5, 0.0) if asked.staggered else 0.0
        u = (i + shift + phase[0]) * pitch
        v = (j + phase[1]) * rise
        x = self.middle[0] + u * c - v * s
        y = self.middle[1] + u * s + v * c
        return np.column_stack((x.ravel(), y.ravel()))

    def _free(self, points: Array) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        x0, y0, x1, y1 = self.box
        r = self.reach - _ROUNDING
        x, y = points[:, 0], points[:, 1]
        free = (x >= x0 + r) & (x <= x1 - r) & (y >= y0 + r) & (y <= y1 - r)
        index = np.flatnonzero(free)
        if not len(index):
            return free
        near = points[index]
        inside = np.zeros(len(near), dtype=bool)
        for corners, edges in self._loops:
            inside ^= _inside(corners, near)
            for edge in edges:
                free[index] &= _distance(edge, near) >= r
        free[index] &= inside
        return free


def _inside(corners: Array, points: Array) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Say which points lie in a polygon (even-odd rule)."""
    result = np.zeros(len(points), dtype=bool)
    x, y = points[:, 0], points[:, 1]
    for (ax, ay), (bx, by) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        if ay == by:
            continue
        crosses = (ay <= y) != (by <= y)
        result ^= crosses & (ax + (y - ay) * (bx - ax) / (by - ay) > x)
    return result


def _distance(edge: Edge, points: Array) -> Array:
    if isinstance(edge, Line):
        a, d = np.array(edge.start), np.subtract(edge.end, edge.start)
        t = np.clip((points - a) @ d / max(float(d @ d), 1e-300), 0.0, 1.0)
        result: Array = np.hypot(*(points - a - t[:, None] * d).T)
        return result
    offset = points - np.array(edge.center)
    rim: Array = np.abs(np.hypot(offset[:, 0], offset[:, 1]) - edge.radius)
    if edge.is_circle:
        return rim
    turn = np.arctan2(offset[:, 1], offset[:, 0]) - edge.begin
    along = turn % math.tau if edge.sweep > 0 else (-turn) % math.tau
    ends = np.minimum(
        np.hypot(*(points - np.array(edge.start)).T), np.hypot(*(points - np.array(edge.end)).T)
    )
    on: Array = np.where(along <= abs(edge.sweep), rim, ends)
    return on


def webs(field: Field, diameter: float) -> float:
    """Return the least metal between two holes of a field of a diameter [mm]; inf for one hole."""
    return field.pitch - diameter if len(field.centers) > 1 else math.inf
