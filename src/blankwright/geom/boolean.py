"""Exact union, overlap and difference of regions with line and arc edges.

Method: cut all edges where they meet, keep the pieces that bound the result, stitch them. Pieces
that lie on one another are matched by their numbered ends, not by side tests, so regions that
share a stretch of edge are handled exactly. (Common computational geometry; no single source.)
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import Enum

from blankwright.base.tolerance import TOUCH
from blankwright.geom.edges import Box, Edge, boxes_touch
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
    clean: list[list[Loop]] = [[] for _ in regions]
    # Boxes of the outer edges one by one, of holes as wholes: only what comes near is looked at.
    boxes = [
        [edge.box for edge in region.outer.edges] + [hole.box for hole in region.holes]
        for region in regions
    ]
    around = [region.box for region in regions]
    for loop in loops:
        box = loop.box
        if not any(boxes_touch(box, other, TOUCH) for other in around):
            continue
        home = _home_of_clean_hole(loop, regions, boxes)
        if home < 0:
            crossing.append(loop)
        else:
            boxes[home].append(loop.box)
            clean[home].append(loop.ccw().reversed())
    result = tuple(
        Region(region.outer, (*region.holes, *holes)) if holes else region
        for region, holes in zip(regions, clean, strict=True)
    )
    for cutter in union_all(Region(loop.ccw()) for loop in crossing):
        result = difference(result, (cutter,))
    return result


def _home_of_clean_hole(loop: Loop, regions: Sequence[Region], boxes: list[list[Box]]) -> int:
    """Return which region a loop makes a hole in without touching any edge; −1 for none."""
    x0, y0, x1, y1 = loop.box
    x0, y0, x1, y1 = x0 - TOUCH, y0 - TOUCH, x1 + TOUCH, y1 + TOUCH
    for own in boxes:
        for bx0, by0, bx1, by1 in own:
            if bx0 <= x1 and x0 <= bx1 and by0 <= y1 and y0 <= by1:
                return -1
    p = loop.edges[0].start
    for i, region in enumerate(regions):
        if region.contains(p):
            return i
    return -1


def merged(regions: Sequence[Region]) -> tuple[Region, ...]:
    """Join regions that touch along edges but do not overlap, such as flats and bends."""
    vertices = Vertices()
    pieces: list[Piece] = []
    regions, aside = _set_aside(regions, regions)
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
    return _with_holes(stitch(sorted(kept, key=lambda piece: order[id(piece)])), aside)


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


def _parted(
    regions: Sequence[Region], others: Sequence[Region]
) -> tuple[tuple[Region, ...], tuple[Region, ...]]:
    """Part regions into those whose box comes near any of the others, and the rest."""
    boxes = [other.box for other in others]
    near: list[Region] = []
    far: list[Region] = []
    for region in regions:
        touched = any(boxes_touch(region.box, box, TOUCH) for box in boxes)
        (near if touched else far).append(region)
    return tuple(near), tuple(far)


def _set_aside(
    regions: Sequence[Region], others: Sequence[Region]
) -> tuple[tuple[Region, ...], list[Loop]]:
    """Part regions from those of their holes that no *other* region comes near."""
    kept: list[Region] = []
    aside: list[Loop] = []
    for region in regions:
        near = [o.box for o in others if o is not region and boxes_touch(o.box, region.box, TOUCH)]
        holes: list[Loop] = []
        for hole in region.holes:
            touched = any(boxes_touch(hole.box, box, TOUCH) for box in near)
            (holes if touched else aside).append(hole)
        few = len(holes) == len(region.holes)
        kept.append(region if few else Region(region.outer, tuple(holes)))
    return tuple(kept), aside


def _with_holes(regions: tuple[Region, ...], holes: Sequence[Loop]) -> tuple[Region, ...]:
    """Give holes that were set aside back to the regions around them."""
    if not holes:
        return regions
    own: list[list[Loop]] = [[] for _ in regions]
    for hole in holes:
        p = hole.edges[0].point(0.5)
        home = 0
        if len(regions) > 1:
            home = next((i for i, region in enumerate(regions) if region.contains(p)), -1)
        if home >= 0:
            own[home].append(hole)
    return tuple(
        Region(region.outer, (*region.holes, *more)) if more else region
        for region, more in zip(regions, own, strict=True)
    )


def _combine(a: tuple[Region, ...], b: tuple[Region, ...], keep: _Keep) -> tuple[Region, ...]:
    near_b, far_b = _parted(b, a)
    if not near_b:
        return {_Keep.UNION: a + b, _Keep.OVERLAP: (), _Keep.DIFFERENCE: a}[keep]
    near_a, far = _parted(a, near_b)
    if keep is _Keep.OVERLAP:
        far = ()
    elif keep is _Keep.UNION:
        far += far_b
    a, aside = _set_aside(near_a, near_b)
    b, aside_b = _set_aside(near_b, near_a)
    if keep is _Keep.OVERLAP:
        aside = []
    elif keep is _Keep.UNION:
        aside = aside + aside_b
    edges_a: list[Edge] = [edge for region in a for edge in region.edges]
    edges_b: list[Edge] = [edge for region in b for edge in region.edges]
    vertices = Vertices()
    # A set of several loops is cut by its own edges too: its loops may touch one another at a
    # point that lies on a stretch shared with the other set.
    pieces_a = cut_up(edges_a, edges_a + edges_b if _loops(a) > 1 else edges_b, vertices)
    pieces_b = cut_up(edges_b, edges_a + edges_b if _loops(b) > 1 else edges_a, vertices)
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
    return (*_with_holes(stitch(kept), aside), *far)


def _within(regions: Sequence[Region], piece: Piece) -> bool:
    p = piece.edge.point(0.5)
    return any(region.contains(p) for region in regions)


def _loops(regions: Sequence[Region]) -> int:
    return sum(1 + len(region.holes) for region in regions)
