"""A closed path measured along its length."""

from __future__ import annotations

import bisect
import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from blankwright.base.tolerance import TOUCH
from blankwright.geom.edges import Edge
from blankwright.geom.loop import Loop
from blankwright.geom.vec import Point


@dataclass(frozen=True)
class Way:
    """A closed path measured along its length, from a start point on it.

    Args:
        edges: edges in travel order
        ends: length from the start to the end of each edge [mm]
    """

    edges: tuple[Edge, ...]
    ends: tuple[float, ...]

    @classmethod
    def of(cls, loop: Loop, start: float) -> Way:
        """Begin a loop at a length [mm] from its first point."""
        edges: list[Edge] = []
        tail: list[Edge] = []
        begin = 0.0
        for edge in loop.edges:
            end = begin + edge.length
            if end <= start + TOUCH:
                tail.append(edge)
            elif begin >= start - TOUCH:
                edges.append(edge)
            else:
                t = (start - begin) / edge.length
                edges.append(edge.part(t, 1.0))
                tail.append(edge.part(0.0, t))
            begin = end
        chain = tuple(edges + tail)
        return cls(chain, tuple(itertools.accumulate(edge.length for edge in chain)))

    @property
    def length(self) -> float:
        """Length once round [mm]."""
        return self.ends[-1]

    def between(self, s0: float, s1: float) -> Iterator[Edge]:
        """Yield the pieces of edges from one length to another [mm], within one round."""
        i = min(bisect.bisect_right(self.ends, s0 + 1e-9), len(self.ends) - 1)
        while i < len(self.edges):
            edge, end = self.edges[i], self.ends[i]
            begin = end - edge.length
            a, b = max(s0, begin), min(s1, end)
            if b - a > 1e-9:
                yield edge.part((a - begin) / edge.length, (b - begin) / edge.length)
            if end >= s1 - 1e-9:
                return
            i += 1

    def at(self, s: float) -> tuple[Point, Point]:
        """Return the point at a length, within one round, and the direction of travel there."""
        i = min(bisect.bisect_right(self.ends, s), len(self.ends) - 1)
        edge = self.edges[i]
        t = min(1.0, max(0.0, 1.0 - (self.ends[i] - s) / edge.length))
        return edge.point(t), edge.direction(t)

    def nearest(self, p: Point) -> float:
        """Return the length [mm] at which the path is nearest to a point [mm]."""
        best, at = math.inf, 0.0
        for edge, end in zip(self.edges, self.ends, strict=True):
            t = min(1.0, max(0.0, edge.share(p)))
            q = edge.point(t)
            gap = math.dist(p, q)
            if gap < best:
                best, at = gap, end - edge.length * (1 - t)
        return at
