"""The chance that it fits: worst case, linear propagation and random trials over measured sizes.

Each size is taken to lie anywhere within its plus/minus, all places equally likely. That is
harsher than the usual bell curve and needs no guess at its width.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from blankwright.fit.convolution import Array

Measure = Callable[[Mapping[str, float]], Mapping[str, float]]
"""Gives every gap [mm] for changes of sizes by name [mm or rad] from what is stated."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Varied:
    """A size and how it may vary.

    Args:
        name: its name, such as ``part hook`` or ``place wall``
        plus_minus: [mm or rad]
        kind: ``length`` or ``angle``
    """

    name: str
    plus_minus: float
    kind: str = "length"


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
        deviation: standard deviation by linear propagation [mm]
        chance: share of the random trials in which this gap is within its limits [-]
    """

    name: str
    gap: float
    low: float
    high: float
    slopes: Mapping[str, float]
    worst: float
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
        exact: whether the trials measured the parts anew; otherwise slopes were used
        off: how far the slopes were off where that was tried, at the worst corner [mm]
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
    linear_within: float = 0.02,
) -> Chance:
    """Return the chance that every gap is within its limits.

    Args:
        measure: measures the gaps anew for changed sizes
        sizes: sizes that vary
        limits: least and greatest gap allowed, by name [mm]
        trials: number of random trials by slopes
        exact_trials: number of random trials that measure anew, where slopes are not good enough
        seed: seeds the random trials, so that the same question gives the same answer
        linear_within: how far slopes may be off [mm]
    """
    varying = [size for size in sizes if size.plus_minus > 0]
    measure = _remembered(measure)
    stated = measure({})
    slopes = slopes_of(measure, varying)
    table = np.array([[slopes.get(g, {}).get(s.name, 0.0) for s in varying] for g in limits])
    table = table.reshape(len(limits), len(varying))
    tolerance = np.array([s.plus_minus for s in varying])
    gaps = np.array([stated[g] for g in limits])
    off = _off(measure, varying, table, gaps, list(limits))
    rng = np.random.default_rng(seed)
    exact = off > linear_within and exact_trials > 0
    n = exact_trials if exact else trials
    drawn = rng.uniform(-1.0, 1.0, size=(n, len(varying))) * tolerance
    values = _exact(measure, varying, drawn, list(limits)) if exact else gaps + drawn @ table.T
    low = np.array([limits[g][0] for g in limits])
    high = np.array([limits[g][1] for g in limits])
    within = (values >= low - 1e-9) & (values <= high + 1e-9)
    spread = np.abs(table) * tolerance
    deviation = np.sqrt((spread**2).sum(axis=1) / 3.0)
    spreads = tuple(
        Spread(
            name=name,
            gap=float(gaps[k]),
            low=float(low[k]),
            high=float(high[k]),
            slopes=slopes.get(name, {}),
            worst=float(gaps[k] - spread[k].sum()),
            deviation=float(deviation[k]),
            chance=float(within[:, k].mean()),
        )
        for k, name in enumerate(limits)
    )
    return Chance(
        spreads=spreads,
        all_fit=float(within.all(axis=1).mean()) if len(limits) else 1.0,
        trials=n,
        matters=_matters(spreads, spread, varying),
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


def _off(
    measure: Measure, sizes: Sequence[Varied], table: Array, gaps: Array, names: list[str]
) -> float:
    """Return how far slopes are off at the ends of each size and at the worst corners, at most."""
    off = 0.0
    corners = {tuple(np.where(row > 0, -1, 1).tolist()) for row in table if row.any()}
    ends = [tuple(sign * row for row in one) for one in np.eye(len(sizes)) for sign in (1, -1)]
    for corner in [*sorted(corners)[:6], *ends]:
        change = {s.name: c * s.plus_minus for s, c in zip(sizes, corner, strict=True)}
        found = measure(change)
        for k, name in enumerate(names):
            told = gaps[k] + sum(table[k, i] * change[s.name] for i, s in enumerate(sizes))
            off = max(off, abs(found[name] - float(told)))
    return off


def _exact(measure: Measure, sizes: Sequence[Varied], drawn: Array, names: list[str]) -> Array:
    rows = []
    for row in drawn.tolist():
        found = measure({s.name: v for s, v in zip(sizes, row, strict=True)})
        rows.append([found[name] for name in names])
    return np.array(rows)


def _matters(
    spreads: tuple[Spread, ...], spread: Array, sizes: Sequence[Varied]
) -> tuple[tuple[str, float], ...]:
    if not spreads or not sizes:
        return ()
    tightest = min(range(len(spreads)), key=lambda k: (spreads[k].chance, spreads[k].worst))
    part = spread[tightest] ** 2
    total = float(part.sum())
    if total == 0:
        return ()
    shares = [(s.name, float(p) / total) for s, p in zip(sizes, part, strict=True) if p > 0]
    return tuple(sorted(shares, key=lambda item: (-item[1], item[0])))
