"""Hardware: what is needed, ordered, in hand, used, and what each wait holds up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from typing import Any

from blankwright.book import records as r
from blankwright.book.change import Change
from blankwright.book.hardware import Holdup, Stock, holdups
from blankwright.book.numbers import meaning
from blankwright.book.work import SHOP_HOURS, load_work, setting, stocks
from blankwright.jobs.book_find import bad_input, hardware_numbered, part_named
from blankwright.jobs.book_open import BookAt


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """All hardware.

    Args:
        stocks: where each item stands, by part number
        holdups: what each item that is short holds up, the most work first
    """

    stocks: tuple[Stock, ...]
    holdups: tuple[Holdup, ...]

    @property
    def to_order(self) -> tuple[Stock, ...]:
        """Items still to order."""
        return tuple(stock for stock in self.stocks if stock.to_order > 0.0)


def shelf(at_book: BookAt, now: datetime) -> Shelf:
    """Return where all hardware stands and what its want holds up."""
    from blankwright.book.chain import critical_chain
    from blankwright.book.needs import circles

    with at_book.read() as reader:
        known = stocks(reader)
        work = load_work(reader, known)
        pace = float(setting(reader, SHOP_HOURS))
    critical: frozenset[int] = frozenset()
    if not circles(work):
        chain = critical_chain(work, now, hours_a_day=pace)
        critical = frozenset(link.task for link in chain.links)
    return Shelf(
        stocks=tuple(sorted(known.values(), key=lambda s: s.item.number)),
        holdups=holdups(work, known, critical),
    )


def enter_item(at_book: BookAt, at: datetime, number: str, **values: Any) -> r.Hardware:
    """Enter a hardware item, or change what is said of it; known part numbers are put in words."""
    if not number.strip():
        raise bad_input("BOOK-055", "hardware", "it has no number", "Write its part number")
    for name in ("grip", "spare_percent", "spare_least", "pack"):
        if (values.get(name) or 0.0) < 0.0:
            raise bad_input("BOOK-056", f"hardware {number}", f"{values[name]:g}", "Not below 0")
    with at_book.change(f"hardware {number}", at) as change:
        known = change.by(r.Hardware, number=number)
        row = known[0].id if known else _new_item(change, number)
        change.put(r.Hardware, row, **values)
        return change.get(r.Hardware, row)


def need_item(
    at_book: BookAt,
    at: datetime,
    number: str,
    quantity: float,
    *,
    part: str = "",
    task: int | None = None,
    key: str = "",
    grip: float | None = None,
) -> r.HardwareNeed:
    """Say that a part or task takes so much of an item; the same key replaces what it said before.

    Rivet rows, plate nuts, strips and stock come in through here. With a part that has a rivet or
    glue task, that task waits until the hardware is in hand.

    Args:
        at_book: the book
        at: now
        number: part number; entered if the book doesn't have it
        quantity: how much, in the item's unit
        part: what it is for
        task: or which task
        key: stable name of where this comes from, such as ``tray: row left``
        grip: what it clamps [mm], or nothing
    """
    if not quantity > 0.0:
        raise bad_input("BOOK-056", f"hardware {number}", f"{quantity:g}", "Write more than 0")
    with at_book.change(f"needed: {quantity:g} of {number} {part}".strip(), at) as change:
        part_row = part_named(change, part) if part else None
        if task is None and part_row is not None:
            tasks = change.by(r.Task, part_id=part_row.id)
            wanted = (r.TaskKind.RIVET, r.TaskKind.GLUE)
            fitting = [t for t in tasks if t.kind in wanted and t.state is not r.TaskState.DROPPED]
            task = fitting[-1].id if fitting else None
        row = put_need(
            change,
            number,
            quantity,
            part_id=part_row.id if part_row else None,
            task=task,
            key=key,
            grip=grip,
        )
        return change.get(r.HardwareNeed, row)


def put_need(
    change: Change,
    number: str,
    quantity: float,
    *,
    part_id: int | None,
    task: int | None,
    key: str,
    grip: float | None = None,
    new: Mapping[str, Any] = MappingProxyType({}),
) -> int:
    """Say inside a change what a part or task takes; the same key replaces what it said before.

    Args:
        change: the change that it becomes part of
        number: part number; entered if the book doesn't have it
        quantity: how much, in the item's unit
        part_id: row of the part, or nothing
        task: the task that waits for it, or nothing
        key: stable name of where this comes from; empty for none
        grip: what it clamps [mm], or nothing
        new: what is said of the item if it is entered anew

    Returns:
        the number of the need's row
    """
    known = change.by(r.Hardware, number=number)
    item = known[0].id if known else _new_item(change, number, new)
    if grip is not None:
        change.put(r.Hardware, item, grip=grip)
    values = {"hardware_id": item, "quantity": quantity, "part_id": part_id, "task_id": task}
    old = change.by(r.HardwareNeed, key=key) if key else ()
    if old:
        row = old[0].id
        change.put(r.HardwareNeed, row, **values)
    else:
        row = change.add(r.HardwareNeed, key=key, **values)
    _renew_wait(change, row, item, quantity, task)
    return row


def move_item(
    at_book: BookAt,
    at: datetime,
    number: str,
    kind: r.MoveKind,
    quantity: float,
    *,
    due: datetime | None = None,
    reference: str = "",
    task: int | None = None,
) -> Stock:
    """Write down that an item was ordered, arrived, used, counted or cancelled.

    Returns:
        where the item stands now

    Raises:
        BadInput: when the book has no such item, or the quantity makes no sense
    """
    least = 0.0 if kind is r.MoveKind.COUNTED else 1e-9
    if not least <= quantity < 1e9:
        raise bad_input("BOOK-056", f"hardware {number}", f"{quantity:g}", "Write more than 0")
    with at_book.change(f"{kind.value}: {quantity:g} of {number}", at) as change:
        item = hardware_numbered(change, number)
        change.add(
            r.HardwareMove,
            hardware_id=item.id,
            kind=kind,
            quantity=quantity,
            at=at,
            due=due,
            reference=reference,
            task_id=change.get(r.Task, task).id if task is not None else None,
        )
        return stocks(change)[item.id]


def _new_item(change: Change, number: str, new: Mapping[str, Any] = MappingProxyType({})) -> int:
    known = meaning(number)
    words = {"title": known.words if known else "", **new}
    return change.add(r.Hardware, number=number, **words)


def _renew_wait(change: Change, row: int, item: int, quantity: float, task: int | None) -> None:
    key = f"hardware need {row}"
    old = change.by(r.Need, key=key)
    values = {"hardware_id": item, "quantity": quantity, "kind": r.NeedKind.HARDWARE}
    if old and old[0].task_id == task:
        change.put(r.Need, old[0].id, **values)
        return
    for need in old:
        change.remove(r.Need, need.id)
    if task is not None:
        change.add(r.Need, task_id=task, key=key, **values)
