"""Hardware: what is needed, in hand, on order; what to order; what each wait holds up. Pure."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from blankwright.book.needs import NEARLY, Supply, Work, held_up
from blankwright.book.records import Hardware, HardwareMove, HardwareNeed, MoveKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """Where a hardware item stands, in its unit.

    Args:
        item: the item
        needed: by all parts and tasks, work done included
        used: so far
        in_hand: on the shelf
        on_order: ordered and not come
        due: when the last of what is on order is expected, or nothing
        spare: wanted beyond the need
        to_order: still to order, spare and whole packs included
    """

    item: Hardware
    needed: float
    used: float
    in_hand: float
    on_order: float
    due: datetime | None
    spare: float
    to_order: float

    @property
    def supply(self) -> Supply:
        """As the scheduling sees it."""
        return Supply(
            number=self.item.number,
            in_hand=self.in_hand,
            on_order=self.on_order,
            due=self.due,
            unit=self.item.unit,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Holdup:
    """What the want of a hardware item holds up.

    Args:
        stock: the item
        direct: numbers of the tasks that wait for it
        all_tasks: those, and all that hang on them
        hours: work held up [h]
        critical: whether one of them is on the critical chain
    """

    stock: Stock
    direct: tuple[int, ...]
    all_tasks: tuple[int, ...]
    hours: float
    critical: bool


_TRIFLE = 5e-4
"""So little of what is measured out, in metres or square metres, nobody orders."""


def stock_of(item: Hardware, needs: Iterable[HardwareNeed], moves: Iterable[HardwareMove]) -> Stock:
    """Work out where an item stands.

    A count on the shelf replaces what the book thought was in hand at that moment; arrivals and
    uses after it go on from there. Needs of one item add up; the spare is a share of the whole
    need, or the least spare if that is more, and counts are rounded up to whole pieces and packs.
    """
    needed = math.fsum(n.quantity for n in needs)
    in_hand = used = ordered = arrived = 0.0
    due: datetime | None = None
    for move in sorted(moves, key=lambda m: (m.at, m.id)):
        if move.kind is MoveKind.ORDERED:
            ordered += move.quantity
            due = move.due if due is None or (move.due and move.due > due) else due
        elif move.kind is MoveKind.CANCELLED:
            ordered -= move.quantity
        elif move.kind is MoveKind.ARRIVED:
            # More may come than was ordered, or come unordered: that never makes a debt.
            arrived += min(move.quantity, max(0.0, ordered - arrived))
            in_hand += move.quantity
        elif move.kind is MoveKind.USED:
            # What was used was there, whatever the book thought: that never makes a debt either.
            used += move.quantity
            in_hand = max(0.0, in_hand - move.quantity)
        else:
            in_hand = move.quantity
    on_order = max(0.0, ordered - arrived)
    if on_order <= NEARLY:
        on_order, due = 0.0, None
    spare = max(needed * item.spare_percent / 100.0, item.spare_least) if needed > NEARLY else 0.0
    short = needed + spare - used - in_hand - on_order
    return Stock(
        item=item,
        needed=needed,
        used=used,
        in_hand=in_hand,
        on_order=on_order,
        due=due,
        spare=spare,
        to_order=_whole(item, short),
    )


def holdups(
    work: Work, stocks: Mapping[int, Stock], critical: frozenset[int]
) -> tuple[Holdup, ...]:
    """Return what each item that is short holds up, the most work first.

    Args:
        work: tasks and what they need
        stocks: where each item stands, by number of its row
        critical: numbers of the tasks on the critical chain
    """
    found = []
    for number, stock in stocks.items():
        direct = tuple(
            sorted(
                job.number
                for job in work.jobs.values()
                if job.done_at is None
                and any(
                    t.hardware == number and t.quantity > stock.in_hand + NEARLY for t in job.takes
                )
            )
        )
        if direct:
            behind = held_up(work, direct)
            found.append(
                Holdup(
                    stock=stock,
                    direct=direct,
                    all_tasks=tuple(sorted(behind)),
                    hours=math.fsum(work.jobs[n].hours for n in sorted(behind)),
                    critical=bool(behind & critical),
                )
            )
    return tuple(sorted(found, key=lambda h: (-h.hours, h.stock.item.number)))


def _whole(item: Hardware, short: float) -> float:
    if short <= (NEARLY if item.unit == "each" or item.pack > 0.0 else _TRIFLE):
        return 0.0
    step = item.pack if item.pack > 0.0 else (1.0 if item.unit == "each" else 0.0)
    return step * math.ceil(short / step - NEARLY) if step else short
