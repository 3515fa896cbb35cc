"""Measurements on their way from the log into the files of parts and places."""

from __future__ import annotations

import tomllib
from datetime import datetime

from blankwright.base.errors import FileProblem, Problem
from blankwright.book import records as r
from blankwright.jobs.book_find import bad_input
from blankwright.jobs.book_measured import home_of, sizes_in
from blankwright.jobs.book_open import BookAt


def put_size(
    at_book: BookAt, at: datetime, number: int, *, replace_formula: bool = False
) -> r.Measurement:
    """Put a measurement into the file of its part or place, as a measured size.

    Date and reason go with it. The file is written first, then the book ticks it off; doing it
    again changes nothing, so a crash in between costs nothing.

    Args:
        at_book: the book
        at: now
        number: the measurement
        replace_formula: whether a size that is worked out by a formula may become a number

    Raises:
        BadInput: when the file has no such size, or it would not be right with it
        FileProblem: when the part has no file
    """
    from blankwright.files.partfile.syntax import read_text
    from blankwright.jobs.history import History
    from blankwright.part.model import Origin

    with at_book.read() as reader:
        measurement = reader.get(r.Measurement, number)
        home = home_of(reader, measurement)
        entry = reader.get(r.Entry, measurement.entry_id)
    where = f"measurement {number}: {home.label}, size {measurement.size}"
    path = home.path(at_book.project)
    if path is None:
        raise FileProblem(
            Problem(
                code="BOOK-062",
                where=where,
                got="its file isn't there",
                fix="Write one, then make its tasks: blankwright book plan",
            )
        )
    text = read_text(path)
    sizes = sizes_in(text, home, path)
    if measurement.size not in sizes:
        have = ", ".join(sizes)
        raise bad_input("BOOK-063", where, "its file has no such size", f"Sizes: {have}")
    size = sizes[measurement.size]
    if size.origin is Origin.FORMULA and not replace_formula:
        raise bad_input(
            "BOOK-064",
            where,
            f"it is worked out by the formula {size.text}",
            "Measure what the formula works with, or say that the formula is to go",
        )
    day = entry.at.astimezone(at.tzinfo).date().isoformat()
    note = f"{day}: {measurement.reason or entry.text or 'measured'}"
    new = _with_size(text, measurement, note, size.origin is Origin.DRAWN, home.part is not None)
    sizes_in(new, home, path)  # what it would spoil is said before anything is written
    if new != text:
        History(at_book.project.root).write(
            home.file, new, f"{home.label}: {measurement.size} measured, {measurement.value}"
        )
    with at_book.change(f"{where} into its file", at) as change:
        if change.get(r.Measurement, number).state is not r.SizeState.IN_PART_FILE:
            change.put(
                r.Measurement,
                number,
                state=r.SizeState.IN_PART_FILE,
                put_in_at=at,
                old=size.text if new != text else "",
            )
        return change.get(r.Measurement, number)


def waiting_sizes(at_book: BookAt, entry: int | None = None) -> tuple[tuple[int, str], ...]:
    """Return measurements that are in no file yet, each by its number and in words.

    Args:
        at_book: the book
        entry: only those of this log entry
    """
    with at_book.read() as reader:
        return tuple(
            (one.id, f"{home_of(reader, one).label}.{one.size} = {one.value}")
            for one in reader.by(r.Measurement, state=r.SizeState.IN_BOOK)
            if entry in (None, one.entry_id)
        )


def _with_size(text: str, measurement: r.Measurement, note: str, drawn: bool, checked: bool) -> str:
    from blankwright.files.partfile import editing

    place = f"sizes.{measurement.size}"
    new_keys = {"measured": measurement.value, "plus_minus": measurement.plus_minus, "note": note}
    old = tomllib.loads(text)["sizes"][measurement.size]
    # What the drawing says stays beside what was measured.
    kept = old if isinstance(old, dict) else {"drawn": old} if drawn else {}
    keys = {name: value for name, value in kept.items() if name not in new_keys}
    keys |= {name: value for name, value in new_keys.items() if value}
    try:
        typed = ", ".join(f"{name} = {_toml(value)}" for name, value in keys.items())
        return editing.set_value(text, place, f"{{ {typed} }}", checked=checked)
    except editing.NoPlace:
        # The size has a heading of its own; its keys are set one by one, its comments stay.
        if not isinstance(old, dict):
            raise
    new = text
    for name in new_keys:
        if name in keys:
            new = editing.set_value(new, f"{place}.{name}", keys[name], checked=False)
        elif name in old:
            new = editing.remove_value(new, f"{place}.{name}")
    return new


def _toml(text: str) -> str:
    """As a TOML string: an inch mark must not end it."""
    plain = "".join(sign if sign.isprintable() else " " for sign in text)
    return '"' + " ".join(plain.replace("\\", "\\\\").replace('"', '\\"').split()) + '"'
