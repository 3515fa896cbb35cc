"""Exact union, overlap and difference of regions with line and arc edges.

Method: cut all edges where they meet, keep the pieces that bound the result, stitch them. Pieces
that lie on one another are matched by their numbered ends, not by side tests, so regions that
share a stretch of edge are handled exactly. (Common computational geometry; no single source.)
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import Enum

from blankwright.base.tolerance import TOUCH
from blankwright.geom.edges import Edge, boxes_touch
from blankwright.geom.loop import Loop
from blankwright.geom.pieces import Piece, Vertices, by_key, coincident, cut_up, stitch
from blankwright.geom.region import Region


class _Keep(Enum):
    UNION = "union"
    OVERLAP = "overlap"
    DIFFERENCE = "difference"


def union(a: Iterable[Region], b: Iterable[Region]) -> tuple[Region, ...]:
    """Return what lies in either of two sets of disjoint regions."""
    return _combine(tuple(a), tuple(b), _Keep.UNION)


def overlap(a: Iterable[Region], b: Iterable[Region]) -> tuple[Region, ...]:
    """Return what lies in both of two sets of disjoint regions."""
    return _combine(tuple(a), tuple(b), _Keep.OVERLAP)


def difference(a: Iterable[Region], b: Iterable[Region]) -> tuple[Region, ...]:
    """Return what lies in the first set of disjoint regions and not in the second."""
    return _combine(tuple(a), tuple(b), _Keep.DIFFERENCE)


def union_all(regions: Iterable[Region]) -> tuple[Region, ...]:
    """Return what lies in any of several regions."""
    result: tuple[Region, ...] = ()
    for region in regions:
        result = union(result, (region,))
    return result


def cut_out(regions: Sequence[Region], loops: Iterable[Loop]) -> tuple[Region, ...]:
    """Take the insides of loops out of disjoint regions.

    Loops that touch no edge become holes at once; only the others go through `difference`.
    """
    crossing: list[Loop] = []
    pieces = list(regions)
    for loop in loops:
        if not any(boxes_touch(loop.box, piece.box, TOUCH) for piece in pieces):
            continue
        home = _home_of_clean_hole(loop, pieces)
        if home is None:
            crossing.append(loop)
        else:
            region = pieces[home]
            pieces[home] = Region(region.outer, (*region.holes, loop.ccw().reversed()))
    result = tuple(pieces)
    for cutter in union_all(Region(loop.ccw()) for loop in crossing):
        result = difference(result, (cutter,))
    return result


def _home_of_clean_hole(loop: Loop, regions: Sequence[Region]) -> int | None:
    for region in regions:
        for other in region.loops:
            if boxes_touch(loop.box, other.box, TOUCH) and any(
                boxes_touch(loop.box, edge.box, TOUCH) for edge in other.edges
            ):
                return None
    p = loop.edges[0].start
    for i, region in enumerate(regions):
        if region.contains(p):
            # A hole of the region may lie inside the loop: that is a matter for `difference`.
            if any(loop.contains(hole.edges[0].start) for hole in region.holes):
                return None
            return i
    return None


def merged(regions: Sequence[Region]) -> tuple[Region, ...]:
    """Join regions that touch along edges but do not overlap, such as flats and bends."""
    vertices = Vertices()
    pieces: list[Piece] = []
    for i, region in enumerate(regions):
        others = [
            edge
            for j, other in enumerate(regions)
            if j != i and boxes_touch(region.box, other.box, TOUCH)
            for edge in other.edges
        ]
        pieces.extend(cut_up(region.edges, others, vertices))
    table = by_key(pieces)
    inner = {
        key
        for key, found in table.items()
        if len(found) > 1 and any(coincident(found[0], {key: [p]}) < 0 for p in found[1:])
    }
    kept: list[Piece] = []
    for key, found in table.items():
        kept.extend(_uncancelled(found) if key in inner else found)
    order = {id(piece): i for i, piece in enumerate(pieces)}
    return stitch(sorted(kept, key=lambda piece: order[id(piece)]))


def _uncancelled(pieces: list[Piece]) -> list[Piece]:
    left: list[Piece] = []
    for piece in pieces:
        for other in left:
            if coincident(piece, {piece.key: [other]}) < 0:
                left.remove(other)
                break
        else:
            left.append(piece)
    return left


def _combine(a: tuple[Region, ...], b: tuple[Region, ...], keep: _Keep) -> tuple[Region, ...]:
    near = [r for r in b if any(boxes_touch(r.box, s.box, TOUCH) for s in a)]
    if not near:
        return {_Keep.UNION: a + b, _Keep.OVERLAP: (), _Keep.DIFFERENCE: a}[keep]
    edges_a: list[Edge] = [edge for region in a for edge in region.edges]
    edges_b: list[Edge] = [edge for region in b for edge in region.edges]
    vertices = Vertices()
    # Each set is cut by its own edges too: its regions may touch one another at a point that
    # lies on a stretch shared with the other set.
    pieces_a = cut_up(edges_a, edges_a + edges_b, vertices)
    pieces_b = cut_up(edges_b, edges_a + edges_b, vertices)
    table_a, table_b = by_key(pieces_a), by_key(pieces_b)
    kept: list[Piece] = []
    for piece in pieces_a:
        on = coincident(piece, table_b)
        if on:
            wanted = on < 0 if keep is _Keep.DIFFERENCE else on > 0
        else:
            wanted = _within(b, piece) == (keep is _Keep.OVERLAP)
        if wanted:
            kept.append(piece)
    for piece in pieces_b:
        if coincident(piece, table_a):
            continue
        inside = _within(a, piece)
        if keep is _Keep.DIFFERENCE:
            if inside:
                kept.append(piece.reversed())
        elif inside == (keep is _Keep.OVERLAP):
            kept.append(piece)
    return stitch(kept)


def _within(regions: Sequence[Region], piece: Piece) -> bool:
    p = piece.edge.point(0.5)
    return any(region.contains(p) for region in regions)
