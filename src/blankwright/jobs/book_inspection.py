"""Inspection: stages seen before they are closed up, and recurring items."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from blankwright.book import records as r
from blankwright.book.change import Reader
from blankwright.book.yearly import SECONDS, YearlyTime, yearly_time
from blankwright.jobs.book_find import bad_input
from blankwright.jobs.book_open import BookAt


def add_stage(
    at_book: BookAt, at: datetime, title: str, *, closes: str = "", major: str = ""
) -> int:
    """Write down a stage that must be seen before something closes it up."""
    if not title.strip():
        raise bad_input("BOOK-076", "stage", "it says nothing", "Write what is to be seen")
    with at_book.change(f"stage: {title[:60]}", at) as change:
        return change.add(r.Stage, title=title, closes=closes, major=major)


def change_stage(
    at_book: BookAt,
    at: datetime,
    number: int,
    *,
    title: str | None = None,
    closes: str | None = None,
    major: str | None = None,
) -> r.Stage:
    """Change what a stage says; what is not given stays. The history keeps what it said.

    Raises:
        BadInput: when it would say nothing, or there is no such stage
    """
    if title is not None and not title.strip():
        raise bad_input("BOOK-076", "stage", "it says nothing", "Write what is to be seen")
    given = {"title": title, "closes": closes, "major": major}
    values = {name: text for name, text in given.items() if text is not None}
    with at_book.change(f"stage {number}: changed", at) as change:
        change.put(r.Stage, number, **values)
        return change.get(r.Stage, number)


def stage_seen(at_book: BookAt, at: datetime, number: int, by: str, found: str) -> r.Stage:
    """Write down who saw a stage and what they said."""
    if not by.strip():
        raise bad_input("BOOK-077", f"stage {number}", "nobody is named", "Write who saw it")
    with at_book.change(f"stage {number} seen by {by}", at) as change:
        change.put(r.Stage, number, seen_at=at, seen_by=by, found=found)
        return change.get(r.Stage, number)


def add_yearly(
    at_book: BookAt,
    at: datetime,
    title: str,
    *,
    cover: str = "",
    months: int = 12,
    minutes: float = 0.0,
    fasteners: Mapping[str, int] | None = None,
    seconds: Mapping[str, tuple[float, float]] | None = None,
) -> int:
    """Write down a recurring item and the fasteners of its cover.

    Args:
        at_book: the book
        at: now
        title: what is looked at
        cover: what must come off
        months: how often [months]
        minutes: the looking itself [min]
        fasteners: kind to count; nothing takes the screws of the cover's own rows, if the book
            has a part of that name
        seconds: the shop's own times by kind, out and in [s]; else common practice
    """
    if not title.strip():
        raise bad_input("BOOK-076", "recurring item", "it says nothing", "Write what is looked at")
    if fasteners is None and cover:
        with at_book.read() as reader:
            fasteners = _screws_of(reader, cover)
    rows = _fasteners(title, months, fasteners or {}, seconds or {})
    with at_book.change(f"recurring: {title[:60]}", at) as change:
        number = change.add(r.Yearly, title=title, cover=cover, months=months, minutes=minutes)
        for row in rows:
            change.add(r.YearlyFastener, yearly_id=number, **row)
        return number


def change_yearly(
    at_book: BookAt,
    at: datetime,
    number: int,
    *,
    title: str | None = None,
    cover: str | None = None,
    months: int | None = None,
    minutes: float | None = None,
    fasteners: Mapping[str, int] | None = None,
    seconds: Mapping[str, tuple[float, float]] | None = None,
    ended: bool | None = None,
) -> r.Yearly:
    """Change a recurring item; what is not given stays. The history keeps what it said.

    Args:
        at_book: the book
        at: now
        number: the item
        title: what is looked at
        cover: what must come off
        months: how often [months]
        minutes: the looking itself [min]
        fasteners: all kinds of the cover and their counts, anew
        seconds: the shop's own times by kind, out and in [s]; those of before stay else
        ended: whether it is not looked at any more; it stays in the book

    Raises:
        BadInput: when it can't be so, or there is no such item
    """
    if title is not None and not title.strip():
        raise bad_input("BOOK-076", "recurring item", "it says nothing", "Write what is looked at")
    given = {"title": title, "cover": cover, "months": months, "minutes": minutes}
    values: dict[str, Any] = {name: value for name, value in given.items() if value is not None}
    if ended is not None:
        values["ended_at"] = at if ended else None
    with at_book.change(f"recurring {number}: changed", at) as change:
        row = change.get(r.Yearly, number)
        if ended and row.ended_at is not None:
            values["ended_at"] = row.ended_at
        had = change.by(r.YearlyFastener, yearly_id=number)
        own = {f.kind: (f.off_seconds, f.on_seconds) for f in had} | dict(seconds or {})
        counts = {f.kind: f.count for f in had} if fasteners is None else fasteners
        rows = {
            str(one["kind"]): one
            for one in _fasteners(row.title, row.months if months is None else months, counts, own)
        }
        change.put(r.Yearly, number, **values)
        for old in had:
            if old.kind in rows:
                change.put(r.YearlyFastener, old.id, **rows.pop(old.kind))
            else:
                change.remove(r.YearlyFastener, old.id)
        for one in rows.values():
            change.add(r.YearlyFastener, yearly_id=number, **one)
        return change.get(r.Yearly, number)


def _fasteners(
    title: str,
    months: int,
    counts: Mapping[str, int],
    own: Mapping[str, tuple[float, float]],
) -> list[dict[str, Any]]:
    """The rows of a cover's fasteners, each with the seconds that one takes."""
    unknown = [kind for kind in counts if kind not in own and kind not in SECONDS]
    if unknown:
        raise bad_input(
            "BOOK-078",
            f"fasteners: {', '.join(unknown)}",
            "how long these take is not known",
            f"State the seconds out and in, or take one of: {', '.join(SECONDS)}",
        )
    if months < 1 or any(count < 1 for count in counts.values()):
        raise bad_input("BOOK-079", title, "months and counts start at 1", "Write them again")
    found = []
    for kind, count in counts.items():
        off, on = own.get(kind) or SECONDS[kind]
        found.append({"kind": kind, "count": count, "off_seconds": off, "on_seconds": on})
    return found


def _screws_of(reader: Reader, cover: str) -> dict[str, int]:
    """The screws that the rows of a part put into plate nuts."""
    parts = reader.by(r.Part, name=cover)
    screws = {h.id for h in reader.all(r.Hardware) if h.number.startswith("screw ")}
    needs = reader.by(r.HardwareNeed, part_id=parts[0].id) if parts else ()
    count = round(sum(n.quantity for n in needs if n.hardware_id in screws and n.key))
    return {"screw in plate nut": count} if count else {}


def yearly_done(
    at_book: BookAt, at: datetime, number: int, *, minutes: float = 0.0, found: str = ""
) -> None:
    """Write down that a recurring item was done."""
    with at_book.change(f"recurring {number} done", at) as change:
        row = change.get(r.Yearly, number)
        change.what += f": {row.title}"
        change.add(
            r.YearlyDone, yearly_id=row.id, at=at, minutes=minutes, who=change.who, found=found
        )


def yearly_times(reader: Reader, now: datetime, *, ended: bool = False) -> tuple[YearlyTime, ...]:
    """Return recurring items, the soonest due first; those never done come before.

    Args:
        reader: the book
        now: the moment to judge for
        ended: whether those that are not looked at any more are among them
    """
    fasteners = reader.all(r.YearlyFastener)
    done = reader.all(r.YearlyDone)
    found = [
        yearly_time(item, fasteners, done, now)
        for item in reader.all(r.Yearly)
        if ended or item.ended_at is None
    ]
    return tuple(sorted(found, key=lambda t: (t.due is not None, t.due or now, t.item.id)))


def stages(reader: Reader) -> tuple[r.Stage, ...]:
    """Return all stages, those not seen yet first."""
    return tuple(sorted(reader.all(r.Stage), key=lambda s: (s.seen_at is not None, s.id)))
