"""Rows to be tried: pieces of the part against bodies of a tool, each in a motion."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from blankwright.bending.motion import Bools, Ints, Kind, Motions
from blankwright.bending.tools import Tool
from blankwright.bending.ways import Way
from blankwright.geom.pose import Array

FEW = (4, 6)
"""Pieces are worked on together by their number of sides: up to these, and more."""


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Trial:
    """Rows to be tried: pieces against bodies, each in a motion.

    Args:
        points: shape (n, 2k, 3) [mm]
        body: number of the body in `Tables.bodies`
        kind: `Kind` of each
        numbers: see `Motions`
        span: angle that each motion goes up to [rad]
        way: straight shift that each sweeps (y, z); shape (n, 2) [mm]
        run: whether the body is only as long as was set up
        stretch: from where to where the body runs, endless for most; shape (n, 2) [mm]
        source: number of the row in the pool
    """

    points: Array
    body: Ints
    kind: Ints
    numbers: Array
    span: Array
    way: Array
    run: Bools
    stretch: Array
    source: Ints

    def take(self, rows: Ints | Bools) -> Trial:
        """Return some of them."""
        return Trial(
            points=self.points[rows],
            body=self.body[rows],
            kind=self.kind[rows],
            numbers=self.numbers[rows],
            span=self.span[rows],
            way=self.way[rows],
            run=self.run[rows],
            stretch=self.stretch[rows],
            source=self.source[rows],
        )

    @staticmethod
    def join(trials: Sequence[Trial]) -> Trial:
        """Return all of several."""
        return Trial(
            points=np.concatenate([t.points for t in trials]),
            body=np.concatenate([t.body for t in trials]),
            kind=np.concatenate([t.kind for t in trials]),
            numbers=np.concatenate([t.numbers for t in trials]),
            span=np.concatenate([t.span for t in trials]),
            way=np.concatenate([t.way for t in trials]),
            run=np.concatenate([t.run for t in trials]),
            stretch=np.concatenate([t.stretch for t in trials]),
            source=np.concatenate([t.source for t in trials]),
        )

    def __len__(self) -> int:
        return len(self.body)


def by_sides(trial: Trial) -> list[tuple[Ints, Array]]:
    """Return rows by their pieces' number of sides, with no more corners than they need."""
    half = trial.points.shape[1] // 2
    low = trial.points[:, :half]
    # Pieces with fewer sides than there is room for repeat their last corner.
    sides = 1 + (low[:, 1:] != low[:, :-1]).any(axis=2).sum(axis=1)
    found: list[tuple[Ints, Array]] = []
    least = 0
    for most in (*(n for n in FEW if n < half), half):
        rows = np.flatnonzero((sides > least) & (sides <= most))
        least = most
        if len(rows):
            kept = np.r_[0:most, half : half + most]
            found.append((rows, trial.points[np.ix_(rows, kept)]))
    return found


def cover_of(way: Way, tool: Tool) -> tuple[float, float]:
    """Return the stretch that the bar must cover for a bend [mm]."""
    x0, x1 = way.lay.stretch
    short = min(tool.short, max(0.0, (x1 - x0) / 2 - 1.0))
    return (x0 + short, x1 - short)


def finished(points: Array, held: Bools, way: Way) -> Array:
    """Return pieces with the bend made and sprung back, as they lie when the tool lets go.

    Args:
        points: before the bend; shape (n, 2k, 3) [mm]
        held: whether each is on the held side; shape (n,)
        way: the way it was bent
    """
    bend = way.lay.first
    result = points.copy()
    numbers = np.array([Motions.row(way.stroke, False)])
    kinds = [(~held, Kind.SWING)]
    if way.set_up.share < 1:
        kinds.append((held, Kind.SWING_HELD))
    for some, kind in kinds:
        motions = Motions(kind=np.array([int(kind)]), numbers=numbers)
        cos, sin, dy, dz = (float(v[0]) for v in motions.at(np.array([0]), np.array([bend.angle])))
        y, z = points[some, :, 1], points[some, :, 2]
        result[some, :, 1] = cos * y - sin * z + dy
        result[some, :, 2] = sin * y + cos * z + dz
    return result
