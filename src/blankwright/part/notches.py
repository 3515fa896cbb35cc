"""Notches in the straight edges of outlines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from blankwright.base.quantities import BadText
from blankwright.base.units import show_mm
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.loop import Loop
from blankwright.geom.vec import Point
from blankwright.part.outlines import NEAR, Outline, check_simple, positive


@dataclass(frozen=True, slots=True, kw_only=True)
class Notch:
    """A notch in a straight edge.

    Args:
        edge: name of the edge
        at: its middle, from the edge's left end as seen looking out over the edge [mm]
        width: at the edge [mm]
        depth: into the flat [mm]
        shape: with a square bottom, a round one, or a vee
        radius: of the two bottom corners of a square one [mm]
    """

    edge: str
    at: float
    width: float
    depth: float
    shape: Literal["square", "round", "vee"] = "square"
    radius: float = 0.0


def notched(outline: Outline, notches: Sequence[Notch]) -> Outline:
    """Return an outline with notches.

    A notched edge ``tip`` becomes ``tip_1``, ``tip_2`` … counted from its left end.

    Raises:
        BadText: PART-009 for an edge that is not there, PART-016 for a notch that does not fit
    """
    edges: list[Edge] = []
    names: list[str] = []
    for i, notch in enumerate(notches):
        if notch.edge not in outline.edges:
            raise BadText(
                "PART-009", f"notch {i + 1} is in no edge `{notch.edge}`", ", ".join(outline.edges)
            )
    for edge, name in zip(outline.loop.edges, outline.edges, strict=True):
        mine = sorted((n for n in notches if n.edge == name), key=lambda n: -n.at)
        if not mine:
            edges.append(edge)
            names.append(name)
            continue
        if not isinstance(edge, Line) or name == "bend":
            raise BadText(
                "PART-016", f"a notch is in the edge `{name}`", "straight edges, never the bend"
            )
        at = edge.start
        for k, notch in enumerate(mine):
            number = len(mine) - k
            cut = _notch_edges(edge, notch)
            if vec.dot(vec.sub(cut[0].start, at), edge.direction()) < NEAR:
                raise BadText(
                    "PART-016",
                    f"the notch at {show_mm(notch.at)} runs over the end of edge `{name}` or into"
                    " the next notch",
                    f"notches within the edge, {show_mm(edge.length)} long",
                )
            edges.append(Line(at, cut[0].start))
            names.append(f"{name}_{number + 1}")
            edges.extend(cut)
            names.extend(f"{name}_notch_{number}_{j + 1}" for j in range(len(cut)))
            at = cut[-1].end
        if vec.dot(vec.sub(edge.end, at), edge.direction()) < NEAR:
            raise BadText(
                "PART-016",
                f"the notch at {show_mm(mine[-1].at)} runs over the end of edge `{name}`",
                f"notches within the edge, {show_mm(edge.length)} long",
            )
        edges.append(Line(at, edge.end))
        names.append(f"{name}_1")
    loop = Loop(tuple(edges))
    check_simple(loop)
    return Outline(loop, tuple(names))


def _notch_edges(edge: Line, notch: Notch) -> list[Edge]:
    """Return the edges of a notch in travel order along a counter-clockwise edge."""
    positive("width of the notch", notch.width)
    positive("depth of the notch", notch.depth)
    d = edge.direction()
    inward = vec.left(d)

    def point(along: float, deep: float) -> Point:
        # `along` runs from the left end, which is the end of the edge.
        return vec.along(vec.along(edge.end, d, -along), inward, deep)

    right, left = notch.at + notch.width / 2, notch.at - notch.width / 2
    depth, half = notch.depth, notch.width / 2
    a, b = point(right, 0.0), point(left, 0.0)
    if notch.shape == "vee":
        tip = point(notch.at, depth)
        return [Line(a, tip), Line(tip, b)]
    if notch.shape == "round":
        if depth < half - NEAR:
            raise BadText(
                "PART-016",
                f"a round notch {show_mm(notch.width)} wide is {show_mm(depth)} deep",
                f"a depth of half the width or more, {show_mm(half)}",
            )
        deep_a, deep_b = point(right, depth - half), point(left, depth - half)
        arc = Arc.through(deep_a, deep_b, point(notch.at, depth - half), False)
        straight = depth - half > NEAR
        return [Line(a, deep_a), arc, Line(deep_b, b)] if straight else [arc]
    r = notch.radius
    if r > min(half, depth) + NEAR:
        raise BadText(
            "PART-016",
            f"the notch's radius is {show_mm(r)}",
            f"at most {show_mm(min(half, depth))}, half its width or its depth",
        )
    if r < NEAR:
        c, e = point(right, depth), point(left, depth)
        return [Line(a, c), Line(c, e), Line(e, b)]
    points = [point(right, depth - r), point(right - r, depth)]
    points += [point(left + r, depth), point(left, depth - r)]
    result: list[Edge] = [
        Line(a, points[0]),
        Arc.through(points[0], points[1], point(right - r, depth - r), False),
        Line(points[1], points[2]),
        Arc.through(points[2], points[3], point(left + r, depth - r), False),
        Line(points[3], b),
    ]
    return [edge for edge in result if edge.length > NEAR]
