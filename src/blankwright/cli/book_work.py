"""`blankwright book start, plan, next, chain, batches, pace, hours`: what to do, in what order."""

from __future__ import annotations

import click

from blankwright.cli.book_shared import Call, book_command, day_after, local
from blankwright.cli.shared import table


@click.command()
@click.option("--airplane", default="", help="What is built. [default: the project's title]")
@click.option("--builder", default="", help="Who builds it.")
@click.option("--serial", default="", help="Serial number.")
@book_command
def start(call: Call, airplane: str, builder: str, serial: str) -> None:
    """Start the job book of the project, or say whose airplane it is."""
    from blankwright.jobs.book_open import start_book

    where = start_book(
        call.folder,
        call.at,
        address=call.address,
        airplane=airplane,
        builder=builder or call.who,
        serial=serial,
    )
    call.show({"book": where}, f"The job book is in {where}.")


@click.command()
@click.argument("parts", nargs=-1)
@book_command
def plan(call: Call, parts: tuple[str, ...]) -> None:
    """Make the tasks of PARTS, or of all: cut, drill, bend, trial fit, glue, rivet, inspect.

    Tasks that are begun, done or changed by hand are left alone.
    """
    from blankwright.jobs.book_plan import plan as make

    with call.book() as book:
        done = make(book, call.at, parts)
    lines = [
        f"{one.part}: {len(one.made)} made, {len(one.renewed)} renewed, {len(one.dropped)} dropped"
        for one in done.parts
    ]
    lines += [f"{name}: left alone, its file can't be read\n  {said}" for name, said in done.unread]
    call.show(done, *(lines or ["There are no parts."]))
    if done.unread:
        raise click.exceptions.Exit(2)


@click.command()
@click.option("--all", "show_all", is_flag=True, help="Show everything that waits, too.")
@book_command
def next_(call: Call, show_all: bool) -> None:
    """Show what can be done now, and what waits for what."""
    from blankwright.jobs.book_tasks import what_cures, what_next

    with call.book() as book:
        found = what_next(book, call.at)
        curing = what_cures(book, call.at)
    if call.as_json:
        call.show(found)
        return
    ready = [s for s in found if s.can_be_done]
    waiting = [s for s in found if not s.can_be_done]
    if ready:
        table(
            ("no.", "can be done now", "hours", "needs"),
            [
                (
                    str(s.job.number),
                    s.job.title + (" (begun)" if s.job.begun else ""),
                    f"{s.job.hours:.1f}",
                    "; ".join(
                        [*([f"lay {s.turn}"] if s.turn else []), *filter(None, [s.job.setup])]
                    ),
                )
                for s in ready
            ],
        )
    else:
        click.echo("Nothing can be done now.")
    for cure in curing:
        click.echo(f"Cures until {local(cure.until)}: {cure.title}.")
    shown = waiting if show_all else waiting[:10]
    if shown:
        click.echo("")
        table(
            ("no.", "waits", "for"),
            [
                (
                    str(s.job.number),
                    s.job.title,
                    "; ".join(
                        w.text + (f" (until {local(w.until)})" if w.until else "") for w in s.waits
                    ),
                )
                for s in shown
            ],
        )
    if len(waiting) > len(shown):
        click.echo(f"... and {len(waiting) - len(shown)} more: --all")


@click.command()
@click.option("--hours-a-day", type=float, default=None, help="Work in the shop on an average day.")
@book_command
def chain(call: Call, hours_a_day: float | None) -> None:
    """Show the critical chain: what decides when all is done."""
    from blankwright.book.chain import span
    from blankwright.jobs.book_tasks import all_tasks, chain_of

    with call.book() as book:
        found = chain_of(book, call.at, hours_a_day)
        titles = {t.id: t.title for t in all_tasks(book)}
    if call.as_json:
        call.show(found)
        return
    rows = []
    for link in found.links:
        if link.wait_for:
            rows.append(("", link.wait_for, "", span(link.wait), ""))
        times = found.times[link.task]
        rows.append(
            (
                str(link.task),
                titles[link.task],
                f"{found.hours[link.task]:.1f}",
                span(times.finish - times.start),
                day_after(call.at, times.finish),
            )
        )
    table(("no.", "critical chain", "work h", "by the calendar", "done by"), rows)
    click.echo(f"In all {span(found.length)} from now, with hands enough;")
    click.echo(f"{found.work:.1f} h of work, so alone at least {span(found.alone)}.")
    if found.no_date:
        click.echo("Hardware without a delivery date was taken as there: see book hardware.")


@click.command()
@click.option("--waits-over", is_flag=True, help="Take hardware and stages as settled.")
@book_command
def batches(call: Call, waits_over: bool) -> None:
    """Show the order of work that turns the airplane over and sets up least."""
    from blankwright.jobs.book_tasks import all_tasks, batches_of

    with call.book() as book:
        found = batches_of(book, waits_over=waits_over)
        titles = {t.id: t.title for t in all_tasks(book)}
    lines = []
    for number, batch in enumerate(found.batches, start=1):
        stands = ", ".join(filter(None, [batch.position, batch.setup])) or "as things stand"
        turn = "  (turn it)" if batch.turned else ""
        lines.append(f"{number}. {stands}{turn}")
        lines += [f"     {n:4} {titles[n]}" for n in batch.tasks]
    word = "no order takes less" if found.proved else "not proved to be the least"
    lines.append(f"{found.cost:.1f} h of turning and setting up; {word}.")
    if found.left_out:
        lines.append(f"{len(found.left_out)} tasks wait for hardware or a stage and are left out.")
    call.show(found, *lines)


@click.command()
@click.option("--hours-a-day", "shop_hours", default=None, help="Work in the shop, on average.")
@click.option("--turning", "turn_hours", default=None, help="Hours to turn the airplane over.")
@click.option("--setting-up", "setup_hours", default=None, help="Hours to set something up.")
@book_command
def pace(call: Call, **given: str | None) -> None:
    """Say how much is worked a day, and what turning over and setting up take; or show it."""
    from blankwright.book import work
    from blankwright.jobs.book_tasks import state_settings

    names = {key: str(getattr(work, key.upper())) for key in given}
    with call.book() as book:
        stated = {names[key]: value for key, value in given.items() if value is not None}
        if stated:
            state_settings(book, call.at, stated)
        with book.read() as reader:
            found = {name: work.setting(reader, name) for name in names.values()}
    call.show(found, *(f"{name}: {value}" for name, value in found.items()))


@click.command()
@click.option("--by", type=click.Choice(["major part", "kind"]), default="major part")
@book_command
def hours(call: Call, by: str) -> None:
    """Show hours expected, left and taken."""
    from blankwright.jobs.book_hours import hours_by

    with call.book() as book:
        found = hours_by(book, by)
    if call.as_json:
        call.show(found)
        return
    table(
        (by, "expected", "left", "taken"),
        [(f.name, f"{f.expected:.1f}", f"{f.left:.1f}", f"{f.taken:.1f}") for f in found],
    )
