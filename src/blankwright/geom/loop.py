"""Loops: closed chains of line and arc edges."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from blankwright.base.tolerance import ANGLE, CHORD, TOUCH
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Box, Edge, Line, box_around
from blankwright.geom.move import Move
from blankwright.geom.vec import Point


@dataclass(frozen=True)
class Loop:
    """A closed chain of edges; counter-clockwise around what is inside it.

    Args:
        edges: edges in travel order, each ending where the next begins

    Raises:
        ValueError: when there is no edge or the chain is open by more than `TOUCH`
    """

    edges: tuple[Edge, ...]

    def __post_init__(self) -> None:
        if not self.edges:
            raise ValueError("a loop needs an edge")
        last = self.edges[-1].end
        for edge in self.edges:
            if vec.distance(last, edge.start) > 10 * TOUCH:
                raise ValueError(f"loop open by {vec.distance(last, edge.start):g} mm at {last}")
            last = edge.end

    @classmethod
    def polygon(cls, points: Sequence[Point]) -> Loop:
        """Closed chain of straight edges through the points [mm]."""
        n = len(points)
        return cls(tuple(Line(points[i], points[(i + 1) % n]) for i in range(n)))

    @classmethod
    def rectangle(cls, x0: float, y0: float, x1: float, y1: float) -> Loop:
        """Counter-clockwise rectangle, front edge (y0) first [mm]."""
        return cls.polygon([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])

    @classmethod
    def circle(cls, center: Point, radius: float) -> Loop:
        """Counter-clockwise circle [mm]."""
        return cls((Arc.circle(center, radius),))

    @classmethod
    def slot(cls, center: Point, length: float, width: float, angle: float = 0.0) -> Loop:
        """Slot with round ends: overall length and width [mm], long way at an angle [rad]."""
        r = width / 2
        half = length / 2 - r
        if half <= TOUCH:
            return cls.circle(center, r)
        edges: tuple[Edge, ...] = (
            Line((-half, -r), (half, -r)),
            Arc((half, 0.0), r, -math.pi / 2, math.pi),
            Line((half, r), (-half, r)),
            Arc((-half, 0.0), r, math.pi / 2, math.pi),
        )
        move = Move.turn(angle).then(Move.shift(*center))
        return cls(tuple(edge.moved(move) for edge in edges))

    @cached_property
    def box(self) -> Box:
        """Least x, least y, greatest x, greatest y [mm]."""
        return box_around([edge.box for edge in self.edges])

    @cached_property
    def area(self) -> float:
        """Area inside [mm²]; negative when clockwise."""
        return sum(edge.swept_area() for edge in self.edges)

    @property
    def length(self) -> float:
        """Length all round [mm]."""
        return sum(edge.length for edge in self.edges)

    @property
    def as_circle(self) -> Arc | None:
        """The arc, when the loop is one whole circle."""
        edge = self.edges[0]
        return edge if len(self.edges) == 1 and isinstance(edge, Arc) else None

    def reversed(self) -> Loop:
        """Return the loop travelled the other way."""
        return Loop(tuple(edge.reversed() for edge in reversed(self.edges)))

    def ccw(self) -> Loop:
        """Return the loop travelled counter-clockwise."""
        return self if self.area >= 0 else self.reversed()

    def moved(self, move: Move) -> Loop:
        """Return the loop after a rigid move; a flip keeps the sense of travel."""
        loop = Loop(tuple(edge.moved(move) for edge in self.edges))
        return loop.reversed() if move.flip else loop

    def points(self, sag: float = CHORD) -> list[Point]:
        """Return the corners of a polygon within `sag` of the loop [mm]."""
        return [p for edge in self.edges for p in edge.chords(sag)]

    def distance(self, p: Point) -> float:
        """Return the distance from the loop to a point [mm]."""
        return min(edge.distance(p) for edge in self.edges)

    @cached_property
    def _starts(self) -> tuple[Point, ...]:
        return tuple(edge.start for edge in self.edges)

    def winding(self, p: Point) -> int:
        """Return how often the loop goes round a point that is not on it, 1 inside when ccw.

        Counts crossings of the ray from p towards +x. Each edge owns its lower end and not its
        upper one, and neighbours share one and the same end point, so a ray through a vertex
        counts once however the last bits of their ends fell.
        """
        x, y = p
        count = 0
        starts = self._starts
        for i, edge in enumerate(self.edges):
            (ax, ay), (bx, by) = starts[i], starts[(i + 1) % len(starts)]
            if isinstance(edge, Arc):
                count += _arc_winding(edge, ay, by, x, y)
            elif (ay <= y) != (by <= y) and (ax > x or bx > x):
                cross = ax + (y - ay) * (bx - ax) / (by - ay)
                if cross > x:
                    count += 1 if by > ay else -1
        return count

    def contains(self, p: Point) -> bool:
        """Say whether a point [mm] is inside, whichever way the loop is travelled."""
        x0, y0, x1, y1 = self.box
        if not (x0 <= p[0] <= x1 and y0 <= p[1] <= y1):
            return False
        return self.winding(p) != 0


def _arc_winding(arc: Arc, first_y: float, last_y: float, x: float, y: float) -> int:
    """Count an arc's crossings of the ray: split where the arc turns back in y."""
    cx, cy = arc.center
    r = arc.radius
    if max(cy + r, first_y, last_y) < y or min(cy - r, first_y, last_y) > y or cx + r < x:
        return 0
    low, high = sorted((arc.begin, arc.begin + arc.sweep))
    turns = [low]
    k = math.floor((low - math.pi / 2) / math.pi) + 1
    while (turn := math.pi / 2 + k * math.pi) < high:
        turns.append(turn)
        k += 1
    turns.append(high)
    heights = [cy + r * math.sin(turn) for turn in turns]
    heights[0], heights[-1] = (first_y, last_y) if arc.sweep > 0 else (last_y, first_y)
    count = 0
    for (a0, y0), (a1, y1) in itertools.pairwise(zip(turns, heights, strict=True)):
        if (y0 <= y) != (y1 <= y):
            half = math.sqrt(max(0.0, r * r - (y - cy) ** 2))
            cross = cx + half if math.cos((a0 + a1) / 2) > 0 else cx - half
            if cross > x:
                count += 1 if y1 > y0 else -1
    return count if arc.sweep > 0 else -count


def joined(edges: Sequence[Edge]) -> tuple[Edge, ...]:
    """Join neighbours in a closed chain that are stretches of one line or one circle."""
    chain = list(edges)
    if len(chain) > 1:
        # Begin at a real corner, so that no stretch is cut by the seam of the chain.
        for i in range(len(chain)):
            if _join(chain[i - 1], chain[i]) is None:
                chain = chain[i:] + chain[:i]
                break
    result: list[Edge] = []
    for edge in chain:
        both = _join(result[-1], edge) if result else None
        if both is None:
            result.append(edge)
        else:
            result[-1] = both
    return tuple(result)


def _join(a: Edge, b: Edge) -> Edge | None:
    if isinstance(a, Line) and isinstance(b, Line):
        d = vec.unit(vec.sub(b.end, a.start)) if a.start != b.end else None
        if d is None or vec.dot(a.direction(), b.direction()) <= 0:
            return None
        off = abs(vec.cross(vec.sub(a.end, a.start), d))
        return Line(a.start, b.end) if off <= TOUCH / 10 else None
    if isinstance(a, Arc) and isinstance(b, Arc):
        same = (
            vec.distance(a.center, b.center) <= TOUCH / 10
            and abs(a.radius - b.radius) <= TOUCH / 10
            and (a.sweep > 0) == (b.sweep > 0)
        )
        sweep = a.sweep + b.sweep
        if not same or abs(sweep) > 2 * math.pi + 1e3 * ANGLE:
            return None
        if abs(sweep) > 2 * math.pi - 1e3 * ANGLE / max(1.0, a.radius):
            sweep = math.copysign(2 * math.pi, sweep)
        return Arc(a.center, a.radius, a.begin, sweep)
    return None
