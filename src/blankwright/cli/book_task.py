"""`blankwright book tasks, task, change, needs, begin, done, drop, part, lies`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from blankwright.cli.book_shared import (
    PHOTO,
    Call,
    book_command,
    local,
    read_minutes,
    read_pairs,
)
from blankwright.cli.shared import table

if TYPE_CHECKING:
    from blankwright.jobs.book_needs import Needs


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


def _need_options(function: Callable[..., None]) -> Callable[..., None]:
    """Give a command the options that say what a task needs first."""
    for option in reversed(
        (
            click.option("--after", type=int, multiple=True, help="Task that comes first."),
            click.option(
                "--cured", "cure", type=float, default=0.0, help="Hours to wait after it."
            ),
            click.option("--finished", "parts", multiple=True, help="Part that must be finished."),
            click.option("--hardware", multiple=True, help="NUMBER=QUANTITY that must be in hand."),
            click.option(
                "--stage", "stages", type=int, multiple=True, help="Stage that must be seen."
            ),
        )
    ):
        function = option(function)
    return function


@click.command()
@click.argument("title")
@click.option("--part", default="", help="Part it is done to.")
@click.option("--major", default="", help="Major part its hours count for.")
@click.option("--place", default="", help="Where on the airplane.")
@click.option("--lies", "position", default="", help="How the airplane must lie.")
@click.option("--set-up", "setup", default="", help="What must be set up.")
@click.option("--takes-time", "time", default="", help="Expected: 45, 1:30, 1.5 h.")
@click.option("--note", default="", help="Anything else.")
@_need_options
@book_command
def task(
    call: Call,
    title: str,
    part: str,
    time: str,
    after: tuple[int, ...],
    cure: float,
    parts: tuple[str, ...],
    hardware: tuple[str, ...],
    stages: tuple[int, ...],
    **given: str,
) -> None:
    """Write a task by hand: TITLE, and what it needs first."""
    from blankwright.jobs.book_tasks import add_task

    values: dict[str, Any] = {name: value for name, value in given.items() if value}
    with call.book() as book:
        number = add_task(
            book,
            call.at,
            title,
            part=part,
            needs=_needs(after, cure, parts, hardware, stages),
            hours=read_minutes(time) / 60.0,
            **values,
        )
    call.show({"task": number}, f"Task {number}.")


def _needs(
    after: tuple[int, ...],
    cure: float,
    parts: tuple[str, ...],
    hardware: tuple[str, ...],
    stages: tuple[int, ...],
) -> Needs:
    from blankwright.jobs.book_needs import Needs

    return Needs(
        after=after,
        cure_hours=cure,
        parts=parts,
        hardware=read_pairs(hardware, "NUMBER"),
        stages=stages,
    )


@click.command()
@click.argument("number", type=int)
@click.option("--title", default=None, help="What is to do.")
@click.option("--major", default=None, help="Major part its hours count for.")
@click.option("--place", default=None, help="Where on the airplane.")
@click.option("--lies", "position", default=None, help="How the airplane must lie.")
@click.option("--set-up", "setup", default=None, help="What must be set up.")
@click.option("--takes-time", "time", default=None, help="Expected: 45, 1:30, 1.5 h.")
@click.option("--note", default=None, help="Anything else.")
@book_command
def change_(call: Call, number: int, time: str | None, **given: str | None) -> None:
    """Change task NUMBER; what you don't give stays. `book plan` leaves it alone from then on."""
    from blankwright.jobs.book_tasks import change_task

    values: dict[str, Any] = {name: value for name, value in given.items() if value is not None}
    if time is not None:
        values["hours"] = read_minutes(time) / 60.0
    with call.book() as book:
        found = change_task(book, call.at, number, **values)
    call.show(found, f"Task {number}: {found.title}.")


@click.command()
@click.argument("number", type=int)
@_need_options
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
    from blankwright.jobs.book_needs import add_need, drop_need, needs_of

    with call.book() as book:
        if away is not None:
            drop_need(book, call.at, away)
        elif after or parts or hardware or stages:
            add_need(book, call.at, number, _needs(after, cure, parts, hardware, stages))
        found = needs_of(book, number)
    call.show(
        [{"need": need, "text": said} for need, said in found],
        *(f"need {need}: {said}" for need, said in found),
    )


@click.command()
@click.argument("number", type=int)
@book_command
def begin(call: Call, number: int) -> None:
    """Task NUMBER is begun, or open again; the airplane lies and the shop is set up for it."""
    from blankwright.jobs.book_tasks import begin_task

    with call.book() as book:
        found = begin_task(book, call.at, number)
    call.show(
        found,
        f"Begun: {found.job.title}.",
        *(f"It still waits: {wait.text}" for wait in found.waits),
    )


@click.command()
@click.argument("number", type=int)
@click.option("--anyway", default="", help="Why it is done although the book says it waits.")
@click.option("--took", default="", help="Log the time as well: 45, 1:30, 1.5 h.")
@click.option("--log", "text", default="", help="What to log. [default: the task's title]")
@click.option("--helped", "helpers", default="", help="Who helped.")
@click.option("--photo", "photos", multiple=True, type=PHOTO, help="A photo; several if need be.")
@book_command
def done(
    call: Call,
    number: int,
    anyway: str,
    took: str,
    text: str,
    helpers: str,
    photos: tuple[Path, ...],
) -> None:
    """Task NUMBER is done; what it takes of hardware is used."""
    from blankwright.jobs.book_log import Picture, Said
    from blankwright.jobs.book_tasks import finish_task

    said = Said(
        text=text,
        minutes=read_minutes(took),
        helpers=helpers,
        pictures=tuple(Picture(data=p.read_bytes(), name=p.name) for p in photos),
    )
    silent = not (text or took or helpers or photos)
    with call.book() as book:
        found = finish_task(book, call.at, number, anyway=anyway, said=None if silent else said)
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
@click.argument("names", nargs=-1, required=True)
@click.option("--title", default=None)
@click.option("--drawing", default=None, help="Drawing number and revision.")
@click.option("--major", default=None, help="Major part it belongs to.")
@click.option("--lies", "position", default=None, help="How the airplane must lie to fit it.")
@click.option("--glue", default=None, help="What it is glued with.")
@click.option("--cure", "cure_hours", type=float, default=None, help="Hours the glue cures.")
@click.option("--treat", default=None, help="Treatment before it goes in.")
@click.option("--rivets", type=int, default=None, help="Fasteners that hold it.")
@click.option("--closes", default=None, help="What can't be seen any more once it is in.")
@click.option("--bought/--made", default=None, help="It comes ready made, or is made here.")
@book_command
def part(call: Call, names: tuple[str, ...], **given: Any) -> None:
    """Say of parts NAMES what their part files don't, and renew their tasks."""
    from blankwright.jobs.book_plan import plan, state_part

    values = {key: value for key, value in given.items() if value is not None}
    with call.book() as book:
        found = [state_part(book, call.at, name, **values) for name in names]
        unread = plan(book, call.at, names).unread
    call.show(
        found if len(found) > 1 else found[0],
        *(f"Part {one.name}: {', '.join(values) or 'as it was'}." for one in found),
        *(
            f"{file}: its tasks were left alone, it can't be read\n  {said}"
            for file, said in unread
        ),
    )


@click.command()
@click.argument("position")
@book_command
def lies(call: Call, position: str) -> None:
    """Say how the airplane lies now: POSITION, such as upright or inverted."""
    from blankwright.book.work import POSITION
    from blankwright.jobs.book_tasks import state_settings

    with call.book() as book:
        state_settings(book, call.at, {POSITION: position})
    call.show({"position": position}, f"The airplane lies {position}.")
