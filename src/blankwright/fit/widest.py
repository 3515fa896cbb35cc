"""The roomiest way: how much clearance can be kept all along, bracketed from both sides."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from blankwright.base.errors import OurBug, Problem
from blankwright.fit.planar import PlanarQuestion, State, others_of, rest_clearance
from blankwright.fit.search import Found, Verdict, search
from blankwright.fit.sweep import Clearance, Sweep, as_array
from blankwright.fit.way import raw_way, smoothed

_ALLOWED = 0.002
"""How far search and sweep may differ before the way is thrown away [mm]: far under what is
measured in a shop, over the chords of round corners."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A way from rest to outside.

    Args:
        states: corners of the way, the part going straight from one to the next
        clearance: least clearance all along, over what is to be kept off
        under_way: the same, the stretch off the seat at rest left out
    """

    states: tuple[State, ...]
    clearance: Clearance
    under_way: Clearance


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The whole answer to a planar question.

    Args:
        found: the answer of the search with the clearances as asked
        way: the roomiest way found, checked by the sweep, where there is one
        kept: clearance over the asked that the search knows a way to keep [mm]
        none_at: clearance over the asked that surely can't be kept all along [mm]; infinite when
            nothing is known
        slices: how many slices were looked at in all
    """

    found: Found
    way: Way | None = None
    kept: float = 0.0
    none_at: float = float("inf")
    slices: int = 0


def answer(
    question: PlanarQuestion,
    *,
    most_extra: float = 4.0,
    tries: int = 5,
    finest: float = 0.005,
    most_slices: int = 6000,
) -> Answer:
    """Search, and where there is a way look for a roomier one.

    A wall that is nearer to the part at rest than the clearance tried for need only keep the
    clearance that it has there.

    Args:
        question: what is asked
        most_extra: greatest clearance over the asked to try for [mm]
        tries: how many times to try
        finest: see `search`
        most_slices: see `search`, for each try
    """
    found = search(question, finest=finest, most_slices=most_slices)
    made = found.slices
    if found.verdict is not Verdict.WAY:
        return Answer(found=found, slices=made)
    asked, chain, kept, none_at = question, found.chain, 0.0, float("inf")
    room = _room_at_rest(question)
    used = question
    trial = most_extra
    for _ in range(tries):
        harder = _harder(asked, trial, room)
        result = search(harder, finest=max(finest, 0.05 * trial), most_slices=most_slices // 4)
        made += result.slices
        if result.verdict is Verdict.WAY:
            kept, chain, used = trial, result.chain, harder
            if trial == most_extra:
                break
        elif result.verdict is not Verdict.UNDECIDED:
            none_at = trial
        top = trial if result.verdict is not Verdict.WAY else min(none_at, most_extra)
        trial = (kept + top) / 2 if kept or top < 0.5 else top / 3
    sweep = Sweep(question)
    raw = raw_way(used, chain)
    # Straight steps are worth half of the clearance that was won.
    easier = _harder(asked, kept / 2, room) if kept else asked
    states = smoothed(Sweep(easier), raw)
    array = as_array(states)
    way = Way(
        states=tuple(states),
        clearance=sweep.least(array),
        under_way=sweep.least(_off_the_seat(array)),
    )
    if way.under_way.least < -_ALLOWED:
        at = way.under_way.at
        raise OurBug(
            Problem(
                code="FIT-901",
                where=f"way in, at {at.x:.3f}, {at.y:.3f} mm, turned {at.turn:.4f} rad",
                got=f"the way is {-way.under_way.least:.4f} mm nearer to {way.under_way.wall} than"
                " the search says",
                allowed=f"{_ALLOWED} mm",
            )
        )
    return Answer(
        found=found,
        way=way,
        kept=kept,
        none_at=none_at,
        slices=made,
    )


def _room_at_rest(question: PlanarQuestion) -> dict[str, float]:
    shapes = [(wall.name, wall.shape) for wall in question.walls]
    return {
        wall.name: rest_clearance(question.part, wall.shape, others_of(shapes, wall.name))
        - wall.keep_off
        for wall in question.walls
    }


def _harder(question: PlanarQuestion, extra: float, room: dict[str, float]) -> PlanarQuestion:
    walls = tuple(
        replace(
            wall,
            keep_off=wall.keep_off + max(0.0, min(extra, room[wall.name] - 2 * question.seat)),
        )
        for wall in question.walls
    )
    return replace(question, walls=walls)


def _off_the_seat(array: np.ndarray) -> np.ndarray:
    """Leave out the first stretch, off the clearances at rest, where it is not all."""
    return array[1:] if len(array) > 2 else array
