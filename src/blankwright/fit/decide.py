"""The fit decided in a section: the way in, and whether the part can come out by itself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from blankwright.fit.place import Force, Place, PlaneOfFit
from blankwright.fit.planar import Barrier, PlanarQuestion, Wall, others_of, rest_clearance
from blankwright.fit.search import Verdict, search
from blankwright.fit.section import Section
from blankwright.fit.steps import Step, Words, tell
from blankwright.fit.sweep import Sweep
from blankwright.fit.widest import Answer, answer
from blankwright.geom.vec import Point

_TOUCH: Final = 0.01
"""Metal no deeper in metal at rest than this, over the chords of both, touches it [mm]."""


@dataclass(frozen=True, kw_only=True)
class NearAtRest:
    """What is nearer at rest than is wanted, so that the search could not ask for more.

    Args:
        wall: name of the piece of structure
        wanted: clearance wanted [mm]; below zero a squeeze allowed
        got: clearance at rest [mm]
        meets: whether metal is in metal there, so that there is no way from rest
    """

    wall: str
    wanted: float
    got: float
    meets: bool = False


@dataclass(frozen=True, kw_only=True)
class WayIn:
    """Whether and how the part goes in.

    Args:
        section: the plane it was decided in
        question: what was asked
        answer: what was found
        steps: the way in, from outside to rest
        out: the same way out, from rest to outside
        near: what is nearer at rest than wanted
    """

    section: PlaneOfFit
    question: PlanarQuestion
    answer: Answer
    steps: tuple[Step, ...]
    out: tuple[Step, ...]
    near: tuple[NearAtRest, ...]

    @property
    def verdict(self) -> Verdict:
        """Way, no way, not free at rest, or undecided."""
        found = self.answer.found.verdict
        if found is Verdict.NO_WAY and any(near.meets for near in self.near):
            return Verdict.BLOCKED_AT_REST
        return found


@dataclass(frozen=True, kw_only=True)
class Held:
    """Whether a force and some shaking can bring the part out.

    Args:
        force: which force
        answer: what the search found: no way means held
        least_lift: the part surely stays while it is lifted no more than this [mm]
        enough_lift: lifted by this it can come out [mm]; infinite where nothing is enough
        steps: the way out, where there is one
    """

    force: Force
    answer: Answer
    least_lift: float
    enough_lift: float
    steps: tuple[Step, ...]

    @property
    def verdict(self) -> Verdict:
        """No way: held. Way: it comes out."""
        return self.answer.found.verdict


def question_of(
    place: Place,
    plane: PlaneOfFit,
    part: Section,
    walls: Sequence[Section],
    *,
    side: Point | None = None,
    touching: bool = False,
) -> tuple[PlanarQuestion, tuple[NearAtRest, ...]]:
    """Return the planar question that a place asks, and what is too near at rest.

    A wall that is nearer at rest than wanted is only asked to keep the clearance that it has; metal
    in metal is not let be.

    Args:
        place: the place
        plane: the plane of the section
        part: the part in section
        walls: the structure in section
        side: another side to come in from than the stated one
        touching: whether metal may touch, as it does when nobody guides the part; otherwise the
            wanted clearance is to be kept
    """
    found, near = [], []
    shapes = [(wall.name, wall.shape) for wall in walls]
    for wall in walls:
        pair = place.pair(part.material, wall.material)
        wanted = min(pair.clearance, 0.0) if touching else pair.clearance
        got = rest_clearance(part.shape, wall.shape, others_of(shapes, wall.name))
        keep_off = wanted
        if got < wanted - 1e-9:
            meets = not pair.is_soft and got < -_TOUCH - part.error - wall.error
            keep_off = 0.0 if meets else got - 1e-3
            near.append(NearAtRest(wall=wall.name, wanted=wanted, got=got, meets=meets))
        found.append(Wall(name=wall.name, shape=wall.shape, keep_off=keep_off, error=wall.error))
    return PlanarQuestion(
        part=part.shape,
        walls=tuple(found),
        side=plane.side if side is None else side,
        part_error=part.error,
        most_turn=plane.most_turn,
        window=plane.window,
    ), tuple(near)


def way_in(
    plane: PlaneOfFit,
    question: PlanarQuestion,
    near: tuple[NearAtRest, ...],
    features: Mapping[str, Any],
) -> WayIn:
    """Search for the way in, and tell it."""
    found = answer(question)
    steps: tuple[Step, ...] = ()
    out: tuple[Step, ...] = ()
    if found.way is not None:
        sweep = Sweep(question)
        steps = tell(sweep, found.way.states, features, plane.words, going_in=True)
        out = tell(sweep, found.way.states, features, plane.words, going_in=False)
    return WayIn(section=plane, question=question, answer=found, steps=steps, out=out, near=near)


def held(
    question: PlanarQuestion,
    force: Force,
    center: Point,
    features: Mapping[str, Any],
    words: Words,
    *,
    most_lift: float = 30.0,
) -> Held:
    """Search whether a force with some shaking brings the part out, to any side.

    Args:
        question: part and walls
        force: the force, and how far shaking may move the part against it
        center: centre of gravity in the section [mm]
        features: the part's features
        words: what directions are called
        most_lift: lifts over this are not looked into [mm]
    """

    def asked(lift: float) -> PlanarQuestion:
        barrier = Barrier(toward=force.toward, point=center, lift=lift)
        return replace(question, side=(0.0, 0.0), barriers=(barrier,))

    own = answer(asked(force.lift), tries=0)
    low = force.lift if own.found.verdict is Verdict.NO_WAY else 0.0
    high = force.lift if own.found.verdict is Verdict.WAY else float("inf")
    trial = max(2 * force.lift, 1.0) if high == float("inf") else high / 2
    for _ in range(10):
        if trial > most_lift or high - low < max(0.05, 0.04 * low):
            break
        verdict = search(asked(trial), finest=0.02, most_slices=2000).verdict
        if verdict is Verdict.WAY:
            high = trial
        elif verdict is Verdict.NO_WAY:
            low = trial
        else:
            break
        trial = 2 * trial if high == float("inf") else (low + high) / 2
    steps: tuple[Step, ...] = ()
    if own.way is not None:
        sweep = Sweep(asked(force.lift))
        steps = tell(sweep, own.way.states, features, words, going_in=False)
    return Held(force=force, answer=own, least_lift=low, enough_lift=high, steps=steps)


__all__ = ["Held", "NearAtRest", "WayIn", "held", "question_of", "way_in"]
