"""How far two edges, or two regions, are apart: exact for lines and arcs."""

from __future__ import annotations

import math
from collections.abc import Iterable

from blankwright.base.tolerance import TOUCH
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Box, Edge, Line
from blankwright.geom.meet import crossings
from blankwright.geom.region import Region
from blankwright.geom.vec import Point


def apart(a: Edge, b: Edge) -> float:
    """Return the least distance [mm] between two edges, 0 where they meet.

    A line of no length is taken for the point it is. The least distance is at an end of one of
    them, where they cross, or on the common normal: the foot of a centre on a line, or the line
    through two centres.
    """
    if isinstance(a, Line) and a.start == a.end:
        return b.distance(a.start)
    if isinstance(b, Line) and b.start == b.end:
        return a.distance(b.start)
    best = min(a.distance(b.start), a.distance(b.end), b.distance(a.start), b.distance(a.end))
    if best <= TOUCH / 10:
        return 0.0
    for p in crossings(a, b):
        if a.distance(p) <= TOUCH / 10 and b.distance(p) <= TOUCH / 10:
            return 0.0
    if isinstance(a, Line):
        if isinstance(b, Arc):
            best = min(best, _line_arc(a, b))
    elif isinstance(b, Line):
        best = min(best, _line_arc(b, a))
    else:
        best = min(best, _arc_arc(a, b))
    return best


def _line_arc(line: Line, arc: Arc) -> float:
    t = line.share(arc.center)
    return arc.distance(line.point(t)) if 0.0 <= t <= 1.0 else math.inf


def _arc_arc(a: Arc, b: Arc) -> float:
    rel = vec.sub(b.center, a.center)
    gap = vec.length(rel)
    if gap < 1e-12:
        return math.inf  # concentric: an end of one is as near as any other point
    u = (rel[0] / gap, rel[1] / gap)
    best = math.inf
    for side in (1.0, -1.0):
        p = vec.along(a.center, u, side * a.radius)
        if a.distance(p) <= TOUCH / 10:
            best = min(best, b.distance(p))
    return best


def box_gap(a: Box, b: Box) -> float:
    """Return the distance between two boxes [mm], 0 when they touch."""
    dx = max(a[0] - b[2], b[0] - a[2], 0.0)
    dy = max(a[1] - b[3], b[1] - a[3], 0.0)
    return math.hypot(dx, dy)


def edges_apart(a: Iterable[Edge], b: Iterable[Edge], enough: float = math.inf) -> float:
    """Return the least distance [mm] between two sets of edges.

    Args:
        a: edges
        b: other edges
        enough: distances over this [mm] are not looked for; the answer is then infinite
    """
    best = enough
    found = math.inf
    others = [(edge, edge.box) for edge in b]
    for edge in a:
        box = edge.box
        for other, other_box in others:
            if box_gap(box, other_box) <= best:
                gap = apart(edge, other)
                if gap <= best:
                    best = found = gap
                    if gap == 0.0:
                        return 0.0
    return found


def regions_apart(a: Region, b: Region, enough: float = math.inf) -> float:
    """Return the least distance [mm] between two regions, 0 where they overlap or touch.

    One may lie whole in a hole of the other. Distances over `enough` [mm] come back infinite.
    """
    if box_gap(a.box, b.box) > enough:
        return math.inf
    if _one_inside(a, b) or _one_inside(b, a):
        return 0.0
    return edges_apart(a.edges, b.edges, enough)


def _one_inside(a: Region, b: Region) -> bool:
    """Say whether a corner of one lies in the other and off its edges."""
    p = a.edges[0].start
    return b.contains(p) and b.distance_to_edge(p) > TOUCH


def inside_by(region: Region, container: Region, enough: float = math.inf) -> float:
    """Return how far inside a container a region lies [mm], or minus infinity when it does not.

    0 when it touches the container's edge. Distances over `enough` [mm] come back infinite.
    """
    p: Point = region.edges[0].start
    if not container.contains(p) and container.distance_to_edge(p) > TOUCH:
        return -math.inf
    gap = edges_apart(region.edges, container.edges, enough)
    if gap <= TOUCH:
        # They touch or cross: every piece of the region's edge must still lie inside.
        return 0.0 if _touches_only(region, container) else -math.inf
    # A hole of the container may lie whole inside the region.
    outer = region.outer
    for hole in container.holes:
        q = hole.edges[0].start
        if outer.contains(q) and region.contains(q):
            return -math.inf
    return gap


def _touches_only(region: Region, container: Region) -> bool:
    from blankwright.geom.boolean import difference

    return sum(piece.area for piece in difference((region,), (container,))) <= TOUCH
