"""Places in the text of a part file: found, and cut to what an edit changes."""

from __future__ import annotations

import re
from typing import Final

from blankwright.base.errors import BadInput, Problem
from blankwright.files.partfile.positions import Positions, place_of, positions
from blankwright.files.partfile.problems import Problems
from blankwright.files.partfile.schema import TABLES
from blankwright.files.partfile.syntax import read_tables
from blankwright.files.partfile.texts import key_text, line_end_of, to_line_end

_STEP: Final = re.compile(r'\.?(?:"([^"]*)"|([A-Za-z0-9_-]+)|\[(\d+)\])')


class NoPlace(BadInput, KeyError):
    """There is no such place in the file."""


def no_place(place: str) -> NoPlace:
    """Return the error for a place that is not there."""
    return NoPlace(
        Problem(
            code="EDIT-001",
            where=place,
            got="there is no such place in the file",
            allowed="a key, or a new key of a table that is there",
        )
    )


def steps_of(place: str) -> list[str | int]:
    """Return the keys and numbers of a place. Raises NoPlace when it is none."""
    steps: list[str | int] = []
    at = 0
    while at < len(place):
        match = _STEP.match(place, at)
        if match is None:
            raise no_place(place)
        quoted, bare, number = match.groups()
        steps.append(int(number) if number else quoted if quoted is not None else bare)
        at = match.end()
    if not steps:
        raise no_place(place)
    return steps


def positions_of(text: str) -> Positions:
    """Return where all stands in a text. Raises BadInput when it is not TOML."""
    problems = Problems("part file")
    read_tables(text, problems)
    problems.raise_if_any()
    return positions(text)


def refuse_taken(found: Positions, place: str) -> None:
    """Raise BadInput EDIT-002 when a place is there already."""
    if place in found.lines:
        raise BadInput(
            Problem(
                code="EDIT-002",
                where=place,
                got="it is in the file already",
                allowed="a name that is free",
            )
        )


def with_key(text: str, found: Positions, steps: list[str | int], literal: str) -> str:
    """Return the text with a key added to a table that is there, or to a new top table."""
    key = key_text(str(steps[-1]))
    parent = place_of(tuple(steps[:-1]))
    line_end = line_end_of(text)
    span = found.values.get(parent)
    if span is not None:
        start, end = span
        if text[start] != "{":
            raise no_place(place_of(tuple(steps)))
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
        raise no_place(place_of(tuple(steps)))
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


def behind_group(text: str, found: Positions, group: str) -> int:
    """Return the place behind the last thing that belongs to a top table."""
    ends = [end for place, (_, end) in found.values.items() if re.match(rf"{group}(\.|$)", place)]
    ends += [end for place, _, end in found.heads if re.match(rf"{group}(\.|$)", place)]
    return to_line_end(text, max(ends)) if ends else len(text)


def own_spans(text: str, found: Positions, place: str) -> list[tuple[int, int]]:
    """Return first and last characters of all that a place is made of: headings and keys."""

    def mine(other: str) -> bool:
        return other == place or other.startswith((f"{place}.", f"{place}["))

    spans = [(start, end) for other, start, end in found.heads if mine(other)]
    for other, (_, end) in found.values.items():
        if mine(other) and "[" not in other[len(place) :]:
            starts = [a for where, a, _ in found.keys if where == other]
            spans.append((starts[-1], end))
    return spans


def line_span(text: str, start: int, end: int) -> tuple[int, int]:
    """Widen a span to whole lines; a comment behind it on its line goes with it."""
    return text.rfind("\n", 0, start) + 1, to_line_end(text, end)


def inline_span(text: str, found: Positions, place: str) -> tuple[int, int] | None:
    """Return the span of a key in an inline table, with the comma that goes with it."""
    for other, (start, end) in found.values.items():
        if text[start] != "{" or not place.startswith(f"{other}."):
            continue
        spans = own_spans(text, found, place)
        first, last = min(a for a, _ in spans), max(b for _, b in spans)
        behind = re.match(r"[ \t]*,[ \t]*", text[last:end])
        if behind:
            return first, last + behind.end()
        before = re.search(r"[ \t]*,[ \t]*$", text[start:first])
        return (start + before.start() if before else first), last
    return None
