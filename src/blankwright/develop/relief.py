"""Relief: the metal taken away where bends meet, or where a bend ends beside an edge."""

from __future__ import annotations

import math

from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.vec import Point
from blankwright.handbook.relief import relief_diameter
from blankwright.part.model import Relief, ReliefRule

AS_STATED = "as stated"
"""Source of a relief whose size the part file gives."""


def relief_size(relief: Relief, thickness: float, inside_radius: float) -> tuple[float, str]:
    """Return the diameter or width of a relief [mm] and where it comes from.

    Args:
        relief: as stated
        thickness: [mm]
        inside_radius: the greater inside radius of the bends at it [mm]
    """
    if relief.rule is ReliefRule.HANDBOOK:
        return relief_diameter(thickness, inside_radius)
    return (0.0 if relief.rule is ReliefRule.NONE else relief.size), AS_STATED


def corner_relief(relief: Relief, size: float, point: Point, along: Point) -> Loop | None:
    """Return a relief where two bend tangent lines meet, in the flat's frame.

    Args:
        relief: as stated
        size: diameter or width [mm]
        point: where the tangent lines meet [mm]; a hole is centred on it
        along: direction of one tangent line, which a square relief lies along

    Source:
        FAA-H-8083-31 vol. 1 ch. 4, "Folding a box": the hole is on the intersection of the
        inside bend tangent lines
    """
    if relief.rule is ReliefRule.NONE or size <= 0.0:
        return None
    if relief.rule is ReliefRule.SQUARE:
        half = size / 2
        return Loop.rectangle(-half, -half, half, half).moved(Move.onto(point, along))
    return Loop.circle(point, size / 2)


def end_relief(relief: Relief, size: float, at: float, outward: float, reach: float) -> Loop | None:
    """Return a relief beside the end of a bend, in the strip's frame.

    It stands just outside the bend: its inner side runs out from the end of the tangent line.

    Args:
        relief: as stated
        size: width [mm]
        at: x of the bend's end [mm]
        outward: −1 at the left end, 1 at the right end
        reach: from the tangent line out to the parent's edge [mm]
    """
    if relief.rule is ReliefRule.NONE or size <= 0.0:
        return None
    far = at + outward * size
    low, high = min(at, far), max(at, far)
    if relief.rule is ReliefRule.SQUARE:
        return Loop.rectangle(low, -relief.depth, high, reach)
    r = size / 2
    if reach < 1e-6:
        return Loop.circle(((low + high) / 2, 0.0), r)
    edges: tuple[Edge, ...] = (
        Arc(((low + high) / 2, 0.0), r, math.pi, math.pi),
        Line((high, 0.0), (high, reach)),
        Line((high, reach), (low, reach)),
        Line((low, reach), (low, 0.0)),
    )
    return Loop(edges)
