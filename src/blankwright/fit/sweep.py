"""The independent check of a way: exact distances along it, dense enough to leave no gap.

Nothing here knows of slices or convolutions. Between two states no point of the part moves
farther than L = |shift of the middle| + reach · |turn|, so between them the clearance can't fall
under (d₀ + d₁ − L)/2, with d₀ and d₁ the clearances at both. Where that is too loose the stretch
is halved.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from blankwright.fit.convolution import Array
from blankwright.fit.planar import PlanarQuestion, State, placed
from blankwright.geom.vec import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearance:
    """The least clearance along a way.

    Args:
        least: least clearance found [mm], less what is to be kept off; below zero where squeezed
        surely: the clearance is nowhere less than this [mm]
        at: state where it is least
        wall: name of the wall that it is to
        part_point: nearest point of the part, in the section [mm]
        wall_point: nearest point of the wall [mm]
    """

    least: float
    surely: float
    at: State
    wall: str
    part_point: Point
    wall_point: Point


class Sweep:
    """Clearances of the part of one question."""

    def __init__(self, question: PlanarQuestion) -> None:
        self.question = question
        self._middle = question.middle
        self._walls: list[tuple[str, Any, float]] = []
        for wall in question.far_walls:
            if not wall.shape.is_empty:
                off = wall.keep_off + wall.error + question.part_error
                self._walls.append((wall.name, wall.shape, off))

    def clearances(self, states: Array) -> Array:
        """Return the clearance at each of several states, shape (k, 3) to shape (k,) [mm].

        Where part and wall overlap it is −1 mm or less: how deep is not worked out.
        """
        parts = placed(self.question.part, self._middle, states)
        least = np.full(len(states), np.inf)
        for _, shape, off in self._walls:
            distance = shapely.distance(parts, shape)
            hit = distance == 0.0
            if hit.any():
                deep = shapely.area(shapely.intersection(parts[hit], shape)) > 1e-9
                distance[np.nonzero(hit)[0][deep]] = -1.0
            least = np.minimum(least, distance - off)
        return least

    def free(self, start: Array, end: Array, floor: float, depth: int = 12) -> bool:
        """Say whether the straight stretch between two states surely keeps a clearance [mm]."""
        ends = np.array((start, end))
        stretches = [(start, end, *self.clearances(ends).tolist())]
        for _ in range(depth):
            if any(min(d0, d1) < floor for _, _, d0, d1 in stretches):
                return False
            stretches = [
                s for s in stretches if (s[2] + s[3] - self._length(s[0], s[1])) / 2 < floor
            ]
            if not stretches:
                return True
            middles = [(a + b) / 2 for a, b, _, _ in stretches]
            found = self.clearances(np.array(middles)).tolist()
            stretches = [
                piece
                for (a, b, d0, d1), m, d in zip(stretches, middles, found, strict=True)
                for piece in ((a, m, d0, d), (m, b, d, d1))
            ]
        return False

    def profile(self, states: Array, step: float) -> tuple[Array, Array]:
        """Return states at most a step of motion apart along a way, and their clearances.

        Args:
            states: corners of the way, shape (k, 3)
            step: greatest motion of any point of the part between two [mm]
        """
        dense = [states[:1]]
        for a, b in itertools.pairwise(states):
            n = max(1, int(np.ceil(self._length(a, b) / step)))
            dense.append(a + (b - a) * (np.arange(1, n + 1) / n)[:, None])
        array = np.concatenate(dense)
        return array, self.clearances(array)

    def least(self, states: Array, step: float = 0.25) -> Clearance:
        """Return the least clearance along a way, and a bound that it can't fall under."""
        array, found = self.profile(states, step)
        k = int(np.argmin(found))
        surely = float(found.min())
        for a, b, d0, d1 in zip(array, array[1:], found, found[1:], strict=False):
            bound = (d0 + d1 - self._length(a, b)) / 2
            if bound < surely:
                surely = min(surely, self._bound(a, b, float(d0), float(d1), float(found.min())))
        wall, on_part, on_wall = self.nearest(array[k])
        return Clearance(
            least=float(found[k]),
            surely=surely,
            at=State(*(float(v) for v in array[k])),
            wall=wall,
            part_point=on_part,
            wall_point=on_wall,
        )

    def _bound(self, a: Array, b: Array, d0: float, d1: float, floor: float) -> float:
        """Refine the lower bound on one stretch until it is near the least clearance found."""
        bound = (d0 + d1 - self._length(a, b)) / 2
        near = min(0.01, max(0.1 * abs(floor), 0.0002))
        if bound >= floor - near or self._length(a, b) < near:
            return bound
        m = (a + b) / 2
        d = float(self.clearances(m[None, :])[0])
        return min(self._bound(a, m, d0, d, floor), self._bound(m, b, d, d1, floor))

    def nearest(self, state: Array) -> tuple[str, Point, Point]:
        """Return the nearest wall's name, and the nearest points of the part and of it [mm]."""
        part = placed(self.question.part, self._middle, state[None, :])[0]
        name, shape, _ = min(self._walls, key=lambda w: float(shapely.distance(part, w[1])) - w[2])
        line = shapely.get_coordinates(shapely.shortest_line(part, shape))
        return name, (float(line[0][0]), float(line[0][1])), (float(line[1][0]), float(line[1][1]))

    def _length(self, a: Array, b: Array) -> float:
        d = b - a
        return float(np.hypot(d[1], d[2]) + self.question.reach * abs(d[0]))


def as_array(states: Sequence[State]) -> Array:
    """Return states as an array, shape (k, 3): turn [rad], x, y [mm]."""
    return np.array([(s.turn, s.x, s.y) for s in states])
