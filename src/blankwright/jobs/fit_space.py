"""The way in through space, where no one section decides: found, or not found in time."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from blankwright.fit.placements import Placements, SpaceWay
from blankwright.fit.solid import box_of
from blankwright.geom.pose import Point3
from blankwright.jobs.fit_open import Fit

PLANNERS: Final = ("both", "own", "library")
"""Which planner looks: ours and then the library, ours alone, the library alone."""

OWN: Final = "our own planner"


@dataclass(frozen=True, kw_only=True)
class SpaceAnswer:
    """Whether a way through space was found.

    Args:
        way: the way, or nothing when none was found in time, which proves nothing
        planner: which planner answered, in words
        seconds: how long it might look [s]
        note: why another planner did not look, in words; empty where none was left out
    """

    way: SpaceWay | None
    planner: str
    seconds: float
    note: str = ""

    @property
    def text(self) -> str:
        """The answer in words."""
        if self.way is None:
            return f"not found in {self.seconds:g} s by {self.planner}, which proves nothing"
        moves = len(self.way.poses) - 1
        return f"found by {self.planner}, in {moves} {'move' if moves == 1 else 'moves'}"


def space_answer(
    fit: Fit,
    side: Point3,
    seconds: float,
    *,
    planner: str = "both",
    seed: int = 1,
    most: int = 500_000,
) -> SpaceAnswer:
    """Look for a way from outside to rest, and say which planner looked.

    That nothing was found proves nothing. Soft neighbours are let through: what may be squeezed
    is not met. Every way is proved by the same check, whichever planner it came from.

    Args:
        fit: part and place
        side: direction of the side to come in from, in the place's frame [-]
        seconds: how long to look in all [s]
        planner: one of `PLANNERS`; where the library is not installed ours looks in its place
        seed: seeds the random placements, above 0
        most: most placements for each planner to try
    """
    from blankwright.files import planner_ompl
    from blankwright.fit.planner import Planner

    def own(keep_going: Callable[[], bool]) -> SpaceWay | None:
        return Planner(placements_of(fit, side), seed=seed).plan(keep_going, most)

    def library(keep_going: Callable[[], bool]) -> SpaceWay | None:
        return planner_ompl.library_way(placements_of(fit, side), keep_going, most, seed=seed)

    note = ""
    here = planner_ompl.is_installed()
    if planner != "own" and not here:
        note = (
            f"the planning library {planner_ompl.NAME} is not installed,"
            " so it was not asked (extra: blankwright[planning])"
        )
    lookers: list[tuple[str, Callable[[Callable[[], bool]], SpaceWay | None]]] = []
    if planner != "library" or not here:
        lookers.append((OWN, own))
    if planner != "own" and here:
        lookers.append((f"{planner_ompl.NAME} {planner_ompl.version()}", library))
    begin = time.monotonic()
    for k, (name, look) in enumerate(lookers, 1):
        end = begin + seconds * k / len(lookers)
        way = look(lambda end=end: time.monotonic() < end)  # type: ignore[misc]
        if way is not None:
            return SpaceAnswer(way=way, planner=name, seconds=seconds, note=note)
    names = " and ".join(name for name, _ in lookers)
    return SpaceAnswer(way=None, planner=names, seconds=seconds, note=note)


def placements_of(fit: Fit, side: Point3) -> Placements:
    """Return the placements of a part in its place, to be looked through by a planner."""
    least, greatest = box_of(fit.place.solids)
    hard = set(fit.hard)
    chords = max((w.error for w in fit.place.solids if w.name in hard), default=0.0)
    return Placements(
        fit.solid,
        fit.collider,
        fit.hard,
        (_triple(least), _triple(greatest)),
        side,
        step=min(0.5, 0.5 * fit.part.sheet.thickness),
        chords=fit.solid.error + chords,
    )


def _triple(row: object) -> Point3:
    x, y, z = (float(v) for v in row)  # type: ignore[attr-defined]
    return (x, y, z)
