"""Loops of a drawing: which lies in which, and how they are told."""

from __future__ import annotations

from collections.abc import Sequence

from blankwright.develop.flat.closing import ClosedLoop
from blankwright.files.dxf_drawn.model import DrawnEdge
from blankwright.geom.edges import Line
from blankwright.geom.loop import Loop
from blankwright.geom.region import Region
from blankwright.geom.vec import Point


def container_of(loop: Loop, loops: Sequence[ClosedLoop]) -> int:
    """Return the number of the least loop around another, −1 for none."""
    best, area = -1, float("inf")
    x0, y0, x1, y1 = loop.box
    for i, found in enumerate(loops):
        other = found.loop
        bx0, by0, bx1, by1 = other.box
        if other is loop or other.area <= loop.area or other.area >= area:
            continue
        if bx0 <= x0 and by0 <= y0 and bx1 >= x1 and by1 >= y1:
            points = [edge.point(t) for edge in loop.edges[:4] for t in (0.31, 0.73)]
            if 2 * sum(other.contains(p) for p in points) > len(points):
                best, area = i, other.area
    return best


def touches(loop: Loop, other: Loop) -> bool:
    """Say whether a loop lies at least partly within another."""
    return any(other.contains(edge.point(t)) for edge in loop.edges for t in (0.0, 0.31, 0.73))


def middle_of(loop: Loop) -> Point:
    """Return the middle of a loop's box [mm]."""
    x0, y0, x1, y1 = loop.box
    return ((x0 + x1) / 2, (y0 + y1) / 2)


def said_loop(loop: Loop) -> str:
    """Return a loop's size and place in words."""
    x0, y0, x1, y1 = loop.box
    x, y = middle_of(loop)
    return f"{x1 - x0:.2f} × {y1 - y0:.2f} mm about ({x:.2f}, {y:.2f})"


def centre_marks(edges: Sequence[DrawnEdge], lines: Sequence[int], region: Region) -> set[int]:
    """Return the numbers of lines that mark the middle of a round opening.

    Args:
        edges: as drawn
        lines: numbers of the lines that may be marks
        region: outline and openings
    """
    circles = [circle for hole in region.holes if (circle := hole.as_circle) is not None]
    index = {(round(c.center[0], 1), round(c.center[1], 1)): c for c in circles}
    found: set[int] = set()
    for number in lines:
        edge = edges[number].edge
        x, y = edge.point(0.5)
        near = [
            index.get((round(x + dx, 1), round(y + dy, 1)))
            for dx in (-0.1, 0.0, 0.1)
            for dy in (-0.1, 0.0, 0.1)
        ]
        reach = max((c.radius for c in near if c is not None), default=0.0)
        short = isinstance(edge, Line) and edge.length <= 4 * reach
        # A bend line through a hole reaches the edge; the mark of its centre does not.
        if short and all(region.outer.distance(p) > 0.5 for p in (edge.start, edge.end)):
            found.add(number)
    return found
