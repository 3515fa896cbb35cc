"""The log: what was done, when, where, by whom, with photos and measurements."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from blankwright.book import records as r
from blankwright.book.change import Reader
from blankwright.book.look_up import log_entries
from blankwright.book.tables import table_of
from blankwright.book.work import BUILDER, setting
from blankwright.jobs.book_find import bad_input, part_named
from blankwright.jobs.book_measured import PLACE, Measured, add_measurement, check_typed
from blankwright.jobs.book_open import BookAt


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A photo to be kept: its bytes, its file name and what it shows."""

    data: bytes
    name: str
    caption: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A log entry with all that belongs to it.

    Args:
        entry: the entry
        task: its task, or nothing
        part: its part, or nothing
        photos: in order
        measurements: in order
        measured: of each of them the part, or the place, that it is a size of
    """

    entry: r.Entry
    task: r.Task | None
    part: r.Part | None
    photos: tuple[r.Photo, ...]
    measurements: tuple[r.Measurement, ...]
    measured: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LogPage:
    """A page of the log, newest first.

    Args:
        lines: the entries
        total: how many there are in all
        start: how many newer ones come before this page
    """

    lines: tuple[Line, ...]
    total: int
    start: int


def log(
    at_book: BookAt,
    at: datetime,
    text: str,
    *,
    minutes: int = 0,
    place: str = "",
    who: str = "",
    helpers: str = "",
    task: int | None = None,
    part: str = "",
    pictures: Sequence[Picture] = (),
    measured: Sequence[Measured] = (),
) -> int:
    """Write a log entry and return its number.

    Photos are on the disk before the entry is in the book: a crash in between leaves a photo that
    nothing tells of, never an entry without its photo.

    Raises:
        BadInput: when it says nothing, or a photo or measurement can't be read
    """
    from blankwright.files.photos import keep_photo

    if not text.strip() and not pictures and not measured:
        raise bad_input("BOOK-060", "the log", "the entry says nothing", "Write what was done")
    if minutes < 0 or minutes > 24 * 60:
        raise bad_input("BOOK-061", "the log", f"{minutes} minutes", "Write 0 to 1440")
    for one in measured:
        check_typed(one)
    kept = [(keep_photo(at_book.photos, p.data, p.name), p) for p in pictures]
    with at_book.change(f"log: {text[:60]}", at) as change:
        row = change.get(r.Task, task) if task is not None else None
        part_row = part_named(change, part) if part else None
        if part_row is None and row is not None and row.part_id is not None:
            part_row = change.get(r.Part, row.part_id)
        entry = change.add(
            r.Entry,
            at=at,
            minutes=minutes,
            text=text,
            place=place or (row.place if row else ""),
            who=who or at_book.who or setting(change, BUILDER),
            helpers=helpers,
            task_id=task,
            part_id=part_row.id if part_row else None,
            major=(row.major if row else "") or (part_row.major if part_row else ""),
        )
        change.add_many(
            r.Photo,
            [
                {
                    "entry_id": entry,
                    "sha256": k.sha256,
                    "file": k.file,
                    "name": p.name,
                    "size": k.size,
                    "width": k.width,
                    "height": k.height,
                    "caption": p.caption,
                    "taken_at": k.taken_at,
                }
                for k, p in kept
            ],
        )
        for one in measured:
            add_measurement(at_book.project, change, entry, one)
    return entry


def log_page(
    at_book: BookAt,
    *,
    start: int = 0,
    count: int = 50,
    part: str = "",
    task: int | None = None,
    text: str = "",
) -> LogPage:
    """Return a page of the log, newest first, with photos and measurements.

    Args:
        at_book: the book
        start: how many newer entries to pass over
        count: how many to show
        part: only of this part
        task: only of this task
        text: only those that have it in their text, place or helpers; upper and lower case alike
    """
    with at_book.read() as reader:
        part_id = part_named(reader, part).id if part else None
        total, entries = log_entries(
            reader, start=start, count=count, part_id=part_id, task_id=task, text=text
        )
        return LogPage(lines=_lines(reader, entries), total=total, start=start)


def _lines(reader: Reader, entries: Sequence[r.Entry]) -> tuple[Line, ...]:
    """Fill in what belongs to entries, with one query a table however many they are."""
    ids = [e.id for e in entries]
    photos: dict[int, list[r.Photo]] = {}
    measurements: dict[int, list[r.Measurement]] = {}
    if ids:
        for photo in reader.all(r.Photo, table_of(r.Photo).c.entry_id.in_(ids)):
            photos.setdefault(photo.entry_id, []).append(photo)
        for one in reader.all(r.Measurement, table_of(r.Measurement).c.entry_id.in_(ids)):
            measurements.setdefault(one.entry_id, []).append(one)
    task_ids = sorted({e.task_id for e in entries if e.task_id is not None})
    tasks = {t.id: t for t in reader.all(r.Task, table_of(r.Task).c.id.in_(task_ids))}
    told = [m for own in measurements.values() for m in own]
    named = {e.part_id for e in entries} | {m.part_id for m in told}
    part_ids = sorted(number for number in named if number is not None)
    parts = {p.id: p for p in reader.all(r.Part, table_of(r.Part).c.id.in_(part_ids))}
    return tuple(
        Line(
            entry=e,
            task=tasks.get(e.task_id or 0),
            part=parts.get(e.part_id or 0),
            photos=tuple(photos.get(e.id, ())),
            measurements=tuple(measurements.get(e.id, ())),
            measured=tuple(
                f"{PLACE}{m.place}" if m.part_id is None else parts[m.part_id].name
                for m in measurements.get(e.id, ())
            ),
        )
        for e in entries
    )
