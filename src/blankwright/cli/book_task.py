"""`blankwright book tasks, task, needs, begin, done, drop, part, lies`: tasks and parts."""

from __future__ import annotations

from typing import Any

import click

from blankwright.cli.book_shared import Call, book_command, local, read_minutes, read_pairs
from blankwright.cli.shared import table


@click.command()
@click.option("--part", default="", help="Only those of this part.")
@book_command
def tasks(call: Call, part: str) -> None:
    """List all tasks."""
    from blankwright.jobs.book_tasks import all_tasks

    with call.book() as book:
        found = all_tasks(book, part=part)
    if call.as_json:
        call.show(found)
        return
    table(
        ("no.", "task", "state", "hours", "major part", "lies", "set up", "done"),
        [
            (
                str(t.id),
                t.title,
                t.state.value,
                f"{t.hours:.1f}",
                t.major,
                t.position,
                t.setup,
                local(t.done_at),
            )
            for t in found
        ],
    )


@click.command()
@click.argument("title")
@click.option("--part", default="", help="Part it is done to.")
@click.option("--major", default="", help="Major part its hours count for.")
@click.option("--place", default="", help="Where on the airplane.")
@click.option("--lies", "position", default="", help="How the airplane must lie.")
@click.option("--set-up", "setup", default="", help="What must be set up.")
@click.option("--takes-time", "time", default="", help="Expected: 45, 1:30, 1.5 h.")
@click.option("--note", default="", help="Anything else.")
@book_command
def task(call: Call, title: str, part: str, time: str, **given: str) -> None:
    """Write a task by hand: TITLE."""
    from blankwright.jobs.book_tasks import add_task

    values: dict[str, Any] = {name: value for name, value in given.items() if value}
    with call.book() as book:
        number = add_task(
            book, call.at, title, part=part, hours=read_minutes(time) / 60.0, **values
        )
    call.show({"task": number}, f"Task {number}.")


@click.command()
@click.argument("number", type=int)
@click.option("--after", type=int, multiple=True, help="Task that comes first.")
@click.option("--cured", "cure", type=float, default=0.0, help="Hours to wait after it.")
@click.option("--part", "parts", multiple=True, help="Part that must be finished.")
@click.option("--hardware", multiple=True, help="NUMBER=QUANTITY that must be in hand.")
@click.option("--stage", "stages", type=int, multiple=True, help="Stage that must be seen.")
@click.option("--away", type=int, default=None, help="Take this need away instead.")
@book_command
def needs(
    call: Call,
    number: int,
    after: tuple[int, ...],
    cure: float,
    parts: tuple[str, ...],
    hardware: tuple[str, ...],
    stages: tuple[int, ...],
    away: int | None,
) -> None:
    """Say what task NUMBER needs first; with nothing more, list what it needs."""
    from blankwright.jobs.book_tasks import add_need, drop_need, needs_of

    with call.book() as book:
        if away is not None:
            drop_need(book, call.at, away)
        elif after or parts or hardware or stages:
            add_need(
                book,
                call.at,
                number,
                after=after,
                cure_hours=cure,
                parts=parts,
                hardware=read_pairs(hardware, "NUMBER"),
                stages=stages,
            )
        found = needs_of(book, number)
    call.show(
        [{"need": need, "text": said} for need, said in found],
        *(f"need {need}: {said}" for need, said in found),
    )


@click.command()
@click.argument("number", type=int)
@book_command
def begin(call: Call, number: int) -> None:
    """Task NUMBER is begun; the airplane lies and the shop is set up for it."""
    from blankwright.jobs.book_tasks import begin_task

    with call.book() as book:
        found = begin_task(book, call.at, number)
    call.show(found, f"Begun: {found.title}.")


@click.command()
@click.argument("number", type=int)
@click.option("--anyway", default="", help="Why it is done although the book says it waits.")
@click.option("--took", default="", help="Log the time as well: 45, 1:30, 1.5 h.")
@click.option("--log", "text", default="", help="What to log. [default: the task's title]")
@book_command
def done(call: Call, number: int, anyway: str, took: str, text: str) -> None:
    """Task NUMBER is done."""
    from blankwright.jobs.book_log import log
    from blankwright.jobs.book_tasks import finish_task

    minutes = read_minutes(took)
    with call.book() as book:
        found = finish_task(book, call.at, number, anyway=anyway)
        if minutes or text:
            log(book, call.at, text or f"Done: {found.title}", minutes=minutes, task=number)
    call.show(found, f"Done: {found.title}.")


@click.command()
@click.argument("number", type=int)
@click.argument("why")
@book_command
def drop(call: Call, number: int, why: str) -> None:
    """Task NUMBER is not needed; say WHY. It stays in the book."""
    from blankwright.jobs.book_tasks import drop_task

    with call.book() as book:
        found = drop_task(book, call.at, number, why)
    call.show(found, f"Not needed: {found.title}.")


@click.command()
@click.argument("name")
@click.option("--title", default=None)
@click.option("--drawing", default=None, help="Drawing number and revision.")
@click.option("--major", default=None, help="Major part it belongs to.")
@click.option("--lies", "position", default=None, help="How the airplane must lie to fit it.")
@click.option("--glue", default=None, help="What it is glued with.")
@click.option("--cure", "cure_hours", type=float, default=None, help="Hours the glue cures.")
@click.option("--treat", default=None, help="Treatment before it goes in.")
@click.option("--rivets", type=int, default=None, help="Fasteners that hold it.")
@click.option("--closes", default=None, help="What can't be seen any more once it is in.")
@book_command
def part(call: Call, name: str, **given: Any) -> None:
    """Say of part NAME what its part file doesn't, and renew its tasks."""
    from blankwright.jobs.book_plan import plan, state_part

    values = {key: value for key, value in given.items() if value is not None}
    with call.book() as book:
        found = state_part(book, call.at, name, **values)
        plan(book, call.at)
    call.show(found, f"Part {found.name}: {', '.join(values) or 'as it was'}.")


@click.command()
@click.argument("position")
@book_command
def lies(call: Call, position: str) -> None:
    """Say how the airplane lies now: POSITION, such as upright or inverted."""
    from blankwright.book.work import POSITION
    from blankwright.jobs.book_tasks import state_setting

    with call.book() as book:
        state_setting(book, call.at, POSITION, position)
    call.show({"position": position}, f"The airplane lies {position}.")
