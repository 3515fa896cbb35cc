"""What to do: tasks from parts and by hand, what can be done now, the chain, the batches, hours."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from blankwright.base.errors import BadInput, BlankwrightError, NotPossible, Problem
from blankwright.book import records as r
from blankwright.book.batches import Batches, best_batches
from blankwright.book.chain import Chain, critical_chain
from blankwright.book.change import Change, Reader
from blankwright.book.needs import Standing, check_no_circle, standings
from blankwright.book.renew import Renewed, renew_part
from blankwright.book.routine import HOURS, PartFacts, facts_of, learned_pace
from blankwright.book.work import (
    POSITION,
    SETUP,
    SETUP_HOURS,
    SHOP_HOURS,
    TURN_HOURS,
    load_work,
    setting,
)
from blankwright.jobs.book_open import BookAt
from blankwright.part.model import Part


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """What making the tasks did.

    Args:
        parts: of each part, what was made, renewed and dropped
        unread: parts whose file can't be read, each with the problem; their tasks were left alone
    """

    parts: tuple[Renewed, ...]
    unread: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursLine:
    """Hours of a major part, a kind of work, or all.

    Args:
        name: of what
        expected: of all its tasks [h]
        left: expected of those not done [h]
        taken: logged [h]
    """

    name: str
    expected: float
    left: float
    taken: float


def plan(at_book: BookAt, at: datetime, names: Sequence[str] = ()) -> Planned:
    """Make or renew the tasks of parts from their part files and what the book says of them.

    Args:
        at_book: the book
        at: now
        names: the parts; none for all of the project
    """
    from blankwright.files.partfile import read_part

    project = at_book.project
    files = [project.part_file(n) for n in names] if names else list(project.part_files)
    stated: list[tuple[Part, str]] = []
    unread: list[tuple[str, str]] = []
    for file in files:
        try:
            stated.append((read_part(file), file.relative_to(project.root).as_posix()))
        except BlankwrightError as error:
            unread.append((file.stem, str(error)))
    with at_book.change("make tasks from parts", at) as change:
        pace = shop_pace(change)
        known = {part.name: part for part in change.all(r.Part)}
        done = []
        for part, path in stated:
            facts = _with_book(facts_of(part, file=path), known.get(part.name))
            count = sum(not bend.last for bend in part.bends)
            major = known[part.name].major if part.name in known else ""
            done.append(renew_part(change, facts, bends=count, pace=pace, major=major))
        if not names:
            done += _without_file(change, known, {part.name for part, _ in stated} | dict(unread).keys(), pace)
        check_no_circle(load_work(change))
    return Planned(parts=tuple(done), unread=tuple(unread))


def state_part(at_book: BookAt, at: datetime, name: str, **values: Any) -> r.Part:
    """State what only the book knows of a part; its tasks follow with the next `plan`.

    Args:
        at_book: the book
        at: now
        name: the part; a new one is made if the book doesn't have it
        values: columns of `Part`
    """
    with at_book.change(f"part {name}: {', '.join(values) or 'new'}", at) as change:
        known = change.by(r.Part, name=name)
        row = known[0].id if known else change.add(r.Part, name=name)
        change.put(r.Part, row, **values)
        return change.get(r.Part, row)


def add_task(at_book: BookAt, at: datetime, title: str, *, part: str = "", **values: Any) -> int:
    """Write a task by hand and return its number."""
    if not title.strip():
        raise _bad("BOOK-050", "the task", "it says nothing", "Write what is to do")
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
            raise _bad("BOOK-052", name, f"{value!r} is no number of hours", "Write 1.5, say")
    with at_book.change(f"{name}: {value}", at) as change:
        put_setting(change, name, value)


def hours_by(at_book: BookAt, by: str = "major part") -> tuple[HoursLine, ...]:
    """Return hours expected, left and taken by ``major part`` or ``kind``, and of all together."""
    with at_book.read() as reader:
        tasks = {t.id: t for t in reader.all(r.Task) if t.state is not r.TaskState.DROPPED}
        parts = {p.id: p for p in reader.all(r.Part)}
        entries = reader.all(r.Entry)
    lines: dict[str, list[float]] = {}

    def line(name: str) -> list[float]:
        return lines.setdefault(name or "not stated", [0.0, 0.0, 0.0])

    for task in tasks.values():
        row = line(task.major if by == "major part" else task.kind.value)
        row[0] += task.hours
        row[1] += 0.0 if task.state is r.TaskState.DONE else task.hours
    for entry in entries:
        task_of = tasks.get(entry.task_id or 0)
        part = parts.get(entry.part_id or 0)
        major = entry.major or (task_of.major if task_of else "") or (part.major if part else "")
        kind = task_of.kind.value if task_of else ""
        line(major if by == "major part" else kind)[2] += entry.minutes / 60.0
    found = [
        HoursLine(name=name, expected=e, left=left, taken=t)
        for name, (e, left, t) in sorted(lines.items())
    ]
    total = HoursLine(
        name="all",
        expected=sum(f.expected for f in found),
        left=sum(f.left for f in found),
        taken=sum(f.taken for f in found),
    )
    return (*found, total)


def shop_pace(reader: Reader) -> dict[r.TaskKind, float]:
    """Return the shop's own pace: hours taken over hours at the book's first rate, by kind."""
    minutes: dict[int, int] = {}
    for entry in reader.all(r.Entry):
        if entry.task_id is not None:
            minutes[entry.task_id] = minutes.get(entry.task_id, 0) + entry.minutes
    done = [t for t in reader.by(r.Task, state=r.TaskState.DONE) if t.key and t.kind in HOURS]
    first_pace = {
        name: float(value)
        for name, value in (
            (s.name.removeprefix("pace at "), s.value)
            for s in reader.all(r.Setting)
            if s.name.startswith("pace at ")
        )
    }
    return learned_pace(
        (t.kind, t.hours / first_pace.get(str(t.id), 1.0), minutes.get(t.id, 0) / 60.0)
        for t in done
    )


def part_named(reader: Reader, name: str) -> r.Part:
    """Return a part by name. Raises BadInput."""
    found = reader.by(r.Part, name=name)
    if not found:
        have = ", ".join(p.name for p in reader.all(r.Part, order=("name",))) or "none yet"
        raise BadInput(
            Problem(
                code="BOOK-053",
                where=f"part {name}",
                got="the book has no such part",
                allowed=have,
                fix="Make its tasks first: blankwright book plan",
            )
        )
    return found[0]


def hardware_numbered(reader: Reader, number: str) -> r.Hardware:
    """Return a hardware item by its part number. Raises BadInput."""
    found = reader.by(r.Hardware, number=number)
    if not found:
        raise _bad(
            "BOOK-054",
            f"hardware {number}",
            "the book has no such item",
            "Enter it first: blankwright book need-hardware",
        )
    return found[0]


def put_setting(change: Change, name: str, value: str) -> None:
    """Set a setting inside a change."""
    known = change.by(r.Setting, name=name)
    if known:
        change.put(r.Setting, known[0].id, value=value)
    else:
        change.add(r.Setting, name=name, value=value)


def _stands_for(change: Change, task: r.Task) -> None:
    if task.position:
        put_setting(change, POSITION, task.position)
    if task.setup:
        put_setting(change, SETUP, task.setup)


def _with_book(facts: PartFacts, known: r.Part | None) -> PartFacts:
    if known is None:
        return facts
    return replace(
        facts,
        position=known.position,
        glue=known.glue,
        cure_hours=known.cure_hours,
        treat=known.treat,
        rivets=known.rivets,
        closes=known.closes,
    )


def _without_file(
    change: Change,
    known: Mapping[str, r.Part],
    have: set[str],
    pace: Mapping[r.TaskKind, float],
) -> list[Renewed]:
    """Parts that only the book knows: bought, or drawn by hand."""
    done = []
    for name, part in known.items():
        if name not in have and not part.file:
            facts = PartFacts(name=name, title=part.title, drawing=part.drawing)
            done.append(
                renew_part(change, _with_book(facts, part), bends=0, pace=pace, major=part.major)
            )
    return done


def _bad(code: str, where: str, got: str, fix: str) -> BadInput:
    return BadInput(Problem(code=code, where=where, got=got, fix=fix))
