"""Finding things in the book by the names that builders use."""

from __future__ import annotations

from blankwright.base.errors import BadInput, Problem
from blankwright.book import records as r
from blankwright.book.change import Change, Reader


def part_named(reader: Reader, name: str) -> r.Part:
    """Return a part by name. Raises BadInput."""
    found = reader.by(r.Part, name=name)
    if not found:
        have = ", ".join(p.name for p in reader.all(r.Part, order=("name",))) or "none yet"
        raise BadInput(
            Problem(
                code="BOOK-053",
                where=f"part {name}",
                got="the book has no such part",
                allowed=have,
                fix="Make its tasks first: blankwright book plan",
            )
        )
    return found[0]


def hardware_numbered(reader: Reader, number: str) -> r.Hardware:
    """Return a hardware item by its part number. Raises BadInput."""
    found = reader.by(r.Hardware, number=number)
    if not found:
        raise bad_input(
            "BOOK-054",
            f"hardware {number}",
            "the book has no such item",
            "Enter it first: blankwright book takes",
        )
    return found[0]


def put_setting(change: Change, name: str, value: str) -> None:
    """Set a setting inside a change."""
    known = change.by(r.Setting, name=name)
    if known:
        change.put(r.Setting, known[0].id, value=value)
    else:
        change.add(r.Setting, name=name, value=value)


def bad_input(code: str, where: str, got: str, fix: str) -> BadInput:
    """Return an error with one problem."""
    return BadInput(Problem(code=code, where=where, got=got, fix=fix))
