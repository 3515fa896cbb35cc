"""Keeping the book: history, taking back, backup and restore, export and import, and a check."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from blankwright.base.errors import BadInput, BlankwrightError, Problem
from blankwright.base.findings import Finding, Level
from blankwright.book import records as r
from blankwright.book.dump import dump, is_empty, load, merge
from blankwright.book.history import take_back
from blankwright.book.look_up import troubles
from blankwright.book.migrate import NEWEST, VERSIONS
from blankwright.book.store import FILE_NAME, connect
from blankwright.book.work import BUILDER, setting
from blankwright.jobs.book_open import BookAt
from blankwright.jobs.project import find_project


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """What an import did.

    Args:
        whole: whether it filled an empty book, history and numbers included
        added: rows added, by table
        there: rows that the book had already, by table
    """

    whole: bool
    added: dict[str, int]
    there: dict[str, int]


def take_change_back(at_book: BookAt, at: datetime, number: int) -> int:
    """Take a change back, as a change of its own; return its number. Raises as `take_back`."""
    with at_book.read() as reader:
        who = at_book.who or setting(reader, BUILDER)
    return take_back(at_book.book, number, who=who, at=at)


def back_up(at_book: BookAt, path: Path) -> tuple[int, int]:
    """Write the whole book with its photos into one file; return how many rows and photos.

    Raises:
        FileProblem: when a photo is missing or spoiled, or the file can't be written
    """
    from blankwright.files.book_backup import write_backup

    with at_book.read() as reader:
        tables = dump(reader)
    # Photos that were taken back with their entry stay in the history, so they are kept too.
    from blankwright.files.photos import kept_photos

    photos = {*(str(row["file"]) for row in tables["photo"]), *kept_photos(at_book.photos)}
    write_backup(path, NEWEST, tables, at_book.photos, photos)
    return sum(map(len, tables.values())), len(photos)


def restore(folder: Path, path: Path, *, address: str = "") -> tuple[int, int]:
    """Put a backup where no book is yet; return how many rows and photos.

    Raises:
        NotPossible: when there is a book already
        BadInput: when the backup is spoiled; nothing is changed then
    """
    from blankwright.files.book_backup import read_backup, unpack_photos

    project = find_project(folder)
    backup = read_backup(path)
    _check_version(backup.version, str(path))
    # Photos first: a crash in between leaves photos that nothing tells of, never a book without.
    count = unpack_photos(path, project.root / "photos")
    book = connect(address or project.root / FILE_NAME)
    try:
        load(book, backup.version, backup.tables)
    finally:
        book.close()
    return sum(map(len, backup.tables.values())), count


def export_json(at_book: BookAt, path: Path) -> int:
    """Write the whole book, history included and photos not, as one JSON file; return the rows."""
    from blankwright.files.book_backup import book_json
    from blankwright.files.whole import write_whole

    with at_book.read() as reader:
        tables = dump(reader)
    write_whole(path, book_json(NEWEST, tables))
    return sum(map(len, tables.values()))


def export_csv(at_book: BookAt, folder: Path) -> tuple[Path, ...]:
    """Write the whole book as one CSV file a table; return the files."""
    from blankwright.files.book_csv import write_tables

    with at_book.read() as reader:
        tables = dump(reader)
    return write_tables(folder, tables)


def import_book(at_book: BookAt, at: datetime, path: Path) -> Imported:
    """Read a JSON file, a CSV file or a folder of CSV files into the book.

    An empty book takes a whole one as it is, with its history; else rows are added, as one change
    that can be taken back.

    Raises:
        BadInput: with all that doesn't fit; nothing is changed then
    """
    from blankwright.files.book_backup import read_book_json
    from blankwright.files.book_csv import read_tables

    tables: dict[str, list[dict[str, Any]]]
    if path.suffix == ".json":
        version, tables = read_book_json(path.read_bytes(), str(path))
        _check_version(version, str(path))
    else:
        version, tables = NEWEST, read_tables(path)
    with at_book.read() as reader:
        whole = is_empty(reader) and bool(tables.get("change"))
    if whole:
        load(at_book.book, version, tables)
        return Imported(whole=True, added={n: len(rows) for n, rows in tables.items()}, there={})
    with at_book.change(f"import {path.name}", at) as change:
        counts = merge(change, tables)
    return Imported(
        whole=False,
        added={name: added for name, (added, _) in counts.items()},
        there={name: there for name, (_, there) in counts.items()},
    )


def check_book(at_book: BookAt) -> tuple[Finding, ...]:
    """Look the book and its photos over; return what is wrong."""
    from blankwright.files.photos import kept_photos, read_photo

    found: list[Finding] = []
    with at_book.read() as reader:
        found += [
            Finding(
                code="BOOK-110",
                level=Level.STOP,
                place=at_book.book.name,
                got=said,
                fix="Restore the last backup",
            )
            for said in troubles(reader)
        ]
        photos = reader.all(r.Photo)
    for photo in photos:
        try:
            read_photo(at_book.photos, photo.file)
        except BlankwrightError as error:
            found.append(
                Finding(
                    code=error.problems[0].code,
                    level=Level.STOP,
                    place=f"entry {photo.entry_id}, photo {photo.name or photo.file}",
                    got=error.problems[0].got,
                    fix=error.problems[0].fix,
                )
            )
    for file in sorted(set(kept_photos(at_book.photos)) - {photo.file for photo in photos}):
        found.append(
            Finding(
                code="BOOK-111",
                level=Level.NOTE,
                place=f"photos/{file}",
                got="no entry tells of this photo",
                fix="Leave it: an entry taken back may need it again",
            )
        )
    return tuple(found)


def _check_version(version: str, where: str) -> None:
    if version not in VERSIONS:
        raise BadInput(
            Problem(
                code="BOOK-007",
                where=where,
                got=f"it is of version {version}, which this program doesn't know",
                allowed=f"up to version {NEWEST}",
                fix="Use the newer program; nothing was changed",
            )
        )
