"""A way through space told in moves that a person can follow."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

import numpy as np

from blankwright.base.units import fixed
from blankwright.fit.place import Place
from blankwright.fit.placements import SpaceWay
from blankwright.geom.pose import Point3, Pose
from blankwright.jobs.fit_ends import way_word


def told_way(place: Place, middle: Point3, way: SpaceWay) -> Iterator[str]:
    """Yield the moves from outside to rest.

    Args:
        place: the place, whose words directions are told in
        middle: the point of the part whose shifts are told, at rest [mm]
        way: the way
    """
    poses = list(reversed(way.poses))
    start = turn_of(Pose(), poses[0])
    for k, (a, b) in enumerate(itertools.pairwise(poses)):
        shift = np.array(b(middle)) - np.array(a(middle))
        moves = []
        for axis in range(3):
            if abs(shift[axis]) >= 0.05:
                unit = [0.0, 0.0, 0.0]
                unit[axis] = math.copysign(1.0, float(shift[axis]))
                word = way_word(place, (unit[0], unit[1], unit[2]))
                moves.append(f"{fixed(abs(float(shift[axis])), 1)} mm {word}")
        words = (
            " and ".join([", ".join(moves[:-1]), moves[-1]]) if len(moves) > 1 else "".join(moves)
        )
        turned = _turned(place, turn_of(a, b))
        text = f"move {words}" if words else ""
        if turned:
            text = f"{text}, turning {turned}" if text else f"turn {turned}"
        if not text:
            continue
        if k == 0 and (first := _turned(place, start)):
            text = f"begin turned {first} from how it lies at rest; {text}"
        yield text[0].upper() + text[1:] + "."


def turn_of(a: Pose, b: Pose) -> tuple[Point3, float]:
    """Return axis [-] and angle [rad] of the turn that brings one placement to another."""
    rows = [np.array(a.inverse().then(b).vector(v)) for v in ((1, 0, 0), (0, 1, 0), (0, 0, 1))]
    matrix = np.array(rows).T
    angle = math.acos(min(1.0, max(-1.0, (float(np.trace(matrix)) - 1.0) / 2.0)))
    if angle < 1e-6:
        return (0.0, 0.0, 1.0), 0.0
    if angle > math.pi - 1e-4:
        # Half a turn: the axis is the column of (R + 1)/2 that is longest.
        square = (matrix + np.eye(3)) / 2
        axis = square[:, int(np.argmax(np.diag(square)))]
    else:
        axis = np.array(
            (
                matrix[2, 1] - matrix[1, 2],
                matrix[0, 2] - matrix[2, 0],
                matrix[1, 0] - matrix[0, 1],
            )
        )
    x, y, z = (float(v) for v in axis / np.linalg.norm(axis))
    return (x, y, z), angle


def _turned(place: Place, turn: tuple[Point3, float]) -> str:
    """Return a turn in words, as a right hand's fingers go when the thumb points along the axis."""
    axis, angle = turn
    degrees = math.degrees(angle)
    if degrees < 0.5:
        return ""
    k = max(range(3), key=lambda i: abs(axis[i]))
    if abs(axis[k]) > 0.98:
        unit = [0.0, 0.0, 0.0]
        unit[k] = math.copysign(1.0, axis[k])
        about = way_word(place, (unit[0], unit[1], unit[2]))
    else:
        about = "(" + ", ".join(fixed(v, 2) for v in axis) + ")"
    return f"{fixed(degrees, 0)}° about {about} by the right hand"
