"""The best order of bends, by exact shortest paths over sets of bends made.

A state is the set of bends made and how the tool was last set up. What can be done from a set does
not hang on how it was reached (see `pieces`), so that sets of equal size can be worked on together
and each set is looked at once: 2ⁿ of them, not n! orders. (Dynamic programming over subsets, as
Bellman and, Held and Karp, 1962, did for tours; for bend orders see docs/bending.md.)

Above `EXACT` bends only the most promising sets of each size are kept; the plan then says that it
is not proved.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from blankwright.bending.motion import Ints
from blankwright.bending.tools import Costs, Tool
from blankwright.bending.ways import Way
from blankwright.geom.pose import Array

EXACT = 16
"""Up to so many bends every set is looked at."""

BEAM = 150
"""Above that, so many sets of each size are kept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUp:
    """How a tool is set, and how the part lies in it.

    Args:
        tool: number of the tool
        run: length of bar set up [mm]
        nose: [mm]
        face_up: whether the face side is up
        heading: where the blank's x axis points [whole degrees]
    """

    tool: int
    run: float
    nose: float
    face_up: bool
    heading: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One step of an order.

    Args:
        way: which of the ways searched
        set_up: how
        cost: of this step, with what had to be changed [s]
        before: bits of the bends made before
    """

    way: int
    set_up: SetUp
    cost: float
    before: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What the search came to.

    Args:
        moves: the order; empty when none was found
        cost: of all [s]; infinite when none was found
        proved: whether no order is cheaper, or, when none was found, none exists
        looked_at: sets of bends looked at
        reached: the sets of bends that can be made and that no larger one holds, as bits; given
            when no order was found
    """

    moves: tuple[Move, ...]
    cost: float
    proved: bool
    looked_at: int
    reached: tuple[int, ...] = ()


Room = Callable[[Sequence[Way], Ints], list[list[tuple[float, Array]]]]
"""Tells, for each way, in each of many sets of bends made, the longest bar that has room [mm], less
than nought where the bend can't be made; for each price of putting in and taking out [s]."""

Tell = Callable[[int, int], None]


def no_tell(_done: int, _of: int) -> None:
    """Tell nobody."""


@dataclass(frozen=True, eq=False)
class Search:
    """A search for the best order.

    Args:
        ways: every way to make every bend
        tools: the shop's
        costs: what is weighed
        bends: number of bends
        room: feasibility
        last: bits of bends that must wait until all others are made
        exact: up to so many bends every set is looked at
        beam: above that, so many sets of each size are kept
        tell: told how many bends the sets worked on have, and of how many
    """

    ways: Sequence[Way]
    tools: Sequence[Tool]
    costs: Costs
    bends: int
    room: Room
    last: int = 0
    exact: int = EXACT
    beam: int = BEAM
    tell: Tell = no_tell

    @cached_property
    def runs(self) -> dict[int, tuple[float, ...]]:
        """Lengths of bar worth setting, by tool.

        A bar that serves several bends can be shortened to the shortest that does for the longest
        of them, and still has room at all: no other lengths need be looked at.
        """
        found: dict[int, set[float]] = {}
        for way in self.ways:
            tool = self.tools[way.tool]
            run = tool.shortest_run(way.need)
            if run is not None:
                found.setdefault(way.tool, set()).add(run)
        return {tool: tuple(sorted(runs)) for tool, runs in found.items()}

    @cached_property
    def set_ups(self) -> tuple[SetUp, ...]:
        """Every set-up that some way may use."""
        found = {
            SetUp(
                tool=way.tool,
                run=run,
                nose=way.nose,
                face_up=way.lay.face_up,
                heading=way.lay.heading,
            )
            for way in self.ways
            for run in self.runs.get(way.tool, ())
            if run >= way.need - 1e-6
        }
        return tuple(sorted(found, key=lambda s: (s.tool, s.run, s.nose, not s.face_up, s.heading)))

    @cached_property
    def changes(self) -> Array:
        """Cost of going from one set-up to another; the last row begins from none [s]."""
        n = len(self.set_ups)
        table = np.zeros((n + 1, n))
        for i, a in enumerate(self.set_ups):
            for j, b in enumerate(self.set_ups):
                table[i, j] = change_cost(a, b, self.costs)
        return table

    def run(self) -> Found:
        """Search."""
        n = len(self.set_ups)
        usable = [self._set_ups_of(way) for way in self.ways]
        waiting: dict[int, list[tuple[Ints, Array, Ints]]] = {}
        store: dict[int, tuple[Ints, Array, Ints]] = {}
        looked_at, cut = 0, False
        for size in range(self.bends + 1):
            if size == 0:
                masks = np.array([0], dtype=np.int64)
                cost = np.full((1, n), np.inf)
                came = np.full((1, n), -1, dtype=np.int64)
            elif size in waiting:
                masks, cost, came = _merge(waiting.pop(size))
            else:
                continue
            if self.bends > self.exact and len(masks) > self.beam:
                cut = True
                order = np.argsort(cost.min(axis=1), kind="stable")[: self.beam]
                order.sort()
                masks, cost, came = masks[order], cost[order], came[order]
            store[size] = (masks, cost, came)
            looked_at += len(masks)
            self.tell(size, self.bends)
            if size == self.bends:
                break
            # What it costs to come into each set-up from the best one before.
            if size == 0:
                into = np.zeros((1, n))
                prior = np.full((1, n), -1, dtype=np.int64)
            else:
                into, prior = _into(cost, self.changes[:n])
            self._expand(masks, into, prior, usable, waiting)
        if self.bends not in store:
            return Found(
                moves=(),
                cost=float("inf"),
                proved=not cut,
                looked_at=looked_at,
                reached=widest([m for m, _, _ in store.values()]),
            )
        return self._trace(store, looked_at, not cut)

    def _set_ups_of(self, way: Way) -> Ints:
        return np.array(
            [
                i
                for i, s in enumerate(self.set_ups)
                if s.tool == way.tool
                and s.nose == way.nose
                and s.face_up == way.lay.face_up
                and s.heading == way.lay.heading
                and s.run >= way.need - 1e-6
            ],
            dtype=np.int64,
        )

    def _expand(
        self,
        masks: Ints,
        into: Array,
        prior: Ints,
        usable: Sequence[Ints],
        waiting: dict[int, list[tuple[Ints, Array, Ints]]],
    ) -> None:
        n = len(self.set_ups)
        others = ((1 << self.bends) - 1) & ~self.last
        rooms = self.room(self.ways, masks)
        for number, (way, set_ups, tiers) in enumerate(zip(self.ways, usable, rooms, strict=True)):
            can = (masks & way.mask) == 0
            if way.mask & self.last:
                can &= (masks & others) == others
            runs = np.array([self.set_ups[s].run for s in set_ups])
            for extra, room in tiers:
                rows = np.flatnonzero(can & (room >= 0))
                fits = runs[None, :] <= room[rows, None] + 1e-6
                keep = fits.any(axis=1)
                rows, fits = rows[keep], fits[keep]
                if not len(rows):
                    continue
                cost = np.full((len(rows), n), np.inf)
                came = np.full((len(rows), n), -1, dtype=np.int64)
                step = into[np.ix_(rows, set_ups)] + (way.base + extra)
                cost[:, set_ups] = np.where(fits, step, np.inf)
                came[:, set_ups] = number * (n + 1) + prior[np.ix_(rows, set_ups)] + 1
                after = masks[rows] | way.mask
                sizes = np.bitwise_count(after).astype(int)
                for s in np.unique(sizes):
                    some = sizes == s
                    part = (after[some], cost[some], came[some])
                    waiting.setdefault(int(s), []).append(part)

    def _trace(
        self, store: dict[int, tuple[Ints, Array, Ints]], looked_at: int, proved: bool
    ) -> Found:
        n = len(self.set_ups)
        if not self.bends:
            return Found(moves=(), cost=0.0, proved=True, looked_at=1)
        masks, cost, came = store[self.bends]
        at = int(np.argmin(cost[0]))
        total = float(cost[0, at])
        mask, moves = int(masks[0]), []
        while mask:
            size = bin(mask).count("1")
            masks, cost, came = store[size]
            row = int(np.searchsorted(masks, mask))
            number, prior = divmod(int(came[row, at]), n + 1)
            way = self.ways[number]
            before = mask & ~way.mask
            spent = float(cost[row, at])
            earlier = 0.0
            if before:
                b_masks, b_cost, _ = store[bin(before).count("1")]
                earlier = float(b_cost[int(np.searchsorted(b_masks, before)), prior - 1])
            moves.append(
                Move(way=number, set_up=self.set_ups[at], cost=spent - earlier, before=before)
            )
            mask, at = before, prior - 1
        return Found(moves=tuple(reversed(moves)), cost=total, proved=proved, looked_at=looked_at)


def change_cost(a: SetUp, b: SetUp, costs: Costs) -> float:
    """Return what it costs to go from one set-up to another [s]."""
    cost = 0.0
    if a.tool != b.tool:
        # The other tool is set from scratch; the part is taken up anew anyhow.
        return costs.change_tool + costs.change_bar
    if abs(a.run - b.run) > 1e-6:
        cost += costs.change_bar
    if a.nose != b.nose:
        cost += costs.change_nose
    if a.face_up != b.face_up:
        cost += costs.turn_over
    if a.heading != b.heading:
        cost += costs.turn_round
    return cost


def _into(cost: Array, changes: Array) -> tuple[Array, Ints]:
    """Return the least cost to come into each set-up, and from which; shapes (n, set-ups)."""
    into = np.empty_like(cost)
    prior = np.empty(cost.shape, dtype=np.int64)
    for j in range(cost.shape[1]):
        through = cost + changes[:, j]
        prior[:, j] = through.argmin(axis=1)
        into[:, j] = through[np.arange(len(cost)), prior[:, j]]
    return into, prior


def _merge(parts: list[tuple[Ints, Array, Ints]]) -> tuple[Ints, Array, Ints]:
    """Return each set once, with its best costs; sorted."""
    masks = np.concatenate([p[0] for p in parts])
    sets, row = np.unique(masks, return_inverse=True)
    width = parts[0][1].shape[1]
    cost = np.full((len(sets), width), np.inf)
    came = np.full((len(sets), width), -1, dtype=np.int64)
    start = 0
    for some, part_cost, part_came in parts:
        rows = row[start : start + len(some)]
        better = part_cost < cost[rows]
        cost[rows] = np.where(better, part_cost, cost[rows])
        came[rows] = np.where(better, part_came, came[rows])
        start += len(some)
    return sets, cost, came


def widest(levels: Sequence[Ints]) -> tuple[int, ...]:
    """Return those sets that no other one holds.

    Args:
        levels: sets as bits
    """
    masks = np.unique(np.concatenate(levels))
    order = np.argsort(-np.bitwise_count(masks).astype(int), kind="stable")
    kept: list[int] = []
    for mask in masks[order].tolist():
        if not any(mask & other == mask for other in kept):
            kept.append(mask)
    return tuple(kept)
