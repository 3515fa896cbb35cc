"""Measurements on their way from the log into part files."""

from __future__ import annotations

import tomllib
from datetime import datetime
from pathlib import Path

from blankwright.base.errors import FileProblem, Problem
from blankwright.book import records as r
from blankwright.jobs.book_find import bad_input
from blankwright.jobs.book_open import BookAt


def put_size(
    at_book: BookAt, at: datetime, number: int, *, replace_formula: bool = False
) -> r.Measurement:
    """Put a measurement into its part file: the size becomes a measured one, with date and reason.

    The part file is written first, then the book ticks it off; doing it again changes nothing, so
    a crash in between costs nothing.

    Args:
        at_book: the book
        at: now
        number: the measurement
        replace_formula: whether a size that is worked out by a formula may become a number

    Raises:
        BadInput: when the part has no such size, or the file would not be right with it
        FileProblem: when the part has no file
    """
    from blankwright.files.partfile import read_part
    from blankwright.files.partfile.syntax import read_text
    from blankwright.jobs.history import History
    from blankwright.part.model import Origin

    with at_book.read() as reader:
        measurement = reader.get(r.Measurement, number)
        part = reader.get(r.Part, measurement.part_id)
        entry = reader.get(r.Entry, measurement.entry_id)
    where = f"measurement {number}: {part.name}, size {measurement.size}"
    path = at_book.project.root / part.file
    if not part.file or not path.is_file():
        raise FileProblem(
            Problem(
                code="BOOK-062",
                where=where,
                got="the part has no part file",
                fix="Write one, then make its tasks: blankwright book plan",
            )
        )
    text = read_text(path)
    sizes = {size.name: size for size in read_part(path).sizes}
    if measurement.size not in sizes:
        raise bad_input(
            "BOOK-063", where, "its part file has no such size", f"Sizes: {', '.join(sizes)}"
        )
    size = sizes[measurement.size]
    if size.origin is Origin.FORMULA and not replace_formula:
        raise bad_input(
            "BOOK-064",
            where,
            f"it is worked out by the formula {size.text}",
            "Measure what the formula works with, or say that the formula is to go",
        )
    day = entry.at.date().isoformat()
    note = f"{day}: {measurement.reason or entry.text or 'measured'}"
    new = _with_size(text, path, measurement, note, size.origin is Origin.DRAWN)
    if new != text:
        History(at_book.project.root).write(
            part.file, new, f"{part.name}: {measurement.size} measured, {measurement.value}"
        )
    with at_book.change(f"{where} into the part file", at) as change:
        if change.get(r.Measurement, number).state is not r.SizeState.IN_PART_FILE:
            change.put(
                r.Measurement,
                number,
                state=r.SizeState.IN_PART_FILE,
                put_in_at=at,
                old=size.text if new != text else "",
            )
        return change.get(r.Measurement, number)


def _with_size(text: str, path: Path, measurement: r.Measurement, note: str, drawn: bool) -> str:
    from blankwright.files.partfile import editing, read_part_text

    place = f"sizes.{measurement.size}"
    new_keys = {"measured": measurement.value, "plus_minus": measurement.plus_minus, "note": note}
    old = tomllib.loads(text)["sizes"][measurement.size]
    # What the drawing says stays beside what was measured.
    kept = old if isinstance(old, dict) else {"drawn": old} if drawn else {}
    keys = {name: value for name, value in kept.items() if name not in new_keys}
    keys |= {name: value for name, value in new_keys.items() if value}
    try:
        typed = ", ".join(f"{name} = {_toml(value)}" for name, value in keys.items())
        return editing.set_value(text, place, f"{{ {typed} }}")
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
    read_part_text(new, path.stem, file=str(path))
    return new


def _toml(text: str) -> str:
    """As a TOML string: an inch mark must not end it."""
    plain = "".join(sign if sign.isprintable() else " " for sign in text)
    return '"' + " ".join(plain.replace("\\", "\\\\").replace('"', '\\"').split()) + '"'
