"""Adjustment of measurements by least squares, and what contradicts what.

Standard adjustment of observations: each equation is weighed by its plus/minus. A measurement is
held against what all the others together say without it; the difference may be as large as its
own plus/minus and that of what they say, root of squares.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from blankwright.geom.pose import Array

Key = tuple[str, str]
"""An unknown: a reference and which end of it."""

_TIED: Final = 1e-7
"""Others say nothing of a size when their equations miss it by more than this [-]."""

_WEAK: Final = 1e4
"""What is lent from one end to the other counts by so much less [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Equation:
    """One measurement as a sum of unknowns.

    Args:
        name: of the measurement
        end: where it was measured: ``low``, ``high``, or ``diagonal``
        terms: factor of each unknown [-]
        wanted: what the sum should be [mm]
        plus_minus: how sure it is [mm]
        said: what was measured, in the builder's words [mm]
        lent: whether it was measured elsewhere and only helps where nothing else does
    """

    name: str
    end: str
    terms: Mapping[Key, float]
    wanted: float
    plus_minus: float
    said: float
    lent: bool = False

    @property
    def weight(self) -> float:
        """By how much it counts [1/mm]."""
        return 1.0 / self.plus_minus / (_WEAK if self.lent else 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Contradiction:
    """A measurement that the others contradict.

    Args:
        name: of the measurement
        end: at which end
        said: what it says [mm]
        others_say: what all the others together say [mm]
        allowed: what plus/minus of them all would explain [mm]
        others: names of the measurements that it was held against
        suspects: those of which each, left out alone, lets the rest agree
    """

    name: str
    end: str
    said: float
    others_say: float
    allowed: float
    others: tuple[str, ...]
    suspects: tuple[str, ...]

    @property
    def size(self) -> float:
        """How far apart they are [mm]."""
        return abs(self.said - self.others_say)


def solve(equations: Sequence[Equation], keys: Sequence[Key]) -> dict[Key, float]:
    """Return the unknowns that fit all equations best [mm]; those that none ties are 0."""
    if not keys or not equations:
        return dict.fromkeys(keys, 0.0)
    matrix, wanted, weights = _matrix(equations, keys)
    x, *_ = np.linalg.lstsq(matrix * weights[:, None], wanted * weights, rcond=1e-12)
    return {key: float(value) for key, value in zip(keys, x, strict=True)}


def residual(equation: Equation, x: Mapping[Key, float]) -> float:
    """Return adjusted less measured [mm]."""
    return sum(f * x.get(key, 0.0) for key, f in equation.terms.items()) - equation.wanted


def contradictions(equations: Sequence[Equation], keys: Sequence[Key]) -> list[Contradiction]:
    """Return the worst contradiction of each set of measurements that contradict one another."""
    found: list[Contradiction] = []
    # What is lent was measured elsewhere: it checks nothing.
    rest = [one for one in equations if not one.lent]
    while True:
        off = [_held_against_others(rest, keys, one) for one in rest]
        bad = [(o.ratio, i) for i, o in enumerate(off) if o is not None and o.is_contradiction]
        if not bad:
            return found
        # Of those equally bad, as in a single ring, the one stated last is told.
        worst = max(ratio for ratio, _ in bad)
        i = [i for ratio, i in bad if ratio >= worst - 1e-6 * worst][-1]
        # Measured for both ends at once: the low end tells it.
        i = next(j for j, e in enumerate(rest) if e.name == rest[i].name and _alike(off[j], off[i]))
        one, told = rest[i], off[i]
        assert told is not None
        found.append(
            Contradiction(
                name=one.name,
                end=one.end,
                said=one.said,
                others_say=one.said - told.by,
                allowed=told.allowed,
                others=told.others,
                suspects=_suspects(rest, keys, (one.name, *told.others)),
            )
        )
        rest = _without(rest, one.name)


@dataclass(frozen=True, slots=True)
class _Held:
    """How far a measurement is from what others say [mm], what is allowed, who the others are."""

    by: float
    allowed: float
    others: tuple[str, ...]

    @property
    def ratio(self) -> float:
        return abs(self.by) / self.allowed

    @property
    def is_contradiction(self) -> bool:
        return abs(self.by) > self.allowed + 1e-9


def _alike(one: _Held | None, other: _Held | None) -> bool:
    return one is not None and other is not None and one.ratio >= other.ratio * (1 - 1e-6)


def _without(equations: Sequence[Equation], name: str) -> list[Equation]:
    return [one for one in equations if one.name != name]


def _held_against_others(
    equations: Sequence[Equation], keys: Sequence[Key], one: Equation
) -> _Held | None:
    """Hold a measurement against all the others; nothing where they don't say what it should be."""
    rest = _without(equations, one.name)
    if not rest or not keys:
        return None
    matrix, wanted, weights = _matrix(rest, keys)
    (row,), (mine,), _ = _matrix([one], keys)
    scaled = matrix * weights[:, None]
    back = np.linalg.pinv(scaled, rcond=1e-10)
    shares = row @ back
    if float(np.abs(shares @ scaled - row).max()) > _TIED:
        return None
    others = dict.fromkeys(
        other.name
        for other, share in zip(rest, shares, strict=True)
        if abs(float(share)) * other.weight > _TIED
    )
    return _Held(
        by=float(mine - shares @ (wanted * weights)),
        allowed=math.sqrt(one.plus_minus**2 + float(shares @ shares)),
        others=tuple(others),
    )


def _matrix(equations: Sequence[Equation], keys: Sequence[Key]) -> tuple[Array, Array, Array]:
    index = {key: i for i, key in enumerate(keys)}
    matrix = np.zeros((len(equations), len(keys)))
    for row, one in enumerate(equations):
        for key, factor in one.terms.items():
            if key in index:
                matrix[row, index[key]] += factor
    wanted = np.array([one.wanted for one in equations])
    weights = np.array([one.weight for one in equations])
    return matrix, wanted, weights


def _suspects(
    equations: Sequence[Equation], keys: Sequence[Key], among: Sequence[str]
) -> tuple[str, ...]:
    """Return which measurements, each left out alone, let the rest of these agree."""
    names: list[str] = []
    for name in dict.fromkeys(one.name for one in equations if one.name in among):
        rest = _without(equations, name)
        held = (_held_against_others(rest, keys, e) for e in rest if e.name in among)
        if not any(o is not None and o.is_contradiction for o in held):
            names.append(name)
    return tuple(names)
