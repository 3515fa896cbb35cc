"""The log: what was done, when, where, by whom, with photos and measurements."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from blankwright.book import records as r
from blankwright.book.change import Change, Reader
from blankwright.book.look_up import log_entries
from blankwright.book.tables import table_of
from blankwright.book.work import BUILDER, setting
from blankwright.jobs.book_find import bad_input, part_named
from blankwright.jobs.book_measured import PLACE, Measured, add_measurement, check_typed
from blankwright.jobs.book_open import BookAt

if TYPE_CHECKING:
    from blankwright.files.photos import Kept


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A photo to be kept: its bytes, its file name and what it shows."""

    data: bytes
    name: str
    caption: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What an entry says.

    Args:
        text: what was done
        minutes: how long it took [min]
        place: where; empty takes that of the task
        who: who did it; empty takes who writes
        helpers: who helped
        task: which task, or nothing
        part: which part; empty takes that of the task
        pictures: photos of it
        measured: sizes measured
    """

    text: str
    minutes: int = 0
    place: str = ""
    who: str = ""
    helpers: str = ""
    task: int | None = None
    part: str = ""
    pictures: tuple[Picture, ...] = ()
    measured: tuple[Measured, ...] = ()


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
    said = Said(
        text=text,
        minutes=minutes,
        place=place,
        who=who,
        helpers=helpers,
        task=task,
        part=part,
        pictures=tuple(pictures),
        measured=tuple(measured),
    )
    kept = keep_pictures(at_book, said)
    with at_book.change(f"log: {text[:60]}", at) as change:
        return write_entry(at_book, change, at, said, kept)


def keep_pictures(at_book: BookAt, said: Said) -> tuple[Kept, ...]:
    """Check what an entry says, and put its photos on the disk. Raises as `log`."""
    from blankwright.files.photos import keep_photo

    if not said.text.strip() and not said.pictures and not said.measured:
        raise bad_input("BOOK-060", "the log", "the entry says nothing", "Write what was done")
    _check_minutes(said.minutes)
    for one in said.measured:
        check_typed(one)
    return tuple(keep_photo(at_book.photos, p.data, p.name) for p in said.pictures)


def write_entry(
    at_book: BookAt, change: Change, at: datetime, said: Said, kept: Sequence[Kept]
) -> int:
    """Write an entry inside a change, its photos kept already; return its number."""
    row = change.get(r.Task, said.task) if said.task is not None else None
    part = part_named(change, said.part) if said.part else None
    if part is None and row is not None and row.part_id is not None:
        part = change.get(r.Part, row.part_id)
    entry = change.add(
        r.Entry,
        at=at,
        minutes=said.minutes,
        text=said.text,
        place=said.place or (row.place if row else ""),
        who=said.who or at_book.who or setting(change, BUILDER),
        helpers=said.helpers,
        task_id=said.task,
        part_id=part.id if part else None,
        major=(row.major if row else "") or (part.major if part else ""),
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
            for k, p in zip(kept, said.pictures, strict=True)
        ],
    )
    for one in said.measured:
        add_measurement(at_book.project, change, entry, one)
    return entry


def change_entry(
    at_book: BookAt,
    at: datetime,
    number: int,
    *,
    text: str | None = None,
    minutes: int | None = None,
    place: str | None = None,
    helpers: str | None = None,
) -> r.Entry:
    """Correct an entry; what is not given stays. The history keeps what it said.

    Raises:
        BadInput: when it would say nothing, the time makes no sense, or there is no such entry
    """
    given = {"text": text, "minutes": minutes, "place": place, "helpers": helpers}
    values = {name: value for name, value in given.items() if value is not None}
    _check_minutes(minutes or 0)
    with at_book.change(f"entry {number}: corrected", at) as change:
        own = len(change.by(r.Photo, entry_id=number))
        own += len(change.by(r.Measurement, entry_id=number))
        if text is not None and not text.strip() and not own:
            raise bad_input("BOOK-060", "the log", "the entry says nothing", "Write what was done")
        change.put(r.Entry, number, **values)
        return change.get(r.Entry, number)


def _check_minutes(minutes: int) -> None:
    if minutes < 0 or minutes > 24 * 60:
        raise bad_input("BOOK-061", "the log", f"{minutes} minutes", "Write 0 to 1440")


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
