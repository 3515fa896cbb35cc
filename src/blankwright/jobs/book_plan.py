"""Tasks made from parts: from their part files and from what only the book knows of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from blankwright.base.errors import BlankwrightError
from blankwright.book import records as r
from blankwright.book.change import Change, Reader
from blankwright.book.needs import check_no_circle
from blankwright.book.renew import Renewed, renew_order, renew_part
from blankwright.book.routine import PartFacts, facts_of, learned_pace
from blankwright.book.work import load_work
from blankwright.cutting.stock import StockSheet
from blankwright.jobs.book_bought import bought_for_part, rack_of, renew_bought, renew_rack
from blankwright.jobs.book_open import BookAt
from blankwright.jobs.book_places import PlaceFacts, part_file_of, place_facts
from blankwright.jobs.fit_open import places_of
from blankwright.jobs.items import Item, chosen
from blankwright.jobs.project import Project
from blankwright.part.model import Origin, Part


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """What making the tasks did.

    Args:
        parts: of each part, what was made, renewed and dropped
        unread: parts and places whose file can't be read, each with the problem; what the book
            has of them was left alone
    """

    parts: tuple[Renewed, ...]
    unread: tuple[tuple[str, str], ...]


def plan(at_book: BookAt, at: datetime, names: Sequence[str] = ()) -> Planned:
    """Make or renew the tasks of parts from their part files and what the book says of them.

    Args:
        at_book: the book
        at: now
        names: the parts; none for all of the project

    Raises:
        FileProblem: when a name is no part of the project, nor of the book
        NotPossible: when the needs go in a circle; each circle is named
    """
    project = at_book.project
    with at_book.read() as reader:
        by_hand = {part.name for part in reader.all(r.Part) if not part.file}
    filed = [name for name in names if name not in by_hand or _has_file(project, name)]
    items = chosen(project, filed) if filed or not names else ()
    stated: list[tuple[Part, str]] = []
    unread: list[tuple[str, str]] = []
    for item in items:
        try:
            part = replace(item.read(), name=item.name)
        except BlankwrightError as error:
            unread.append((item.name, str(error)))
        else:
            stated.append((part, item.path.relative_to(project.root).as_posix()))
    asked, no_places = _places(project, items)
    unread += no_places
    rack: tuple[StockSheet, ...] = ()
    try:
        rack = rack_of(project)
    except BlankwrightError as error:
        unread.append(("the rack", str(error)))
    with at_book.change("make tasks from parts", at) as change:
        pace = shop_pace(change)
        known = {part.name: part for part in change.all(r.Part)}
        done = []
        for part, path in stated:
            own = [place for place in asked if part.name in place.parts]
            facts = _with_book(_placed(facts_of(part, file=path), part, own), known.get(part.name))
            count = sum(not bend.last for bend in part.bends)
            major = known[part.name].major if part.name in known else ""
            done.append(renew_part(change, facts, bends=count, pace=pace, major=major))
            renew_bought(change, part.name, bought_for_part(part, rack), facts.key(""))
        renew_rack(change, (part for part, _ in stated), rack)
        have = {part.name for part, _ in stated} | dict(unread).keys()
        wanted = {name: part for name, part in known.items() if not names or name in names}
        done += _without_file(change, wanted, have, pace)
        for place in asked:
            for name in place.parts:
                renew_bought(change, name, place.bought, f"place:{place.place}:")
        renew_order(
            change,
            [place.place for place in asked],
            ((p.place, a, b) for p in asked for a in p.parts for b in p.neighbours),
        )
        check_no_circle(load_work(change))
    return Planned(parts=tuple(done), unread=tuple(unread))


def _has_file(project: Project, name: str) -> bool:
    return any(name in (item.name, item.path.stem) for item in chosen(project, ()))


def _places(
    project: Project, items: Sequence[Item]
) -> tuple[tuple[PlaceFacts, ...], list[tuple[str, str]]]:
    """Read the places of some parts.

    Returns:
        what they ask for, and those that can't be read with the reason
    """
    every = chosen(project, ())
    stems = {item.path.stem for item in items}
    found = []
    unread = []
    for place in places_of(project):
        try:
            if part_file_of(project, place) in stems:
                found.append(place_facts(project, place, every))
        except BlankwrightError as error:
            unread.append((f"place {place}", str(error)))
    return tuple(found), unread


def _placed(facts: PartFacts, part: Part, places: Sequence[PlaceFacts]) -> PartFacts:
    """Add what its places ask for."""
    sizes = [
        (size, where)
        for where, own in [("", part.sizes), *((f"{p.place}.", p.sizes) for p in places)]
        for size in own
        if size.origin is not Origin.FORMULA
    ]
    measured = any(size.origin is Origin.MEASURED for size, _ in sizes)
    goes_in = bool(part.place or places)
    drawn = ", ".join(f"{where}{size.name}" for size, where in sizes)
    return replace(
        facts,
        place=facts.place or ", ".join(p.place for p in places),
        measure=f"as drawn: {drawn}" if goes_in and drawn and not measured else "",
        measured=measured,
        strips=", ".join(p.strips for p in places if p.strips),
        drill_up=sum(p.drill_up for p in places),
        drill_up_note="; ".join(p.drill_up_note for p in places if p.drill_up),
        rivets=facts.rivets + sum(p.rivets for p in places),
    )


def state_part(at_book: BookAt, at: datetime, name: str, **values: Any) -> r.Part:
    """State what only the book knows of a part; its tasks follow with the next `plan`.

    Args:
        at_book: the book
        at: now
        name: the part; a new one is made if the book doesn't have it
        values: columns of `Part`
    """
    with at_book.change(f"part {name}", at) as change:
        known = change.by(r.Part, name=name)
        row = known[0].id if known else change.add(r.Part, name=name)
        change.put(r.Part, row, **values)
        return change.get(r.Part, row)


def shop_pace(reader: Reader) -> dict[r.TaskKind, float]:
    """Return the shop's own pace: hours taken over hours at the book's first rate, by kind."""
    minutes: dict[int, int] = {}
    for entry in reader.all(r.Entry):
        if entry.task_id is not None:
            minutes[entry.task_id] = minutes.get(entry.task_id, 0) + entry.minutes
    return learned_pace(
        (task.kind, task.first_hours, minutes.get(task.id, 0) / 60.0)
        for task in reader.by(r.Task, state=r.TaskState.DONE)
    )


def _with_book(facts: PartFacts, known: r.Part | None) -> PartFacts:
    if known is None:
        return facts
    return replace(
        facts,
        position=known.position,
        glue=known.glue,
        cure_hours=known.cure_hours,
        treat=known.treat,
        rivets=known.rivets or facts.rivets,
        closes=known.closes,
        bought=known.bought and not facts.file,
    )


def _without_file(
    change: Change,
    known: Mapping[str, r.Part],
    have: set[str],
    pace: Mapping[r.TaskKind, float],
) -> list[Renewed]:
    """Parts that only the book knows: bought, or drawn by hand."""
    done = []
    for name, part in known.items():
        if name not in have and not part.file:
            facts = PartFacts(name=name, title=part.title, drawing=part.drawing)
            done.append(
                renew_part(change, _with_book(facts, part), bends=0, pace=pace, major=part.major)
            )
    return done
