"""Which places of a blank get a figure, and on which side of the view it stands."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum

from blankwright.develop.blank import Blank
from blankwright.geom.edges import Arc
from blankwright.geom.vec import Point

_SAME = 0.02
"""Places nearer than this get one figure [mm]."""

_SMALL_ARC = 8.0
"""Ends of smaller arcs (reliefs, corner radii) get no figure [mm]."""


class Side(Enum):
    """Side of a view."""

    BELOW = "below"
    ABOVE = "above"
    LEFT = "left"
    RIGHT = "right"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place that gets a figure.

    Args:
        along: distance from the datum [mm]
        depth: how far inside the blank's box the point is from the side of the figure [mm]
    """

    along: float
    depth: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Places:
    """The places of each side; the first one of a side is the datum.

    Args:
        below: along x, under the view
        above: along x, over the view: only what is not below
        left: along y, left of the view
        right: along y, right of the view: only what is not left
    """

    below: tuple[Place, ...]
    above: tuple[Place, ...]
    left: tuple[Place, ...]
    right: tuple[Place, ...]

    def at(self, side: Side) -> tuple[Place, ...]:
        """Return the places of a side."""
        return {
            Side.BELOW: self.below,
            Side.ABOVE: self.above,
            Side.LEFT: self.left,
            Side.RIGHT: self.right,
        }[side]

    @property
    def most(self) -> int:
        """The most figures on one side."""
        return max(len(self.at(side)) for side in Side)


def places_of(blank: Blank, *, corners: bool) -> Places:
    """Return which places of a blank get a figure.

    Args:
        blank: the blank
        corners: whether corners of the outline do, or ends of bend tangent lines only
    """
    below, above = _sides(blank, 0, corners=corners)
    left, right = _sides(blank, 1, corners=corners)
    return Places(below=below, above=above, left=left, right=right)


def _sides(blank: Blank, i: int, *, corners: bool) -> tuple[tuple[Place, ...], tuple[Place, ...]]:
    """Return places along x (0) or y (1): near side, and what is left for the far side."""
    size, depth = blank.size[i], blank.size[1 - i]
    points = [(0.0, 0.0), (size, 0.0), *_along(_bend_points(blank, i), i)]
    if corners:
        points.extend(_along(_corner_points(blank), i))
    merged = _merged(points)
    near = [p for p in merged if p[1] <= depth / 2]
    far = [p for p in merged if p[1] > depth / 2]
    near_places = tuple(Place(along=t, depth=d) for t, d in near)
    far_places = tuple(Place(along=t, depth=depth - d) for t, d in far)
    return near_places, (Place(along=0.0, depth=0.0), *far_places) if far_places else ()


def _along(points: Iterable[Point], i: int) -> Iterator[tuple[float, float]]:
    return ((p[i], p[1 - i]) for p in points)


def _merged(places: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Join places that are one, keeping the point nearest to the near side."""
    kept: list[tuple[float, float]] = []
    for t, depth in sorted(places):
        if kept and t - kept[-1][0] <= _SAME:
            kept[-1] = (kept[-1][0], min(kept[-1][1], depth))
        else:
            kept.append((t, depth))
    return kept


def _bend_points(blank: Blank, i: int) -> Iterator[Point]:
    """Return ends of bend tangent lines that stand across the axis, from the datum [mm]."""
    x0, y0 = blank.outline.box[:2]
    for bend in blank.bends:
        for line in (bend.parent_tangent, bend.leg_tangent):
            if abs(line.direction()[i]) < 1 - 1e-6:
                for p in (line.start, line.end):
                    yield (p[0] - x0, p[1] - y0)


def _corner_points(blank: Blank) -> Iterator[Point]:
    """Return corners of the outline and ends of its larger arcs, from the datum [mm]."""
    x0, y0 = blank.outline.box[:2]
    edges = blank.outline.outer.edges
    for before, after in itertools.pairwise((*edges, edges[0])):
        if not any(isinstance(e, Arc) and e.radius < _SMALL_ARC for e in (before, after)):
            yield (before.end[0] - x0, before.end[1] - y0)
