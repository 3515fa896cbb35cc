"""Adjustment of measurements by least squares, and what contradicts what.

Standard adjustment of observations: each equation is weighed by its plus/minus, and how far a
measurement is from what all the others together say is its residual over its share of redundancy.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from blankwright.geom.pose import Array

Key = tuple[str, str]
"""An unknown: a reference and which end of it."""

_REDUNDANT: Final = 1e-7
"""A measurement with less redundancy than this can't be checked by others [-]."""

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
    rest = list(equations)
    while True:
        off, checks = _misclosures(rest, keys)
        bad = [
            (abs(o[0]) / o[1], i, o)
            for i, o in enumerate(off)
            if o is not None and abs(o[0]) > o[1] + 1e-9
        ]
        if not bad:
            return found
        # Of those equally bad, as in a single ring, the one stated last is told.
        worst = max(ratio for ratio, _, _ in bad)
        _, i, (by, allowed) = [one for one in bad if one[0] >= worst - 1e-6 * worst][-1]
        one = rest[i]
        found.append(
            Contradiction(
                name=one.name,
                end=one.end,
                said=one.said,
                others_say=one.said - by,
                allowed=allowed,
                others=_names(rest[j].name for j in checks[i]),
                suspects=_suspects(rest, keys, (i, *checks[i])),
            )
        )
        rest = _without(rest, one)


def _names(names: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(names))


def _without(equations: Sequence[Equation], gone: Equation) -> list[Equation]:
    return [e for e in equations if e != gone and not (e.lent and e.name == gone.name)]


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


Misclosures = list[tuple[float, float] | None]


def _misclosures(
    equations: Sequence[Equation], keys: Sequence[Key]
) -> tuple[Misclosures, list[tuple[int, ...]]]:
    """Return for each measurement how far the others are off it, and what is allowed [mm], or
    nothing where no other checks it; and which others check each.
    """
    n = len(equations)
    if not keys or not equations:
        return [None] * n, [()] * n
    matrix, wanted, weights = _matrix(equations, keys)
    scaled = matrix * weights[:, None]
    share = np.eye(n) - scaled @ np.linalg.pinv(scaled, rcond=1e-12)
    residuals = share @ (wanted * weights)
    off: Misclosures = []
    checks: list[tuple[int, ...]] = []
    for i, one in enumerate(equations):
        redundancy = float(share[i, i])
        if one.lent or redundancy < _REDUNDANT:
            off.append(None)
            checks.append(())
            continue
        by = float(residuals[i]) / redundancy * one.plus_minus
        off.append((by, one.plus_minus / math.sqrt(redundancy)))
        checks.append(
            tuple(
                j
                for j, other in enumerate(equations)
                if j != i and not other.lent and abs(float(share[i, j])) > _REDUNDANT
            )
        )
    return off, checks


def _suspects(
    equations: Sequence[Equation], keys: Sequence[Key], among: Sequence[int]
) -> tuple[str, ...]:
    """Return which measurements, each left out alone, let the rest of these agree."""
    names: list[str] = []
    mine = [equations[i] for i in sorted(among)]
    for one in mine:
        off, _ = _misclosures(_without(equations, one), keys)
        rest = _without(equations, one)
        agree = all(
            o is None or abs(o[0]) <= o[1] + 1e-9
            for e, o in zip(rest, off, strict=True)
            if e in mine
        )
        if agree:
            names.append(one.name)
    return _names(names)
