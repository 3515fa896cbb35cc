"""Stretches of a row's line where no hole may be: too near a bend, an opening or another hole."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from blankwright.geom.edges import Arc, Box, Edge, boxes_touch
from blankwright.geom.loop import Loop
from blankwright.geom.meet import crossings
from blankwright.geom.offset import capsule
from blankwright.geom.vec import Point
from blankwright.holes.path import Path

_SAME = 1e-6
"""Places along a line nearer than this are one [mm]; and so near to a limit is at it."""


@dataclass(frozen=True, slots=True)
class Obstacle:
    """What a row keeps off.

    Args:
        name: what it is, such as ``bend left``
        loop: its outline; its inside is forbidden too
        reach: how far from its outline the centre of a hole must stay [mm]
        keep_in: whether it is the sheet's own edge: then what lies outside is forbidden
    """

    name: str
    loop: Loop
    reach: float
    keep_in: bool = False

    @property
    def box(self) -> Box:
        """Box around all that is forbidden [mm]."""
        if self.keep_in:
            return (-math.inf, -math.inf, math.inf, math.inf)
        x0, y0, x1, y1 = self.loop.box
        return (x0 - self.reach, y0 - self.reach, x1 + self.reach, y1 + self.reach)

    def forbids(self, p: Point) -> bool:
        """Say whether a hole's centre must not be at a point [mm]."""
        if self.loop.distance(p) < self.reach - _SAME:
            return True
        return self.loop.contains(p) != self.keep_in


@dataclass(frozen=True, slots=True)
class Zone:
    """A stretch of a path where no hole's centre may be; its ends may have one.

    Args:
        start: [mm] along the path; minus infinity when the path's start is forbidden too
        end: [mm] along the path; infinite when the path's end is forbidden too
        names: of the obstacles
    """

    start: float
    end: float
    names: tuple[str, ...]

    def covers(self, s: float) -> bool:
        """Say whether a place along the path lies inside [mm]."""
        return self.start + _SAME < s < self.end - _SAME


def point_obstacle(name: str, center: Point, reach: float) -> Obstacle:
    """Return an obstacle that is a point to stay a distance off [mm]."""
    return Obstacle(name, Loop.circle(center, _SAME), reach)


def zones_on(path: Path, obstacles: Iterable[Obstacle]) -> tuple[Zone, ...]:
    """Return the forbidden stretches of a path in order, those that overlap joined.

    Borders are exact: where the path meets the obstacle grown by its reach.
    """
    found: list[Zone] = []
    for obstacle in obstacles:
        found.extend(_zones_of(path, obstacle))
    return joined(found)


def joined(zones: Iterable[Zone]) -> tuple[Zone, ...]:
    """Return stretches in order, those that overlap joined."""
    found: list[Zone] = []
    for zone in sorted(zones, key=lambda zone: (zone.start, zone.end)):
        if found and zone.start < found[-1].end - _SAME:
            last = found[-1]
            names = (*last.names, *(n for n in zone.names if n not in last.names))
            found[-1] = Zone(last.start, max(last.end, zone.end), names)
        else:
            found.append(zone)
    return tuple(found)


def _zones_of(path: Path, obstacle: Obstacle) -> list[Zone]:
    zones: list[Zone] = []
    s = 0.0
    borders: list[Edge] | None = None
    for edge in path.edges:
        if boxes_touch(edge.box, obstacle.box):
            if borders is None:
                borders = _borders(obstacle)
            for start, end in _inside(edge, obstacle, borders):
                zone = Zone(s + start, s + end, (obstacle.name,))
                if zones and zone.start - zones[-1].end <= _SAME:
                    zone = Zone(zones.pop().start, zone.end, zone.names)
                zones.append(zone)
        s += edge.length
    # A zone has a border only where the path goes on.
    if zones and zones[0].start <= _SAME and obstacle.forbids(path.point(0.0)):
        zones[0] = Zone(-math.inf, zones[0].end, zones[0].names)
    if zones and zones[-1].end >= s - _SAME and obstacle.forbids(path.point(s)):
        zones[-1] = Zone(zones[-1].start, math.inf, zones[-1].names)
    return zones


def _borders(obstacle: Obstacle) -> list[Edge]:
    edges: list[Edge] = list(obstacle.loop.edges)
    for edge in obstacle.loop.edges:
        if isinstance(edge, Arc) and edge.is_circle and edge.radius <= _SAME:
            edges.append(Arc.circle(edge.center, obstacle.reach))
        else:
            edges.extend(capsule(edge, obstacle.reach).edges)
    return edges


def _inside(edge: Edge, obstacle: Obstacle, borders: Sequence[Edge]) -> list[tuple[float, float]]:
    length = edge.length
    cuts = {0.0, 1.0}
    for border in borders:
        if not boxes_touch(edge.box, border.box, _SAME):
            continue
        for p in crossings(edge, border):
            if edge.distance(p) <= _SAME and border.distance(p) <= _SAME:
                cuts.add(min(1.0, max(0.0, edge.share(p))))
    ordered = sorted(cuts)
    found: list[tuple[float, float]] = []
    for low, high in itertools.pairwise(ordered):
        if (high - low) * length <= _SAME or not obstacle.forbids(edge.point((low + high) / 2)):
            continue
        if found and low * length - found[-1][1] <= _SAME:
            found[-1] = (found[-1][0], high * length)
        else:
            found.append((low * length, high * length))
    return found
