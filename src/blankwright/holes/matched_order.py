"""In which order matched holes are piloted, and which get a temporary fastener."""

from __future__ import annotations

import math
from collections.abc import Sequence

from blankwright.geom.pose import Point3


def drilling_order(points: Sequence[Point3]) -> tuple[int, ...]:
    """Return in which order holes are piloted: the two farthest apart first, then always the one
    farthest from all that are drilled, so that the part is held where it matters soonest.

    Args:
        points: of the holes in space [mm]
    """
    n = len(points)
    if n < 2:
        return tuple(range(n))
    first = max(
        ((i, j) for i in range(n) for j in range(i + 1, n)),
        key=lambda pair: (round(math.dist(points[pair[0]], points[pair[1]]), 9), -pair[0]),
    )
    order = list(first)
    left = [i for i in range(n) if i not in first]
    while left:
        best = max(
            left,
            key=lambda i: (round(min(math.dist(points[i], points[j]) for j in order), 9), -i),
        )
        order.append(best)
        left.remove(best)
    return tuple(order)


def temporary_fasteners(points: Sequence[Point3], every: int = 3) -> tuple[int, ...]:
    """Return which holes get a temporary fastener: both ends, and about every third hole.

    Common practice, no source: sheets that are held at every third hole do not creep.

    Args:
        points: of the holes in space [mm]
        every: how many pitches may lie between two fasteners, and a half
    """
    n = len(points)
    if n <= 2:
        return tuple(range(n))
    nearest = sorted(
        min(math.dist(points[i], points[j]) for j in range(n) if j != i) for i in range(n)
    )
    pitch = nearest[n // 2]
    order = drilling_order(points)
    held = list(order[:2])
    for i in order[2:]:
        # The next in the order is the one farthest from all that are held.
        if min(math.dist(points[i], points[j]) for j in held) <= every / 2 * pitch + 1e-6:
            break
        held.append(i)
    return tuple(sorted(held))
