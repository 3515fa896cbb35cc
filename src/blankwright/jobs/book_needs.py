"""What tasks need first, as said by hand: other tasks, cures, parts, hardware, stages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from blankwright.base.units import trimmed
from blankwright.book import records as r
from blankwright.book.change import Change, Reader
from blankwright.book.needs import check_no_circle
from blankwright.book.work import load_work
from blankwright.jobs.book_find import hardware_numbered, part_named
from blankwright.jobs.book_open import BookAt


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """What a task needs first.

    Args:
        after: numbers of tasks that come first
        cure_hours: hours that must go by after those [h]
        parts: parts that must be finished
        hardware: part number to quantity that must be in hand
        stages: numbers of inspection stages that must be seen
    """

    after: Sequence[int] = ()
    cure_hours: float = 0.0
    parts: Sequence[str] = ()
    hardware: Mapping[str, float] = field(default_factory=dict)
    stages: Sequence[int] = ()


def add_need(at_book: BookAt, at: datetime, number: int, needs: Needs) -> r.Task:
    """Say what a task needs first.

    Raises:
        NotPossible: when the needs would go in a circle; each circle is named
        BadInput: when something of it isn't in the book
    """
    with at_book.change(f"task {number}: needs", at) as change:
        task = change.get(r.Task, number)
        add_needs(change, task, needs)
        return task


def add_needs(change: Change, task: r.Task, needs: Needs) -> None:
    """As `add_need`, inside a change."""
    for first in needs.after:
        change.add(
            r.Need,
            task_id=task.id,
            kind=r.NeedKind.CURE if needs.cure_hours else r.NeedKind.TASK,
            needed_task_id=change.get(r.Task, first).id,
            cure_hours=needs.cure_hours,
        )
    for name in needs.parts:
        part = part_named(change, name)
        change.add(r.Need, task_id=task.id, kind=r.NeedKind.PART, needed_part_id=part.id)
    for item_number, quantity in needs.hardware.items():
        item = hardware_numbered(change, item_number)
        need = change.add(
            r.Need,
            task_id=task.id,
            kind=r.NeedKind.HARDWARE,
            hardware_id=item.id,
            quantity=quantity,
        )
        change.add(
            r.HardwareNeed,
            hardware_id=item.id,
            quantity=quantity,
            task_id=task.id,
            part_id=task.part_id,
            key=f"need:{need}",
        )
    for stage in needs.stages:
        row = change.get(r.Stage, stage)
        change.add(r.Need, task_id=task.id, kind=r.NeedKind.STAGE, stage_id=row.id)
    check_no_circle(load_work(change))


def drop_need(at_book: BookAt, at: datetime, need: int) -> None:
    """Take a need away, and with it what it took of hardware."""
    with at_book.change(f"need {need} away", at) as change:
        change.remove(r.Need, need)
        for row in change.by(r.HardwareNeed, key=f"need:{need}"):
            change.remove(r.HardwareNeed, row.id)


def needs_of(at_book: BookAt, number: int) -> tuple[tuple[int, str], ...]:
    """Return what a task needs, each by its number and in words."""
    with at_book.read() as reader:
        reader.get(r.Task, number)
        return needs_in_words(reader).get(number, ())


def needs_in_words(reader: Reader) -> dict[int, tuple[tuple[int, str], ...]]:
    """Return what every task needs, by its number: each need by its number and in words."""
    tasks = {t.id: t for t in reader.all(r.Task)}
    parts = {p.id: p.name for p in reader.all(r.Part)}
    items = {h.id: h for h in reader.all(r.Hardware)}
    stages = {s.id: s.title for s in reader.all(r.Stage)}
    found: dict[int, list[tuple[int, str]]] = {}
    for need in reader.all(r.Need):
        if need.needed_task_id is not None:
            first = tasks[need.needed_task_id]
            said = f"after {first.id} {first.title}"
            said += f", and {need.cure_hours:g} h to cure" if need.cure_hours else ""
        elif need.needed_part_id is not None:
            said = f"part {parts[need.needed_part_id]} finished"
        elif need.hardware_id is not None:
            item = items[need.hardware_id]
            unit = "" if item.unit == "each" else f" {item.unit}"
            said = f"{trimmed(need.quantity, 3)}{unit} of {item.number} in hand"
        else:
            said = f"seen: {stages[need.stage_id or 0]}"
        found.setdefault(need.task_id, []).append((need.id, said))
    return {number: tuple(rows) for number, rows in found.items()}
