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
        wall, point, on_wall = sweep.nearest(array[k])
        feature = _feature_at(sweep, features, array[k], point)
        least = float(found[k])
        text = _moves(sweep, features, begin, end, words)
        if going_in and not steps and abs(math.degrees(begin.turn)) >= 0.05:
            text = f"begin {_tilted(begin.turn)} from how it lies at rest; {text}"
        if least < 10:
            passes = _passes(point, on_wall, words, wall)
            text += f"; the {feature} passes {passes}, {_spare(least)} to spare"
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


_STILL = 1.0
"""What moves less than this is told to stay where it is [mm]."""

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


def _spare(least: float) -> str:
    return f"{fixed(least, 1)} mm" if least >= 0.05 else "under 0.1 mm"


def _passes(
    on_part: tuple[float, float], on_wall: tuple[float, float], words: Words, wall: str
) -> str:
    """Return on which side of a wall the part goes by, where that can be told."""
    x, y = on_part[0] - on_wall[0], on_part[1] - on_wall[1]
    if math.hypot(x, y) < 1e-6 or 0.5 < abs(x) / max(abs(y), 1e-9) < 2.0:
        return wall
    if abs(x) > abs(y):
        side = words.right if x > 0 else words.left
    else:
        side = words.up if y > 0 else words.down
    plain = {"up": "over", "down": "under"}.get(side)
    return f"{plain} {wall}" if plain else f"{wall} on its {side} side"


def _moves(
    sweep: Sweep, features: Mapping[str, Any], begin: State, end: State, words: Words
) -> str:
    turn = math.degrees(end.turn - begin.turn)
    if abs(turn) < 0.05:
        shift = shifted(end.x - begin.x, end.y - begin.y, words)
        return f"move {shift}" if shift else "hold"
    tilt = f"tilt {fixed(abs(turn), 1)}° {'anticlockwise' if turn > 0 else 'clockwise'}"
    found = _stillest(sweep, features, begin, end)
    if found is None:
        return tilt
    name, x, y = found
    if math.hypot(x, y) < _STILL:
        return f"{tilt} about the {name}"
    return f"{tilt} while the {name} goes {shifted(x, y, words)}"


def _stillest(
    sweep: Sweep, features: Mapping[str, Any], begin: State, end: State
) -> tuple[str, float, float] | None:
    """Return the flat or bend that moves least, as something to turn the part about."""
    best: tuple[str, float, float] | None = None
    both = as_array([begin, end])
    for name in sorted(features):
        shape = features[name]
        a, b = (piece.centroid for piece in placed(shape, sweep.question.middle, both[:2]))
        x, y = float(b.x - a.x), float(b.y - a.y)
        if best is None or math.hypot(x, y) < math.hypot(best[1], best[2]) - 1e-9:
            best = (name, x, y)
    return best


def shifted(x: float, y: float, words: Words) -> str:
    """Return a shift [mm] in words; empty where it is too small to tell."""
    shifts = [
        f"{abs(value):.1f} mm {plus if value > 0 else minus}"
        for value, plus, minus in ((x, words.right, words.left), (y, words.up, words.down))
        if abs(value) >= 0.05
    ]
    return " and ".join(shifts)
