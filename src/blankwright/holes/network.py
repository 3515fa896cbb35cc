"""References of both ways adjusted together, and the template put among them as a rigid plate.

Diagonals from crossing to crossing tie the two ways: with one of them it is known how far the
references that run across *lean* from square to those that run up, and every further one checks all
that was measured. They are no sums of unknowns, so the adjustment is repeated from where it came to
until it stands still (Gauss-Newton). Once the lean is known the plate, which is square, cannot lie
along both ways at once: it is turned so that what is over is shared, each counted by its length.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from blankwright.base.errors import OurBug, Problem
from blankwright.geom import vec
from blankwright.geom.edges import Box
from blankwright.geom.vec import Point
from blankwright.holes.adjusting import Contradiction, Equation, Key, contradictions, solve
from blankwright.holes.placing import (
    USUAL,
    Adjusted,
    Measured,
    PlacedLines,
    Way,
    Wish,
    adjusted_from,
    equations_of,
    groups_of,
    keys_of,
    place,
)

LEAN: Final[Key] = ("", "lean")
"""The unknown lean, as the slope over half the template [mm]."""

_STILL: Final = 1e-9
"""The adjustment stands still when nothing moves by more [mm]."""

_ROUNDS: Final = 60
"""An adjustment that has not come to a stand by then never will [-]."""

_STEP: Final = 1e-4
"""Step of a difference quotient [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredDiagonal:
    """A distance from one crossing of references to another.

    Args:
        name: its name
        start: reference that runs up and reference that runs across, which cross at its start
        end: likewise at its end
        distance: [mm]
        plus_minus: how sure it is [mm]
    """

    name: str
    start: tuple[str, str]
    end: tuple[str, str]
    distance: float
    plus_minus: float = USUAL


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """All references after adjustment, and the template among them.

    Args:
        adjusted: references, by the way they run
        lines: where they lie about the template, likewise
        lean: how far those that run across are from square to those that run up [rad], positive
            when their right end is high; nothing when no diagonal tells
        residuals: adjusted less measured of each diagonal [mm]
        contradictions: of everything that was measured, the largest first
    """

    adjusted: Mapping[Way, Adjusted]
    lines: Mapping[Way, PlacedLines]
    lean: float | None
    residuals: Mapping[str, float]
    contradictions: tuple[Contradiction, ...]


def adjust_all(
    names: Mapping[Way, Sequence[str]],
    measured: Mapping[Way, Sequence[Measured]],
    diagonals: Sequence[MeasuredDiagonal],
    wishes: Mapping[Way, Sequence[Wish]],
    box: Box,
) -> Network:
    """Adjust all that was measured together, and put the template among the references.

    Args:
        names: of the references, by the way they run
        measured: distances among them, likewise
        diagonals: from crossing to crossing, of references that distances tie to one another
        wishes: where the template goes, by the way of the references
        box: of the template [mm]
    """
    return _Adjustment(names, measured, diagonals, wishes, box).network()


class _Adjustment:
    def __init__(
        self,
        names: Mapping[Way, Sequence[str]],
        measured: Mapping[Way, Sequence[Measured]],
        diagonals: Sequence[MeasuredDiagonal],
        wishes: Mapping[Way, Sequence[Wish]],
        box: Box,
    ) -> None:
        self.diagonals, self.wishes, self.box = diagonals, wishes, box
        self.groups = {way: groups_of(names.get(way, ()), measured.get(way, ())) for way in Way}
        self.equations = {way: equations_of(self.groups[way], measured.get(way, ())) for way in Way}
        self.linear = [one for way in Way for one in self.equations[way]]
        self.keys = [key for way in Way for key in keys_of(self.groups[way])]
        if diagonals:
            self.keys.append(LEAN)

    def network(self) -> Network:
        x = solve(self.linear, self.keys)
        x.setdefault(LEAN, 0.0)
        crossing: list[Equation] = []
        for _ in range(_ROUNDS if self.diagonals else 0):
            crossing = [self._straightened(one, x) for one in self.diagonals]
            new = solve([*self.linear, *crossing], self.keys)
            moved = max(abs(new[key] - x[key]) for key in self.keys)
            x = new
            if moved < _STILL:
                break
        else:
            if self.diagonals:
                raise OurBug(
                    Problem(
                        code="TEMPLATE-019",
                        where="adjustment of diagonals",
                        got=f"it has not come to a stand after {_ROUNDS} rounds",
                    )
                )
        found = contradictions([*self.linear, *crossing], self.keys)
        adjusted = {way: adjusted_from(self.groups[way], self.equations[way], x, ()) for way in Way}
        return Network(
            adjusted=adjusted,
            lines=self._lines(x),
            lean=math.atan(x[LEAN] / self._half) if self.diagonals else None,
            residuals={d.name: self._length(d, x) - d.distance for d in self.diagonals},
            contradictions=tuple(sorted(found, key=lambda c: -c.size)),
        )

    @property
    def _half(self) -> float:
        x0, _, x1, _ = self.box
        return (x1 - x0) / 2

    def _lines(self, x: Mapping[Key, float]) -> dict[Way, PlacedLines]:
        """Return where the references lie about the template, the plate square."""
        adjusted = {way: adjusted_from(self.groups[way], (), x, ()) for way in Way}
        lean = x.get(LEAN, 0.0)
        across = adjusted[Way.ACROSS]
        leaning = {
            (name, end): at + (lean if end == "high" else -lean)
            for (name, end), at in across.at.items()
        }
        ways = {
            Way.UP: adjusted[Way.UP],
            Way.ACROSS: Adjusted(at=leaning, groups=across.groups, residuals={}, contradictions=()),
        }
        wishes = {way: self.wishes.get(way, ()) for way in Way}
        if not self.diagonals:
            return {way: place(ways[way], wishes[way]) for way in Way}
        tied = {name for d in self.diagonals for pair in (d.start, d.end) for name in pair}
        turn = self._turn(ways, wishes, tied)
        x0, y0, x1, y1 = self.box
        return {
            Way.UP: place(ways[Way.UP], wishes[Way.UP], tied, turn * (y1 - y0)),
            Way.ACROSS: place(ways[Way.ACROSS], wishes[Way.ACROSS], tied, -turn * (x1 - x0)),
        }

    def _turn(
        self,
        ways: Mapping[Way, Adjusted],
        wishes: Mapping[Way, Sequence[Wish]],
        tied: set[str],
    ) -> float:
        """Return by how much the references are turned about the template, as a slope."""
        x0, y0, x1, y1 = self.box
        above = below = 0.0
        for way, length, sign in ((Way.UP, y1 - y0, 1.0), (Way.ACROSS, x1 - x0, -1.0)):
            at = ways[way].at
            mine = [w for w in wishes[way] if tied & set(ways[way].group_of(w.reference))]
            for wish in mine:
                low, high = at[wish.reference, "low"], at[wish.reference, "high"]
                above += sign * (low - high) * length
                below += length * length
        return above / below if below else 0.0

    def _crossing(
        self, pair: tuple[str, str], lines: Mapping[Way, Mapping[str, tuple[float, float]]]
    ) -> Point:
        x0, y0, x1, y1 = self.box
        a, b = lines[Way.UP][pair[0]]
        c, d = lines[Way.ACROSS][pair[1]]
        # x = a + m·(y - y0) and y = c + n·(x - x0)
        m, n = (b - a) / (y1 - y0), (d - c) / (x1 - x0)
        x = (a + m * (c - n * x0 - y0)) / (1 - m * n)
        return x, c + n * (x - x0)

    def _length(self, one: MeasuredDiagonal, x: Mapping[Key, float]) -> float:
        """Return what a diagonal would be by the unknowns [mm]."""
        placed = self._lines(x)
        lines = {
            way: {
                name: placed[way].at.get(name) or (at[name, "low"], at[name, "high"])
                for group in self.groups[way]
                for name in group
            }
            for way, at in ((way, adjusted_from(self.groups[way], (), x, ()).at) for way in Way)
        }
        return vec.distance(self._crossing(one.start, lines), self._crossing(one.end, lines))

    def _straightened(self, one: MeasuredDiagonal, x: Mapping[Key, float]) -> Equation:
        """Return the diagonal's equation as it runs near the unknowns."""
        here = self._length(one, x)
        terms: dict[Key, float] = {}
        for key in self.keys:
            up, down = dict(x), dict(x)
            up[key] += _STEP
            down[key] -= _STEP
            slope = (self._length(one, up) - self._length(one, down)) / (2 * _STEP)
            if abs(slope) > 1e-12:
                terms[key] = slope
        base = sum(factor * x[key] for key, factor in terms.items())
        return Equation(
            name=one.name,
            end="diagonal",
            terms=terms,
            wanted=one.distance - here + base,
            plus_minus=one.plus_minus,
            said=one.distance,
        )
