"""`blankwright book record, history, take-back, backup, restore, export, import, check`."""

from __future__ import annotations

from pathlib import Path

import click

from blankwright.cli.book_shared import Call, book_command, local
from blankwright.cli.shared import STOP, print_findings


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False), required=False)
@click.option("--paper", default="", help="A4, Letter. [default: the project's]")
@click.option(
    "--lettering",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    default=None,
    help="A TrueType file, for signs that the usual lettering lacks.",
)
@book_command
def record(call: Call, file: Path | None, paper: str, lettering: Path | None) -> None:
    """Print the builder's record into FILE. [default: out/builders-record.pdf]"""
    from blankwright.jobs.book_record import print_record

    with call.book() as book:
        path = file or book.project.out / "builders-record.pdf"
        done = print_record(book, call.at, path, paper=paper, lettering=lettering)
    lines = [f"{path}: {done.pages} pages, {done.photos} photos."]
    if done.unprinted:
        lines.append(f"Signs that the lettering lacks, shown as boxes: {' '.join(done.unprinted)}")
    call.show({"file": str(path), "record": done}, *lines)


@click.command()
@click.option("--last", default=20, help="How many.")
@click.option("--of", "of", default="", help="Only of this, such as 'task 12'.")
@click.option("--full", is_flag=True, help="Show what each change touched.")
@book_command
def history_(call: Call, last: int, of: str, full: bool) -> None:
    """Show the changes of the book, newest first."""
    from blankwright.book.history import history

    kind, _, number = of.partition(" ")
    if of and not number.isdigit():
        raise click.BadParameter(f"{of!r}: write a table and a number, such as 'task 12'")
    with call.book() as book, book.read() as reader:
        found = history(reader, last=last, table=kind, row_id=int(number) if number else None)
    lines = []
    for past in found:
        back = f"  (taken back by {past.taken_back_by})" if past.taken_back_by else ""
        note = past.note
        lines.append(f"{note.id:6} {local(note.at)}  {note.who}: {note.what}{back}")
        if full:
            lines += [
                f"         {row.table} {row.row_id}: {row.before or '-'} → {row.after or '-'}"
                for row in past.rows
            ]
    call.show(found, *(lines or ["Nothing yet."]))


@click.command()
@click.argument("number", type=int)
@book_command
def take_back_(call: Call, number: int) -> None:
    """Take change NUMBER back. That is a change too, and can be taken back."""
    from blankwright.jobs.book_keep import take_change_back

    with call.book() as book:
        done = take_change_back(book, call.at, number)
    call.show({"change": done}, f"Change {number} is taken back, by change {done}.")


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@book_command
def backup(call: Call, file: Path) -> None:
    """Write the whole book, its history and all photos into FILE, and read it back."""
    from blankwright.jobs.book_keep import back_up

    with call.book() as book:
        rows, photos = back_up(book, file)
    call.show(
        {"file": str(file), "rows": rows, "photos": photos},
        f"{file}: {rows} rows, {photos} photos. Keep it on another disk, away from the shop.",
    )


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@book_command
def restore_(call: Call, file: Path) -> None:
    """Put the backup FILE into the project, where no book is yet."""
    from blankwright.jobs.book_keep import restore

    rows, photos = restore(call.folder, file, address=call.address)
    call.show({"rows": rows, "photos": photos}, f"{rows} rows and {photos} photos are back.")


@click.command()
@click.argument("target", type=click.Path(path_type=Path))
@book_command
def export(call: Call, target: Path) -> None:
    """Write the book into TARGET: one .json file, or a folder of .csv files."""
    from blankwright.jobs.book_keep import export_csv, export_json

    with call.book() as book:
        if target.suffix == ".json":
            rows = export_json(book, target)
            call.show({"file": str(target), "rows": rows}, f"{target}: {rows} rows.")
            return
        files = export_csv(book, target)
    call.show({"files": [str(f) for f in files]}, f"{len(files)} files in {target}.")


@click.command()
@click.argument("source", type=click.Path(path_type=Path, exists=True))
@book_command
def import_(call: Call, source: Path) -> None:
    """Read SOURCE into the book: a .json file, a .csv file or a folder of them.

    Where no book is yet, a whole one is taken over with its history; else rows are added, as one
    change.
    """
    from blankwright.jobs.book_keep import import_book

    with call.book(make=True) as book:
        done = import_book(book, call.at, source)
    added = sum(done.added.values())
    there = sum(done.there.values())
    said = "the whole book with its history" if done.whole else f"{there} were there already"
    call.show(done, f"{added} rows added, {said}.")


@click.command()
@book_command
def check(call: Call) -> None:
    """Look the book and its photos over."""
    from blankwright.jobs.book_keep import check_book

    with call.book() as book:
        found = check_book(book)
    if call.as_json:
        call.show(found)
    elif found:
        print_findings(found)
    else:
        click.echo("The book is whole, and every photo is as it was kept.")
    if any(finding.blocks for finding in found):
        raise click.exceptions.Exit(STOP)
