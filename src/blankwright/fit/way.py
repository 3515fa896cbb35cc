"""From a chain of regions to a way that a person can follow."""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

from blankwright.base.errors import OurBug, Problem
from blankwright.fit.convolution import GRID, Array
from blankwright.fit.planar import PlanarQuestion, State
from blankwright.fit.slices import Shapes
from blankwright.fit.sweep import Sweep, as_array
from blankwright.fit.walk import Node
from blankwright.geom.vec import Point

_DEEP = 3.0
"""Crossing points are put at most this deep in an overlap [mm]: far from walls, no great detour."""


def raw_way(question: PlanarQuestion, chain: Sequence[Node]) -> list[State]:
    """Return a way along a chain of the sure graph: slides at one turn, and turns in place.

    It begins at rest and ends outside.
    """
    ((_, states),) = raw_legs(question, chain)
    return states


def raw_legs(question: PlanarQuestion, chain: Sequence[Node]) -> list[tuple[Shapes, list[State]]]:
    """Return a way along a chain of the sure graph, parted where the springing changes.

    Each leg begins in the state in which the one before ends.
    """
    first = chain[0][0]
    rest = question.rest
    at = (rest.x, rest.y)
    states = [rest]
    legs = [(first.shapes, states)]
    turn = min(max(0.0, first.low), first.high)
    here = first.sure[chain[0][1]]
    at = _into(here, at)
    states.append(State(turn, *at))
    for (s, i), (t, j) in itertools.pairwise(chain):
        region, following = s.sure[i], t.sure[j]
        to = _crossing(region, following, at)
        states.extend(State(turn, *p) for p in _route(region, at, to)[1:])
        if s.shapes is t.shapes:
            edge, to_edge = _common_turn(s.low, s.high, t.low, t.high)
            states.append(State(_lifted(edge, turn), *to))
            # Over the seam of the ring the same turn has another name: rename, don't spin.
            turn = _lifted(edge, turn) if edge == to_edge else _lifted(to_edge, turn)
        else:
            within = math.remainder(turn, math.tau)
            both = min(max(within, s.low, t.low), s.high, t.high)
            turn = _lifted(both, turn)
            states.append(State(turn, *to))
            states = [State(turn, *to)]
            legs.append((t.shapes, states))
        at = to
    last = chain[-1][0].sure[chain[-1][1]]
    end = _deep_point(last.intersection(question.outside), at)
    states.extend(State(turn, *p) for p in _route(last, at, end)[1:])
    return [(shapes, _without_repeats(leg)) for shapes, leg in legs]


def smoothed(sweep: Sweep, states: Sequence[State], floor_share: float = 0.6) -> list[State]:
    """Straighten a way: fewer and longer steps, none nearer to a wall than is allowed.

    Args:
        sweep: clearances, by which every step is checked anew
        states: the way
        floor_share: share of the way's own least clearance that must be kept [-]
    """
    best = as_array(states)
    _, found = sweep.profile(best, 1.0)
    floor = float(np.min(found[1:])) if len(found) > 1 else 0.0
    floor = floor * floor_share if floor > 0 else floor - 1e-6
    best = _shortcut(sweep, best, floor)
    for pieces in (4, 3, 5):
        trial = _shortcut(sweep, _dense(best, pieces), floor)
        trial = _shortcut(sweep, trial[::-1], floor)[::-1]
        if len(trial) < len(best):
            best = trial
    return [State(*(float(v) for v in row)) for row in best]


def _dense(array: Array, pieces: int) -> Array:
    """Put corners on each stretch, so that a cut may begin and end between the old ones."""
    rows = [array[:1]]
    for a, b in itertools.pairwise(array):
        rows.append(a + (b - a) * (np.arange(1, pieces + 1) / pieces)[:, None])
    return np.concatenate(rows)


def _shortcut(sweep: Sweep, array: Array, floor: float) -> Array:
    kept = [array[0]]
    i = 0
    while i < len(array) - 1:
        # Off the rest the part may touch: what it keeps there is all that can be asked. From a
        # rest that is a hair in a wall the first stretch stays as it is.
        here = float(sweep.clearances(array[[i, i + 1]]).min())
        if here < min(floor, 0.0) - 1e-3:
            kept.append(array[i + 1])
            i += 1
            continue
        low = min(floor, here - 1e-6)
        best, step = i + 1, 1
        while i + step < len(array) and sweep.free(array[i], array[i + step], low):
            best = i + step
            step *= 2
        top = min(i + step, len(array) - 1)
        for j in _bisected(best, top):
            if j > best and sweep.free(array[i], array[j], low):
                best = j
        kept.append(array[best])
        i = best
    return np.array(kept)


def _bisected(low: int, high: int) -> list[int]:
    """Indices to try between two, farthest first, in shrinking steps."""
    tries = []
    span = high - low
    while span > 0:
        tries.append(low + span)
        span //= 2
    return tries


def _common_turn(low: float, high: float, low2: float, high2: float) -> tuple[float, float]:
    """Return the turn that two neighbouring ranges share, as each of them names it."""
    pairs = [(high, low2), (low, high2)]
    return min(pairs, key=lambda p: abs((p[0] - p[1] + math.pi) % math.tau - math.pi))


def _lifted(turn: float, near: float) -> float:
    """Return the turn, a whole number of turns added, nearest to another."""
    return turn + math.tau * round((near - turn) / math.tau)


def _into(region: Any, at: Point) -> Point:
    point = shapely.Point(at)
    if region.contains(point):
        return at
    line = shapely.get_coordinates(shapely.shortest_line(region, point))
    return (float(line[0][0]), float(line[0][1]))


def _crossing(a: Any, b: Any, at: Point) -> Point:
    return _deep_point(a.intersection(b), at)


def _deep_point(overlap: Any, at: Point) -> Point:
    """A point well inside an overlap, not far from where the part is."""
    parts = [p for p in shapely.get_parts(overlap) if p.geom_type == "Polygon" and p.area > 1e-12]
    if not parts:
        q = overlap.representative_point()
        return (float(q.x), float(q.y))
    point = shapely.Point(at)
    part = min(parts, key=lambda p: (float(p.distance(point)), -p.area))
    size = max(part.bounds[2] - part.bounds[0], part.bounds[3] - part.bounds[1])
    radius = float(shapely.maximum_inscribed_circle(part, tolerance=size / 100).length)
    core = part.buffer(-min(0.7 * radius, _DEEP), quad_segs=4)
    if core.is_empty:
        q = part.representative_point()
        return (float(q.x), float(q.y))
    return _into(core, at)


def _route(region: Any, a: Point, b: Point) -> list[Point]:
    """Return the shortest way within a polygon: from corner to corner in sight of each other."""
    # Lines along the rim must count as inside; what is added here is far under `ROUNDING`.
    corners = shapely.get_coordinates(region)
    region = region.buffer(4 * GRID, join_style="mitre")
    shapely.prepare(region)
    if region.covers(shapely.LineString((a, b))):
        return [a, b]
    points = np.vstack((np.array((a, b)), np.unique(corners, axis=0)))
    best = {0: 0.0}
    parent = {0: 0}
    goal = points[1]
    queue = [(float(np.hypot(*(points[0] - goal))), 0)]
    done: set[int] = set()
    while queue:
        _, i = heapq.heappop(queue)
        if i in done:
            continue
        done.add(i)
        if i == 1:
            break
        left = np.array([k for k in range(len(points)) if k not in done])
        lines = shapely.linestrings(
            np.stack((np.broadcast_to(points[i], (len(left), 2)), points[left]), axis=1)
        )
        for k in left[shapely.covers(region, lines)].tolist():
            value = best[i] + float(np.hypot(*(points[k] - points[i])))
            if value < best.get(k, math.inf):
                best[k], parent[k] = value, i
                heapq.heappush(queue, (value + float(np.hypot(*(points[k] - goal))), k))
    if 1 not in parent:
        raise OurBug(
            Problem(code="FIT-900", where="way", got="two places of one region are not joined")
        )
    route = [1]
    while route[-1] != 0:
        route.append(parent[route[-1]])
    return [(float(points[k][0]), float(points[k][1])) for k in reversed(route)]


def _without_repeats(states: list[State]) -> list[State]:
    kept = states[:1]
    for state in states[1:]:
        if state != kept[-1]:
            kept.append(state)
    return kept
