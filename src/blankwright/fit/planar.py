"""The planar question: can the section of a part get from rest to the outside, turning and sliding?

A *state* of the part is a turn and the place of its middle. The part is drawn at rest, in the
frame of the section: there its turn is 0 and its middle is `PlanarQuestion.middle`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

import numpy as np
import shapely

from blankwright.fit.convolution import Array, polygons_of
from blankwright.geom.vec import Point

_SEAM: Final = 0.01
"""Gaps between walls under twice this are seams [mm]: a wall so near behind a soft one backs it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """One piece of structure in the section.

    Args:
        name: its name in the place
        shape: shapely polygon or multipolygon [mm]
        keep_off: clearance to keep from it; below zero how far it may be squeezed [mm]
        error: how far the shape may stand off the true one, either way [mm]
    """

    name: str
    shape: Any
    keep_off: float = 0.0
    error: float = 0.0


@dataclass(frozen=True, slots=True)
class State:
    """A state of the part: turn from rest [rad] and place of its middle [mm]."""

    turn: float
    x: float
    y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Barrier:
    """A force that moves a point of the part one way only, but for some shaking.

    Args:
        toward: unit direction the force pushes [-]
        point: the point it acts on, such as the centre of gravity, on the part at rest [mm]
        lift: how far the point may be moved against the force, from rest [mm]
    """

    toward: Point
    point: Point
    lift: float


@dataclass(frozen=True, kw_only=True)
class PlanarQuestion:
    """All that the search needs to know.

    Args:
        part: shapely polygon or multipolygon of the part at rest [mm]; pieces move as one
        walls: the structure
        side: unit direction of the side that counts as outside [-]; (0, 0) for any side
        part_error: how far the part's shape may stand off the true one, either way [mm]
        most_turn: greatest turn from rest either way [rad]; π for no limit
        seat: how near to rest counts as at rest [mm]
        barriers: forces that hold the part; empty for a hand that may do anything
        window: least x, least y, greatest x, greatest y [mm] of the section; walls that reach its
            edge run on for ever, and nothing else lies beyond it; found from the walls when empty
        center: what turns are about at rest [mm], where another than the part's own middle is
    """

    part: Any
    walls: tuple[Wall, ...]
    side: Point = (0.0, 0.0)
    part_error: float = 0.0
    most_turn: float = math.pi
    seat: float = 0.05
    barriers: tuple[Barrier, ...] = ()
    window: tuple[float, float, float, float] | None = None
    center: Point | None = None

    @cached_property
    def middle(self) -> Point:
        """Middle of the least circle around the part [mm]: turning about it moves least."""
        if self.center is not None:
            return self.center
        center = shapely.minimum_bounding_circle(self.part).centroid
        return (float(center.x), float(center.y))

    @cached_property
    def reach(self) -> float:
        """Distance from the middle to the farthest corner of the part [mm]."""
        corners = shapely.get_coordinates(self.part) - np.array(self.middle)
        return float(np.hypot(corners[:, 0], corners[:, 1]).max())

    @property
    def rest(self) -> State:
        """The state at rest."""
        return State(0.0, *self.middle)

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """The window, stated or around the walls and the part at rest [mm]."""
        if self.window is not None:
            return self.window
        boxes = [wall.shape.bounds for wall in self.walls] + [self.part.bounds]
        return (
            min(b[0] for b in boxes),
            min(b[1] for b in boxes),
            max(b[2] for b in boxes),
            max(b[3] for b in boxes),
        )

    @cached_property
    def far_walls(self) -> tuple[Wall, ...]:
        """The walls as the search sees them, none with a clearance below zero.

        Those that reach the window's edge are drawn on past the domain's edge. Of a wall that may
        be squeezed there is left what lies deeper than that under the free surface: what is backed
        by another wall can't be squeezed from behind.
        """
        walls = self.walls
        if self.window is not None:
            walls = tuple(_run_on(wall, self.window, 4 * self.margin) for wall in walls)
        if all(wall.keep_off >= 0 for wall in walls):
            return walls
        return tuple(w if w.keep_off >= 0 else _core(w, walls) for w in walls)

    @property
    def margin(self) -> float:
        """How far the domain of the middle reaches past the window [mm].

        A part whose middle is farther out than its reach and the greatest clearance touches
        nothing of what is in the window, so nothing is lost by looking no farther.
        """
        keep_off = max((w.keep_off + w.error for w in self.walls), default=0.0)
        return 2.5 * self.reach + 2 * max(0.0, keep_off) + 1.0

    @cached_property
    def domain(self) -> Array:
        """Corners of the domain of the middle, shape (4, 2) [mm]."""
        x0, y0, x1, y1 = self.bounds
        m = self.margin
        return np.array(((x0 - m, y0 - m), (x1 + m, y0 - m), (x1 + m, y1 + m), (x0 - m, y1 + m)))

    @cached_property
    def outside(self) -> Any:
        """Where the middle is when the part is wholly outside: a shapely polygon [mm]."""
        x0, y0, x1, y1 = self.bounds
        keep_off = max((w.keep_off + w.error for w in self.walls), default=0.0)
        clear = 1.5 * self.reach + max(0.0, keep_off) + 0.5
        whole = shapely.Polygon(self.domain)
        near = shapely.box(x0 - clear, y0 - clear, x1 + clear, y1 + clear)
        if self.side == (0.0, 0.0):
            return whole.difference(near)
        ux, uy = self.side
        corners = np.array(((x0, y0), (x1, y0), (x1, y1), (x0, y1)))
        edge = float((corners @ np.array(self.side)).max()) + clear
        far = 10 * (self.margin + math.hypot(x1 - x0, y1 - y0))
        ax, ay = ux * edge, uy * edge
        beyond = shapely.Polygon(
            (
                (ax - uy * far, ay + ux * far),
                (ax + uy * far, ay - ux * far),
                (ax + uy * far + ux * far, ay - ux * far + uy * far),
                (ax - uy * far + ux * far, ay + ux * far + uy * far),
            )
        )
        return whole.intersection(beyond)


def core_of(shape: Any, others: Any, depth: float) -> Any:
    """Return what of a wall lies deeper than so much [mm] under its free surface.

    Args:
        shape: the wall, a shapely shape
        others: all other walls: what they back gives no way
        depth: [mm]
    """
    free = shape.boundary.difference(others.buffer(_SEAM, join_style="mitre"))
    return shape.difference(free.buffer(depth)) if depth > 0 else shape


def rest_clearance(part: Any, wall: Any, others: Any) -> float:
    """Clearance at rest [mm]; below zero how deep the part is pressed into the wall, by halving."""
    gap = float(part.distance(wall))
    if gap > 0 or not part.intersects(wall):
        return gap
    low, high = 0.0, 20.0
    for _ in range(40):
        middle = (low + high) / 2
        if part.intersects(core_of(wall, others, middle)):
            low = middle
        else:
            high = middle
    return -high


def others_of(walls: Iterable[tuple[str, Any]], name: str) -> Any:
    """Return the shapes of all walls but one joined, by names and shapes."""
    return shapely.union_all([shape for other, shape in walls if other != name])


def _core(wall: Wall, walls: tuple[Wall, ...]) -> Wall:
    others = others_of(((w.name, w.shape) for w in walls), wall.name)
    core = core_of(wall.shape, others, -wall.keep_off)
    return Wall(name=wall.name, shape=core, keep_off=0.0, error=wall.error)


def _run_on(wall: Wall, window: tuple[float, float, float, float], far: float) -> Wall:
    """Draw a wall on across each edge of the window that it reaches."""
    x0, y0, x1, y1 = window
    shape = wall.shape
    pieces = [shape]
    edges = (
        (((x0, y0), (x0, y1)), (-far, 0.0)),
        (((x1, y0), (x1, y1)), (far, 0.0)),
        (((x0, y0), (x1, y0)), (0.0, -far)),
        (((x0, y1), (x1, y1)), (0.0, far)),
    )
    for ends, (dx, dy) in edges:
        touch = shape.intersection(shapely.LineString(ends).buffer(1e-6, cap_style="square"))
        for piece in polygons_of(touch):
            a0, b0, a1, b1 = piece.bounds
            pieces.append(
                shapely.box(min(a0, a0 + dx), min(b0, b0 + dy), max(a1, a1 + dx), max(b1, b1 + dy))
            )
    if len(pieces) == 1:
        return wall
    return Wall(
        name=wall.name,
        shape=shapely.union_all(pieces),
        keep_off=wall.keep_off,
        error=wall.error,
    )


def placed(part: Any, middle: Point, states: Array) -> Any:
    """Return the part in several states: an array of shapely geometries [mm].

    Args:
        part: the part at rest
        middle: its middle at rest [mm]
        states: turn [rad], x, y [mm] of the middle, shape (k, 3)
    """
    k = len(states)
    pieces = np.repeat(np.array([part], dtype=object), k)
    coordinates = shapely.get_coordinates(part) - np.array(middle)
    c, s = np.cos(states[:, 0])[:, None], np.sin(states[:, 0])[:, None]
    x = c * coordinates[:, 0] - s * coordinates[:, 1] + states[:, 1][:, None]
    y = s * coordinates[:, 0] + c * coordinates[:, 1] + states[:, 2][:, None]
    return shapely.set_coordinates(pieces.copy(), np.column_stack((x.ravel(), y.ravel())))
