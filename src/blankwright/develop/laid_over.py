"""One blank laid over another: the rigid move, turned over or not, by which most of it agrees."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from blankwright.geom import vec
from blankwright.geom.edges import Edge, Line
from blankwright.geom.move import Move
from blankwright.geom.nearest import Nearest, points_along
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

Array = NDArray[np.float64]

_LONGEST = 8
"""So many of the longest straight edges of both are tried on one another [-]."""

_KEPT = 6
"""So many of the best moves are worked out to the end [-]."""

_COARSE = 80
_FINE = 600


def laid_over(ours: Region, theirs: Region, *, turned_over: bool = True) -> Move:
    """Return the move that lays another blank over ours so that most of their edges agree.

    What differs counts no more than a few millimetres, however far it is off, so a flange of
    another length does not draw the rest away from where it fits.

    Args:
        ours: the blank that stays
        theirs: the one that is moved
        turned_over: whether it may be laid on its face
    """
    return _Fit(ours, theirs).best((False, True) if turned_over else (False,))


class _Fit:
    def __init__(self, ours: Region, theirs: Region) -> None:
        self.ours = ours
        self.theirs = theirs
        size = max(ours.box[2] - ours.box[0], ours.box[3] - ours.box[1])
        self.cap = max(0.5, size / 100)
        self.near = Nearest(ours.edges)
        length = sum(edge.length for edge in ours.edges)
        self.back_points = points_along(ours.edges, max(length / _FINE, 0.05))
        self.coarse = points_along(theirs.edges, max(length / _COARSE, 0.1))
        self.fine = points_along(theirs.edges, max(length / _FINE, 0.05))

    def best(self, flips: Sequence[bool]) -> Move:
        scored: list[tuple[float, int, Move]] = []
        for flip in flips:
            for number, move in enumerate(self.tries(flip)):
                scored.append((self.score(move, self.coarse), number + 100_000 * flip, move))
        scored.sort(key=lambda item: item[:2])
        finished = []
        for _, number, move in scored[:_KEPT]:
            fitted = self.fitted(move)
            finished.append((round(self.both_ways(fitted), 9), number, fitted))
        return min(finished, key=lambda item: item[:2])[2]

    def tries(self, flip: bool) -> list[Move]:
        """Lay long straight edges of one on those of the other; else turn it about its middle."""
        turn_over = Move(flip=flip)
        theirs = self.theirs.outer.moved(turn_over).ccw()
        mine = _longest(self.ours.outer.ccw().edges)
        others = _longest(theirs.edges)
        moves: list[Move] = []
        for a, b in itertools.product(mine, others):
            angle = _turn(b, a)
            for share in (0.0, 0.5, 1.0):
                moves.append(turn_over.then(_onto(b.point(share), angle, a.point(share))))
        middle, own = _middle(self.ours), _middle(Region(theirs))
        directions = [_turn(b, a) for a, b in itertools.product(mine, others)]
        # Round blanks lie by their holes, seen from the middle.
        turned = Region(theirs, tuple(hole.moved(turn_over) for hole in self.theirs.holes))
        directions += [
            p - q
            for p, q in itertools.product(_bearings(self.ours, middle), _bearings(turned, own))
        ]
        directions += [i * math.tau / 36 for i in range(36)]
        for angle in dict.fromkeys(round(angle, 6) for angle in directions):
            moves.append(turn_over.then(_onto(own, angle, middle)))
        return moves

    def score(self, move: Move, points: Array) -> float:
        away, _ = self.near(_moved(move, points))
        return float(np.minimum(away, self.cap).mean())

    def both_ways(self, move: Move) -> float:
        """Score a move by the edges of both, so that what one lacks counts too."""
        back = Nearest([edge for loop in self.theirs.loops for edge in loop.moved(move).edges])
        away, _ = back(self.back_points)
        return self.score(move, self.fine) + float(np.minimum(away, self.cap).mean())

    def fitted(self, move: Move) -> Move:
        """Bring a move to rest: least squares on what agrees, ever nearer."""
        cap = self.cap
        for _ in range(40):
            points = _moved(move, self.fine)
            away, foot = self.near(points)
            use = away <= cap
            if use.sum() < 8:
                break
            change = _rigid(points[use], foot[use])
            move = move.then(change)
            settled = abs(change.angle) < 1e-12 and math.hypot(change.dx, change.dy) < 1e-9
            if settled and cap <= 0.02:
                break
            cap = max(0.02, cap * 0.7)
        return move


def _rigid(points: Array, onto: Array) -> Move:
    """Return the turn and shift of least squares from points onto others, both shape (n, 2)."""
    a, b = points.mean(axis=0), onto.mean(axis=0)
    p, q = points - a, onto - b
    sin = float((p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]).sum())
    cos = float((p * q).sum())
    size = math.hypot(sin, cos)
    if size < 1e-12:
        return Move.shift(float(b[0] - a[0]), float(b[1] - a[1]))
    c, s = cos / size, sin / size
    return Move(c, s, float(b[0] - c * a[0] + s * a[1]), float(b[1] - s * a[0] - c * a[1]))


def _turn(line: Line, onto: Line) -> float:
    d, e = line.direction(), onto.direction()
    return math.atan2(vec.cross(d, e), vec.dot(d, e))


def _onto(p: Point, angle: float, q: Point) -> Move:
    turn = Move.turn(angle)
    x, y = turn(p)
    return replace(turn, dx=q[0] - x, dy=q[1] - y)


def _moved(move: Move, points: Array) -> Array:
    x, y = points[:, 0], points[:, 1] * (-1.0 if move.flip else 1.0)
    return np.column_stack(
        (move.cos * x - move.sin * y + move.dx, move.sin * x + move.cos * y + move.dy)
    )


def _longest(edges: Sequence[Edge]) -> list[Line]:
    lines = [edge for edge in edges if isinstance(edge, Line)]
    return sorted(lines, key=lambda line: -line.length)[:_LONGEST]


def _bearings(region: Region, middle: Point) -> list[float]:
    """Return in what directions the largest openings lie from the middle [rad]."""
    largest = sorted(region.holes, key=lambda hole: -abs(hole.area))[:4]
    centers = [_middle(Region(hole.ccw())) for hole in largest]
    return [
        math.atan2(y - middle[1], x - middle[0])
        for x, y in centers
        if math.dist((x, y), middle) > 1e-3
    ]


def _middle(region: Region) -> Point:
    x0, y0, x1, y1 = region.box
    return ((x0 + x1) / 2, (y0 + y1) / 2)
