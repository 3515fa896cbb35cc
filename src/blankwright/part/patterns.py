"""Rows, grids and rings: where the members of a pattern of holes are."""

from __future__ import annotations

import math
from typing import Final

from blankwright.base.quantities import BadText
from blankwright.geom import vec
from blankwright.geom.vec import Point

MOST: Final = 5000
"""More holes than this in one pattern are a slip of the pen [-]."""

Member = tuple[Point, float]
"""Where a member is [mm] and how far it is turned [rad]."""


def row(first: Point, count: int, pitch: float, direction: float) -> list[Member]:
    """Return a row of `count` members at a pitch [mm] in a direction [rad]."""
    _check(count)
    d = (math.cos(direction), math.sin(direction))
    return [(vec.along(first, d, i * pitch), 0.0) for i in range(count)]


def row_between(first: Point, last: Point, count: int) -> list[Member]:
    """Return a row evenly spaced from the first point to the last, both with a member [mm]."""
    _check(count)
    if count < 2:
        raise BadText("PART-015", f"a row from point to point has {count} hole", "two or more")
    step = vec.scale(vec.sub(last, first), 1.0 / (count - 1))
    return [(vec.add(first, vec.scale(step, i)), 0.0) for i in range(count)]


def count_for_pitch(first: Point, last: Point, most: float) -> int:
    """Return how many members a row needs so that no pitch is over `most` [mm]."""
    if most <= 0:
        raise BadText("PART-015", "the greatest pitch is not more than zero", "more than zero")
    gaps = vec.distance(first, last) / most
    # A row that divides evenly must not gain a member from rounding.
    return max(1, math.ceil(gaps - 1e-9)) + 1


def grid(
    first: Point, columns: int, rows: int, column_pitch: float, row_pitch: float, turn: float = 0.0
) -> list[Member]:
    """Return a grid, row by row from its first corner.

    Args:
        first: the first member [mm]
        columns: members in a row [-]
        rows: number of rows [-]
        column_pitch: from member to member in a row [mm]
        row_pitch: from row to row [mm]
        turn: of the rows from the x axis [rad]
    """
    _check(columns * rows)
    _check(min(columns, rows))
    d = (math.cos(turn), math.sin(turn))
    n = vec.left(d)
    return [
        (vec.along(vec.along(first, n, j * row_pitch), d, i * column_pitch), 0.0)
        for j in range(rows)
        for i in range(columns)
    ]


def ring(center: Point, count: int, diameter: float, first: float, turned: bool) -> list[Member]:
    """Return members evenly spaced on a circle.

    Args:
        center: of the circle [mm]
        count: how many [-]
        diameter: of the circle through their centres [mm]
        first: direction of the first from the centre [rad]
        turned: whether each is turned with its place on the ring
    """
    _check(count)
    members: list[Member] = []
    for i in range(count):
        angle = first + i * 2 * math.pi / count
        members.append((vec.polar(center, diameter / 2, angle), angle if turned else 0.0))
    return members


def _check(count: int) -> None:
    if not 1 <= count <= MOST:
        raise BadText("PART-015", f"the pattern has {count} holes", f"1 to {MOST}")
