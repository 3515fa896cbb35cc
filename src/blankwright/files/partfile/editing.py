"""Edits of a part file's text: every other character of it stays as it was.

Each edit changes the text at one place, is read again, and is returned only if it means what it
should and brings no new problem. Nothing here writes a file but `save`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from blankwright.base.errors import FileProblem, Problem
from blankwright.files.partfile.edit_check import accepted
from blankwright.files.partfile.edit_places import (
    NoPlace,
    behind_group,
    inline_span,
    line_span,
    no_place,
    own_spans,
    positions_of,
    refuse_taken,
    steps_of,
    with_key,
)
from blankwright.files.partfile.positions import place_of
from blankwright.files.partfile.reading import read_part_text
from blankwright.files.partfile.renaming import rename
from blankwright.files.partfile.syntax import read_text
from blankwright.files.partfile.texts import key_text, line_end_of, literal_of
from blankwright.files.whole import write_whole

__all__ = [
    "NoPlace",
    "add_table",
    "add_value",
    "remove_value",
    "rename",
    "save",
    "set_value",
]

Values = Mapping[str, "str | Mapping[str, str]"]
"""Keys of a table and what is typed for each; a table within it is a mapping again."""


def set_value(text: str, place: str, typed: str, *, checked: bool = True) -> str:
    """Return the text with the value at a place set to what was typed.

    A key that is not there yet is added to its table, if that is there.

    Args:
        text: what the part file holds
        place: such as ``bends.left.angle`` or ``flats.floor.outline.rectangle[1]``
        typed: as typed in a field, without quotes; a list or an inline table as TOML has it
        checked: whether an edit that brings new problems is refused; a draft takes what is
            typed half way

    Raises:
        NoPlace: EDIT-001 when there is no such place
        BadInput: with the problems the edit would bring
    """
    found = positions_of(text)
    steps = steps_of(place)
    span = found.values.get(place_of(tuple(steps)))
    if span is not None:
        literal = literal_of(typed, text[span[0] : span[1]], str(steps[-1]))
        new = text[: span[0]] + literal + text[span[1] :]
    else:
        if isinstance(steps[-1], int):
            raise no_place(place)
        literal = literal_of(typed, "", steps[-1])
        new = with_key(text, found, steps, literal)
    return accepted(text, new, steps, tomllib.loads(f"x = {literal}")["x"], checked=checked)


def add_value(text: str, place: str, typed: str) -> str:
    """Return the text with a key added, as `set_value` does for one that is not there.

    Raises:
        NoPlace: EDIT-001 when there is no such table
        BadInput: EDIT-002 when it is there already, or with the problems the edit would bring
    """
    refuse_taken(positions_of(text), place_of(tuple(steps_of(place))))
    return set_value(text, place, typed)


def add_table(text: str, place: str, values: Values) -> str:
    """Return the text with a table added, behind the last of its kind.

    Args:
        text: what the part file holds
        place: such as ``bends.lip``
        values: its keys

    Raises:
        BadInput: EDIT-002 when it is there already, or with the problems the edit would bring
    """
    found = positions_of(text)
    steps = steps_of(place)
    place = place_of(tuple(steps))
    refuse_taken(found, place)
    line_end = line_end_of(text)
    rows = [f"[{place}]"]
    meant: dict[str, Any] = {}
    for key, value in values.items():
        if isinstance(value, str):
            literal = literal_of(value, "", key)
        else:
            inner = ", ".join(f"{k} = {literal_of(v, '', k)}" for k, v in value.items())
            literal = f"{{ {inner} }}"
        rows.append(f"{key_text(key)} = {literal}")
        meant[key] = tomllib.loads(f"x = {literal}")["x"]
    block = line_end.join(rows) + line_end
    at = behind_group(text, found, str(steps[0]))
    before = text[:at]
    if before and not before.endswith("\n"):
        before += line_end
    after = text[at:]
    gap = line_end if after and not after.startswith(("\n", "\r\n")) else ""
    return accepted(text, before + line_end + block + gap + after, steps, meant)


def remove_value(text: str, place: str) -> str:
    """Return the text without a key or a table. Comments above it stay.

    Raises:
        NoPlace: EDIT-001 when there is no such place
        BadInput: with the problems the edit would bring
    """
    found = positions_of(text)
    steps = steps_of(place)
    place = place_of(tuple(steps))
    if place not in found.lines or isinstance(steps[-1], int):
        raise no_place(place)
    inline = inline_span(text, found, place)
    if inline is not None:
        new = text[: inline[0]] + text[inline[1] :]
    else:
        gone = bytearray(len(text))
        for span in own_spans(text, found, place):
            start, end = line_span(text, *span)
            gone[start:end] = b"\1" * (end - start)
        new = "".join(char for char, out in zip(text, gone, strict=True) if not out)
    return accepted(text, new, steps, None)


def save(path: Path, text: str, seen: str | None = None) -> None:
    """Save the text of a part file, whole or not at all.

    Args:
        path: the file
        text: what it shall hold
        seen: what it held when it was read; nothing when it is new

    Raises:
        FileProblem: FILE-002 when the file was changed by someone else since, FILE-001 when it
            can't be written
        BadInput: when the text is not TOML, or has problems that the file did not have
    """
    mark = ""
    if path.exists():
        mark = "\ufeff" if path.read_bytes().startswith(b"\xef\xbb\xbf") else ""
        now = read_text(path)
        if seen is not None and now != seen:
            raise FileProblem(
                Problem(
                    code="FILE-002",
                    where=str(path),
                    got="the file was changed since it was read here",
                    fix="Read it again, then make the change again; nothing was overwritten",
                )
            )
        accepted(now, text, None, None)
    else:
        read_part_text(text, path.stem, file=str(path))
    write_whole(path, (mark + text).encode("utf-8"))
