"""Small changes of a part that remedies try: a leg's height, reliefs, a split in two."""

from __future__ import annotations

from dataclasses import replace

from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.loop import Loop
from blankwright.geom.vec import Point
from blankwright.part.model import DrawnBend, DrawnFlat, DrawnTo, Part, Relief, ReliefRule

JOINT = 16.0
"""Width of the flange that a split part is riveted by: one row of 1/8 in rivets with edge distance
two diameters on either side, rounded up (common practice, no source) [mm]."""


def leg_height(part: Part, bend: str) -> float:
    """Return how high a leg is drawn, from its bend's edge to its farthest point [mm]."""
    return part.bend(bend).leg.outline.box[3]


def with_leg_height(part: Part, bend: str, height: float) -> Part | None:
    """Return the part with a leg made higher or lower; nothing when its outline can't be.

    What lies over half its height moves as it is; holes are left out, as they don't bear on
    bending.

    Args:
        part: the part
        bend: name of the bend that carries the leg
        height: wanted [mm]
    """
    old = part.bend(bend)
    tall = leg_height(part, bend)
    outline = _stretched(old.leg.outline, tall / 2, height - tall)
    if outline is None or height <= 0:
        return None
    try:
        loop = Loop(outline)
    except ValueError:
        return None
    leg = replace(old.leg, outline=loop)
    bends = tuple(_fitted(b, leg, replace(old, leg=leg), bend) for b in part.bends)
    return replace(part, bends=bends, holes=())


def _fitted(bend: DrawnBend, leg: DrawnFlat, changed: DrawnBend, name: str) -> DrawnBend:
    """Return a bend of the changed part; one on a side edge of the leg gets no longer than it."""
    if bend.name == name:
        return changed
    if bend.parent != leg.name:
        return bend
    edge = leg.outline.edges[leg.edges.index(bend.edge)]
    if not isinstance(edge, Line) or bend.end <= edge.length + 1e-9:
        return bend
    return replace(bend, end=edge.length)


def _stretched(outline: Loop, over: float, by: float) -> tuple[Edge, ...] | None:
    def moved(p: Point) -> Point:
        return (p[0], p[1] + by) if p[1] > over else p

    edges: list[Edge] = []
    for edge in outline.edges:
        if isinstance(edge, Line):
            edges.append(Line(moved(edge.start), moved(edge.end)))
        elif edge.start[1] > over and edge.end[1] > over:
            center = (edge.center[0], edge.center[1] + by)
            edges.append(Arc(center, edge.radius, edge.begin, edge.sweep))
        elif edge.start[1] <= over and edge.end[1] <= over:
            edges.append(edge)
        else:
            return None
    if min(p[1] for e in edges for p in (e.start, e.end) if p[1] > 1e-6) < 0.5:
        return None
    return tuple(edges)


def with_longer_relief(part: Part, size: float) -> Part:
    """Return the part with round reliefs of a diameter at every corner and bend end [mm]."""
    relief = Relief(rule=ReliefRule.ROUND, size=size)
    return replace(
        part,
        corners=tuple(replace(corner, relief=relief) for corner in part.corners),
        bends=tuple(replace(bend, end_relief=relief) for bend in part.bends),
        holes=(),
    )


def split_at(part: Part, name: str) -> tuple[Part, Part]:
    """Return a part in two: without one bend, and what that bend carried, on a flange of its own.

    The second part's flange lies on the first part's flat, along the edge that the bend was on,
    and is riveted to it.

    Args:
        part: the part
        name: name of the bend
    """
    bend = part.bend(name)
    beyond = {bend.leg.name}
    for other in part.bends:
        if other.parent in beyond:
            beyond.add(other.leg.name)
    gone = {b.name for b in part.bends if b.leg.name in beyond}
    first = replace(
        part,
        bends=tuple(b for b in part.bends if b.name not in gone),
        corners=tuple(c for c in part.corners if not gone & {c.first, c.second}),
        holes=(),
    )
    width = bend.end - bend.start
    flange = DrawnFlat(
        name="joint flange",
        outline=Loop.rectangle(0.0, 0.0, width, JOINT),
        edges=("front", "right", "back", "left"),
        drawn_to=DrawnTo.OUTSIDE_MOLD_LINE,
    )
    on_flange = replace(
        bend, parent=flange.name, edge="back", start=0.0, end=width, end_relief=Relief()
    )
    second = replace(
        part,
        root=flange,
        bends=(on_flange, *(b for b in part.bends if b.name in gone - {name})),
        corners=tuple(c for c in part.corners if {c.first, c.second} <= gone - {name}),
        holes=(),
    )
    return first, second
