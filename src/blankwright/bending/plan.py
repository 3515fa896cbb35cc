"""The bend plan of a part on the shop's tools."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from blankwright.bending.aims import aim_of, strength_of
from blankwright.bending.blocking import Blocking, blocking_of
from blankwright.bending.lay import Lay
from blankwright.bending.pieces import Tree
from blankwright.bending.rooms import Rooms
from blankwright.bending.search import BEAM, EXACT, Found, Move, Search, Tell, no_tell
from blankwright.bending.stages import Stage
from blankwright.bending.tools import Shop, Tool
from blankwright.bending.trials import cover_of
from blankwright.bending.ways import Aims, Way, ways_of
from blankwright.develop.blank import Blank

STRENGTH_SUPPOSED = 414.0
"""Tensile strength taken for an alloy that is in no table, that of the mild steel in the brake
force rule [MPa]: a capacity check then errs on the safe side for aluminium."""


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Step:
    """One step of a plan.

    Args:
        bends: names of the bends made together
        tool: the tool
        way: how the part lies in it, and the stroke
        run: length of bar set up [mm]
        widths: fingers, segments or bars that make it up [mm]
        bar: where the bar lies along the tool, from the left end of the first bend [mm]
        nose: nose radius to set [mm]
        put_in: how the part goes in
        take_out: how it comes out
        before: bits of the bends made before
        cost: [s]
        turn_over: whether the part is turned over from the step before
        turn_round: whether it is turned round
        change_bar: whether bar or fingers are changed
        change_nose: whether the nose is changed
        change_tool: whether the tool is changed
    """

    bends: tuple[str, ...]
    tool: Tool
    way: Way
    run: float
    widths: tuple[float, ...]
    bar: tuple[float, float]
    nose: float
    put_in: Stage
    take_out: Stage
    before: int
    cost: float
    turn_over: bool
    turn_round: bool
    change_bar: bool
    change_nose: bool
    change_tool: bool

    @property
    def held(self) -> tuple[str, ...]:
        """Names of the flats that are held."""
        tree = self.way.lay.tree
        return tuple(tree.names[f] for f, held in self.way.lay.sides if held)

    @property
    def face_up(self) -> bool:
        """Whether the blank's face side is up."""
        return self.way.lay.face_up


@dataclass(frozen=True, eq=False, kw_only=True)
class BendPlan:
    """What came of planning.

    Args:
        blank: the part's blank
        shop: the tools planned for
        aims: what each bend is bent to
        steps: the order; empty when none was found, or when there are no bends
        cost: of all steps [s]; infinite when none was found
        proved: that no order costs less, or that none exists
        looked_at: sets of bends looked at
        refused: for each bend by name, what tools can't make it in any state, and why
        blocking: why none exists; nothing when there is one
        if_it_goes_in: where none was found, an order of which every stroke is clear, so that only
            putting in and taking out straight is in the way; by steps, empty when there is none
        rooms: feasibility, to ask further
    """

    blank: Blank
    shop: Shop
    aims: Aims
    steps: tuple[Step, ...]
    cost: float
    proved: bool
    looked_at: int
    refused: tuple[tuple[str, str, str], ...]
    blocking: Blocking | None
    rooms: Rooms
    if_it_goes_in: tuple[tuple[str, ...], ...] = ()

    @property
    def found(self) -> bool:
        """Whether there is an order."""
        return self.cost < float("inf")


def base_cost(shop: Shop, lay: Lay, tool: Tool) -> float:
    """Return what a bend costs in a lay on a tool, whatever came before [s]."""
    costs = shop.costs
    cost = costs.bend + costs.long_piece * sum(lay.reach) / 1000.0
    return cost + costs.by_hand if tool.by_hand else cost


def plan_bends(
    blank: Blank,
    shop: Shop,
    *,
    exact: int = EXACT,
    beam: int = BEAM,
    explain: bool = True,
    tell: Tell = no_tell,
) -> BendPlan:
    """Find the best order of bends on the shop's tools.

    Args:
        blank: the part's blank
        shop: the tools
        exact: up to so many bends every set is looked at
        beam: above that, so many sets of each size are kept
        explain: whether to look for the blocking set when there is no order
        tell: told how many bends the sets worked on have, and of how many

    Returns:
        The plan; it holds no steps when there is no order.
    """
    tree = Tree(blank)
    aims = {bend.name: aim_of(bend, blank, shop.sprung) for bend in blank.bends}
    strong = strength_of(blank)
    refused: dict[int, dict[int, str]] = {}
    ways = ways_of(
        tree,
        shop.tools,
        aims,
        lambda lay, tool: base_cost(shop, lay, tool),
        strong.ultimate if strong else STRENGTH_SUPPOSED,
        lambda bend, tool, why: refused.setdefault(bend, {}).__setitem__(tool, why),
    )
    rooms = Rooms(ways, shop.tools, shop.costs)
    last = sum(1 << j for j, bend in enumerate(tree.bends) if bend.last)
    search = Search(
        ways=ways,
        tools=shop.tools,
        costs=shop.costs,
        bends=len(tree.bends),
        room=rooms,
        last=last,
        exact=exact,
        beam=beam,
        tell=tell,
    )
    found, used = _search(search, shop)
    blocking = None
    goes_in: tuple[tuple[str, ...], ...] = ()
    if not found.moves and tree.bends and explain:
        blocking = blocking_of(rooms, found.reached, len(tree.bends), refused)
        goes_in = _if_it_goes_in(search, rooms)
    return BendPlan(
        blank=blank,
        shop=shop,
        aims=aims,
        steps=_steps(found.moves, used, rooms, shop),
        cost=found.cost,
        proved=found.proved,
        looked_at=found.looked_at,
        refused=tuple(
            (tree.bends[j].name, shop.tools[t].name, why)
            for j, tools in sorted(refused.items())
            for t, why in sorted(tools.items())
        ),
        blocking=blocking,
        rooms=rooms,
        if_it_goes_in=goes_in,
    )


def _search(search: Search, shop: Shop) -> tuple[Found, Sequence[Way]]:
    """Search with machines first: that settles it when a bend by hand can only cost more."""
    machines = [way for way in search.ways if not shop.tools[way.tool].by_hand]
    if machines and len(machines) < len(search.ways):
        found = replace(search, ways=machines).run()
        if found.moves and (found.proved or search.bends > search.exact):
            least = _least_by_hand(search, shop)
            if found.cost <= least + 1e-9 or search.bends > search.exact:
                proved = found.proved and found.cost <= least + 1e-9
                return replace(found, proved=proved), machines
    return search.run(), search.ways


def _if_it_goes_in(search: Search, rooms: Rooms) -> tuple[tuple[str, ...], ...]:
    """Search as if the part could be got into any tool and out of it somehow."""
    strokes = Rooms(
        search.ways, search.tools, search.costs, with_ways_in=False, tables=rooms.tables
    )
    moves = replace(search, room=strokes).run().moves
    lays = [search.ways[move.way].lay for move in moves]
    return tuple(tuple(lay.tree.bends[j].name for j in lay.group) for lay in lays)


def _least_by_hand(search: Search, shop: Shop) -> float:
    """Return the least that an order with a bend by hand can cost [s].

    Each line of bends costs at least its cheapest way, and one of them a way by hand.
    """
    lines: dict[int, int] = {}
    for way in search.ways:
        for j in way.lay.group:
            if len(way.lay.group) > 1:
                lines[j] = way.mask
    of_line: dict[int, list[Way]] = {}
    for way in search.ways:
        of_line.setdefault(lines.get(way.lay.group[0], way.mask), []).append(way)
    total, more = 0.0, float("inf")
    for some in of_line.values():
        least = min(way.base for way in some)
        total += least
        by_hand = [way.base for way in some if shop.tools[way.tool].by_hand]
        if by_hand:
            more = min(more, min(by_hand) - least)
    return total + more


def _steps(
    moves: Sequence[Move], ways: Sequence[Way], rooms: Rooms, shop: Shop
) -> tuple[Step, ...]:
    steps: list[Step] = []
    last: Move | None = None
    for move in moves:
        way, tool = ways[move.way], shop.tools[move.set_up.tool]
        put_in, take_out, left, right = rooms.chosen(way, move.before, move.set_up.run)
        now, was = move.set_up, None if last is None else last.set_up
        steps.append(
            Step(
                bends=tuple(way.lay.tree.bends[j].name for j in way.lay.group),
                tool=tool,
                way=way,
                run=now.run,
                widths=tool.run_of(now.run),
                bar=_bar(cover_of(way, tool), now.run, left, right, tool.side_gap),
                nose=now.nose,
                put_in=put_in,
                take_out=take_out,
                before=move.before,
                cost=move.cost,
                turn_over=was is not None and was.face_up != now.face_up,
                turn_round=was is not None and was.heading != now.heading,
                change_bar=was is not None and was.tool == now.tool and was.run != now.run,
                change_nose=was is not None and was.tool == now.tool and was.nose != now.nose,
                change_tool=was is not None and was.tool != now.tool,
            )
        )
        last = move
    return tuple(steps)


def _bar(
    cover: tuple[float, float], run: float, left: float, right: float, gap: float
) -> tuple[float, float]:
    """Return where to put the bar: over the middle of the bend, moved as far as it must be."""
    start = (cover[0] + cover[1] - run) / 2
    if np.isfinite(right):
        start = min(start, right - gap - run)
    if np.isfinite(left):
        start = max(start, left + gap)
    return (start, start + run)
