"""Whether each bend can be made in each state of the part, and how long a bar has room."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from blankwright.bending.motion import Bools, Ints
from blankwright.bending.search import EXACT
from blankwright.bending.selfmeet import SelfMeet
from blankwright.bending.stages import INS, OUTS, Stage
from blankwright.bending.state_tables import Tables
from blankwright.bending.tools import Costs, Tool
from blankwright.bending.trials import cover_of
from blankwright.bending.ways import Way
from blankwright.geom.pose import Array

_ENDS = (Stage.IN_END, Stage.OUT_END)
_ALL_SLOTS = (9000, 600)
"""Tables of no more slots are worked out whole when first asked for; for parts whose sets are all
looked at, and for others."""

_NONE = -1.0
"""No bar has room [mm]."""


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class _Held:
    """What a stage leaves for the bar, in each state; shape (n,)."""

    clear: Bools
    left: Array
    right: Array

    @classmethod
    def none(cls, states: int) -> _Held:
        """Return what rules out every state."""
        return cls(
            clear=np.zeros(states, dtype=bool),
            left=np.full(states, -np.inf),
            right=np.full(states, np.inf),
        )

    @classmethod
    def stacked(cls, several: Sequence[_Held]) -> _Held:
        """Return several as one, each a row."""
        return cls(
            clear=np.array([h.clear for h in several]),
            left=np.array([h.left for h in several]),
            right=np.array([h.right for h in several]),
        )

    def both(self, other: _Held) -> _Held:
        return _Held(
            clear=self.clear & other.clear,
            left=np.maximum(self.left, other.left),
            right=np.minimum(self.right, other.right),
        )


class Rooms:
    """Feasibility of every way in every state.

    Args:
        ways: every way to make every bend
        tools: the shop's
        costs: what is weighed
        with_ways_in: whether putting in and taking out must work too, not only the stroke
        tables: those of the same ways and tools, if there are any yet
    """

    def __init__(
        self,
        ways: Sequence[Way],
        tools: Sequence[Tool],
        costs: Costs,
        *,
        with_ways_in: bool = True,
        tables: Tables | None = None,
    ) -> None:
        self.with_ways_in = with_ways_in
        self.ways = ways
        self.tools = tools
        self.costs = costs
        self.tables = tables or Tables(ways, tools)
        bends = len(ways[0].lay.tree.bends) if ways else 0
        self._all_slots = _ALL_SLOTS[bends > EXACT]
        self._selves: dict[tuple[int, ...], SelfMeet] = {}

    def __call__(self, ways: Sequence[Way], masks: Ints) -> list[list[tuple[float, Array]]]:
        """Return for each way the longest bar that has room in each state, by price.

        Args:
            ways: the ways
            masks: bits of the bends made; shape (n,)
        """
        slots = {id(way.lay): self.tables.pool(way.lay).slots_of(masks) for way in ways}
        open_ = [(masks & way.mask) == 0 for way in ways]
        first = self._stage(ways, [Stage.STROKE] * len(ways), open_, slots)
        self._rule_out_itself(ways, masks, first, slots)
        for i, way in enumerate(ways):
            open_[i] &= first[i].clear & (self._room(way, first[i]) >= way.need - 1e-6)
        if not self.with_ways_in:
            return [
                [(0.0, np.where(o, self._room(way, f), _NONE))]
                for way, f, o in zip(ways, first, open_, strict=True)
            ]
        stages: list[dict[Stage, _Held]] = [{} for _ in ways]
        # The plain ways in and out first; the others only where those leave too little room.
        todo = open_
        for some_stages in ((*INS[:1], *OUTS[:1]), (*INS[1:], *OUTS[1:])):
            asked = [
                (i, stage)
                for stage in some_stages
                for i, way in enumerate(ways)
                if todo[i].any() and self.tables.has(way, stage)
            ]
            held = self._stage(
                [ways[i] for i, _ in asked],
                [stage for _, stage in asked],
                [todo[i] for i, _ in asked],
                slots,
            )
            for (i, stage), h in zip(asked, held, strict=True):
                stages[i][stage] = h
            todo = [
                o & (self._plain(way, f, s) < self._enough(way))
                for way, o, f, s in zip(ways, open_, first, stages, strict=True)
            ]
        return [
            self._tiers(way, f, s, o)
            for way, f, s, o in zip(ways, first, stages, open_, strict=True)
        ]

    def _rule_out_itself(
        self, ways: Sequence[Way], masks: Ints, first: list[_Held], slots: dict[int, Ints]
    ) -> None:
        """Rule out states in which the part runs into itself, once for all ways of a bend."""
        by_group: dict[tuple[int, ...], list[int]] = {}
        for i, way in enumerate(ways):
            by_group.setdefault(way.lay.group, []).append(i)
        for rows in by_group.values():
            some = np.flatnonzero(np.logical_or.reduce([first[i].clear for i in rows]))
            if not len(some):
                continue
            selves = self._self(ways[rows[0]])
            own = slots.get(id(selves.pool.lay))
            if own is None:
                own = selves.pool.slots_of(masks)
            blocked = some[selves.blocked(own[:, some])]
            for i in rows:
                first[i].clear[blocked] = False

    def _stage(
        self,
        ways: Sequence[Way],
        stages: Sequence[Stage],
        some: Sequence[Bools],
        slots: dict[int, Ints],
    ) -> list[_Held]:
        wanted = []
        for way, stage, s in zip(ways, stages, some, strict=True):
            if not s.any():
                continue
            count = self.tables.pool(way.lay).slots
            if count <= self._all_slots:
                # Few enough to work all out at once, but for those that the stroke rules out.
                need = np.arange(count)
                if stage is not Stage.STROKE:
                    need = np.flatnonzero(~self.tables.table(way, Stage.STROKE).hit[:count])
            else:
                need = np.unique(slots[id(way.lay)][:, s])
            wanted.append((way, stage, need))
        self.tables.learn(wanted)
        found = []
        for way, stage, s in zip(ways, stages, some, strict=True):
            if not s.any():
                found.append(_Held.none(len(s)))
                continue
            table, slot = self.tables.table(way, stage), slots[id(way.lay)]
            found.append(
                _Held(
                    clear=s & ~table.hit[slot].any(axis=0),
                    left=table.left[slot].max(axis=0),
                    right=table.right[slot].min(axis=0),
                )
            )
        return found

    def _self(self, way: Way) -> SelfMeet:
        key = way.lay.group
        if key not in self._selves:
            self._selves[key] = SelfMeet(way, self.tables.pool(way.lay))
        return self._selves[key]

    def meets_itself(self, way: Way, masks: Ints) -> Bools:
        """Say in which states the part runs into itself in a bend; shape (n,)."""
        selves = self._self(way)
        return selves.blocked(selves.pool.slots_of(masks))

    def stages_of(self, way: Way) -> list[tuple[Stage, Stage]]:
        """Return every pair of ways in and out that a way's tool has, the plain ones first."""
        return [
            (i, o) for i in INS for o in OUTS if self.tables.has(way, i) and self.tables.has(way, o)
        ]

    def chosen(self, way: Way, mask: int, run: float) -> tuple[Stage, Stage, float, float]:
        """Return how to put a part in and take it out, and between what the bar must stay [mm].

        Args:
            way: the way
            mask: bits of the bends made before
            run: length of bar [mm]

        Raises:
            ValueError: when there is none
        """
        masks, some = np.array([mask]), np.ones(1, dtype=bool)
        slots = {id(way.lay): self.tables.pool(way.lay).slots_of(masks)}
        (first,) = self._stage([way], [Stage.STROKE], [some], slots)
        pairs = self.stages_of(way)
        pairs.sort(key=lambda pair: (pair[0] in _ENDS) + (pair[1] in _ENDS))
        for i, o in pairs:
            both = first
            for stage in (i, o):
                (held,) = self._stage([way], [stage], [some], slots)
                both = both.both(held)
            if self._room(way, both)[0] >= run - 1e-6:
                return i, o, float(both.left[0]), float(both.right[0])
        raise ValueError("the bend can't be made so")

    def _room(self, way: Way, held: _Held) -> Array:
        return self._between(way, held.left, held.right, held.clear)

    def _between(self, way: Way, left: Array, right: Array, clear: Bools) -> Array:
        """Return the longest bar that has room between bounds [mm]; arrays of any one shape."""
        tool = self.tools[way.tool]
        c0, c1 = cover_of(way, tool)
        low = np.where(np.isfinite(left), left + tool.side_gap, c0 - tool.length)
        high = np.where(np.isfinite(right), right - tool.side_gap, c1 + tool.length)
        fits = clear & (low <= c0 + 1e-6) & (high >= c1 - 1e-6)
        return np.where(fits, np.minimum(high - low, tool.length), _NONE)

    def _enough(self, way: Way) -> float:
        """Length of bar above which more room is of no use [mm]."""
        tool = self.tools[way.tool]
        return tool.runs[-1] if tool.widths else tool.length

    def _plain(self, way: Way, first: _Held, stages: dict[Stage, _Held]) -> Array:
        ins, outs = INS[0], OUTS[0]
        if ins not in stages or outs not in stages:
            return np.full(len(first.clear), _NONE)
        return self._room(way, first.both(stages[ins]).both(stages[outs]))

    def _tiers(
        self, way: Way, first: _Held, stages: dict[Stage, _Held], some: Bools
    ) -> list[tuple[float, Array]]:
        """Return the longest bar that has room, for each price of getting in and out."""
        best: dict[float, Array] = {0.0: np.full(len(some), _NONE)}
        ins, outs = (
            [s for s in side if s in stages and stages[s].clear.any()] for side in (INS, OUTS)
        )
        if not ins or not outs or not some.any():
            return list(best.items())
        i, o = (_Held.stacked([stages[s] for s in side]) for side in (ins, outs))
        rooms = self._between(
            way,
            np.maximum(first.left, np.maximum(i.left[:, None], o.left[None])),
            np.minimum(first.right, np.minimum(i.right[:, None], o.right[None])),
            some & first.clear & i.clear[:, None] & o.clear[None],
        )
        for a, b in itertools.product(range(len(ins)), range(len(outs))):
            price = self.costs.from_end * ((ins[a] in _ENDS) + (outs[b] in _ENDS))
            best[price] = np.maximum(best.get(price, _NONE), rooms[a, b])
        return sorted(best.items(), key=lambda item: item[0])
