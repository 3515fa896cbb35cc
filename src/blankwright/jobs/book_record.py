"""Gathers the builder's record from the book, prints it and proves the print."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import datetime, tzinfo
from pathlib import Path

from blankwright.base.errors import BlankwrightError, OurBug, Problem
from blankwright.book import records as r
from blankwright.book.builders_record import BuildersRecord, Section, Shown
from blankwright.book.change import Reader
from blankwright.book.dump import dump
from blankwright.book.migrate import NEWEST
from blankwright.book.work import AIRPLANE, BUILDER, SERIAL, setting
from blankwright.jobs import book_record_sections as sections
from blankwright.jobs import book_record_work as work
from blankwright.jobs.book_open import BookAt


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordDone:
    """What was printed.

    Args:
        pages: how many
        photos: how many photos are in it
        missing: photos that could not be shown, each with what is wrong
        unprinted: signs that the lettering lacks
    """

    pages: int
    photos: int
    missing: tuple[str, ...]
    unprinted: tuple[str, ...]


def print_record(
    at_book: BookAt,
    now: datetime,
    path: Path,
    *,
    paper: str = "",
    lettering: Path | None = None,
) -> RecordDone:
    """Print the builder's record into a file, after reading it back.

    Args:
        at_book: the book
        now: the moment printed on it; its zone is the one that all times are shown in
        path: the file
        paper: A4 or Letter; empty for the project's, or A4 if that is another
        lettering: a TrueType file, or nothing for the usual face

    Raises:
        FileProblem: when it can't be written
        OurBug: when the print reads back otherwise; nothing is written then
    """
    from blankwright.files.pdf_read import PdfPages
    from blankwright.files.record_pdf import PAPERS, record_pdf
    from blankwright.files.whole import write_whole

    missing: list[str] = []
    with at_book.read() as reader:
        record = gather(reader, now, at_book.photos, missing)
        marks = [f"Entry {e.id}," for e in reader.all(r.Entry)]
        marks += [f"Deviation {d.id}," for d in reader.all(r.Deviation)]
    own = at_book.project.paper if at_book.project.paper in PAPERS else "A4"
    printed = record_pdf(record, paper=paper or own, lettering=lettering)
    with PdfPages(printed.data) as pages:
        read = [pages.words(number) for number in range(len(pages))]
    text = "\n".join(read)
    lost = [mark for mark in marks if mark not in text]
    if len(read) != printed.pages or lost:
        raise OurBug(
            Problem(
                code="RECORD-003",
                where=str(path),
                got=f"the print reads back otherwise: {', '.join(lost[:5]) or 'number of pages'}",
            )
        )
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, printed.data)
    return RecordDone(
        pages=printed.pages,
        photos=printed.photos,
        missing=tuple(missing),
        unprinted=printed.unprinted,
    )


def gather(reader: Reader, now: datetime, photos: Path, missing: list[str]) -> BuildersRecord:
    """Return the record of a book.

    Args:
        reader: the book
        now: the moment printed on it, with the zone that all times are shown in
        photos: the photo folder
        missing: takes up photos that can't be shown
    """
    zone = now.tzinfo
    airplane = setting(reader, AIRPLANE)
    entries = reader.all(r.Entry, order=("at", "id"))
    minutes = sum(e.minutes for e in entries)
    changes = reader.all(r.ChangeNote)
    facts = [
        ("Log entries", str(len(entries))),
        ("Hours logged", f"{minutes / 60.0:.1f}"),
        ("From, to", _from_to(entries, zone)),
        ("Deviations", _open_of(reader)),
        ("Changes kept in the book's history", str(len(changes))),
        ("Fingerprint of the book", fingerprint(reader)),
    ]
    return BuildersRecord(
        airplane=airplane or "Airplane not named",
        serial=setting(reader, SERIAL),
        builder=setting(reader, BUILDER),
        printed=now.strftime("%Y-%m-%d %H:%M"),
        facts=tuple(fact for fact in facts if fact[1]),
        sections=_sections(reader, now, photos, missing),
    )


def fingerprint(reader: Reader) -> str:
    """Return a hash over all of the book, so that a print can be held against a backup."""
    from blankwright.files.book_backup import book_json

    return hashlib.sha256(book_json(NEWEST, dump(reader))).hexdigest()[:32]


def _sections(
    reader: Reader, now: datetime, photos: Path, missing: list[str]
) -> tuple[Section, ...]:
    zone = now.tzinfo
    return (
        work.open_points(reader, now),
        work.hours(reader),
        work.parts(reader),
        sections.deviations(reader, zone),
        sections.stages(reader, zone),
        sections.materials(reader, zone),
        sections.coupons(reader, zone),
        sections.measurements(reader, zone),
        sections.hardware(reader),
        sections.recurring(reader, now),
        work.tasks(reader, zone),
        work.log(reader, zone, lambda photo: _shown(photo, photos, missing)),
    )


def _shown(photo: r.Photo, folder: Path, missing: list[str]) -> Shown | None:
    from blankwright.files.photos import small_photo

    try:
        small = small_photo(folder, photo.file)
    except BlankwrightError as error:
        missing.append(str(error))
        return None
    return Shown(path=str(small), caption=photo.caption or photo.name, sha256=photo.sha256)


def _from_to(entries: tuple[r.Entry, ...], zone: tzinfo | None) -> str:
    if not entries:
        return ""
    first, last = (sections.day(e.at, zone) for e in (entries[0], entries[-1]))
    return f"{first} to {last}"


def _open_of(reader: Reader) -> str:
    found = reader.all(r.Deviation)
    return f"{len(found)}, of these open: {sum(d.closed_at is None for d in found)}"
