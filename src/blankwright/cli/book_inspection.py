"""`blankwright book stage, recurring`: what must be seen, and what is looked at again."""

from __future__ import annotations

import click

from blankwright.cli.book_shared import Call, book_command, local, read_minutes, read_pairs
from blankwright.cli.shared import table


@click.group()
def stage() -> None:
    """Stages that must be seen before they are closed up."""


@stage.command("add")
@click.argument("title")
@click.option("--closes", default="", help="What closes it up.")
@click.option("--major", default="", help="Major part.")
@book_command
def stage_add(call: Call, title: str, closes: str, major: str) -> None:
    """Write down a stage: TITLE is to be seen."""
    from blankwright.jobs.book_inspection import add_stage

    with call.book() as book:
        number = add_stage(book, call.at, title, closes=closes, major=major)
    call.show({"stage": number}, f"Stage {number}.")


@stage.command("change")
@click.argument("number", type=int)
@click.option("--title", default=None, help="What is to be seen.")
@click.option("--closes", default=None, help="What closes it up.")
@click.option("--major", default=None, help="Major part.")
@book_command
def stage_change(
    call: Call, number: int, title: str | None, closes: str | None, major: str | None
) -> None:
    """Change what stage NUMBER says; what you don't give stays."""
    from blankwright.jobs.book_inspection import change_stage

    with call.book() as book:
        row = change_stage(book, call.at, number, title=title, closes=closes, major=major)
    call.show(row, f"Stage {number}: {row.title}.")


@stage.command("seen")
@click.argument("number", type=int)
@click.option("--by", required=True, help="Who saw it.")
@click.option("--found", default="", help="What they said.")
@book_command
def stage_seen_(call: Call, number: int, by: str, found: str) -> None:
    """Stage NUMBER was seen."""
    from blankwright.jobs.book_inspection import stage_seen

    with call.book() as book:
        row = stage_seen(book, call.at, number, by, found)
    call.show(row, f"Seen by {row.seen_by}: {row.title}.")


@stage.command("list")
@book_command
def stage_list(call: Call) -> None:
    """List the stages, those not seen yet first."""
    from blankwright.jobs.book_inspection import stages

    with call.book() as book, book.read() as reader:
        found = stages(reader)
    if call.as_json:
        call.show(found)
        return
    table(
        ("no.", "stage", "closed up by", "seen", "by", "found"),
        [
            (str(s.id), s.title, s.closes, local(s.seen_at, day=True) or "NO", s.seen_by, s.found)
            for s in found
        ],
    )


@click.group()
def recurring() -> None:
    """Recurring inspection items, and how long they take."""


@recurring.command("add")
@click.argument("title")
@click.option("--cover", default="", help="What must come off for it.")
@click.option("--months", default=12, help="How often.")
@click.option("--looking", default="", help="The looking itself: 45, 1:30.")
@click.option("--fasteners", multiple=True, help="KIND=COUNT, such as 'screw in plate nut=18'.")
@click.option("--times", multiple=True, help="KIND=OUT/IN in seconds, the shop's own.")
@book_command
def recurring_add(
    call: Call,
    title: str,
    cover: str,
    months: int,
    looking: str,
    fasteners: tuple[str, ...],
    times: tuple[str, ...],
) -> None:
    """Write down a recurring item: TITLE."""
    from blankwright.jobs.book_inspection import add_yearly

    with call.book() as book:
        number = add_yearly(
            book,
            call.at,
            title,
            cover=cover,
            months=months,
            minutes=read_minutes(looking),
            fasteners=_counts(fasteners) or None,
            seconds=_seconds(times),
        )
    call.show({"recurring": number}, f"Recurring item {number}.")


@recurring.command("change")
@click.argument("number", type=int)
@click.option("--title", default=None, help="What is looked at.")
@click.option("--cover", default=None, help="What must come off for it.")
@click.option("--months", type=int, default=None, help="How often.")
@click.option("--looking", default=None, help="The looking itself: 45, 1:30.")
@click.option("--fasteners", multiple=True, help="KIND=COUNT: all of the cover's, anew.")
@click.option("--times", multiple=True, help="KIND=OUT/IN in seconds, the shop's own.")
@click.option("--ended/--goes-on", default=None, help="It is not looked at any more, or again.")
@book_command
def recurring_change(
    call: Call,
    number: int,
    title: str | None,
    cover: str | None,
    months: int | None,
    looking: str | None,
    fasteners: tuple[str, ...],
    times: tuple[str, ...],
    ended: bool | None,
) -> None:
    """Change recurring item NUMBER; what you don't give stays."""
    from blankwright.jobs.book_inspection import change_yearly

    with call.book() as book:
        row = change_yearly(
            book,
            call.at,
            number,
            title=title,
            cover=cover,
            months=months,
            minutes=None if looking is None else read_minutes(looking),
            fasteners=_counts(fasteners) or None,
            seconds=_seconds(times),
            ended=ended,
        )
    call.show(row, f"Recurring item {number}: {row.title}.")


def _counts(typed: tuple[str, ...]) -> dict[str, int]:
    return {kind: int(count) for kind, count in read_pairs(typed, "KIND").items()}


def _seconds(typed: tuple[str, ...]) -> dict[str, tuple[float, float]]:
    seconds = {}
    for text in typed:
        kind, _, both = text.rpartition("=")
        out, slash, back = both.partition("/")
        try:
            if not kind or not slash:
                raise ValueError
            seconds[kind] = (float(out), float(back))
        except ValueError as error:
            raise click.BadParameter(f"{text!r}: write KIND=OUT/IN") from error
    return seconds


@recurring.command("done")
@click.argument("number", type=int)
@click.option("--took", default="", help="45, 1:30, 1.5 h.")
@click.option("--found", default="", help="What was found.")
@book_command
def recurring_done(call: Call, number: int, took: str, found: str) -> None:
    """Recurring item NUMBER was done."""
    from blankwright.jobs.book_inspection import yearly_done

    with call.book() as book:
        yearly_done(book, call.at, number, minutes=read_minutes(took), found=found)
    call.show({"recurring": number}, "Written down.")


@recurring.command("list")
@book_command
def recurring_list(call: Call) -> None:
    """List the recurring items, the soonest due first, with the time each takes."""
    from blankwright.jobs.book_inspection import yearly_times

    with call.book() as book, book.read() as reader:
        found = yearly_times(reader, call.at)
    if call.as_json:
        call.show(found)
        return
    table(
        ("no.", "item", "cover", "fasteners", "off", "on", "minutes", "last", "due"),
        [
            (
                str(t.item.id),
                t.item.title,
                t.item.cover,
                str(t.fasteners),
                f"{t.off_minutes:.0f}",
                f"{t.on_minutes:.0f}",
                f"{t.minutes:.0f}",
                local(t.last, day=True) or "never",
                (local(t.due, day=True) or "now") + (" OVERDUE" if t.overdue and t.due else ""),
            )
            for t in found
        ],
    )
    click.echo(f"In all {sum(t.minutes for t in found) / 60.0:.1f} h.")
