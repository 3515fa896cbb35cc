"""Where each flat and each bend lies: gross flats, strips, and how legs share corners.

All in the frame of one flat and its legs; `develop` chains the frames into the blank.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.tolerance import TOUCH
from blankwright.develop.formed import as_pose, leg_turn
from blankwright.geom import vec
from blankwright.geom.boolean import difference
from blankwright.geom.edges import Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.pose import Pose
from blankwright.geom.region import Region
from blankwright.geom.vec import Point
from blankwright.part.model import CornerRule, DrawnBend, DrawnFlat, Part

FAR = 1e5
"""Longer than any part [mm]: half planes are rectangles of this size."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidBend:
    """A bend with its numbers worked out, in its parent's frame.

    The strip's frame begins at the bend's left end on the parent's tangent line; a leg's frame
    has the same x.

    Args:
        drawn: the bend as stated
        allowance: [mm]
        k: neutral-axis factor [-]
        parent_setback: parent's edge as drawn to the parent's tangent line [mm]
        leg_setback: the leg's bend edge as drawn to the leg's tangent line [mm]
        width: length of the bend as drawn [mm]
        strip: carries the strip's frame into the parent's frame
    """

    drawn: DrawnBend
    allowance: float
    k: float
    parent_setback: float
    leg_setback: float
    width: float
    strip: Move

    @property
    def leg_move(self) -> Move:
        """Carries the leg's frame, unbent, into the parent's frame."""
        shift = Move.shift(0.0, self.allowance - self.leg_setback)
        return shift.then(self.strip)

    def leg_pose(self, thickness: float) -> Pose:
        """Carries the leg's frame, bent, into the parent's frame; z from the back face [mm]."""
        drawn = self.drawn
        axis = thickness + drawn.inside_radius if drawn.up else -drawn.inside_radius
        turn = leg_turn(self.allowance, drawn.angle, axis, drawn.up)
        shift = as_pose(Move.shift(0.0, self.allowance - self.leg_setback))
        return shift.then(turn).then(as_pose(self.strip))


def edge_of(flat: DrawnFlat, name: str) -> Line:
    """Return a straight edge of a flat as drawn.

    Raises:
        NotPossible: when the edge is an arc: only straight bends can be made
    """
    edge = flat.outline.edges[flat.edges.index(name)]
    if isinstance(edge, Line):
        return edge
    raise NotPossible(
        Problem(
            code="BLANK-001",
            where=f"flat {flat.name}, edge {name}",
            got="a bend is stated on a curved edge",
            allowed="straight edges",
            fix="Bend along a straight edge; a flange on a curve is formed over a block",
        )
    )


def strip_move(edge: Line, start: float, setback: float) -> Move:
    """Carry a strip's frame into its parent's frame.

    Args:
        edge: the parent's edge as drawn, the parent to its left
        start: where the bend begins, from the leg's left end, which is the edge's end [mm]
        setback: edge to tangent line [mm]
    """
    x_axis = vec.scale(edge.direction(), -1.0)
    origin = vec.along(edge.end, x_axis, start)
    return Move.onto(vec.along(origin, vec.right(x_axis), setback), x_axis)


def gross_flat(flat: DrawnFlat, own: LaidBend | None, legs: Sequence[LaidBend]) -> list[Region]:
    """Return a flat between its tangent lines, in its own frame, holes and corners not yet cut.

    Args:
        flat: as drawn
        own: the bend that carries it; nothing for the root
        legs: the bends that start from it
    """
    regions: tuple[Region, ...] = (Region(flat.outline.ccw()),)
    strips: list[Region] = []
    if own is not None and own.leg_setback > TOUCH:
        strips.append(Region(Loop.rectangle(0.0, 0.0, own.width, own.leg_setback)))
    for leg in legs:
        if leg.parent_setback > TOUCH:
            strip = Loop.rectangle(0.0, 0.0, leg.width, leg.parent_setback)
            strips.append(Region(strip.moved(leg.strip)))
    for strip_region in strips:
        regions = difference(regions, (strip_region,))
    return [region for region in regions if region.area > TOUCH]


def covered(regions: Sequence[Region], line: Move, parent: bool) -> list[tuple[float, float]]:
    """Return the stretches of a tangent line where metal ends on it.

    Args:
        regions: a flat, in its frame
        line: carries the frame of the line, x along it, into the flat's frame
        parent: whether the metal is below the line (y < 0) or above it

    Returns:
        Stretches (from, to) along x [mm], sorted.
    """
    back = line.inverse()
    found: list[tuple[float, float]] = []
    for region in regions:
        for edge in region.edges:
            if not isinstance(edge, Line):
                continue
            (ax, ay), (bx, by) = back(edge.start), back(edge.end)
            if abs(ay) > 10 * TOUCH or abs(by) > 10 * TOUCH or (bx < ax) != parent:
                continue
            found.append((min(ax, bx), max(ax, bx)))
    found.sort()
    joined: list[tuple[float, float]] = []
    for low, high in found:
        if joined and low <= joined[-1][1] + 10 * TOUCH:
            joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
        else:
            joined.append((low, high))
    return joined


def common(
    a: Sequence[tuple[float, float]], b: Sequence[tuple[float, float]]
) -> list[tuple[float, float]]:
    """Return the stretches [mm] that two sets of stretches share."""
    return [
        (max(a0, b0), min(a1, b1))
        for a0, a1 in a
        for b0, b1 in b
        if min(a1, b1) - max(a0, b0) > 10 * TOUCH
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class Meeting:
    """Two bends on neighbouring edges of one flat.

    Args:
        flat: name of the flat
        first: the bend on the earlier edge; the flat's own bend may be either
        second: the bend on the next edge
    """

    flat: str
    first: str
    second: str


def neighbours(part: Part) -> tuple[Meeting, ...]:
    """Return the bends on neighbouring edges of one flat that reach the vertex between them."""
    found: list[Meeting] = []
    for flat in (part.root, *(bend.leg for bend in part.bends)):
        ends: dict[int, tuple[str, bool, bool]] = {}
        for bend in part.bends:
            if bend.parent == flat.name:
                length = edge_of(flat, bend.edge).length
                # A leg's left end is the end of the parent's edge.
                reaches = (bend.end > length - TOUCH, bend.start < TOUCH)
                ends[flat.edges.index(bend.edge)] = (bend.name, *reaches)
            elif bend.leg.name == flat.name:
                ends[flat.edges.index("bend")] = (bend.name, True, True)
        for i, (bend_name, _, at_end) in ends.items():
            after = ends.get((i + 1) % len(flat.edges))
            if after is not None and at_end and after[1]:
                found.append(Meeting(flat=flat.name, first=bend_name, second=after[0]))
    return tuple(found)


def meeting_point(a: Move, b: Move) -> Point | None:
    """Return where two tangent lines meet, each the x axis of a frame; nothing when parallel."""
    da, db = a.vector((1.0, 0.0)), b.vector((1.0, 0.0))
    size = vec.cross(da, db)
    if abs(size) < 1e-9:
        return None
    oa, ob = a((0.0, 0.0)), b((0.0, 0.0))
    return vec.along(oa, da, vec.cross(vec.sub(ob, oa), db) / size)


def half_plane(normal: Point, least: float) -> Region:
    """Return, as a huge rectangle, the points p with n·p < least.

    Args:
        normal: any vector that is not null
        least: right-hand side; with a unit normal, how far the plane's edge is off (0, 0) [mm]
    """
    size = vec.length(normal)
    n = vec.scale(normal, 1.0 / size)
    frame = Move.onto(vec.scale(n, least / size), vec.right(n))
    return Region(Loop.rectangle(-FAR, -FAR, FAR, 0.0).moved(frame))


def corner_cut(
    rule: CornerRule,
    leg: LaidBend,
    other: LaidBend,
    point: Point,
    leg_is_first: bool,
    gap: float,
    thickness: float,
) -> list[Region]:
    """Return what a leg loses at a corner that it shares with another leg, in the leg's frame.

    Args:
        rule: how they share
        leg: the leg that is cut
        other: the leg it must not run into
        point: where their tangent lines meet, in the flat's frame [mm]
        leg_is_first: whether it is the corner's first leg, which covers in a lapped corner
        gap: clearance when formed [mm]
        thickness: [mm]
    """
    if rule is CornerRule.AS_DRAWN:
        return []
    x = leg.strip.inverse()(point)[0]
    # The corner is at the leg's left end when the other bend's middle is left of it.
    middle = other.strip((other.width / 2, 0.0))
    at_left = leg.strip.inverse()(middle)[0] < leg.width / 2
    sign = 1.0 if at_left else -1.0
    if rule is CornerRule.OPEN or leg.drawn.up != other.drawn.up:
        return [half_plane((sign, 0.0), sign * x)]
    cuts: list[Region] = []
    into_other = leg.leg_pose(thickness).then(other.leg_pose(thickness).inverse())
    # Height over the other leg's back face, along its inside normal, must be at least `least`.
    side = 1.0 if other.drawn.up else -1.0
    inside = thickness if other.drawn.up else 0.0
    outside = thickness - inside
    if rule is CornerRule.CLOSED:
        # The inside edges are parallel, each as far off the other's inside plane; between planes
        # that open by θ they then stand 1/cos(θ/2) times that apart.
        cosine = -into_other.vector((0.0, 0.0, 1.0))[2]
        least = side * inside + gap * math.sqrt(max(0.0, (1.0 + cosine) / 2))
    elif leg_is_first:
        least = side * outside
    else:
        least = side * inside + gap
    # In a closed corner the legs meet at their inside edges; beyond those neither has metal. In a
    # lapped one a leg faces the whole other leg, so both of its faces must keep clear.
    own_inside = thickness if leg.drawn.up else 0.0
    heights = (own_inside,) if rule is CornerRule.CLOSED else (0.0, thickness)
    for z in heights:
        z0 = into_other((0.0, 0.0, z))[2]
        normal = (
            side * into_other.vector((1.0, 0.0, 0.0))[2],
            side * into_other.vector((0.0, 1.0, 0.0))[2],
        )
        if vec.length(normal) > 1e-9:
            cuts.append(half_plane(normal, least - side * z0))
    # Beside the other bend's curve the leg must not reach past that bend's tangent line.
    height = max(leg.leg_setback, other.leg_setback) if math.isfinite(other.leg_setback) else FAR
    low, high = (-FAR, x) if at_left else (x, FAR)
    cuts.append(Region(Loop.rectangle(low, -FAR, high, height)))
    return cuts
