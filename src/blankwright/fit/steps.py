"""A way told in steps that a person can follow."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from blankwright.base.units import fixed
from blankwright.fit.planar import State, placed
from blankwright.fit.sweep import Sweep, as_array


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """What the directions in a section are called.

    Args:
        right: +x of the section
        left: −x
        up: +y
        down: −y
    """

    right: str = "right"
    left: str = "left"
    up: str = "up"
    down: str = "down"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of a way.

    Args:
        begin: state before it
        end: state after it
        least: least clearance in it, over what is to be kept off [mm]
        feature: the flat or bend of the part that comes nearest
        wall: the wall that it comes nearest to
        at: the state where that is
        text: the step in words
    """

    begin: State
    end: State
    least: float
    feature: str
    wall: str
    at: State
    text: str


def tell(
    sweep: Sweep,
    states: Sequence[State],
    features: Mapping[str, Any],
    words: Words,
    *,
    going_in: bool,
) -> tuple[Step, ...]:
    """Tell a way in steps.

    Args:
        sweep: clearances
        states: corners of the way, from rest to outside
        features: shapely polygons of the part at rest, by the name of flat or bend
        words: what directions are called
        going_in: whether to tell it backward, from outside to rest
    """
    order = list(reversed(states)) if going_in else list(states)
    steps: list[Step] = []
    for run in _runs(sweep, order):
        begin, end = run[0], run[-1]
        array, found = sweep.profile(as_array(run), 1.0)
        k = int(np.argmin(found))
        wall, point, _ = sweep.nearest(array[k])
        feature = _feature_at(sweep, features, array[k], point)
        least = float(found[k])
        text = _moves(begin, end, words)
        if going_in and not steps and abs(math.degrees(begin.turn)) >= 0.05:
            text = f"begin {_tilted(begin.turn)} from how it lies at rest; {text}"
        if least < 10:
            text += f"; nearest: {feature} to {wall}, {fixed(least, 1)} mm to spare"
        steps.append(
            Step(
                begin=begin,
                end=end,
                least=least,
                feature=feature,
                wall=wall,
                at=State(*(float(v) for v in array[k])),
                text=text[0].upper() + text[1:] + ".",
            )
        )
    return tuple(steps)


_WORTH = 1.5
"""Stretches in which no point moves farther than this are told with the next one [mm]."""


def _runs(sweep: Sweep, order: Sequence[State]) -> list[list[State]]:
    """Put stretches that are too small to tell together with what follows."""
    reach = sweep.question.reach
    runs: list[list[State]] = [[order[0]]]
    moved = 0.0
    for a, b in itertools.pairwise(order):
        if moved >= _WORTH:
            runs.append([a])
            moved = 0.0
        runs[-1].append(b)
        moved += math.hypot(b.x - a.x, b.y - a.y) + reach * abs(b.turn - a.turn)
    if moved < _WORTH and len(runs) > 1:
        last = runs.pop()
        runs[-1].extend(last[1:])
    return [run for run in runs if len(run) > 1]


def _feature_at(
    sweep: Sweep, features: Mapping[str, Any], row: np.ndarray, point: tuple[float, float]
) -> str:
    there = shapely.Point(point)
    middle = sweep.question.middle
    distance = {
        name: float(shapely.distance(placed(shape, middle, row[None, :])[0], there))
        for name, shape in features.items()
    }
    return min(distance, key=lambda name: (round(distance[name], 6), name), default="part")


def _tilted(turn: float) -> str:
    degrees = math.degrees(math.remainder(turn, math.tau))
    return f"tilted {fixed(abs(degrees), 1)}° {'anticlockwise' if degrees > 0 else 'clockwise'}"


def _moves(begin: State, end: State, words: Words) -> str:
    turn = math.degrees(end.turn - begin.turn)
    shifts = []
    for value, plus, minus in (
        (end.x - begin.x, words.right, words.left),
        (end.y - begin.y, words.up, words.down),
    ):
        if abs(value) >= 0.05:
            shifts.append(f"{abs(value):.1f} mm {plus if value > 0 else minus}")
    shift = " and ".join(shifts)
    if abs(turn) < 0.05:
        return f"move {shift}" if shift else "hold"
    sense = "anticlockwise" if turn > 0 else "clockwise"
    tilt = f"tilt {fixed(abs(turn), 1)}° {sense}"
    return f"{tilt} while its middle goes {shift}" if shift else tilt
