"""The chance that it fits: worst case, linear propagation and random trials over measured sizes.

A size is taken to lie anywhere within its plus/minus, all places equally likely: that is harsher
than the usual bell curve and needs no guess at its width. What the shop makes is spread as a bell,
its plus/minus being the 95 % that the shop states.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Final

import numpy as np

from blankwright.fit.convolution import Array

Measure = Callable[[Mapping[str, float]], Mapping[str, float]]
"""Gives every gap [mm] for changes of sizes by name [mm or rad] from what is stated."""


COVERAGE: Final = 1.96
"""Standard deviations in 95 % of a normal spread [-]."""


class Law(Enum):
    """How a size is spread over its plus/minus."""

    EVEN = "even"
    BELL = "bell"


@dataclass(frozen=True, slots=True, kw_only=True)
class Varied:
    """A size and how it may vary.

    Args:
        name: its name, such as ``part hook`` or ``place wall``
        plus_minus: [mm or rad]
        kind: ``length`` or ``angle``
        law: how it is spread
    """

    name: str
    plus_minus: float
    kind: str = "length"
    law: Law = Law.EVEN

    @property
    def deviation(self) -> float:
        """Standard deviation [mm or rad]."""
        return self.plus_minus / (COVERAGE if self.law is Law.BELL else math.sqrt(3.0))


@dataclass(frozen=True, kw_only=True)
class Spread:
    """How one gap varies.

    Args:
        name: name of the gap: what the part comes near to
        gap: as stated [mm]
        low: least gap allowed [mm]
        high: greatest gap allowed [mm]; may be infinite
        slopes: change of the gap by size [mm per mm or rad]
        worst: least gap when every size is at its worse end [mm]
        widest: greatest gap when every size is at its other end [mm]
        deviation: standard deviation by linear propagation [mm]
        chance: share of the random trials in which this gap is within its limits [-]
    """

    name: str
    gap: float
    low: float
    high: float
    slopes: Mapping[str, float]
    worst: float
    widest: float
    deviation: float
    chance: float

    def to_change(self, wanted: float) -> tuple[tuple[str, float], ...]:
        """Return sizes and the change of each alone that makes the gap as wanted, least first."""
        missing = wanted - self.gap
        changes = [(n, missing / s) for n, s in self.slopes.items() if abs(s) > 0.05]
        return tuple(sorted(changes, key=lambda c: (abs(c[1]), c[0])))


@dataclass(frozen=True, kw_only=True)
class Chance:
    """The chance that everything fits at once.

    Args:
        spreads: each gap
        all_fit: share of the trials in which every gap is within its limits [-]
        trials: number of trials
        matters: sizes by how much of the variation of the tightest gap they make, greatest first,
            each with its share [-]
        exact: whether the trials measured the parts anew; otherwise what each size does alone,
            measured at both its ends, was added up
        off: how far adding up was off where that was tried, at the worst corners [mm]
    """

    spreads: tuple[Spread, ...]
    all_fit: float
    trials: int
    matters: tuple[tuple[str, float], ...]
    exact: bool
    off: float


def slopes_of(measure: Measure, sizes: Sequence[Varied]) -> dict[str, dict[str, float]]:
    """Return the slope of every gap by every size, from both sides, shape gap → size → slope."""
    slopes: dict[str, dict[str, float]] = {}
    for size in sizes:
        step = max(size.plus_minus, 0.02 if size.kind == "length" else 0.002)
        up, down = measure({size.name: step}), measure({size.name: -step})
        for gap, value in up.items():
            slope = (value - down[gap]) / (2 * step)
            slopes.setdefault(gap, {})[size.name] = 0.0 if abs(slope) < 1e-4 else slope
    return slopes


def chance_of(
    measure: Measure,
    sizes: Sequence[Varied],
    limits: Mapping[str, tuple[float, float]],
    *,
    trials: int = 20_000,
    exact_trials: int = 0,
    seed: int = 20,
    linear_within: float = 0.05,
) -> Chance:
    """Return the chance that every gap is within its limits.

    Args:
        measure: measures the gaps anew for changed sizes
        sizes: sizes that vary
        limits: least and greatest gap allowed, by name [mm]
        trials: number of random trials by adding up what each size does alone
        exact_trials: number of random trials that measure anew, where adding up is not good enough
        seed: seeds the random trials, so that the same question gives the same answer
        linear_within: how far adding up may be off [mm]
    """
    varying = [size for size in sizes if size.plus_minus > 0]
    measure = _remembered(measure)
    stated = measure({})
    slopes = slopes_of(measure, varying)
    gaps = np.array([stated[g] for g in limits])
    curves = _Curves.of(measure, varying, list(limits))
    off = _off(measure, varying, curves, gaps, list(limits))
    rng = np.random.default_rng(seed)
    exact = off > linear_within and exact_trials > 0
    n = exact_trials if exact else trials
    tolerance = np.array([s.plus_minus for s in varying])
    bell = np.array([size.law is Law.BELL for size in varying], dtype=bool)
    even = rng.uniform(-1.0, 1.0, size=(n, len(varying)))
    shares = np.where(bell, rng.standard_normal(even.shape) / COVERAGE, even)
    if exact:
        values = _exact(measure, varying, shares * tolerance, list(limits))
    else:
        values = gaps + curves.at(shares)
    low = np.array([limits[g][0] for g in limits])
    high = np.array([limits[g][1] for g in limits])
    within = (values >= low - 1e-9) & (values <= high + 1e-9)
    table = np.array([[slopes.get(g, {}).get(s.name, 0.0) for s in varying] for g in limits])
    deviation = np.abs(table.reshape(len(limits), len(varying))) * np.array(
        [size.deviation for size in varying]
    )
    spreads = tuple(
        Spread(
            name=name,
            gap=float(gaps[k]),
            low=float(low[k]),
            high=float(high[k]),
            slopes=slopes.get(name, {}),
            worst=float(gaps[k] + curves.least[k].sum()),
            widest=float(gaps[k] + curves.most[k].sum()),
            deviation=float(np.hypot.reduce(deviation[k])) if len(varying) else 0.0,
            chance=float(within[:, k].mean()),
        )
        for k, name in enumerate(limits)
    )
    return Chance(
        spreads=spreads,
        all_fit=float(within.all(axis=1).mean()) if len(limits) else 1.0,
        trials=n,
        matters=_matters(spreads, deviation, varying),
        exact=exact,
        off=off,
    )


def _remembered(measure: Measure) -> Measure:
    known: dict[tuple[tuple[str, float], ...], Mapping[str, float]] = {}

    def remembered(changes: Mapping[str, float]) -> Mapping[str, float]:
        key = tuple(sorted((name, by) for name, by in changes.items() if by))
        if key not in known:
            known[key] = measure(dict(key))
        return known[key]

    return remembered


@dataclass(frozen=True)
class _Curves:
    """How far each size alone moves each gap at either end of its plus/minus [mm].

    Args:
        up: at the upper end, shape (gaps, sizes)
        down: at the lower end, shape (gaps, sizes)
    """

    up: Array
    down: Array

    @classmethod
    def of(cls, measure: Measure, sizes: Sequence[Varied], names: list[str]) -> _Curves:
        stated = measure({})
        shape = (len(names), len(sizes))
        both = []
        for sign in (1.0, -1.0):
            found = [measure({size.name: sign * size.plus_minus}) for size in sizes]
            both.append(np.array([[f[g] - stated[g] for f in found] for g in names]).reshape(shape))
        return cls(*both)

    @property
    def least(self) -> Array:
        """The least that each size adds, shape (gaps, sizes) [mm]."""
        return np.minimum(np.minimum(self.up, self.down), 0.0)

    @property
    def most(self) -> Array:
        """The most that each size adds, shape (gaps, sizes) [mm]."""
        return np.maximum(np.maximum(self.up, self.down), 0.0)

    def at(self, shares: Array) -> Array:
        """Return what sizes add to the gaps, by shares of their plus/minus: (n, sizes)."""
        upper, lower = np.maximum(shares, 0.0), np.maximum(-shares, 0.0)
        added: Array = upper @ self.up.T + lower @ self.down.T
        return added


def _off(
    measure: Measure, sizes: Sequence[Varied], curves: _Curves, gaps: Array, names: list[str]
) -> float:
    """Return how far adding up what each size does alone is off, at the worst corners, at most."""
    off = 0.0
    lower = curves.down < curves.up
    corners = {
        tuple(np.where(row, sign, -sign).tolist())
        for row, moved in zip(lower, curves.most - curves.least, strict=True)
        for sign in (-1.0, 1.0)
        if moved.any()
    }
    for corner in sorted(corners)[:8]:
        found = measure({s.name: c * s.plus_minus for s, c in zip(sizes, corner, strict=True)})
        told = gaps + curves.at(np.array([corner]))[0]
        off = max([off, *(abs(found[g] - t) for g, t in zip(names, told.tolist(), strict=True))])
    return off


def _exact(measure: Measure, sizes: Sequence[Varied], drawn: Array, names: list[str]) -> Array:
    rows = []
    for row in drawn.tolist():
        found = measure({s.name: v for s, v in zip(sizes, row, strict=True)})
        rows.append([found[name] for name in names])
    return np.array(rows)


def _matters(
    spreads: tuple[Spread, ...], deviation: Array, sizes: Sequence[Varied]
) -> tuple[tuple[str, float], ...]:
    if not spreads or not sizes:
        return ()
    tightest = min(range(len(spreads)), key=lambda k: (spreads[k].chance, spreads[k].worst))
    part = deviation[tightest] ** 2
    total = float(part.sum())
    if total == 0:
        return ()
    shares = [(s.name, float(p) / total) for s, p in zip(sizes, part, strict=True) if p > 0]
    return tuple(sorted(shares, key=lambda item: (-item[1], item[0])))
