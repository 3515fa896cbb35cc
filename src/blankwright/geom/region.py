"""Regions: the inside of an outer loop less the insides of its holes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from blankwright.base.tolerance import CHORD
from blankwright.geom.edges import Box, Edge
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.vec import Point


@dataclass(frozen=True)
class Region:
    """A connected piece of the plane.

    Args:
        outer: counter-clockwise loop
        holes: clockwise loops inside it, so that the region lies left of every edge
    """

    outer: Loop
    holes: tuple[Loop, ...] = ()

    @classmethod
    def of(cls, outer: Loop, *holes: Loop) -> Region:
        """Build from loops travelled either way."""
        return cls(outer.ccw(), tuple(hole.ccw().reversed() for hole in holes))

    @property
    def loops(self) -> tuple[Loop, ...]:
        """Outer loop and holes."""
        return (self.outer, *self.holes)

    @cached_property
    def edges(self) -> tuple[Edge, ...]:
        """All edges, the region to the left of each."""
        return tuple(edge for loop in self.loops for edge in loop.edges)

    @property
    def box(self) -> Box:
        """Least x, least y, greatest x, greatest y [mm]."""
        return self.outer.box

    @property
    def area(self) -> float:
        """Area [mm²]."""
        return sum(loop.area for loop in self.loops)

    def contains(self, p: Point) -> bool:
        """Say whether a point [mm] that is not on an edge lies in the region."""
        return self.outer.contains(p) and not any(hole.contains(p) for hole in self.holes)

    def distance_to_edge(self, p: Point) -> float:
        """Return the distance from the nearest edge to a point [mm]."""
        return min(edge.distance(p) for edge in self.edges)

    def moved(self, move: Move) -> Region:
        """Return the region after a rigid move."""
        outer, *holes = (loop.moved(move) for loop in self.loops)
        return Region(outer, tuple(holes))

    def polygon(self, sag: float = CHORD) -> tuple[list[Point], list[list[Point]]]:
        """Return corners of the outer polygon and of each hole, within `sag` [mm]."""
        return self.outer.points(sag), [hole.points(sag) for hole in self.holes]
