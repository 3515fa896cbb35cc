"""Deviations from the drawing: what, why, what was checked, whose word was asked.

None of this passes judgement: the tool writes down what people said, and shows what is open.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from blankwright.base.errors import NotPossible, Problem
from blankwright.book import records as r
from blankwright.book.change import Reader
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


def change_deviation(
    at_book: BookAt,
    at: datetime,
    number: int,
    *,
    what: str | None = None,
    why: str | None = None,
    drawing: str | None = None,
    parts: Sequence[str] | None = None,
) -> r.Deviation:
    """Change what an open deviation says; what is not given stays. The history keeps what it said.

    Raises:
        BadInput: when it would say nothing, or there is no such deviation or part
        NotPossible: when it is closed
    """
    given = {"what": what, "why": why, "drawing": drawing}
    values = {name: text for name, text in given.items() if text is not None}
    if what is not None and not what.strip():
        raise bad_input("BOOK-070", "deviation", "it says nothing", "Write what differs")
    with at_book.change(f"deviation {number}: changed", at) as change:
        if change.get(r.Deviation, number).closed_at is not None:
            raise NotPossible(
                Problem(
                    code="BOOK-074",
                    where=f"deviation {number}",
                    got="it is closed already",
                    fix="Take its closing back in the history, or write a new one",
                )
            )
        change.put(r.Deviation, number, **values)
        if parts is not None:
            wanted = [part_named(change, name).id for name in dict.fromkeys(parts)]
            had = change.by(r.DeviationPart, deviation_id=number)
            for link in had:
                if link.part_id not in wanted:
                    change.remove(r.DeviationPart, link.id)
            for part in wanted:
                if part not in {link.part_id for link in had}:
                    change.add(r.DeviationPart, deviation_id=number, part_id=part)
        return change.get(r.Deviation, number)


def add_to_deviation(at_book: BookAt, at: datetime, number: int, *, checked: str) -> None:
    """Add to what was checked."""
    if not checked.strip():
        raise bad_input("BOOK-070", f"deviation {number}", "nothing is said", "Write what it was")
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
                Problem(code="BOOK-074", where=f"deviation {number}", got="it is closed already")
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
        change.put(r.Deviation, number, closed_at=at, closed_by=change.who, closing=ground)


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
