"""What clearance a moving solid surely keeps, at every moment of its way and not at samples only.

On a stretch no point of the part moves farther than a stated bound L, so the distance to a wall is
a function of the share t of the stretch that changes no faster than L. Between two shares with the
distances d₀ and d₁ it can't fall under (d₀ + d₁ − L·(t₁ − t₀))/2. The piece with the least such
bound is parted where its bound lies, until bound and least distance found are as good as one.

Source: S. A. Piyavskii, An algorithm for finding the absolute extremum of a function, 1972, and
conservative advancement as in B. Mirtich, 1996 (both cited from memory).
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Final

from blankwright.fit.contact import HAIR
from blankwright.fit.room import loosened
from blankwright.fit.solid import Solid
from blankwright.fit.space import Collider
from blankwright.geom.pose import Pose

_STILL: Final = Pose()

CLOSE: Final = 0.005
"""How near the clearance surely kept comes to the least found [mm], or a fiftieth of it if more."""


class Passing(Enum):
    """How a solid gets along a way."""

    FREE = "free"
    MEETS = "meets"
    UNSURE = "too near to tell"


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of a way.

    Args:
        at: how the part is moved from rest at a share of the stretch, 0 to 1
        bound: no point of the part moves farther on the whole stretch, at even speed [mm]
    """

    at: Callable[[float], Pose]
    bound: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """What a solid keeps off along a way.

    Args:
        passing: free, meets something, or too near to tell
        least: least distance found [mm]
        surely: the distance is nowhere less than this [mm]
        wall: what comes nearest
        stretch: where: number of the stretch, from 0
        share: where on that stretch, 0 to 1
        looks: how many distances were worked out
    """

    passing: Passing
    least: float
    surely: float
    wall: str
    stretch: int
    share: float
    looks: int


def kept_along(
    collider: Collider,
    walls: Sequence[str],
    stretches: Sequence[Stretch],
    *,
    shifts: Mapping[str, Pose] | None = None,
    floor: float = 0.0,
    most: int = 20_000,
) -> Kept:
    """Return what the part surely keeps off along a way.

    Args:
        collider: the solids
        walls: names of the walls to keep off
        stretches: the way; it must be known that the part is not wholly inside a wall at one end
        shifts: how the part is moved besides, for each wall that it leans on
        floor: the part is free where it keeps more than this, such as what chords may hide [mm]
        most: most distances to work out; what is not shown by then is too near to tell
    """
    look = _Look(collider, stretches, shifts or {})
    pieces: list[tuple[float, int, str, int, float, float, float, float]] = []
    least, where = math.inf, ("", 0, 0.0)
    settled = math.inf

    def note(wall: str, k: int, t: float) -> float:
        nonlocal least, where
        distance = look.distance(wall, k, t)
        if distance < least:
            least, where = distance, (wall, k, t)
        return distance

    def put(wall: str, k: int, t0: float, t1: float, d0: float, d1: float) -> None:
        bound = (d0 + d1 - stretches[k].bound * (t1 - t0)) / 2
        heapq.heappush(pieces, (bound, look.count, wall, k, t0, t1, d0, d1))

    for wall in walls:
        before = note(wall, 0, 0.0) if stretches else math.inf
        for k in range(len(stretches)):
            after = note(wall, k, 1.0)
            put(wall, k, 0.0, 1.0, before, after)
            before = after
    while pieces and least > floor:
        bound, _, wall, k, t0, t1, d0, d1 = pieces[0]
        if bound >= least - _near(least, floor) or look.count >= most:
            settled = min(bound, least)
            break
        heapq.heappop(pieces)
        # Where the two cones from both ends meet.
        t = t0 + (t1 - t0) / 2 + (d0 - d1) / (2 * stretches[k].bound)
        t = min(max(t, t0 + 0.02 * (t1 - t0)), t1 - 0.02 * (t1 - t0))
        d = note(wall, k, t)
        put(wall, k, t0, t, d0, d)
        put(wall, k, t, t1, d, d1)
    if not pieces:
        return Kept(
            passing=Passing.FREE,
            least=math.inf,
            surely=math.inf,
            wall="",
            stretch=0,
            share=0.0,
            looks=0,
        )
    surely = 0.0 if least <= floor else max(settled, 0.0)
    passing = Passing.FREE if surely > floor else Passing.UNSURE
    if least <= 0.0 and look.hits(*where):
        passing = Passing.MEETS
    wall, stretch, share = where
    return Kept(
        passing=passing,
        least=least,
        surely=surely,
        wall=wall,
        stretch=stretch,
        share=share,
        looks=look.count,
    )


def _near(least: float, floor: float) -> float:
    return min(max(CLOSE, 0.02 * least), 0.5 * (least - floor))


class _Look:
    """Works distances out and counts them."""

    def __init__(
        self, collider: Collider, stretches: Sequence[Stretch], shifts: Mapping[str, Pose]
    ) -> None:
        self.collider = collider
        self.stretches = stretches
        self.shifts = shifts
        self.count = 0

    def pose(self, wall: str, k: int, t: float) -> Pose:
        return self.stretches[k].at(t).then(self.shifts.get(wall, _STILL))

    def distance(self, wall: str, k: int, t: float) -> float:
        self.count += 1
        return self.collider.near(self.pose(wall, k, t), wall).distance

    def hits(self, wall: str, k: int, t: float) -> bool:
        return self.collider.hits(self.pose(wall, k, t), wall)


def leaning(
    collider: Collider, part: Solid, walls: Sequence[Solid], names: Sequence[str]
) -> dict[str, Pose]:
    """Return the walls that the part leans on at rest, each with the hair's shift that frees it.

    A wall is leant on where the gap is under what the chords of both may hide.

    Args:
        collider: the solids
        part: the part
        walls: the structure
        names: walls to ask about
    """
    found = {}
    for wall in walls:
        if wall.name not in names:
            continue
        gap = collider.near(_STILL, wall.name).distance
        if gap <= HAIR + part.error + wall.error:
            found[wall.name] = Pose(origin=loosened(collider, _STILL, wall.name))
    return found
