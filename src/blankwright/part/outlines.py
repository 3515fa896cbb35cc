"""Outlines with named edges: rectangles, polygons, paths, discs and legs.

All sizes in mm and rad. Faults are raised as `BadText` without a place; the caller knows it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from blankwright.base.quantities import BadText
from blankwright.base.tolerance import TOUCH
from blankwright.base.units import show_mm
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.loop import Loop
from blankwright.geom.meet import meetings
from blankwright.geom.vec import Point

TINY_LEG: Final = 0.02
"""Flat that stands past a lip which ends in its bend [mm]: a bend needs a flat on both sides."""

NEAR: Final = 10 * TOUCH
"""Points of an outline closer than this are one point [mm]."""


@dataclass(frozen=True, slots=True)
class Outline:
    """A counter-clockwise loop with a name for each edge, in order."""

    loop: Loop
    edges: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Trim:
    """What becomes of a corner.

    Args:
        kind: rounded to a radius, or chamfered
        size: radius, or what the chamfer takes off each side [mm]
    """

    kind: Literal["radius", "chamfer"]
    size: float


@dataclass(frozen=True, slots=True)
class Vertex:
    """A corner of a polygon [mm] and what becomes of it."""

    point: Point
    trim: Trim | None = None


RECTANGLE_EDGES: Final = ("front", "right", "back", "left")
RECTANGLE_CORNERS: Final = ("front_left", "front_right", "back_right", "back_left")
LEG_EDGES: Final = ("bend", "right", "tip", "left")


def rectangle(width: float, depth: float, trims: Sequence[Trim | None] = ()) -> Outline:
    """Return a rectangle with a corner at (0, 0).

    Args:
        width: along x [mm]
        depth: along y [mm]
        trims: for each of `RECTANGLE_CORNERS`, or none at all
    """
    positive("width", width)
    positive("depth", depth)
    points = ((0.0, 0.0), (width, 0.0), (width, depth), (0.0, depth))
    all_trims = trims or (None,) * 4
    return polygon([Vertex(p, t) for p, t in zip(points, all_trims, strict=True)], RECTANGLE_EDGES)


def polygon(vertices: Sequence[Vertex], names: Sequence[str] = ()) -> Outline:
    """Return a polygon with its corners trimmed.

    Args:
        vertices: in order, either way round
        names: of the edge after each vertex; ``edge_1`` … when left out

    Raises:
        BadText: PART-016 when there is no such polygon
    """
    n = len(vertices)
    if n < 3:
        raise BadText("PART-016", f"the outline has {n} corners", "three or more")
    names = tuple(names) or tuple(f"edge_{i + 1}" for i in range(n))
    for i in range(n):
        if vec.distance(vertices[i].point, vertices[(i + 1) % n].point) < NEAR:
            raise BadText(
                "PART-016",
                f"corners {i + 1} and {(i + 1) % n + 1} are one point",
                "corners apart from each other",
                "An outline closes by itself; leave out the repeated point",
            )
    bare = Loop.polygon([v.point for v in vertices])
    if bare.area < 0:
        # Edge i runs from vertex i: after turning round, it is the one before that vertex.
        vertices = list(reversed(vertices))
        names = (*reversed(names[:-1]), names[-1])
    check_simple(Loop.polygon([v.point for v in vertices]))
    corners = [
        _trimmed(i, vertices[i - 1].point, vertices[i], vertices[(i + 1) % n].point)
        for i in range(n)
    ]
    edges: list[Edge] = []
    edge_names: list[str] = []
    for i, (_, corner, end) in enumerate(corners):
        if corner is not None:
            edges.append(corner)
            edge_names.append(f"corner_{i + 1}")
        start, stop = end, corners[(i + 1) % n][0]
        whole = vec.sub(vertices[(i + 1) % n].point, vertices[i].point)
        left_over = vec.dot(vec.sub(stop, start), vec.unit(whole))
        if left_over < -NEAR:
            raise BadText(
                "PART-016",
                f"the corners at both ends of edge `{names[i]}` take more than its length,"
                f" {show_mm(vec.length(whole))}",
                "radii and chamfers that leave the edge some length",
                f"Make them smaller by {show_mm(-left_over)} in all",
            )
        if left_over > NEAR:
            edges.append(Line(start, stop))
            edge_names.append(names[i])
    # Begin with the first straight edge, so that a leg's first edge is its bend.
    shift = next((i for i, name in enumerate(edge_names) if name == names[0]), 0)
    edges = edges[shift:] + edges[:shift]
    edge_names = edge_names[shift:] + edge_names[:shift]
    return Outline(Loop(tuple(edges)), tuple(edge_names))


def _trimmed(
    number: int, before: Point, vertex: Vertex, after: Point
) -> tuple[Point, Edge | None, Point]:
    """Return where the edge before ends, the corner's own edge, and where the edge after begins."""
    trim, p = vertex.trim, vertex.point
    if trim is None or trim.size < NEAR:
        return p, None, p
    d0, d1 = vec.unit(vec.sub(p, before)), vec.unit(vec.sub(after, p))
    turn = math.atan2(vec.cross(d0, d1), vec.dot(d0, d1))
    if abs(turn) < 1e-9 or abs(turn) > math.pi - 1e-9:
        raise BadText(
            "PART-016",
            f"corner {number + 1} is straight, so it has nothing to trim",
            "a radius or chamfer at a real corner",
        )
    reach = trim.size * math.tan(abs(turn) / 2) if trim.kind == "radius" else trim.size
    start, end = vec.along(p, d0, -reach), vec.along(p, d1, reach)
    if trim.kind == "chamfer":
        return start, Line(start, end), end
    ccw = turn > 0
    normal = vec.left(d0) if ccw else vec.right(d0)
    center = vec.along(start, normal, trim.size)
    return start, Arc.through(start, end, center, ccw), end


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of a path.

    Args:
        to: where it ends [mm]
        radius: of an arc [mm], or nothing for a straight step
        center: of an arc [mm], in place of the radius
        left: whether the arc turns left, counter-clockwise
        long: whether it is the longer of the two arcs that a radius allows
        name: of the edge
    """

    to: Point
    radius: float | None = None
    center: Point | None = None
    left: bool = True
    long: bool = False
    name: str = ""


def path(start: Point, steps: Sequence[Step]) -> Outline:
    """Return a loop of lines and arcs; a straight edge closes it if it is open.

    Raises:
        BadText: PART-016 when there is no such loop
    """
    edges: list[Edge] = []
    names: list[str] = []
    at = start
    for i, step in enumerate(steps):
        if vec.distance(at, step.to) < NEAR:
            raise BadText(
                "PART-016", f"step {i + 1} of the path ends where it begins", "steps with a length"
            )
        edges.append(_step_edge(i, at, step))
        names.append(step.name or f"edge_{i + 1}")
        at = step.to
    if vec.distance(at, start) >= NEAR:
        edges.append(Line(at, start))
        names.append(f"edge_{len(steps) + 1}")
    if len(edges) < 2:
        raise BadText("PART-016", "the path is one step", "a path that goes round something")
    loop = Loop(tuple(edges))
    if loop.area < 0:
        loop = loop.reversed()
        names.reverse()
        loop = Loop((loop.edges[-1], *loop.edges[:-1]))
        names = [names[-1], *names[:-1]]
    check_simple(loop)
    return Outline(loop, tuple(names))


def _step_edge(i: int, at: Point, step: Step) -> Edge:
    if step.center is not None:
        r0, r1 = vec.distance(at, step.center), vec.distance(step.to, step.center)
        if r0 < NEAR or abs(r0 - r1) > NEAR:
            raise BadText(
                "PART-016",
                f"step {i + 1} of the path is {show_mm(r0, 4)} from its center at one end and"
                f" {show_mm(r1, 4)} at the other",
                "a center as far from one end as from the other",
                "State the radius instead",
            )
        return Arc.through(at, step.to, step.center, step.left)
    if step.radius is None:
        return Line(at, step.to)
    half = vec.distance(at, step.to) / 2
    if step.radius < half - NEAR:
        raise BadText(
            "PART-016",
            f"the arc of step {i + 1} of the path has radius {show_mm(step.radius)}, but its ends"
            f" are {show_mm(2 * half)} apart",
            f"a radius of {show_mm(half)} or more",
        )
    offset = math.sqrt(max(0.0, step.radius**2 - half**2))
    # The center of the shorter left turn is to the left of the chord.
    side = 1.0 if step.left != step.long else -1.0
    normal = vec.left(vec.unit(vec.sub(step.to, at)))
    center = vec.along(vec.middle(at, step.to), normal, side * offset)
    return Arc.through(at, step.to, center, step.left)


def disc(diameter: float, center: Point = (0.0, 0.0)) -> Outline:
    """Return a disc: one round edge, named ``rim`` [mm]."""
    positive("diameter", diameter)
    return Outline(Loop.circle(center, diameter / 2), ("rim",))


def leg(
    width: float,
    left_height: float,
    right_height: float,
    left_taper: float = 0.0,
    right_taper: float = 0.0,
    left_trim: Trim | None = None,
    right_trim: Trim | None = None,
) -> Outline:
    """Return a leg, its bend at the bottom.

    Args:
        width: of the bend [mm]
        left_height: bend to tip at the left side [mm]
        right_height: at the right side [mm]
        left_taper: how far the left side leans in, from square to the bend [rad]
        right_taper: how far the right side leans in [rad]
        left_trim: of the left corner at the tip
        right_trim: of the right corner at the tip

    Raises:
        BadText: PART-016 when the sides meet before the tip, or there is no height
    """
    positive("width of the bend", width)
    positive("height", min(left_height, right_height))
    for taper in (left_taper, right_taper):
        if abs(taper) > math.radians(85):
            raise BadText("PART-015", "the taper is more than 85°", "less than 85°")
    x0 = left_height * math.tan(left_taper)
    x1 = width - right_height * math.tan(right_taper)
    if x1 - x0 < NEAR:
        raise BadText(
            "PART-016",
            f"the tapered sides meet before the tip: it would be {show_mm(x1 - x0)} wide",
            "a tip with some width",
            "Use less taper or less height, or draw a pointed leg as a polygon",
        )
    return polygon(
        [
            Vertex((0.0, 0.0)),
            Vertex((width, 0.0)),
            Vertex((x1, right_height), right_trim),
            Vertex((x0, left_height), left_trim),
        ],
        LEG_EDGES,
    )


def as_leg(outline: Outline) -> Outline:
    """Return an outline drawn in leg coordinates with the edge on y = 0 first and named ``bend``.

    Raises:
        BadText: PART-016 when it has no straight edge from (0, 0) along y = 0, or dips below it
    """
    base = [
        i
        for i, edge in enumerate(outline.loop.edges)
        if isinstance(edge, Line)
        and abs(edge.start[1]) < NEAR
        and abs(edge.end[1]) < NEAR
        and vec.length(edge.start) < NEAR
    ]
    if not base or outline.loop.box[1] < -NEAR:
        raise BadText(
            "PART-016",
            "the outline of the leg does not stand on its bend",
            "an outline with a straight edge from (0, 0) along y = 0, and all of it above",
            "Draw it with the bend at the bottom, x from the bend's left end",
        )
    i = base[0]
    edges = outline.loop.edges[i:] + outline.loop.edges[:i]
    names = outline.edges[i:] + outline.edges[:i]
    return Outline(Loop(edges), ("bend", *names[1:]))


def check_simple(loop: Loop) -> None:
    """Raise BadText PART-016 when a loop crosses or touches itself."""
    edges = loop.edges
    n = len(edges)
    if abs(loop.area) < 1e-6:
        raise BadText("PART-016", "the outline has no area", "an outline around something")
    for i in range(n):
        for j in range(i + 1, n):
            shared = []
            if j == i + 1:
                shared.append(edges[i].end)
            if i == 0 and j == n - 1:
                shared.append(edges[0].start)
            for p in meetings(edges[i], edges[j]):
                if all(vec.distance(p, q) > 100 * TOUCH for q in shared):
                    raise BadText(
                        "PART-016",
                        "the outline crosses or touches itself at"
                        f" ({show_mm(p[0])}, {show_mm(p[1])})",
                        "an outline that goes round once",
                        "Put the corners in the order in which they follow each other",
                    )


def positive(what: str, value: float) -> None:
    """Raise BadText PART-015 when a length [mm] is not more than zero."""
    if value < NEAR:
        raise BadText("PART-015", f"the {what} is {show_mm(value)}", "more than zero")
