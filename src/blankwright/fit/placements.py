"""Placements of a part in space, for planners: what is free, and what a way surely keeps.

A planner brings a chain of placements. Whether the part surely gets along it is found here, by
distances, whichever planner it came from.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from blankwright.fit.contact import HAIR
from blankwright.fit.convolution import Array
from blankwright.fit.quaternions import angle_between, as_pose, between, small_turn, state_of, times
from blankwright.fit.solid import Solid
from blankwright.fit.space import Collider
from blankwright.fit.surely import Kept, Passing, Stretch, kept_along
from blankwright.geom.pose import Point3, Pose

_MENDS: Final = 10
"""How often a way that grazes something is led round it."""

SEAT: Final = 0.05
"""How far off its rest a part that touches something begins its way [mm]."""


@dataclass(frozen=True, kw_only=True)
class SpaceWay:
    """A way through space.

    Args:
        poses: how the part is moved from rest at each corner of the way, rest first
        least: least clearance found along it to walls that must not be met [mm]
        surely: the clearance is nowhere less than this, chords of round surfaces taken off [mm]
        wall: what comes nearest
        tried: how many placements were tried
    """

    poses: tuple[Pose, ...]
    least: float
    surely: float
    wall: str
    tried: int


class Placements:
    """Placements of a part, each a row (x, y, z of its middle [mm], quaternion w, x, y, z [-]).

    Args:
        part: the part at rest
        collider: the solids
        walls: names of walls that must not be met
        box: least and greatest corner of the structure [mm]
        side: unit direction of the side that counts as outside [-]
        step: greatest motion of any point of the part between two placements that are tried [mm]
        chords: how much of a clearance the chords of round surfaces may hide [mm]
    """

    def __init__(
        self,
        part: Solid,
        collider: Collider,
        walls: Sequence[str],
        box: tuple[Point3, Point3],
        side: Point3,
        *,
        step: float = 0.4,
        chords: float = 0.0,
    ) -> None:
        corners = part.triangles[0]
        self.middle = (corners.min(axis=0) + corners.max(axis=0)) / 2
        self.reach = float(np.linalg.norm(corners - self.middle, axis=1).max())
        self.collider = collider
        self.walls = tuple(walls)
        self.step = step
        self.chords = chords
        self.tried = 0
        self.lowest = np.minimum(box[0], corners.min(axis=0)) - self.reach
        self.highest = np.maximum(box[1], corners.max(axis=0)) + self.reach
        self.rest = np.array((*self.middle, 1.0, 0.0, 0.0, 0.0))
        u = np.array(side)
        far = float(np.max([np.dot(c, u) for c in _corners(box)]))
        start = float(np.dot(self.middle, u))
        self.outside = self.rest.copy()
        self.outside[:3] += u * max(0.0, far - start + 1.2 * self.reach)
        # The box of samples must hold the goal.
        self.lowest = np.minimum(self.lowest, self.outside[:3])
        self.highest = np.maximum(self.highest, self.outside[:3])

    def begin(self) -> Array:
        """Return where a way begins: rest, or by `SEAT` off it where the part touches something."""
        best, most = self.rest, self.clearance(self.rest)
        if most > HAIR + self.chords:
            return best
        for way in itertools.product((-1.0, 0.0, 1.0), repeat=3):
            if not any(way):
                continue
            trial = self.rest.copy()
            trial[:3] += np.array(way) * (SEAT / math.hypot(*way))
            room = self.clearance(trial) if self.free(trial) else 0.0
            if room > most + 1e-6:
                best, most = trial, room
        return best

    def free(self, state: Array) -> bool:
        """Say whether a placement meets nothing that it must not."""
        self.tried += 1
        return not self.collider.hits_any(self.pose(state))

    def clearance(self, state: Array) -> float:
        """Return the least distance to walls that must not be met [mm]."""
        pose = self.pose(state)
        return min((self.collider.near(pose, w).distance for w in self.walls), default=math.inf)

    def length(self, a: Array, b: Array) -> float:
        """Bound how far any point of the part moves straight from one placement to another [mm]."""
        return float(np.linalg.norm(a[:3] - b[:3])) + self.reach * angle_between(a[3:], b[3:])

    def pose(self, state: Array) -> Pose:
        """Return how the part is moved from rest."""
        turn = as_pose(state[3:])
        back = Pose(origin=(-float(self.middle[0]), -float(self.middle[1]), -float(self.middle[2])))
        x, y, z = (float(v) for v in state[:3])
        return back.then(turn).then(Pose(origin=(x, y, z)))

    def finished(self, chain: list[Array], rng: np.random.Generator) -> SpaceWay | None:
        """Shorten a chain from rest to outside and prove it free, between its placements too.

        Returns:
            The way, or nothing when it can't be shown to be free all along.
        """
        trial: list[Array] | None = self._shortened(chain, rng)
        for _ in range(_MENDS):
            if trial is None:
                break
            kept = kept_along(
                self.collider, self.walls, self._stretches(trial), floor=self.chords, most=6_000
            )
            if kept.passing is Passing.FREE:
                return SpaceWay(
                    poses=tuple(self.pose(state) for state in trial),
                    least=kept.least,
                    surely=kept.surely - self.chords,
                    wall=kept.wall,
                    tried=self.tried,
                )
            trial = self._pushed_off(trial, kept, rng)
        return None

    def _pushed_off(
        self, chain: list[Array], kept: Kept, rng: np.random.Generator
    ) -> list[Array] | None:
        """Lead a way round the spot where it grazes; nothing when that can't be done."""
        k, share = kept.stretch, kept.share
        spot = between(chain[k], chain[k + 1], share)
        best, most = spot, self.clearance(spot)
        for size in (0.2, 0.5, 1.0, 2.0) * 8:
            turn = small_turn(rng.normal(size=3) * (size / self.reach))
            trial = state_of(spot[:3] + rng.normal(size=3) * size, times(turn, spot[3:]))
            if self.free(trial):
                room = self.clearance(trial)
                if room > most:
                    best, most = trial, room
        if most <= self.chords:
            return None
        # A corner that grazes is replaced, but not rest and not the end.
        at = k + round(share) if min(share, 1 - share) < 0.03 else 0
        if 0 < at < len(chain) - 1:
            return [*chain[:at], best, *chain[at + 1 :]]
        return [*chain[: k + 1], best, *chain[k + 1 :]]

    def _stretches(self, chain: list[Array]) -> list[Stretch]:
        def stretch(a: Array, b: Array) -> Stretch:
            at: Callable[[float], Pose] = lambda t: self.pose(between(a, b, t))  # noqa: E731
            return Stretch(at, self.length(a, b))

        return [stretch(a, b) for a, b in itertools.pairwise(chain)]

    def _shortened(self, chain: list[Array], rng: np.random.Generator) -> list[Array]:
        for _ in range(60):
            if len(chain) < 3:
                break
            i, j = sorted(rng.integers(0, len(chain), size=2).tolist())
            if j - i < 2:
                continue
            n = max(1, math.ceil(self.length(chain[i], chain[j]) / self.step))
            if all(self.free(between(chain[i], chain[j], k / n)) for k in range(1, n)):
                chain = chain[: i + 1] + chain[j:]
        return chain


def _corners(box: tuple[Point3, Point3]) -> list[Array]:
    (a, b, c), (d, e, f) = box
    return [np.array((x, y, z)) for x in (a, d) for y in (b, e) for z in (c, f)]
