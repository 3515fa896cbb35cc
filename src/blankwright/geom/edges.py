"""Edges: straight lines and circular arcs, exact from the part file to the machine."""

from __future__ import annotations

import math
from dataclasses import dataclass

from blankwright.base.tolerance import CHORD
from blankwright.geom import vec
from blankwright.geom.move import Move
from blankwright.geom.vec import Point

Box = tuple[float, float, float, float]
TAU = 2 * math.pi


@dataclass(frozen=True, slots=True)
class Line:
    """A straight edge from `start` to `end` [mm]."""

    start: Point
    end: Point

    @property
    def length(self) -> float:
        """Length [mm]."""
        return vec.distance(self.start, self.end)

    @property
    def box(self) -> Box:
        """Least x, least y, greatest x, greatest y [mm]."""
        (ax, ay), (bx, by) = self.start, self.end
        return (min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))

    def point(self, t: float) -> Point:
        """Return the point at a share t [-] of the way, 0 at the start and 1 at the end [mm]."""
        (ax, ay), (bx, by) = self.start, self.end
        return (ax + (bx - ax) * t, ay + (by - ay) * t)

    def direction(self, t: float = 0.0) -> Point:
        """Return the unit direction of travel at t [-]."""
        return vec.unit(vec.sub(self.end, self.start))

    def share(self, p: Point) -> float:
        """Return the t [-] of the point of the endless line that is nearest to p [mm].

        0 for a line of no length.
        """
        d = vec.sub(self.end, self.start)
        size = vec.dot(d, d)
        return vec.dot(vec.sub(p, self.start), d) / size if size else 0.0

    def distance(self, p: Point) -> float:
        """Return the distance [mm] from the edge to a point [mm]."""
        (ax, ay), (bx, by) = self.start, self.end
        dx, dy, px, py = bx - ax, by - ay, p[0] - ax, p[1] - ay
        size = dx * dx + dy * dy
        t = (px * dx + py * dy) / size if size else 0.0
        if t <= 0.0:
            return math.hypot(px, py)
        if t >= 1.0:
            return math.hypot(p[0] - bx, p[1] - by)
        return math.hypot(px - dx * t, py - dy * t)

    def part(self, t0: float, t1: float) -> Line:
        """Return the piece from t0 to t1 [-]."""
        return Line(self.point(t0), self.point(t1))

    def reversed(self) -> Line:
        """Return the same edge travelled the other way."""
        return Line(self.end, self.start)

    def moved(self, move: Move) -> Line:
        """Return the edge after a rigid move."""
        return Line(move(self.start), move(self.end))

    def swept_area(self) -> float:
        """Return the area [mm²] this edge adds to its loop: ½∮(x dy − y dx)."""
        return vec.cross(self.start, self.end) / 2

    def chords(self, sag: float = CHORD) -> list[Point]:
        """Return the start point alone: a line is its own chord [mm]."""
        return [self.start]


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular edge; a whole circle when |sweep| is 2π.

    Args:
        center: centre [mm]
        radius: radius, over zero [mm]
        begin: angle of the start point, from the x axis [rad]
        sweep: angle travelled, positive counter-clockwise, 0 < |sweep| ≤ 2π [rad]
    """

    center: Point
    radius: float
    begin: float
    sweep: float

    @classmethod
    def circle(cls, center: Point, radius: float) -> Arc:
        """A whole circle, counter-clockwise from its rightmost point [mm]."""
        return cls(center, radius, 0.0, TAU)

    @classmethod
    def through(cls, start: Point, end: Point, center: Point, ccw: bool) -> Arc:
        """The arc from start to end about a centre [mm]; a whole circle when they are one point."""
        begin = math.atan2(start[1] - center[1], start[0] - center[0])
        stop = math.atan2(end[1] - center[1], end[0] - center[0])
        sweep = (stop - begin) % TAU
        if sweep < 1e-12:
            sweep = TAU
        if not ccw:
            sweep -= TAU if sweep < TAU else 2 * TAU
        return cls(center, vec.distance(start, center), begin, sweep)

    @classmethod
    def bulged(cls, start: Point, end: Point, bulge: float) -> Arc:
        """The arc from start to end [mm] with bulge = tan(sweep/4) [-], as DXF states it."""
        chord = vec.sub(end, start)
        offset = (1 - bulge * bulge) / (4 * bulge)
        center = vec.add(vec.middle(start, end), vec.scale(vec.left(chord), offset))
        begin = math.atan2(start[1] - center[1], start[0] - center[0])
        return cls(center, vec.distance(start, center), begin, 4 * math.atan(bulge))

    @property
    def start(self) -> Point:
        """Start point [mm]."""
        return vec.polar(self.center, self.radius, self.begin)

    @property
    def end(self) -> Point:
        """End point [mm]."""
        if self.is_circle:
            return self.start
        return vec.polar(self.center, self.radius, self.begin + self.sweep)

    @property
    def is_circle(self) -> bool:
        """Whether it is the whole circle."""
        return abs(self.sweep) > TAU - 1e-12

    @property
    def length(self) -> float:
        """Length [mm]."""
        return self.radius * abs(self.sweep)

    @property
    def box(self) -> Box:
        """Least x, least y, greatest x, greatest y [mm]."""
        (cx, cy), r = self.center, self.radius
        if self.is_circle:
            return (cx - r, cy - r, cx + r, cy + r)
        (ax, ay), (bx, by) = self.start, self.end
        x0, y0, x1, y1 = min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)
        low, high = sorted((self.begin, self.begin + self.sweep))
        for quarter in range(math.ceil(low / (TAU / 4)), math.floor(high / (TAU / 4)) + 1):
            match quarter % 4:
                case 0:
                    x1 = cx + r
                case 1:
                    y1 = cy + r
                case 2:
                    x0 = cx - r
                case _:
                    y0 = cy - r
        return (x0, y0, x1, y1)

    def point(self, t: float) -> Point:
        """Return the point at a share t [-] of the way [mm]."""
        return vec.polar(self.center, self.radius, self.begin + self.sweep * t)

    def direction(self, t: float = 0.0) -> Point:
        """Return the unit direction of travel at t [-]."""
        a = self.begin + self.sweep * t
        s = 1.0 if self.sweep > 0 else -1.0
        return (-math.sin(a) * s, math.cos(a) * s)

    def share(self, p: Point) -> float:
        """Return the t [-] of the direction from the centre to p; outside 0…1 when off the arc.

        Off the arc it is the signed overshoot past the nearer end.
        """
        turn = math.atan2(p[1] - self.center[1], p[0] - self.center[0]) - self.begin
        size = abs(self.sweep)
        turn = (turn if self.sweep > 0 else -turn) % TAU
        if turn > size and turn - size > TAU - turn:
            turn -= TAU
        return turn / size

    def distance(self, p: Point) -> float:
        """Return the distance [mm] from the edge to a point [mm]."""
        t = self.share(p)
        if 0.0 <= t <= 1.0:
            return abs(vec.distance(p, self.center) - self.radius)
        return min(vec.distance(p, self.start), vec.distance(p, self.end))

    def part(self, t0: float, t1: float) -> Arc:
        """Return the piece from t0 to t1 [-]."""
        return Arc(self.center, self.radius, self.begin + self.sweep * t0, self.sweep * (t1 - t0))

    def reversed(self) -> Arc:
        """Return the same edge travelled the other way."""
        return Arc(self.center, self.radius, self.begin + self.sweep, -self.sweep)

    def moved(self, move: Move) -> Arc:
        """Return the edge after a rigid move."""
        if move.flip:
            return Arc(move(self.center), self.radius, move.angle - self.begin, -self.sweep)
        return Arc(move(self.center), self.radius, self.begin + move.angle, self.sweep)

    def swept_area(self) -> float:
        """Return the area [mm²] this edge adds to its loop: ½∮(x dy − y dx)."""
        sector = self.radius * self.radius * self.sweep / 2
        chord = vec.sub(self.end, self.start)
        return sector + vec.cross(self.center, chord) / 2

    def chords(self, sag: float = CHORD) -> list[Point]:
        """Return points along the arc, the end left out, within `sag` of it [mm]."""
        n = self.chord_count(sag)
        return [self.point(i / n) for i in range(n)]

    def chord_count(self, sag: float = CHORD) -> int:
        """Return how many chords keep within `sag` [mm] of the arc."""
        step = TAU / 4 if sag >= self.radius else min(TAU / 4, 2 * math.acos(1 - sag / self.radius))
        return max(1, math.ceil(abs(self.sweep) / step - 1e-9))


Edge = Line | Arc


def boxes_touch(a: Box, b: Box, gap: float = 0.0) -> bool:
    """Say whether two boxes [mm] come within `gap` [mm] of each other."""
    return a[0] <= b[2] + gap and b[0] <= a[2] + gap and a[1] <= b[3] + gap and b[1] <= a[3] + gap


def box_around(boxes: list[Box]) -> Box:
    """Return the least box around several [mm]. Raises ValueError for none."""
    return (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )
