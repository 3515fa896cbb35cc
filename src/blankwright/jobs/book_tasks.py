"""What to do: tasks by hand, begun and done; what can be done now, the chain, the batches."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any, Final

from blankwright.base.errors import NotPossible, Problem
from blankwright.book import records as r
from blankwright.book.batches import Batches, best_batches
from blankwright.book.chain import Chain, critical_chain
from blankwright.book.change import Change
from blankwright.book.cures import Cure, cures
from blankwright.book.needs import Standing, Work, standings
from blankwright.book.work import (
    POSITION,
    SETUP,
    SETUP_HOURS,
    SHOP_HOURS,
    TURN_HOURS,
    load_work,
    setting,
)
from blankwright.jobs.book_find import bad_input, part_named, put_setting
from blankwright.jobs.book_log import Said, keep_pictures, write_entry
from blankwright.jobs.book_needs import Needs, add_needs
from blankwright.jobs.book_open import BookAt


def add_task(
    at_book: BookAt,
    at: datetime,
    title: str,
    *,
    part: str = "",
    needs: Needs | None = None,
    **values: Any,
) -> int:
    """Write a task by hand, with what it needs first; return its number. Raises as `add_need`."""
    if not title.strip():
        raise bad_input("BOOK-050", "the task", "it says nothing", "Write what is to do")
    with at_book.change(f"task: {title}", at) as change:
        extra: dict[str, Any] = {}
        if part:
            row = part_named(change, part)
            extra = {"part_id": row.id, "major": row.major}
        number = change.add(r.Task, title=title, by_hand=True, **{**extra, **values})
        if needs is not None:
            add_needs(change, change.get(r.Task, number), needs)
        return number


def change_task(at_book: BookAt, at: datetime, number: int, **values: Any) -> r.Task:
    """Change a task by hand; the tool leaves it alone from then on."""
    with at_book.change(f"task {number}: changed", at) as change:
        change.put(r.Task, number, by_hand=True, **values)
        return change.get(r.Task, number)


def begin_task(at_book: BookAt, at: datetime, number: int) -> Standing:
    """Write down that a task is begun, and that the airplane lies and the shop is set up for it.

    A task that is done or dropped is open again.

    Returns:
        where it stands; a builder may begin what still waits, and is told for what
    """
    with at_book.change(f"begin task {number}", at) as change:
        task = change.get(r.Task, number)
        change.what += f": {task.title}"
        change.put(
            r.Task, number, state=r.TaskState.BEGUN, begun_at=task.begun_at or at, done_at=None
        )
        _stands_for(change, task)
        return _standing(load_work(change), number, at)


def finish_task(
    at_book: BookAt, at: datetime, number: int, *, anyway: str = "", said: Said | None = None
) -> r.Task:
    """Write down that a task is done, and that the hardware it takes is used.

    Args:
        at_book: the book
        at: when it was done
        number: the task
        anyway: why it was done although the book says that it waits; kept as a note
        said: what to log about it, in the same change; nothing for no entry

    Raises:
        NotPossible: when it still waits for something and no reason is given, or is done already
        BadInput: when the entry can't be written
    """
    if said is not None:
        with at_book.read() as reader:
            title = reader.get(r.Task, number).title
        said = replace(said, task=number, text=said.text or f"Done: {title}")
    kept = keep_pictures(at_book, said) if said is not None else ()
    with at_book.change(f"task {number} done", at) as change:
        task = change.get(r.Task, number)
        change.what += f": {task.title}"
        if task.state in (r.TaskState.DONE, r.TaskState.DROPPED):
            raise NotPossible(
                Problem(
                    code="BOOK-057",
                    where=f"task {number}, {task.title}",
                    got=f"it is {task.state.value} already",
                    fix="Begin it again, if there is more to do",
                )
            )
        work = load_work(change)
        waits = _standing(work, number, at).waits
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
            told = "; ".join(wait.text for wait in waits)
            note = f"{note}\n" * bool(note) + f"Done although it waited ({told}): {anyway}"
        change.put(
            r.Task,
            number,
            state=r.TaskState.DONE,
            done_at=at,
            begun_at=task.begun_at or at,
            note=note,
        )
        for takes in work.jobs[number].takes:
            change.add(
                r.HardwareMove,
                hardware_id=takes.hardware,
                kind=r.MoveKind.USED,
                quantity=takes.quantity,
                at=at,
                task_id=number,
            )
        _stands_for(change, task)
        if said is not None:
            write_entry(at_book, change, at, said, kept)
        return change.get(r.Task, number)


def _standing(work: Work, number: int, at: datetime) -> Standing:
    return next(s for s in standings(work, at) if s.job.number == number)


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


def what_cures(at_book: BookAt, now: datetime) -> tuple[Cure, ...]:
    """Return what cures now, and until when."""
    with at_book.read() as reader:
        return cures(load_work(reader), now)


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


def state_settings(at_book: BookAt, at: datetime, values: Mapping[str, str]) -> None:
    """State settings by name, such as how the airplane lies now; all of them, or none.

    Raises:
        BadInput: when hours are none that can be
    """
    for name, value in values.items():
        least, most = _HOURS.get(name, (0.0, 0.0))
        try:
            fine = not most or least <= float(value) <= most
        except ValueError:
            fine = False
        if not fine:
            allowed = f"{least:g} to {most:g}; write 1.5, say"
            raise bad_input("BOOK-052", name, f"{value!r} is no such number of hours", allowed)
    told = ", ".join(f"{name}: {value or 'not stated'}" for name, value in values.items())
    with at_book.change(told, at) as change:
        for name, value in values.items():
            if value or change.by(r.Setting, name=name):
                put_setting(change, name, value)


_HOURS: Final = {SHOP_HOURS: (0.05, 24.0), TURN_HOURS: (0.0, 1000.0), SETUP_HOURS: (0.0, 1000.0)}
"""Least and most of each setting that is a number of hours [h]."""


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
