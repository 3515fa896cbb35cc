"""Exact offsets of regions: what a disc rolled along the edge would leave, inside or outside.

Method: every edge is moved sideways (a line stays a line, an arc keeps its centre), every corner
that opens gets an arc about it, all are cut where they meet, and only those pieces are kept that
are as far from the source edge as they should be. The pieces are stitched into loops. Nothing is
chorded. (Common computational geometry; no single source.)
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable, Sequence

from blankwright.base.tolerance import TOUCH
from blankwright.geom import vec
from blankwright.geom.boolean import difference, union_all
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.loop import Loop
from blankwright.geom.meet import meetings
from blankwright.geom.near import EdgeIndex
from blankwright.geom.pieces import Piece, Vertices, cut_edge, stitch
from blankwright.geom.region import Region


def grown(region: Region, by: float) -> tuple[Region, ...]:
    """Return the region and all within a distance of it [mm]; holes narrower than that close.

    Args:
        region: what to grow
        by: how far [mm], 0 or more
    """
    if by <= TOUCH:
        return (region,)
    return _offset(region, by, outward=True)


def shrunk(region: Region, by: float) -> tuple[Region, ...]:
    """Return what lies in the region deeper than a distance from its edge [mm]; maybe nothing.

    Args:
        region: what to shrink
        by: how far [mm], 0 or more
    """
    if by <= TOUCH:
        return (region,)
    return _offset(region, by, outward=False)


def loop_grown(loop: Loop, by: float) -> tuple[Region, ...]:
    """Return the inside of a loop grown by a distance [mm]."""
    return grown(Region(loop.ccw()), by)


def loop_shrunk(loop: Loop, by: float) -> tuple[Region, ...]:
    """Return the inside of a loop shrunk by a distance [mm]; nothing when it is too narrow."""
    return shrunk(Region(loop.ccw()), by)


def all_grown(regions: Iterable[Region], by: float) -> tuple[Region, ...]:
    """Return several regions grown by a distance [mm] and joined where they meet."""
    return union_all(piece for region in regions for piece in grown(region, by))


def left_in_corners(region: Region, radius: float) -> tuple[Region, ...]:
    """Return what a round cutter outside the region can't reach: corners and narrow slots.

    Args:
        region: what is to be left standing
        radius: the cutter's radius [mm]
    """
    closed = tuple(piece for big in grown(region, radius) for piece in shrunk(big, radius))
    return tuple(piece for piece in difference(closed, (region,)) if piece.area > TOUCH)


def capsule(edge: Edge, radius: float) -> Region:
    """Return all within a radius [mm] of an edge: the sweep of a round cutter along it.

    Args:
        edge: path of the cutter's centre
        radius: the cutter's radius [mm]
    """
    if isinstance(edge, Line):
        length = edge.length
        if length <= TOUCH:
            return Region(Loop.circle(edge.start, radius))
        n = vec.scale(vec.right(edge.direction()), radius)
        angle = math.atan2(n[1], n[0])
        return Region(
            Loop(
                (
                    Line(vec.add(edge.start, n), vec.add(edge.end, n)),
                    Arc(edge.end, radius, angle, math.pi),
                    Line(vec.sub(edge.end, n), vec.sub(edge.start, n)),
                    Arc(edge.start, radius, angle + math.pi, math.pi),
                )
            )
        )
    if edge.is_circle:
        outer = Loop.circle(edge.center, edge.radius + radius)
        if edge.radius - radius <= TOUCH:
            return Region(outer)
        return Region.of(outer, Loop.circle(edge.center, edge.radius - radius))
    # A bent capsule may close on itself; the general way takes care of that.
    wide = edge if edge.sweep > 0 else edge.reversed()
    band = Loop((wide, wide.reversed()))
    (region,) = _offset(Region(band), radius, outward=True)
    return region


def _offset(region: Region, by: float, *, outward: bool) -> tuple[Region, ...]:
    side = -by if outward else by  # to the left of travel, where the region lies
    raw: list[Edge] = []
    for loop in region.loops:
        raw.extend(_moved_edges(loop, side))
    source = EdgeIndex(region.edges, cell=max(4 * by, 1.0))
    kept = _kept(raw, source, by)
    return stitch(_without_loose_ends(kept))


def _moved_edges(loop: Loop, side: float) -> Iterable[Edge]:
    edges = loop.edges
    for i, edge in enumerate(edges):
        moved = beside(edge, side)
        if moved is not None:
            yield moved
        corner = _corner(edge, edges[(i + 1) % len(edges)], side)
        if corner is not None:
            yield corner


def beside(edge: Edge, side: float) -> Edge | None:
    """Return the edge moved to its left by a distance [mm], negative to the right.

    Nothing when it has no length, or is an arc that rolls up to a point.
    """
    if isinstance(edge, Line):
        if edge.length <= TOUCH / 10:
            return None
        n = vec.scale(vec.left(edge.direction()), side)
        return Line(vec.add(edge.start, n), vec.add(edge.end, n))
    # Left of a counter-clockwise arc is towards its centre.
    radius = edge.radius - side if edge.sweep > 0 else edge.radius + side
    if radius <= TOUCH:
        return None  # rolled up: every point of it is too near the arc itself
    return Arc(edge.center, radius, edge.begin, edge.sweep)


def _corner(before: Edge, after: Edge, side: float) -> Arc | None:
    d0, d1 = before.direction(1.0), after.direction(0.0)
    turn = math.atan2(vec.cross(d0, d1), vec.dot(d0, d1))
    if isinstance(before, Arc) and before.is_circle:
        return None
    if math.pi - abs(turn) < 1e-7:
        # Straight back: a blade of no width. Go round its tip on the side away from the region.
        turn = math.pi if side < 0 else -math.pi
    opens = turn > 0 if side < 0 else turn < 0
    if not opens or abs(turn) * abs(side) < TOUCH / 10:
        return None
    n = vec.scale(vec.left(d0), side)
    return Arc(after.start, abs(side), math.atan2(n[1], n[0]), turn)


def _kept(raw: Sequence[Edge], source: EdgeIndex, by: float) -> list[Piece]:
    """Cut the raw edges where they meet and keep the pieces that are far enough off."""
    index = EdgeIndex(raw, cell=max(4 * by, 1.0))
    vertices = Vertices()
    kept: list[Piece] = []
    for number, edge in enumerate(raw):
        points = [
            p
            for other in index.near(edge.box, TOUCH)
            if other != number
            for p in meetings(edge, raw[other])
        ]
        for piece in cut_edge(edge, points, vertices):
            if not _too_near(piece.edge, source, by):
                kept.append(piece)
    return _once(kept)


def _too_near(edge: Edge, source: EdgeIndex, by: float) -> bool:
    # The middle decides; the thirds guard against a middle that touches where two pieces kiss.
    for t in (0.5, 0.31, 0.73):
        p = edge.point(t)
        if source.distance(p, by) < by - TOUCH:
            return True
    return False


def _once(pieces: list[Piece]) -> list[Piece]:
    """Drop pieces that lie on one another the same way, and cancel those that lie opposed."""
    seen: dict[tuple[int, int], list[Piece]] = {}
    for piece in pieces:
        same = seen.setdefault(piece.key, [])
        for other in same:
            if vec.distance(piece.edge.point(0.5), _at_middle(other, piece)) > 40 * TOUCH:
                continue
            if _opposed(piece, other):
                same.remove(other)
            break
        else:
            same.append(piece)
    return [piece for same in seen.values() for piece in same]


def _at_middle(other: Piece, piece: Piece) -> vec.Point:
    if piece.start == piece.end and isinstance(other.edge, Arc) and isinstance(piece.edge, Arc):
        return other.edge.point(other.edge.share(piece.edge.point(0.5)))
    return other.edge.point(0.5)


def _opposed(a: Piece, b: Piece) -> bool:
    if a.start != a.end:
        return a.start == b.end
    if isinstance(a.edge, Arc) and isinstance(b.edge, Arc):
        return (a.edge.sweep > 0) != (b.edge.sweep > 0)
    return False


def _without_loose_ends(pieces: list[Piece]) -> list[Piece]:
    """Take off pieces that lead nowhere: hair left where two edges nearly lie on one another."""
    starts: dict[int, list[int]] = {}
    ends: dict[int, list[int]] = {}
    for i, piece in enumerate(pieces):
        starts.setdefault(piece.start, []).append(i)
        ends.setdefault(piece.end, []).append(i)
    alive = [True] * len(pieces)
    check = deque(range(len(pieces)))
    while check:
        i = check.popleft()
        if not alive[i]:
            continue
        piece = pieces[i]
        if starts.get(piece.end) and ends.get(piece.start):
            continue
        alive[i] = False
        starts[piece.start].remove(i)
        ends[piece.end].remove(i)
        check.extend(ends.get(piece.start, ()))
        check.extend(starts.get(piece.end, ()))
    return [piece for piece, live in zip(pieces, alive, strict=True) if live]
