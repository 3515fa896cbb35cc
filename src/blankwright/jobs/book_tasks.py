"""What to do: tasks by hand, what they need, what can be done now, the chain, the batches."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from blankwright.base.errors import NotPossible, Problem
from blankwright.book import records as r
from blankwright.book.batches import Batches, best_batches
from blankwright.book.chain import Chain, critical_chain
from blankwright.book.change import Change
from blankwright.book.needs import Standing, check_no_circle, standings
from blankwright.book.work import (
    POSITION,
    SETUP,
    SETUP_HOURS,
    SHOP_HOURS,
    TURN_HOURS,
    load_work,
    setting,
)
from blankwright.jobs.book_find import bad_input, hardware_numbered, part_named, put_setting
from blankwright.jobs.book_open import BookAt


def add_task(at_book: BookAt, at: datetime, title: str, *, part: str = "", **values: Any) -> int:
    """Write a task by hand and return its number."""
    if not title.strip():
        raise bad_input("BOOK-050", "the task", "it says nothing", "Write what is to do")
    with at_book.change(f"task: {title}", at) as change:
        extra: dict[str, Any] = {}
        if part:
            row = part_named(change, part)
            extra = {"part_id": row.id, "major": row.major, **extra}
        return change.add(r.Task, title=title, by_hand=True, **{**extra, **values})


def change_task(at_book: BookAt, at: datetime, number: int, **values: Any) -> r.Task:
    """Change a task by hand; the tool leaves it alone from then on."""
    with at_book.change(f"task {number}: {', '.join(values)}", at) as change:
        change.put(r.Task, number, by_hand=True, **values)
        return change.get(r.Task, number)


def add_need(
    at_book: BookAt,
    at: datetime,
    number: int,
    *,
    after: Sequence[int] = (),
    cure_hours: float = 0.0,
    parts: Sequence[str] = (),
    hardware: Mapping[str, float] | None = None,
    stages: Sequence[int] = (),
) -> r.Task:
    """Say what a task needs first.

    Args:
        at_book: the book
        at: now
        number: the task
        after: numbers of tasks that come first
        cure_hours: hours that must go by after those [h]
        parts: parts that must be finished
        hardware: part number to quantity that must be in hand
        stages: numbers of inspection stages that must be seen

    Raises:
        NotPossible: when the needs would go in a circle; each circle is named
        BadInput: when something of it isn't in the book
    """
    with at_book.change(f"task {number}: needs", at) as change:
        task = change.get(r.Task, number)
        for first in after:
            change.add(
                r.Need,
                task_id=number,
                kind=r.NeedKind.CURE if cure_hours else r.NeedKind.TASK,
                needed_task_id=change.get(r.Task, first).id,
                cure_hours=cure_hours,
            )
        for name in parts:
            part = part_named(change, name)
            change.add(r.Need, task_id=number, kind=r.NeedKind.PART, needed_part_id=part.id)
        for item_number, quantity in (hardware or {}).items():
            item = hardware_numbered(change, item_number)
            need = change.add(
                r.Need,
                task_id=number,
                kind=r.NeedKind.HARDWARE,
                hardware_id=item.id,
                quantity=quantity,
            )
            change.add(
                r.HardwareNeed,
                hardware_id=item.id,
                quantity=quantity,
                task_id=number,
                part_id=task.part_id,
                key=f"need:{need}",
            )
        for stage in stages:
            row = change.get(r.Stage, stage)
            change.add(r.Need, task_id=number, kind=r.NeedKind.STAGE, stage_id=row.id)
        check_no_circle(load_work(change))
        return task


def drop_need(at_book: BookAt, at: datetime, need: int) -> None:
    """Take a need away, and with it what it took of hardware."""
    with at_book.change(f"need {need} away", at) as change:
        change.remove(r.Need, need)
        for row in change.by(r.HardwareNeed, key=f"need:{need}"):
            change.remove(r.HardwareNeed, row.id)


def begin_task(at_book: BookAt, at: datetime, number: int) -> r.Task:
    """Write down that a task is begun, and that the airplane lies and the shop is set up for it."""
    with at_book.change(f"begin task {number}", at) as change:
        task = change.get(r.Task, number)
        change.put(r.Task, number, state=r.TaskState.BEGUN, begun_at=task.begun_at or at)
        _stands_for(change, task)
        return change.get(r.Task, number)


def finish_task(at_book: BookAt, at: datetime, number: int, *, anyway: str = "") -> r.Task:
    """Write down that a task is done.

    Args:
        at_book: the book
        at: when it was done
        number: the task
        anyway: why it was done although the book says that it waits; kept as a note

    Raises:
        NotPossible: when it still waits for something, and no reason is given
    """
    with at_book.change(f"task {number} done", at) as change:
        task = change.get(r.Task, number)
        work = load_work(change)
        waits = next((s.waits for s in standings(work, at) if s.job.number == number), ())
        if waits and not anyway:
            raise NotPossible(
                *(
                    Problem(
                        code="BOOK-051",
                        where=f"task {number}, {task.title}",
                        got=wait.text,
                        fix="Settle that first, or say why it is done anyway",
                    )
                    for wait in waits
                )
            )
        note = task.note
        if waits:
            said = "; ".join(wait.text for wait in waits)
            note = f"{note}\n" * bool(note) + f"Done although it waited ({said}): {anyway}"
        change.put(
            r.Task,
            number,
            state=r.TaskState.DONE,
            done_at=at,
            begun_at=task.begun_at or at,
            note=note,
        )
        _stands_for(change, task)
        return change.get(r.Task, number)


def drop_task(at_book: BookAt, at: datetime, number: int, why: str) -> r.Task:
    """Write down that a task is not needed. It stays in the book."""
    with at_book.change(f"task {number} not needed: {why}", at) as change:
        task = change.get(r.Task, number)
        note = f"{task.note}\n" * bool(task.note) + f"Not needed: {why}"
        change.put(r.Task, number, state=r.TaskState.DROPPED, by_hand=True, note=note)
        return change.get(r.Task, number)


def what_next(at_book: BookAt, now: datetime) -> tuple[Standing, ...]:
    """Say of every open task whether it can be done now, or what it waits for."""
    with at_book.read() as reader:
        return standings(load_work(reader), now)


def chain_of(at_book: BookAt, now: datetime, hours_a_day: float | None = None) -> Chain:
    """Return the critical chain of what is left."""
    with at_book.read() as reader:
        pace = float(setting(reader, SHOP_HOURS)) if hours_a_day is None else hours_a_day
        return critical_chain(load_work(reader), now, hours_a_day=pace)


def batches_of(at_book: BookAt, *, waits_over: bool = False) -> Batches:
    """Return the order of work that turns the airplane over and sets up least."""
    with at_book.read() as reader:
        return best_batches(
            load_work(reader),
            turn_hours=float(setting(reader, TURN_HOURS)),
            setup_hours=float(setting(reader, SETUP_HOURS)),
            setup=setting(reader, SETUP),
            waits_over=waits_over,
        )


def state_setting(at_book: BookAt, at: datetime, name: str, value: str) -> None:
    """State a setting, such as how the airplane lies now."""
    if name in (SHOP_HOURS, TURN_HOURS, SETUP_HOURS):
        try:
            fine = float(value) >= 0.0 and float(value) <= 1000.0
        except ValueError:
            fine = False
        if not fine:
            raise bad_input("BOOK-052", name, f"{value!r} is no number of hours", "Write 1.5, say")
    with at_book.change(f"{name}: {value}", at) as change:
        put_setting(change, name, value)


def _stands_for(change: Change, task: r.Task) -> None:
    if task.position:
        put_setting(change, POSITION, task.position)
    if task.setup:
        put_setting(change, SETUP, task.setup)


def all_tasks(at_book: BookAt, *, part: str = "") -> tuple[r.Task, ...]:
    """Return all tasks, or those of a part."""
    with at_book.read() as reader:
        if part:
            return reader.by(r.Task, part_id=part_named(reader, part).id)
        return reader.all(r.Task)


def needs_of(at_book: BookAt, number: int) -> tuple[tuple[int, str], ...]:
    """Return what a task needs, each by its number and in words."""
    with at_book.read() as reader:
        reader.get(r.Task, number)
        found = []
        for need in reader.by(r.Need, task_id=number):
            if need.needed_task_id is not None:
                first = reader.get(r.Task, need.needed_task_id)
                said = f"after {first.id} {first.title}"
                said += f", and {need.cure_hours:g} h to cure" if need.cure_hours else ""
            elif need.needed_part_id is not None:
                said = f"part {reader.get(r.Part, need.needed_part_id).name} finished"
            elif need.hardware_id is not None:
                item = reader.get(r.Hardware, need.hardware_id)
                said = f"{need.quantity:g} {item.unit} of {item.number} in hand"
            else:
                said = f"seen: {reader.get(r.Stage, need.stage_id or 0).title}"
            found.append((need.id, said))
        return tuple(found)
