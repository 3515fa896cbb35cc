"""Which pieces of the part meet a tool, for each state of the bends that their place hangs on.

For each way to make a bend and each stage of it (putting in, the stroke, taking out) a table has
one row a slot (see `pool`). A row says whether the piece meets something that runs the whole
length, or the bar where it must be; else how far the bar may reach at each end of the bend. Rows
are worked out when first asked for, those of all ways in one go.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from blankwright.bending.lay import Lay
from blankwright.bending.motion import Bools, Ints, Kind
from blankwright.bending.pool import Pool
from blankwright.bending.sections import Body
from blankwright.bending.shadows import Sections
from blankwright.bending.stages import Stage
from blankwright.bending.sweep import SLACK, play
from blankwright.bending.tools import Tool
from blankwright.bending.trial_rows import LegRows, legs_to_try, rows_to_try
from blankwright.bending.trials import Trial, cover_of
from blankwright.bending.trying import Trying
from blankwright.bending.ways import Way
from blankwright.geom.pose import Array

_AT_ONCE = 30_000
"""So many rows are tried in one go, about."""

_MANY = 250
"""When more slots than this are asked for, flats near the bend are worked out first: what blocks
them blocks what hangs on them."""

_ROUNDS = (3, 5, 7, 99)
"""Flats with up to so many bends in their path are worked out together."""


@dataclass(eq=False)
class Table:
    """Rows of one way and stage; all of shape (slots,), or longer.

    Args:
        known: whether a slot has been worked out
        hit: whether its pieces meet something, or those of a flat before it do
        left: the bar must stay right of this [mm]
        right: the bar must stay left of this [mm]
    """

    known: Bools
    hit: Bools
    left: Array
    right: Array

    @classmethod
    def empty(cls, slots: int) -> Table:
        """Return a table with nothing known."""
        return cls(
            known=np.zeros(slots, dtype=bool),
            hit=np.zeros(slots, dtype=bool),
            left=np.full(slots, -np.inf),
            right=np.full(slots, np.inf),
        )

    def grow(self, slots: int) -> None:
        """Make room for more slots."""
        more = Table.empty(slots - len(self.known))
        for name in ("known", "hit", "left", "right"):
            setattr(self, name, np.append(getattr(self, name), getattr(more, name)))


class Tables:
    """All tables of a part and a shop.

    Args:
        ways: every way to make every bend
        tools: the shop's
    """

    def __init__(self, ways: Sequence[Way], tools: Sequence[Tool]) -> None:
        self.ways = ways
        self.tools = tools
        self.slack = play(ways[0].stroke.thickness) if ways else SLACK
        self._pools: dict[int, Pool] = {}
        self._tables: dict[tuple[int, Stage], Table] = {}
        self._legs: dict[tuple[int, Stage], tuple[LegRows, ...] | None] = {}

    @cached_property
    def _first_body(self) -> tuple[dict[int, int], list[Body]]:
        first: dict[int, int] = {}
        bodies: list[Body] = []
        for way in self.ways:
            if id(way.set_up) not in first:
                first[id(way.set_up)] = len(bodies)
                bodies += way.set_up.bodies
        return first, bodies

    @property
    def bodies(self) -> list[Body]:
        """Bodies of all set-ups."""
        return self._first_body[1]

    @cached_property
    def sections(self) -> Sections:
        """Their sections."""
        return Sections.of([body.corners for body in self.bodies])

    @cached_property
    def _trying(self) -> Trying:
        return Trying(self.sections, self.slack)

    def pool(self, lay: Lay) -> Pool:
        """Return the pieces in a lay."""
        pool = self._pools.get(id(lay))
        if pool is None:
            pool = self._pools[id(lay)] = Pool(lay)
        return pool

    def legs(self, way: Way, stage: Stage) -> tuple[LegRows, ...] | None:
        """Return the legs of a stage; nothing when a way's tool has no such stage."""
        key = (way.number, stage)
        if key not in self._legs:
            first = self._first_body[0][id(way.set_up)]
            self._legs[key] = legs_to_try(way, stage, self.tools[way.tool], first)
        return self._legs[key]

    def has(self, way: Way, stage: Stage) -> bool:
        """Say whether a way's tool has a stage."""
        return self.legs(way, stage) is not None

    def table(self, way: Way, stage: Stage) -> Table:
        """Return a table, perhaps with little known yet."""
        key, slots = (way.number, stage), self.pool(way.lay).slots
        table = self._tables.get(key)
        if table is None:
            table = self._tables[key] = Table.empty(slots)
        elif len(table.known) < slots:
            # With room to spare: slots come up a few at a time.
            table.grow(max(slots, 2 * len(table.known)))
        return table

    def trials(self, way: Way, stage: Stage, rows: Ints) -> list[Trial]:
        """Return what has to be tried for some rows of a way's pool."""
        legs = self.legs(way, stage)
        assert legs is not None
        return rows_to_try(way, stage, legs, self.pool(way.lay), rows)

    def learn(self, wanted: Sequence[tuple[Way, Stage, Ints]]) -> None:
        """Work out slots; each wanted is a way, a stage, and which slots."""
        new: list[tuple[Way, Stage, Ints]] = []
        for way, stage, slots in wanted:
            table = self.table(way, stage)
            some = slots[~table.known[slots]]
            if len(some):
                table.known[some] = True
                new.append((way, stage, some))
        most = max((len(slots) for _, _, slots in new), default=0)
        for low, high in itertools.pairwise((-1, *(_ROUNDS if most > _MANY else _ROUNDS[-1:]))):
            self._round(new, low, high)

    def _round(self, wanted: Sequence[tuple[Way, Stage, Ints]], low: int, high: int) -> None:
        """Work out slots of flats with more than `low` and up to `high` bends in their path."""
        trials: list[Trial] = []
        owners: list[tuple[Way, Stage]] = []
        count = 0
        for way, stage, some in wanted:
            pool, table = self.pool(way.lay), self.table(way, stage)
            depth = pool.depth_of[some]
            slots = some[(depth > low) & (depth <= high)]
            # Where the flat before it is in the way, no state with this one can be made so.
            inner = pool.inner_of[slots]
            blocked = (inner >= 0) & table.hit[inner]
            table.hit[slots[blocked]] = True
            slots = slots[~blocked]
            if not len(slots):
                continue
            for trial in self.trials(way, stage, pool.rows_of(slots)):
                trials.append(trial)
                owners.append((way, stage))
                count += len(trial)
            if count > _AT_ONCE:
                self._try_all(trials, owners)
                trials, owners, count = [], [], 0
        if trials:
            self._try_all(trials, owners)

    def _try_all(self, trials: Sequence[Trial], owners: Sequence[tuple[Way, Stage]]) -> None:
        """Try rows, the quick kinds first: a slot that meets something isn't tried further."""
        trial = Trial.join(trials)
        sizes = [len(t) for t in trials]
        cover = np.repeat([cover_of(way, self.tools[way.tool]) for way, _ in owners], sizes, axis=0)
        # Slots of all tables are numbered through.
        keys = list(dict.fromkeys((way.number, stage) for way, stage in owners))
        tables = [self._tables[key] for key in keys]
        begin = np.cumsum([0, *(len(table.known) for table in tables)])
        start = {key: int(at) for key, at in zip(keys, begin, strict=False)}
        slot = np.concatenate(
            [
                self.pool(way.lay).row_slot[t.source] + start[way.number, stage]
                for t, (way, stage) in zip(trials, owners, strict=True)
            ]
        )
        both = Table(
            **{
                name: np.concatenate([getattr(table, name) for table in tables])
                for name in ("known", "hit", "left", "right")
            }
        )
        rests = trial.kind == Kind.REST
        for some in (
            rests & ~trial.run,
            rests & trial.run,
            ~rests & ~trial.run,
            ~rests & trial.run,
        ):
            rows = np.flatnonzero(some & ~both.hit[slot])
            if not len(rows):
                continue
            hit, left, right = self._trying.tried(trial.take(rows), cover[rows])
            both.hit[slot[rows[hit]]] = True
            np.maximum.at(both.left, slot[rows], left)
            np.minimum.at(both.right, slot[rows], right)
        for table, low, high in zip(tables, begin, begin[1:], strict=False):
            for name in ("hit", "left", "right"):
                getattr(table, name)[:] = getattr(both, name)[low:high]
