"""Why no order works: the smallest set of bends that can't all be made, and what is in the way.

The search knows every set of bends that can be made. A set of bends blocks itself when none of
those holds all of it: leave out any one bend of a smallest such set and the rest can be made. It
is found exactly, as the smallest set that meets what every one of the widest sets leaves out.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from blankwright.bending.clashes import Clash, clashes_of
from blankwright.bending.rooms import Rooms
from blankwright.bending.stages import Stage
from blankwright.bending.ways import Way


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """One bend that can't be made, in the state and way where least is in its way.

    Args:
        group: numbers of the bends that were to be made together; mostly one
        before: bits of the bends made before
        tool: number of the tool; -1 when no tool takes it at all
        parent_held: whether its parent is held
        reason: what is in the way, in words; empty when `clash` says it
        clash: what hits what; nothing when `reason` says it
    """

    group: tuple[int, ...]
    before: int
    tool: int
    parent_held: bool
    reason: str
    clash: Clash | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Blocking:
    """A smallest set of bends that can't all be made.

    Args:
        bends: their numbers
        refusals: for each of them, what keeps it from being made after the others
    """

    bends: tuple[int, ...]
    refusals: tuple[Refusal, ...]


def smallest_blocking(widest: Sequence[int], bends: int) -> tuple[int, ...]:
    """Return a smallest set of bends that none of the sets that can be made holds.

    Args:
        widest: the sets that can be made and that no larger one holds, as bits
        bends: number of bends
    """
    full = (1 << bends) - 1
    left_out = [full & ~mask for mask in widest]
    for size in range(1, bends + 1):
        for chosen in itertools.combinations(range(bends), size):
            mask = sum(1 << j for j in chosen)
            if all(mask & other for other in left_out):
                return chosen
    return tuple(range(bends))


def blocking_of(
    rooms: Rooms, widest: Sequence[int], bends: int, refused: dict[int, dict[int, str]]
) -> Blocking:
    """Tell why no order works.

    Args:
        rooms: feasibility
        widest: the sets that can be made and that no larger one holds
        bends: number of bends
        refused: for each bend, by tool, why the tool can't make it in any state
    """
    chosen = smallest_blocking(widest, bends)
    mask = sum(1 << j for j in chosen)
    refusals = []
    for j in chosen:
        others = mask & ~(1 << j)
        states = [m for m in widest if m & others == others and not m >> j & 1]
        states.sort(key=lambda m: (bin(m).count("1"), m))
        before = states[0] if states else others
        refusals.append(_least(rooms, (j,), before, refused.get(j, {})))
    # Bends on one line could be made together: say why not.
    lines = {way.lay.group for way in rooms.ways if len(way.lay.group) > 1}
    for line in sorted(lines):
        if set(line) & set(chosen):
            before = mask & ~sum(1 << j for j in line)
            found = _least(rooms, line, before, {})
            if found.tool >= 0:
                refusals.append(found)
    return Blocking(bends=chosen, refusals=tuple(refusals))


def _least(rooms: Rooms, group: tuple[int, ...], before: int, refused: dict[int, str]) -> Refusal:
    """Return the way in which least is in the way of a bend, or of several on one line."""
    found: list[tuple[float, Refusal]] = []
    for way in rooms.ways:
        if way.lay.group != group:
            continue
        refusal, depth = refusal_of(rooms, way, before)
        if refusal is not None:
            found.append((depth, refusal))
    if found:
        return min(found, key=lambda item: item[0])[1]
    tool, reason = next(iter(refused.items()), (-1, "no tool takes it"))
    return Refusal(
        group=group, before=before, tool=tool, parent_held=True, reason=reason, clash=None
    )


def refusal_of(rooms: Rooms, way: Way, before: int) -> tuple[Refusal | None, float]:
    """Return what is in the way of one way in one state, and how much it is [mm].

    Args:
        rooms: feasibility
        way: the way
        before: bits of the bends made before
    """
    tables = rooms.tables

    def told(reason: str, clash: Clash | None) -> Refusal:
        return Refusal(
            group=way.lay.group,
            before=before,
            tool=way.tool,
            parent_held=way.lay.parent_held,
            reason=reason,
            clash=clash,
        )

    stroke = clashes_of(tables, way, Stage.STROKE, before)
    if stroke:
        return told("", stroke[0]), stroke[0].depth
    if rooms.meets_itself(way, np.array([before]))[0]:
        return told("the part runs into itself", None), 1.0
    best: tuple[float, Clash] | None = None
    for stages in rooms.stages_of(way):
        worst = [c for stage in stages if (c := clashes_of(tables, way, stage, before)[:1])]
        if not worst:
            continue
        clash = max((c[0] for c in worst), key=lambda c: c.depth)
        if best is None or clash.depth < best[0]:
            best = (clash.depth, clash)
    room = max((float(r[0]) for _, r in rooms([way], np.array([before]))[0]), default=-1.0)
    tool = rooms.tools[way.tool]
    run = tool.shortest_run(way.need)
    if room >= 0 and (run is None or run > room + 1e-6):
        if run is None:
            most = tool.runs[-1] if tool.runs else 0.0
            reason = (
                f"a bar of {way.need:.1f} mm is needed, and what can be set up makes {most:.1f} mm"
                " at most"
            )
        else:
            reason = (
                f"there is room for a bar of {room:.1f} mm between what stands up, {way.need:.1f}"
                f" mm is needed, and the shortest that can be set up is {run:.1f} mm"
            )
        short = (run - room) if run else way.need
        return told(reason, None), float(short)
    if best is not None:
        return told("", best[1]), best[0]
    if room < 0:
        reason = "what stands up beside the bend leaves no room for the bar"
        return told(reason, None), way.need
    return None, 0.0
