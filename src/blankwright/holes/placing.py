"""Where a template goes, from what the builder measures: least squares, halves, contradictions.

References are lines on the structure that run along one of two ways: *up* (a row of rivets, a
frame edge that stands) or *across*. Along each way a line has a place at the *low* and at the
*high* end of the template, so that two rows that are not quite parallel are told as what they are.

Method. First the measured distances between references are adjusted by least squares, each weighed
by its plus/minus: where there are more of them than needed they may contradict one another, and how
far each is from what all the others together say is its contradiction (the misclosure: its residual
over its share of redundancy; standard adjustment of observations). Only then the template is put
among the references as it is asked to go; where it is asked for more than fits, the difference is
halved.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from blankwright.geom.pose import Array

End = Literal["low", "high"]
ENDS: Final[tuple[End, End]] = ("low", "high")

USUAL: Final = 0.5
"""Plus/minus of a distance measured with a steel rule or tape [mm]; common practice, no source."""

_REDUNDANT: Final = 1e-9
"""A measurement with less redundancy than this can't be checked by others [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A distance between two references along one way, the second farther along.

    Args:
        name: its name
        first: name of a reference
        second: name of another
        distance: [mm]; negative when the second lies the other way
        plus_minus: how sure it is [mm]
        ends: where it was measured
    """

    name: str
    first: str
    second: str
    distance: float
    plus_minus: float = USUAL
    ends: tuple[End, ...] = ENDS


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
    end: End
    said: float
    others_say: float
    allowed: float
    others: tuple[str, ...]
    suspects: tuple[str, ...]

    @property
    def size(self) -> float:
        """How far apart they are [mm]."""
        return abs(self.said - self.others_say)


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjusted:
    """References along one way after adjustment.

    Args:
        at: place of each reference at either end, within its group [mm]
        groups: references that measurements join, each group with a zero of its own
        residuals: adjusted less measured, by measurement and end [mm]
        contradictions: the largest first, one for each set that contradicts itself
    """

    at: Mapping[tuple[str, End], float]
    groups: tuple[tuple[str, ...], ...]
    residuals: Mapping[tuple[str, End], float]
    contradictions: tuple[Contradiction, ...]

    def group_of(self, name: str) -> tuple[str, ...]:
        """Return the group that a reference belongs to. Raises KeyError."""
        for group in self.groups:
            if name in group:
                return group
        raise KeyError(name)


def adjust(names: Sequence[str], measured: Sequence[Measured]) -> Adjusted:
    """Adjust measured distances along one way.

    Args:
        names: of the references
        measured: distances among them
    """
    groups = _groups(names, measured)
    at: dict[tuple[str, End], float] = {}
    residuals: dict[tuple[str, End], float] = {}
    found: list[Contradiction] = []
    for group in groups:
        inside = [m for m in measured if m.first in group]
        for end in ENDS:
            mine = [m for m in inside if end in m.ends]
            # What was measured at one end only holds, as well as may be, for the other.
            joined = {name for m in mine for name in (m.first, m.second)}
            lent = [
                m
                for m in inside
                if end not in m.ends and not _joins(m, mine) and len(joined) < len(group)
            ]
            used = [*mine, *lent]
            places, off = _solve(group, used)
            at.update({(name, end): place for name, place in places.items()})
            residuals.update(
                {(m.name, end): value for m, value in zip(used, off, strict=True) if m in mine}
            )
            found += _contradictions(group, mine, end)
    same = [c for c in found if c.end == "high" and _twin(c, found)]
    kept = [c for c in found if c not in same]
    return Adjusted(
        at=at,
        groups=groups,
        residuals=residuals,
        contradictions=tuple(sorted(kept, key=lambda c: -c.size)),
    )


def _twin(one: Contradiction, found: Sequence[Contradiction]) -> bool:
    """Say whether the low end tells the same already: it was measured for both ends at once."""
    return any(
        other.end == "low" and other.name == one.name and abs(other.size - one.size) < 1e-9
        for other in found
    )


def _joins(one: Measured, others: Sequence[Measured]) -> bool:
    """Say whether other measurements join the two references of one already."""
    reached = {one.first}
    grew = True
    while grew:
        grew = False
        for m in others:
            ends = {m.first, m.second}
            if ends & reached and not ends <= reached:
                reached |= ends
                grew = True
    return one.second in reached


def _groups(names: Sequence[str], measured: Sequence[Measured]) -> tuple[tuple[str, ...], ...]:
    home = {name: {name} for name in names}
    for m in measured:
        joined = home[m.first] | home[m.second]
        for name in joined:
            home[name] = joined
    seen: list[set[str]] = []
    for name in names:
        if home[name] not in seen:
            seen.append(home[name])
    return tuple(tuple(name for name in names if name in group) for group in seen)


def _solve(
    group: Sequence[str], measured: Sequence[Measured]
) -> tuple[dict[str, float], list[float]]:
    """Return places with the first reference at 0, and adjusted less measured [mm]."""
    if len(group) == 1 or not measured:
        return dict.fromkeys(group, 0.0), [0.0] * len(measured)
    matrix, wanted, weights = _equations(group, measured)
    x, *_ = np.linalg.lstsq(matrix * weights[:, None], wanted * weights, rcond=None)
    places = {group[0]: 0.0} | {name: float(v) for name, v in zip(group[1:], x, strict=True)}
    return places, [float(v) for v in matrix @ x - wanted]


def _equations(group: Sequence[str], measured: Sequence[Measured]) -> tuple[Array, Array, Array]:
    index = {name: i for i, name in enumerate(group)}
    matrix = np.zeros((len(measured), len(group)))
    for row, m in enumerate(measured):
        matrix[row, index[m.second]] += 1.0
        matrix[row, index[m.first]] -= 1.0
    wanted = np.array([m.distance for m in measured])
    weights = 1.0 / np.array([m.plus_minus for m in measured])
    return matrix[:, 1:], wanted, weights


def _misclosures(
    group: Sequence[str], measured: Sequence[Measured]
) -> list[tuple[float, float] | None]:
    """Return for each measurement how far the others are off it, and what is allowed [mm].

    Nothing for one that no other measurement checks.
    """
    if len(group) == 1 or not measured:
        return [None] * len(measured)
    matrix, wanted, weights = _equations(group, measured)
    scaled = matrix * weights[:, None]
    hat = scaled @ np.linalg.pinv(scaled)
    residual = (wanted * weights) - hat @ (wanted * weights)
    found: list[tuple[float, float] | None] = []
    for i, m in enumerate(measured):
        redundancy = 1.0 - float(hat[i, i])
        if redundancy < _REDUNDANT:
            found.append(None)
            continue
        off = float(residual[i]) / redundancy * m.plus_minus
        found.append((off, m.plus_minus / math.sqrt(redundancy)))
    return found


def _contradictions(
    group: Sequence[str], measured: Sequence[Measured], end: End
) -> list[Contradiction]:
    """Return the worst contradiction of each set of measurements that contradict one another."""
    found: list[Contradiction] = []
    rest = list(measured)
    while True:
        off = _misclosures(group, rest)
        bad = [
            (abs(o[0]) / o[1], m, o)
            for m, o in zip(rest, off, strict=True)
            if o is not None and abs(o[0]) > o[1] + 1e-9
        ]
        if not bad:
            return found
        # Of those equally bad, as in a single ring, the one stated last is told.
        worst = max(ratio for ratio, _, _ in bad)
        _, m, (by, allowed) = [one for one in bad if one[0] >= worst - 1e-9][-1]
        checks = tuple(
            other.name for other, o in zip(rest, off, strict=True) if o is not None and other != m
        )
        found.append(
            Contradiction(
                name=m.name,
                end=end,
                said=m.distance,
                others_say=m.distance - by,
                allowed=allowed,
                others=checks,
                suspects=_suspects(group, rest),
            )
        )
        rest.remove(m)


def _suspects(group: Sequence[str], measured: Sequence[Measured]) -> tuple[str, ...]:
    names = []
    for m in measured:
        others = [other for other in measured if other != m]
        before = _misclosures(group, measured)[measured.index(m)]
        agree = all(o is None or abs(o[0]) <= o[1] + 1e-9 for o in _misclosures(group, others))
        if before is not None and agree:
            names.append(m.name)
    return tuple(names)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """Where the template is asked to go along one way: an edge of it at a distance from a line.

    Args:
        reference: name of the line
        edge: place of the template's edge in the template's own frame [mm]
        distance: from the line to the edge, along the way [mm]
        label: what it is, for messages
        centered: whether only the middle between two lines is asked for, not this very distance
    """

    reference: str
    edge: float
    distance: float
    label: str = ""
    centered: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """A wish and what came of it.

    Args:
        wish: the wish
        comes_to: distance from the line to the edge at the low and the high end [mm]
    """

    wish: Wish
    comes_to: tuple[float, float]

    @property
    def off(self) -> float:
        """How far it is off what was asked, the worse end [mm]."""
        return max(abs(d - self.wish.distance) for d in self.comes_to)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedLines:
    """References along one way, in the template's own frame.

    Args:
        at: place of each located reference at the low and high end of the template [mm]
        splits: what came of each wish
        unlocated: references that nothing ties to the template
    """

    at: Mapping[str, tuple[float, float]]
    splits: tuple[Split, ...]
    unlocated: tuple[str, ...]


def place(adjusted: Adjusted, wishes: Sequence[Wish]) -> PlacedLines:
    """Put a template among adjusted references, differences halved between its wishes.

    Args:
        adjusted: references along one way
        wishes: where edges of the template go along it
    """
    at: dict[str, tuple[float, float]] = {}
    unlocated: list[str] = []
    splits: list[Split] = []
    for group in adjusted.groups:
        mine = [wish for wish in wishes if wish.reference in group]
        if not mine:
            unlocated += group
            continue
        shift: dict[End, float] = {}
        for end in ENDS:
            # line + distance = edge, line = place in its group + shift
            offers = [w.edge - w.distance - adjusted.at[w.reference, end] for w in mine]
            shift[end] = sum(offers) / len(offers)
        for name in group:
            at[name] = (
                adjusted.at[name, "low"] + shift["low"],
                adjusted.at[name, "high"] + shift["high"],
            )
        for wish in mine:
            low, high = at[wish.reference]
            splits.append(Split(wish=wish, comes_to=(wish.edge - low, wish.edge - high)))
    return PlacedLines(at=at, splits=tuple(splits), unlocated=tuple(unlocated))
