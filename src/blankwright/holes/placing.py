"""Where a template goes, from what the builder measures: least squares, halves, contradictions.

References are lines on the structure that run along one of two ways: *up* (a row of rivets, a
frame edge that stands) or *across*. Along each way a line has a place at the *low* and at the
*high* end of the template, so that two rows that are not quite parallel are told as what they are.

Method. First all that was measured is adjusted together by least squares, each size weighed by its
plus/minus (`adjusting`); diagonals tie the two ways to one another (`network`). Where there are
more sizes than needed they may contradict one another, and how far each is from what all the others
together say is its contradiction. Only then the template is put
among the references as it is asked to go; where it is asked for more than fits, the difference is
halved.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Final, Literal

from blankwright.holes.adjusting import (
    Contradiction,
    Equation,
    Key,
    contradictions,
    residual,
    solve,
)

End = Literal["low", "high"]
ENDS: Final[tuple[End, End]] = ("low", "high")

USUAL: Final = 0.5
"""Plus/minus of a distance measured with a steel rule or tape [mm]; common practice, no source."""


class Way(Enum):
    """Which way a reference runs, seen on the template the right way round."""

    UP = "up"
    ACROSS = "across"


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
    groups = groups_of(names, measured)
    equations = equations_of(groups, measured)
    keys = keys_of(groups)
    return adjusted_from(groups, equations, solve(equations, keys), contradictions(equations, keys))


def adjusted_from(
    groups: tuple[tuple[str, ...], ...],
    equations: Sequence[Equation],
    x: Mapping[Key, float],
    found: Sequence[Contradiction],
) -> Adjusted:
    """Return references along one way from the unknowns of an adjustment."""
    at: dict[tuple[str, End], float] = {
        (name, end): x.get((name, end), 0.0) for group in groups for name in group for end in ENDS
    }
    residuals: dict[tuple[str, End], float] = {}
    for one in equations:
        for end in ENDS:
            if one.end == end and not one.lent:
                residuals[one.name, end] = residual(one, x)
    return Adjusted(
        at=at,
        groups=groups,
        residuals=residuals,
        contradictions=tuple(sorted(found, key=lambda c: -c.size)),
    )


def keys_of(groups: Sequence[Sequence[str]]) -> list[Key]:
    """Return the unknowns: both ends of each reference; the first of each group is at 0."""
    return [(name, end) for group in groups for name in group[1:] for end in ENDS]


def equations_of(groups: Sequence[Sequence[str]], measured: Sequence[Measured]) -> list[Equation]:
    """Return the equations of distances along one way.

    What was measured at one end only is lent to the other where nothing else ties it there.
    """
    found: list[Equation] = []
    for group in groups:
        inside = [m for m in measured if m.first in group]
        for end in ENDS:
            mine = [m for m in inside if end in m.ends]
            joined = {name for m in mine for name in (m.first, m.second)}
            lent = [
                m
                for m in inside
                if end not in m.ends and not _joins(m, mine) and len(joined) < len(group)
            ]
            found += [
                Equation(
                    name=m.name,
                    end=end,
                    terms={(m.second, end): 1.0, (m.first, end): -1.0},
                    wanted=m.distance,
                    plus_minus=m.plus_minus,
                    said=m.distance,
                    lent=m in lent,
                )
                for m in (*mine, *lent)
            ]
    return found


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


def groups_of(names: Sequence[str], measured: Sequence[Measured]) -> tuple[tuple[str, ...], ...]:
    """Return references that measurements join, group by group."""
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


def place(
    adjusted: Adjusted,
    wishes: Sequence[Wish],
    tied: Collection[str] = (),
    turn: float = 0.0,
) -> PlacedLines:
    """Put a template among adjusted references, differences halved between its wishes.

    Args:
        adjusted: references along one way
        wishes: where edges of the template go along it
        tied: references whose turn about the template is known
        turn: how much farther their high ends shift than their low ends [mm]
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
        if any(name in tied for name in group):
            middle = (shift["low"] + shift["high"]) / 2
            shift = {"low": middle - turn / 2, "high": middle + turn / 2}
        for name in group:
            at[name] = (
                adjusted.at[name, "low"] + shift["low"],
                adjusted.at[name, "high"] + shift["high"],
            )
        for wish in mine:
            low, high = at[wish.reference]
            splits.append(Split(wish=wish, comes_to=(wish.edge - low, wish.edge - high)))
    return PlacedLines(at=at, splits=tuple(splits), unlocated=tuple(unlocated))
