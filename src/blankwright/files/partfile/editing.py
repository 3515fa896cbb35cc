"""Edits of a part file's text: every other character of it stays as it was.

Each edit changes the text at one place, is read again, and is returned only if it means what it
should and brings no new problem. Nothing here writes a file but `save`.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from blankwright.base.errors import BadInput, FileProblem, OurBug, Problem
from blankwright.files.partfile.positions import Positions, place_of, positions
from blankwright.files.partfile.problems import PartProblem
from blankwright.files.partfile.reading import read_part_text
from blankwright.files.partfile.schema import TABLES
from blankwright.files.partfile.syntax import read_text
from blankwright.files.partfile.texts import (
    comments,
    key_text,
    line_end_of,
    literal_of,
    to_line_end,
)
from blankwright.files.whole import write_whole

Values = Mapping[str, "str | Mapping[str, str]"]
"""Keys of a table and what is typed for each; a table within it is a mapping again."""

_BARE: Final = re.compile(r"[A-Za-z0-9_-]+")
_NOT_FORMULAS: Final = frozenset(
    (
        *("title", "drawing", "place", "hand", "notes", "note", "alloy", "from", "on", "name"),
        *("between", "edges", "edge", "drawn_to", "edge_drawn_to", "rule", "allowance", "last"),
        *("shape", "relief", "end_relief"),
    )
)
_STEP: Final = re.compile(r'\.?(?:"([^"]*)"|([A-Za-z0-9_-]+)|\[(\d+)\])')


class NoPlace(BadInput, KeyError):
    """There is no such place in the file."""


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
    found = _positions(text)
    steps = _steps(place)
    span = found.values.get(place_of(tuple(steps)))
    if span is not None:
        literal = literal_of(typed, text[span[0] : span[1]], str(steps[-1]))
        new = text[: span[0]] + literal + text[span[1] :]
    else:
        if isinstance(steps[-1], int):
            raise _no_place(place)
        literal = literal_of(typed, "", steps[-1])
        new = _with_key(text, found, steps, literal)
    return _accepted(text, new, steps, tomllib.loads(f"x = {literal}")["x"], checked=checked)


def add_value(text: str, place: str, typed: str) -> str:
    """Return the text with a key added, as `set_value` does for one that is not there.

    Raises:
        NoPlace: EDIT-001 when there is no such table
        BadInput: EDIT-002 when it is there already, or with the problems the edit would bring
    """
    _refuse_taken(_positions(text), place_of(tuple(_steps(place))))
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
    found = _positions(text)
    steps = _steps(place)
    place = place_of(tuple(steps))
    _refuse_taken(found, place)
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
    at = _behind_group(text, found, str(steps[0]))
    before = text[:at]
    if before and not before.endswith("\n"):
        before += line_end
    after = text[at:]
    gap = line_end if after and not after.startswith(("\n", "\r\n")) else ""
    return _accepted(text, before + line_end + block + gap + after, steps, meant)


def remove_value(text: str, place: str) -> str:
    """Return the text without a key or a table. Comments above it stay.

    Raises:
        NoPlace: EDIT-001 when there is no such place
        BadInput: with the problems the edit would bring
    """
    found = _positions(text)
    steps = _steps(place)
    place = place_of(tuple(steps))
    if place not in found.lines or isinstance(steps[-1], int):
        raise _no_place(place)
    inline = _inline_span(text, found, place)
    if inline is not None:
        new = text[: inline[0]] + text[inline[1] :]
    else:
        gone = bytearray(len(text))
        for span in _own_spans(text, found, place):
            start, end = _line_span(text, *span)
            gone[start:end] = b"\1" * (end - start)
        new = "".join(char for char, out in zip(text, gone, strict=True) if not out)
    return _accepted(text, new, steps, None)


def rename(text: str, place: str, name: str) -> str:
    """Return the text with a size, flat, bend, hole, corner or variant renamed, everywhere.

    A renamed size is renamed in every formula, a flat or leg in all that refer to it.

    Raises:
        NoPlace: EDIT-001 when there is no such place
        BadInput: EDIT-002 when the new name is taken, or with the problems the edit would bring
    """
    found = _positions(text)
    steps = _steps(place)
    kinds = ("sizes", "flats", "bends", "holes", "corners", "variants")
    if len(steps) != 2 or steps[0] not in kinds or place not in found.lines:
        raise _no_place(place)
    new_place = place_of((steps[0], name))
    _refuse_taken(found, new_place)
    if not _BARE.fullmatch(name):
        raise BadInput(
            Problem(
                code="PART-007",
                where=new_place,
                got=f"`{name}` can't be a name",
                allowed="letters, digits, - and _",
            )
        )
    old = str(steps[1])
    changes = [(a, b, key_text(name)) for where, a, b in found.keys if where == place]
    if steps[0] == "bends":
        ends = re.compile(rf'overrides\."(.* )bend {re.escape(old)}"')
        for where, a, b in found.keys:
            if match := ends.fullmatch(where):
                changes.append((a, b, key_text(f"{match[1]}bend {name}")))
    if steps[0] == "sizes":
        variants = re.compile(rf"variants\.[^.]+\.{re.escape(old)}")
        changes += [
            (a, b, key_text(name)) for where, a, b in found.keys if variants.fullmatch(where)
        ]
    for where, (start, end) in found.values.items():
        typed = text[start:end]
        if typed[:1] in "\"'":
            value = tomllib.loads(f"x = {typed}")["x"]
            renamed = _renamed(str(steps[0]), where, value, old, name, found)
            if renamed != value:
                changes.append((start, end, literal_of(renamed, typed, "")))
    new = text
    for start, end, typed in sorted(changes, reverse=True):
        new = new[:start] + typed + new[end:]
    return _accepted(text, new, None, None)


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
        _accepted(now, text, None, None)
    else:
        read_part_text(text, path.stem, file=str(path))
    write_whole(path, (mark + text).encode("utf-8"))


# --- how ---------------------------------------------------------------------------------------


def _refuse_taken(found: Positions, place: str) -> None:
    if place in found.lines:
        raise BadInput(
            Problem(
                code="EDIT-002",
                where=place,
                got="it is in the file already",
                allowed="a name that is free",
            )
        )


def _positions(text: str) -> Positions:
    problems = [p for p in _problems(text) if p.code == "PART-001"]
    if problems:
        raise BadInput(*problems)
    return positions(text)


def _problems(text: str) -> tuple[PartProblem, ...]:
    try:
        read_part_text(text, "part", file="part file")
    except BadInput as error:
        return tuple(p for p in error.problems if isinstance(p, PartProblem))
    return ()


def _accepted(
    old: str, new: str, steps: list[str | int] | None, meant: Any, *, checked: bool = True
) -> str:
    """Return the new text if it means what it should and brings no new problem."""
    if steps is not None:
        wanted = tomllib.loads(old)
        _apply(wanted, steps, meant)
        try:
            got = tomllib.loads(new)
        except tomllib.TOMLDecodeError as error:
            raise _bug(place_of(tuple(steps)), f"made a text that is not TOML: {error}") from error
        if _bare_of_empty(got) != _bare_of_empty(wanted):
            raise _bug(place_of(tuple(steps)), "changed more than its place")
        if meant is not None and comments(old) != comments(new):
            raise _bug(place_of(tuple(steps)), "lost a comment")
    if not checked:
        return new
    known = {problem.identity for problem in _problems(old)}
    fresh = [problem for problem in _problems(new) if problem.identity not in known]
    if fresh:
        raise BadInput(*fresh)
    return new


def _bug(place: str, got: str) -> OurBug:
    return OurBug(Problem(code="EDIT-003", where=place, got=f"an edit {got}; it was dropped"))


def _apply(data: Any, steps: list[str | int], meant: Any) -> None:
    """Make the same change in plain tables; nothing meant takes the key away."""
    for step in steps[:-1]:
        data = data[step - 1] if isinstance(step, int) else data.setdefault(step, {})
    last = steps[-1]
    if isinstance(last, int):
        data[last - 1] = meant
    elif meant is None:
        del data[last]
    else:
        data[last] = meant


def _bare_of_empty(data: Any) -> Any:
    """Drop empty tables: a group whose last member is removed loses its heading too."""
    if not isinstance(data, dict):
        return data
    inner = {key: _bare_of_empty(value) for key, value in data.items()}
    return {key: value for key, value in inner.items() if value != {}}


def _steps(place: str) -> list[str | int]:
    steps: list[str | int] = []
    at = 0
    while at < len(place):
        match = _STEP.match(place, at)
        if match is None:
            raise _no_place(place)
        quoted, bare, number = match.groups()
        steps.append(int(number) if number else quoted if quoted is not None else bare)
        at = match.end()
    if not steps:
        raise _no_place(place)
    return steps


def _no_place(place: str) -> NoPlace:
    return NoPlace(
        Problem(
            code="EDIT-001",
            where=place,
            got="there is no such place in the file",
            allowed="a key, or a new key of a table that is there",
        )
    )


def _with_key(text: str, found: Positions, steps: list[str | int], literal: str) -> str:
    """Return the text with a key added to a table that is there, or to a new top table."""
    key = key_text(str(steps[-1]))
    parent = place_of(tuple(steps[:-1]))
    line_end = line_end_of(text)
    span = found.values.get(parent)
    if span is not None:
        start, end = span
        if text[start] != "{":
            raise _no_place(place_of(tuple(steps)))
        inside = text[start + 1 : end - 1]
        if not inside.strip():
            return f"{text[:start]}{{ {key} = {literal} }}{text[end:]}"
        kept = inside.rstrip()
        return f"{text[: start + 1]}{kept}, {key} = {literal} }}{text[end:]}"
    head = next((item for item in found.heads if item[0] == parent), None)
    first_head = min((item[1] for item in found.heads), default=len(text))
    if parent and head is None:
        if parent in TABLES and parent not in found.lines:
            gap = line_end if text.endswith("\n") or not text else line_end * 2
            return f"{text}{gap}[{parent}]{line_end}{key} = {literal}{line_end}"
        raise _no_place(place_of(tuple(steps)))
    start = head[2] if head else 0
    stop = min((a for _, a, _ in found.heads if a >= start), default=len(text))
    if not head:
        stop = first_head
    ends = [b for a, b in found.values.values() if start <= a < stop]
    if not ends and not head:
        return f"{key} = {literal}{line_end}{text}"
    at = to_line_end(text, max(ends, default=start))
    before = text[:at] if text[:at].endswith("\n") else text[:at] + line_end
    return f"{before}{key} = {literal}{line_end}{text[at:]}"


def _behind_group(text: str, found: Positions, group: str) -> int:
    """Return the place behind the last thing that belongs to a top table."""
    ends = [end for place, (_, end) in found.values.items() if re.match(rf"{group}(\.|$)", place)]
    ends += [end for place, _, end in found.heads if re.match(rf"{group}(\.|$)", place)]
    return to_line_end(text, max(ends)) if ends else len(text)


def _own_spans(text: str, found: Positions, place: str) -> list[tuple[int, int]]:
    """Return first and last characters of all that a place is made of: headings and keys."""

    def mine(other: str) -> bool:
        return other == place or other.startswith((f"{place}.", f"{place}["))

    spans = [(start, end) for other, start, end in found.heads if mine(other)]
    for other, (_, end) in found.values.items():
        if mine(other) and "[" not in other[len(place) :]:
            starts = [a for where, a, _ in found.keys if where == other]
            spans.append((starts[-1], end))
    return spans


def _line_span(text: str, start: int, end: int) -> tuple[int, int]:
    """Widen a span to whole lines; a comment behind it on its line goes with it."""
    return text.rfind("\n", 0, start) + 1, to_line_end(text, end)


def _inline_span(text: str, found: Positions, place: str) -> tuple[int, int] | None:
    """Return the span of a key in an inline table, with the comma that goes with it."""
    for other, (start, end) in found.values.items():
        if text[start] != "{" or not place.startswith(f"{other}."):
            continue
        spans = _own_spans(text, found, place)
        first, last = min(a for a, _ in spans), max(b for _, b in spans)
        behind = re.match(r"[ \t]*,[ \t]*", text[last:end])
        if behind:
            return first, last + behind.end()
        before = re.search(r"[ \t]*,[ \t]*$", text[start:first])
        return (start + before.start() if before else first), last
    return None


def _renamed(kind: str, where: str, value: str, old: str, new: str, found: Positions) -> str:
    """Return a text of the file with a name in it changed, if it is one that can hold it."""
    last = where.rsplit(".", 1)[-1].split("[")[0]
    if kind == "sizes":
        if last in _NOT_FORMULAS or where.startswith("overrides."):
            return value
        if value in {"turn": ("left", "right"), "along": ("x", "y")}.get(last, ()):
            return value
        if last == "drill" and where.startswith("sizes."):
            return value
        return re.sub(rf"(?<![\w.]){re.escape(old)}(?!\w)", new, value)
    named_leg = f"bends.{old}.leg.name" in found.values
    if kind == "flats" or (kind == "bends" and not named_leg):
        if last == "from" and value.split(".")[0] == old:
            return new + value[len(old) :]
        if last == "on" and where.startswith("holes.") and value == old:
            return new
    if kind == "bends" and last == "between" and value == old:
        return new
    return value
