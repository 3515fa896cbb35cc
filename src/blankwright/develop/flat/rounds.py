"""Circles and arcs that were drawn as many short lines, made circles and arcs again."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np

from blankwright.develop.flat.clean import Repair
from blankwright.develop.unfold.curve2d import circle_through
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.loop import Loop, joined
from blankwright.geom.vec import Point

WITHIN = 0.005
"""Corners that lie this near to one circle may be points on an arc [mm]. Drawings keep three or
four decimals; common practice, no source."""

_LEAST_ROUND = 12
"""A loop with fewer sides is the polygon it shows [-]: six and eight sides are meant."""

_LEAST_ARC = 5
"""Fewer lines in a row are no arc [-]."""

_TURN = math.radians(20)
"""Lines that turn by more from one to the next are no arc [rad]."""


def rounded(loop: Loop) -> tuple[Loop, tuple[Repair, ...]]:
    """Return a loop with its many short lines made the circle or the arcs that they stand for.

    Lines stand for an arc when there are enough of them, of one length, each turned from the last
    by the same small angle, and their corners lie on one circle. Corners stay where they are.
    """
    circle = _circle(loop)
    if circle is not None:
        sag = circle.radius * (1 - math.cos(math.pi / len(loop.edges)))
        what = "circle drawn as short lines"
        return Loop((circle,)), (Repair(what, circle.center, sag),)
    return _arcs(loop)


def _circle(loop: Loop) -> Arc | None:
    if len(loop.edges) < _LEAST_ROUND or not all(isinstance(e, Line) for e in loop.edges):
        return None
    points = np.array([edge.start for edge in loop.edges])
    found = circle_through(points)
    if found is None or found[2] > WITHIN:
        return None
    center, radius, _ = found
    chords = [edge.length for edge in loop.edges]
    widest = 2 * radius * math.sin(math.radians(31) / 2)
    if max(chords) > widest:
        return None
    # Once round and no more: the area tells.
    if abs(abs(loop.area) - math.pi * radius**2) > 0.06 * math.pi * radius**2:
        return None
    circle = Arc.circle(center, radius)
    return circle if loop.area > 0 else circle.reversed()


def _arcs(loop: Loop) -> tuple[Loop, tuple[Repair, ...]]:
    edges = list(loop.edges)
    n = len(edges)
    if sum(isinstance(edge, Line) for edge in edges) < _LEAST_ARC:
        return loop, ()
    # Begin where two neighbours are surely not of one arc, so that no run is cut by the seam.
    start = next((i for i in range(n) if not _alike(edges[i - 1], edges[i])), None)
    if start is None:
        return loop, ()
    edges = edges[start:] + edges[:start]
    result: list[Edge] = []
    repairs: list[Repair] = []
    i = 0
    while i < n:
        j = i + 1
        while j < n and _alike(edges[j - 1], edges[j]):
            j += 1
        run = edges[i:j]
        arc = _arc(run)
        if arc is None:
            result += run
        else:
            result.append(arc)
            sag = arc.radius * (1 - math.cos(abs(arc.sweep) / len(run) / 2))
            repairs.append(Repair("arc drawn as short lines", arc.point(0.5), sag))
        i = j
    return (Loop(joined(result)), tuple(repairs)) if repairs else (loop, ())


def _alike(a: Edge, b: Edge) -> bool:
    """Say whether two neighbours may be chords of one arc: as long as one another, turned a bit."""
    if not (isinstance(a, Line) and isinstance(b, Line)):
        return False
    if abs(a.length - b.length) > max(0.02 * a.length, 2 * WITHIN):
        return False
    turn = abs(vec.cross(a.direction(), b.direction()))
    return 1e-3 < turn < math.sin(_TURN) and vec.dot(a.direction(), b.direction()) > 0


def _arc(run: Sequence[Edge]) -> Arc | None:
    if len(run) < _LEAST_ARC:
        return None
    points: list[Point] = [run[0].start, *(edge.end for edge in run)]
    turns = [vec.cross(a.direction(), b.direction()) for a, b in itertools.pairwise(run)]
    sides = {turn > 0 for turn in turns}
    found = circle_through(np.array(points))
    if len(sides) != 1 or found is None or found[2] > WITHIN or found[1] > 2000:
        return None
    radius = found[1]
    half = math.asin(min(1.0, run[0].length / 2 / radius))
    sweep = sum(2 * math.asin(min(1.0, edge.length / 2 / radius)) for edge in run)
    if half > _TURN or sweep < 2 * half or sweep > math.tau - 0.1:
        return None
    bulge = math.tan((sweep if sides.pop() else -sweep) / 4)
    return Arc.bulged(points[0], points[-1], bulge)
