"""Deviations from the drawing, inspection stages, recurring items, material lots, coupons.

None of this passes judgement: the tool writes down what people said, and shows what is open.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from blankwright.base.errors import NotPossible, Problem
from blankwright.book import records as r
from blankwright.book.change import Reader
from blankwright.book.yearly import SECONDS, YearlyTime, yearly_time
from blankwright.jobs.book_find import bad_input, part_named
from blankwright.jobs.book_open import BookAt


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A deviation with its parts and whose word was asked."""

    deviation: r.Deviation
    parts: tuple[r.Part, ...]
    words: tuple[r.Word, ...]

    @property
    def is_open(self) -> bool:
        """Whether it still has to be shown."""
        return self.deviation.closed_at is None

    @property
    def unanswered(self) -> tuple[r.Word, ...]:
        """Who was asked and has not answered."""
        return tuple(word for word in self.words if word.answered_at is None)


def open_deviation(
    at_book: BookAt,
    at: datetime,
    what: str,
    *,
    why: str = "",
    drawing: str = "",
    checked: str = "",
    parts: Sequence[str] = (),
) -> int:
    """Write down a deviation from the drawing; it is shown until somebody closes it."""
    if not what.strip():
        raise bad_input("BOOK-070", "deviation", "it says nothing", "Write what differs")
    with at_book.change(f"deviation: {what[:60]}", at) as change:
        number = change.add(
            r.Deviation,
            what=what,
            why=why,
            drawing=drawing,
            checked=checked,
            opened_at=at,
            opened_by=change.who,
        )
        for name in dict.fromkeys(parts):
            row = part_named(change, name)
            change.add(r.DeviationPart, deviation_id=number, part_id=row.id)
        return number


def add_to_deviation(at_book: BookAt, at: datetime, number: int, *, checked: str) -> None:
    """Add to what was checked."""
    with at_book.change(f"deviation {number}: checked", at) as change:
        old = change.get(r.Deviation, number).checked
        change.put(r.Deviation, number, checked=f"{old}\n{checked}" if old else checked)


def ask_word(at_book: BookAt, at: datetime, number: int, whom: str) -> int:
    """Write down that somebody's word was asked about a deviation."""
    if not whom.strip():
        raise bad_input("BOOK-071", f"deviation {number}", "nobody is named", "Write who was asked")
    with at_book.change(f"deviation {number}: asked {whom}", at) as change:
        row = change.get(r.Deviation, number)
        return change.add(r.Word, deviation_id=row.id, whom=whom, asked_at=at)


def write_answer(at_book: BookAt, at: datetime, word: int, answer: str) -> None:
    """Write down what was answered, in the words of the one who was asked."""
    if not answer.strip():
        raise bad_input("BOOK-072", f"word {word}", "the answer is empty", "Write what was said")
    with at_book.change(f"word {word}: answered", at) as change:
        change.put(r.Word, word, answer=answer, answered_at=at)


def close_deviation(at_book: BookAt, at: datetime, number: int, ground: str) -> None:
    """Close a deviation, on a ground in the closer's own words.

    Raises:
        NotPossible: when somebody who was asked has not answered, or it is closed already
        BadInput: when no ground is given
    """
    if not ground.strip():
        raise bad_input(
            "BOOK-073", f"deviation {number}", "no ground is given", "Write why it can be closed"
        )
    with at_book.change(f"deviation {number}: closed", at) as change:
        row = change.get(r.Deviation, number)
        if row.closed_at is not None:
            raise NotPossible(
                Problem(
                    code="BOOK-074", where=f"deviation {number}", got="it is closed already"
                )
            )
        waiting = [w for w in change.by(r.Word, deviation_id=number) if w.answered_at is None]
        if waiting:
            raise NotPossible(
                *(
                    Problem(
                        code="BOOK-075",
                        where=f"deviation {number}",
                        got=f"{word.whom} was asked and has not answered",
                        fix=f"Write the answer down first: word {word.id}",
                    )
                    for word in waiting
                )
            )
        change.put(
            r.Deviation, number, closed_at=at, closed_by=change.who, closing=ground
        )


def cases(reader: Reader) -> tuple[Case, ...]:
    """Return all deviations, open ones first, each group by number."""
    parts = {p.id: p for p in reader.all(r.Part)}
    touched: dict[int, list[r.Part]] = {}
    for link in reader.all(r.DeviationPart):
        touched.setdefault(link.deviation_id, []).append(parts[link.part_id])
    words: dict[int, list[r.Word]] = {}
    for word in reader.all(r.Word):
        words.setdefault(word.deviation_id, []).append(word)
    found = [
        Case(
            deviation=row,
            parts=tuple(touched.get(row.id, ())),
            words=tuple(words.get(row.id, ())),
        )
        for row in reader.all(r.Deviation)
    ]
    return tuple(sorted(found, key=lambda case: (not case.is_open, case.deviation.id)))


def add_stage(
    at_book: BookAt, at: datetime, title: str, *, closes: str = "", major: str = ""
) -> int:
    """Write down a stage that must be seen before something closes it up."""
    if not title.strip():
        raise bad_input("BOOK-076", "stage", "it says nothing", "Write what is to be seen")
    with at_book.change(f"stage: {title[:60]}", at) as change:
        return change.add(r.Stage, title=title, closes=closes, major=major)


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
        fasteners: kind to count
        seconds: the shop's own times by kind, out and in [s]; else common practice
    """
    own = dict(seconds or {})
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
        number = change.add(
            r.Yearly, title=title, cover=cover, months=months, minutes=minutes
        )
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
    return tuple(
        sorted(found, key=lambda t: (t.due is not None, t.due or now, t.item.id))
    )


def add_lot(
    at_book: BookAt,
    at: datetime,
    material: str,
    number: str,
    *,
    bought_from: str = "",
    paper: str = "",
    note: str = "",
) -> int:
    """Write down a lot of material with the number printed on it."""
    if not material.strip() or not number.strip():
        raise bad_input("BOOK-080", "lot", "material or number is empty", "Write both")
    with at_book.change(f"lot {number}: {material}", at) as change:
        return change.add(
            r.Lot,
            material=material,
            number=number,
            bought_from=bought_from,
            paper=paper,
            at=at,
            note=note,
        )


def use_lot(at_book: BookAt, at: datetime, number: int, part: str, note: str = "") -> None:
    """Write down that a part was made from a lot."""
    with at_book.change(f"{part} from lot {number}", at) as change:
        row = part_named(change, part)
        change.add(r.LotUse, lot_id=change.get(r.Lot, number).id, part_id=row.id, note=note)


def take_coupons(at_book: BookAt, at: datetime) -> int:
    """Take the results of the shop's coupon file into the book; return how many are new or changed.

    Raises:
        BadInput: when the coupon file is wrong
    """
    from blankwright.jobs.book_coupons import results

    found = results(at_book.project)
    count = 0
    with at_book.change("results of coupons", at) as change:
        known = {c.key: c for c in change.all(r.Coupon) if c.key}
        for key, values in found.items():
            if key in known:
                count += change.put(r.Coupon, known[key].id, **values)
            else:
                change.add(r.Coupon, key=key, **{"at": at, **values})
                count += 1
    return count
