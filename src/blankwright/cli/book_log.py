"""`blankwright book log, entries, size`: the log and what it measured."""

from __future__ import annotations

from pathlib import Path

import click

from blankwright.cli.book_shared import PHOTO, Call, book_command, local, read_minutes


@click.command()
@click.argument("text", default="")
@click.option("--took", default="", help="45, 1:30, 1.5 h.")
@click.option("--task", type=int, default=None, help="For which task.")
@click.option("--part", default="", help="For which part.")
@click.option("--place", default="", help="Where.")
@click.option("--helped", "helpers", default="", help="Who helped.")
@click.option(
    "--photo",
    "photos",
    multiple=True,
    type=PHOTO,
    help="A photo; may be given several times.",
)
@click.option(
    "--measured",
    multiple=True,
    help="PART.SIZE=VALUE, of a part or place, such as battery-tray.bay_width='186.4 mm ± 0.3 mm'.",
)
@click.option("--reason", default="", help="Why it was measured.")
@book_command
def log_(
    call: Call,
    text: str,
    took: str,
    task: int | None,
    part: str,
    place: str,
    helpers: str,
    photos: tuple[Path, ...],
    measured: tuple[str, ...],
    reason: str,
) -> None:
    """Write down what was done: TEXT."""
    from blankwright.jobs.book_log import Picture, log
    from blankwright.jobs.book_sizes import waiting_sizes
    from blankwright.jobs.book_typed import measured_of

    with call.book() as book:
        number = log(
            book,
            call.at,
            text,
            minutes=read_minutes(took),
            place=place,
            helpers=helpers,
            task=task,
            part=part,
            pictures=[Picture(data=p.read_bytes(), name=p.name) for p in photos],
            measured=[measured_of(typed, reason) for typed in measured],
        )
        found = waiting_sizes(book, number)
    call.show(
        {"entry": number, "measurements": [one for one, _ in found]},
        f"Entry {number}.",
        *(f"Put {said} into its file: blankwright book size {one}" for one, said in found),
    )


@click.command()
@click.argument("number", type=int)
@click.option("--text", default=None, help="What was done.")
@click.option("--took", default=None, help="45, 1:30, 1.5 h.")
@click.option("--place", default=None, help="Where.")
@click.option("--helped", "helpers", default=None, help="Who helped.")
@book_command
def correct(call: Call, number: int, took: str | None, **given: str | None) -> None:
    """Correct entry NUMBER; what you don't give stays, and the history keeps what it said."""
    from blankwright.jobs.book_log import change_entry

    minutes = None if took is None else read_minutes(took)
    with call.book() as book:
        found = change_entry(book, call.at, number, minutes=minutes, **given)
    call.show(found, f"Entry {number}: {found.text}")


@click.command()
@click.option("--count", default=20, help="How many.")
@click.option("--start", default=0, help="How many newer ones to pass over.")
@click.option("--part", default="", help="Only of this part.")
@click.option("--task", type=int, default=None, help="Only of this task.")
@click.option("--text", default="", help="Only those that say this.")
@book_command
def entries(call: Call, count: int, start: int, part: str, task: int | None, text: str) -> None:
    """Show the log, newest first."""
    from blankwright.jobs.book_log import log_page

    with call.book() as book:
        found = log_page(book, start=start, count=count, part=part, task=task, text=text)
    lines = []
    for line in found.lines:
        entry = line.entry
        about = " · ".join(
            filter(None, [line.task.title if line.task else "", entry.place, entry.who])
        )
        lines.append(f"{entry.id:5} {local(entry.at)} {entry.minutes:4} min  {entry.text}")
        lines += [f"      {about}"] if about else []
        lines += [f"      helped: {entry.helpers}"] if entry.helpers else []
        lines += [f"      photo: {p.name or p.file}" for p in line.photos]
        lines += [
            f"      measured: {name}.{m.size} {m.value}"
            + (f" ± {m.plus_minus}" if m.plus_minus else "")
            + f" (no. {m.id}, {m.state.value})"
            for name, m in zip(line.measured, line.measurements, strict=True)
        ]
    last = found.start + len(found.lines)
    lines.append(f"{found.start + 1 if found.lines else 0} to {last} of {found.total}.")
    call.show(found, *lines)


@click.command()
@click.argument("number", type=int, required=False)
@click.option("--formula-goes", is_flag=True, help="Let the number replace a formula.")
@book_command
def size(call: Call, number: int | None, formula_goes: bool) -> None:
    """Put measurement NUMBER into its file, with date and reason; without it, list what waits."""
    from blankwright.jobs.book_sizes import put_size, waiting_sizes

    if number is None:
        with call.book() as book:
            waiting = waiting_sizes(book)
        lines = [f"{one:5}  {said}" for one, said in waiting] or ["No measurement waits."]
        call.show([{"measurement": one, "text": said} for one, said in waiting], *lines)
        return
    with call.book() as book:
        found = put_size(book, call.at, number, replace_formula=formula_goes)
    was = f", was {found.old}" if found.old else ""
    call.show(found, f"{found.size} is {found.value} now{was}.")
