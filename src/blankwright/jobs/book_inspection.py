"""Inspection: stages seen before they are closed up, and recurring items."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

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
    own = dict(seconds or {})
    if fasteners is None and cover:
        with at_book.read() as reader:
            fasteners = _screws_of(reader, cover)
    unknown = [kind for kind in fasteners or {} if kind not in own and kind not in SECONDS]
    if unknown:
        raise bad_input(
            "BOOK-078",
            f"fasteners: {', '.join(unknown)}",
            "how long these take is not known",
            f"State the seconds out and in, or take one of: {', '.join(SECONDS)}",
        )
    if months < 1 or any(count < 1 for count in (fasteners or {}).values()):
        raise bad_input("BOOK-079", title, "months and counts start at 1", "Write them again")
    with at_book.change(f"recurring: {title[:60]}", at) as change:
        number = change.add(r.Yearly, title=title, cover=cover, months=months, minutes=minutes)
        for kind, count in (fasteners or {}).items():
            off, on = own.get(kind) or SECONDS[kind]
            change.add(
                r.YearlyFastener,
                yearly_id=number,
                kind=kind,
                count=count,
                off_seconds=off,
                on_seconds=on,
            )
        return number


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
        change.add(
            r.YearlyDone, yearly_id=row.id, at=at, minutes=minutes, who=change.who, found=found
        )


def yearly_times(reader: Reader, now: datetime) -> tuple[YearlyTime, ...]:
    """Return all recurring items, the soonest due first; those never done come before."""
    fasteners = reader.all(r.YearlyFastener)
    done = reader.all(r.YearlyDone)
    found = [yearly_time(item, fasteners, done, now) for item in reader.all(r.Yearly)]
    return tuple(sorted(found, key=lambda t: (t.due is not None, t.due or now, t.item.id)))


def stages(reader: Reader) -> tuple[r.Stage, ...]:
    """Return all stages, those not seen yet first."""
    return tuple(sorted(reader.all(r.Stage), key=lambda s: (s.seen_at is not None, s.id)))
