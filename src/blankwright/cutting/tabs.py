"""Where tabs go: on straight edges, away from bends, corners and holes, spread round the part."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from blankwright.cutting.work import Tab
from blankwright.geom import vec
from blankwright.geom.edges import Edge, Line
from blankwright.geom.loop import Loop
from blankwright.geom.near import EdgeIndex
from blankwright.geom.vec import Point

CLEAR_OF_HOLES = 4.0
"""Least distance between the end of a tab and an opening [mm]. Common practice, no source."""

CLEAR_OF_BENDS = 2.0
"""Least distance between the end of a tab and a bend [mm]. Common practice, no source."""

CLEAR_OF_CORNERS = 1.0
"""Least distance between the end of a tab and a corner [mm]. Common practice, no source."""

ONE_EACH = 300.0
"""Length of edge that one tab holds [mm]. Common practice, no source."""

_STEP = 1.0

_Spot = tuple[float, Point, Point]
"""A place for a tab: length along the loop, point, direction of the loop there."""


def usual_count(length: float) -> int:
    """Return how many tabs hold a part with an edge of some length all round [mm]."""
    return max(2 if length < 120 else 3, math.ceil(length / ONE_EACH))


def place_tabs(
    loop: Loop,
    count: int,
    half: float,
    radius: float,
    holes: Sequence[Edge],
    bends: Sequence[Edge],
    holds: Callable[[Point, Point], bool] = lambda at, along: True,
) -> tuple[Tab, ...]:
    """Choose places for tabs on the straight edges of a loop.

    Args:
        loop: the edge of the part
        count: how many are wanted; fewer come back when there is no room
        half: half the length of a tab along the edge [mm]
        radius: the cutter's radius [mm]; in an inside corner its way turns so much earlier
        holes: edges of openings to keep off
        bends: edges of bend strips to keep off
        holds: asked whether a tab holds at a point of the loop, the loop's direction there given
    """
    spots = _room(loop, half, radius, holes, bends)
    if not spots or count <= 0:
        return ()
    total = loop.length
    chosen: list[_Spot] = []
    # Begin at the roomiest straight edge's middle, and aim for even spacing from there.
    first = _longest_middle(loop)
    for k in range(count):
        aim = (first + k * total / count) % total
        # The nearest free place to the aim that holds; what does not hold is not asked again.
        for spot in sorted(spots, key=lambda spot: (round(_round(spot[0] - aim, total), 6), spot)):
            if not _apart_enough(spot[0], chosen, total, 3 * half):
                continue
            if holds(spot[1], spot[2]):
                chosen.append(spot)
                break
            spots.remove(spot)
    return tuple(Tab(at=p, half=half) for _, p, _ in sorted(chosen))


def _room(
    loop: Loop,
    half: float,
    radius: float,
    holes: Sequence[Edge],
    bends: Sequence[Edge],
) -> list[_Spot]:
    reach_holes, reach_bends = half + CLEAR_OF_HOLES, half + CLEAR_OF_BENDS
    near_holes = EdgeIndex(holes, cell=max(10.0, 2 * reach_holes))
    near_bends = EdgeIndex(bends, cell=max(10.0, 2 * reach_bends))
    spots: list[_Spot] = []
    begin = 0.0
    for edge in loop.edges:
        margin = half + radius + CLEAR_OF_CORNERS
        room = edge.length - 2 * margin
        if isinstance(edge, Line) and room >= 0:
            steps = max(1, round(room / _STEP))
            for i in range(steps + 1):
                s = margin + room * i / steps
                p = edge.point(s / edge.length)
                if (
                    near_holes.distance(p, reach_holes) == math.inf
                    and near_bends.distance(p, reach_bends) == math.inf
                ):
                    spots.append((begin + s, p, edge.direction()))
        begin += edge.length
    return spots


def _longest_middle(loop: Loop) -> float:
    best, at, begin = -1.0, 0.0, 0.0
    for edge in loop.edges:
        if isinstance(edge, Line) and edge.length > best + 1e-6:
            best, at = edge.length, begin + edge.length / 2
        begin += edge.length
    return at


def _round(distance: float, total: float) -> float:
    distance %= total
    return min(distance, total - distance)


def _apart_enough(s: float, chosen: Sequence[_Spot], total: float, gap: float) -> bool:
    return all(_round(s - other, total) >= gap for other, _, _ in chosen)


def on_tab(p: Point, tabs: Sequence[Tab], slack: float = 0.0) -> bool:
    """Say whether a point of the part's edge lies on a tab, some slack [mm] allowed."""
    return any(vec.distance(p, tab.at) <= tab.half + slack for tab in tabs)
