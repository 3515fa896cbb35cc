"""What notes in a drawing say of bends and the sheet: taken for a proposal, never for granted."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from blankwright.base.quantities import BadText, read_quantity
from blankwright.drawing.layers import BEND_NOTES
from blankwright.files.dxf_drawn.model import DrawnText, Pen
from blankwright.geom.edges import Line

_NUMBER = r"(?:\d+-\d+/\d+|\d+ \d+/\d+|\d+/\d+|\d+\.?\d*|\.\d+)"
_UNIT = r"(?:mm|cm|in\b|inch(?:es)?\b|\"|″|'')"
_WAY: Final = re.compile(r"\b(up|down|dn)\b", re.IGNORECASE)
_ANGLE: Final = re.compile(rf"({_NUMBER})\s*(?:°|º|deg\b|degrees?\b)", re.IGNORECASE)
_BARE_ANGLE: Final = re.compile(
    r"\b(?:up|down|dn)\b[\s,:@]*(\d{1,3}(?:\.\d+)?)(?=\s*(?:$|[,;@]|I?R[\d\s.:=]|rad))"
    r"|(?<![\d/.])(\d{1,3}(?:\.\d+)?)[\s,]*(?:up|down|dn)\b",
    re.IGNORECASE,
)
"""A bare number right beside the direction, as in ``UP 90 R.125``, is the angle."""

_RADIUS: Final = re.compile(
    rf"(?:\bI?R|\brad(?:ius)?)(?:\.(?!\d))?[\s:=]*({_NUMBER})\s*({_UNIT})?"
    rf"(?:\s*\(({_NUMBER})\s*({_UNIT})\))?",
    re.IGNORECASE,
)
_NAME: Final = re.compile(r"^\s*([A-Za-z0-9][\w-]*)\s*:\s")
_SHEET: Final = re.compile(
    rf"^\s*(?:(.+?),\s*)?({_NUMBER})\s*({_UNIT})(?:\s*\(({_NUMBER})\s*({_UNIT})\))?\s+thick\b",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class BendNote:
    """What a note says about a bend; what it does not say is empty.

    Args:
        text: the note
        name: name of the bend
        up: its direction
        angle: as a quantity, such as ``90 deg``
        radius: as a quantity, such as ``1/8 in``
        radius_bare: whether the drawing gives the radius without a unit
        angle_bare: whether it gives the angle without one
        by: what told it: the note's place, or a layer's name
    """

    text: str
    name: str = ""
    up: bool | None = None
    angle: str = ""
    radius: str = ""
    radius_bare: bool = False
    angle_bare: bool = False
    by: str = ""


def read_bend_note(text: str, unit: str) -> BendNote | None:
    """Read a note such as ``left: UP 90° R 1/8 in``.

    Args:
        text: the note
        unit: the drawing's unit, for a radius without one

    Returns:
        What it says, or nothing when it speaks of no bend.
    """
    way = _WAY.search(text)
    angle = _ANGLE.search(text)
    radius = _RADIUS.search(text)
    if not way and not (angle and radius):
        return None
    bare_angle = "" if angle or not way else _bare_angle(text)
    name = _NAME.match(text)
    if not (angle or bare_angle or radius or (name and way)):
        return None
    bare = bool(radius and not radius[2])
    return BendNote(
        text=text,
        name=name[1] if name else "",
        up=None if way is None else way[1].lower() == "up",
        angle=f"{angle[1]} deg" if angle else bare_angle,
        radius=_length(radius, 1, unit) if radius else "",
        radius_bare=bare,
        angle_bare=bool(bare_angle),
        by=f"note `{text}`",
    )


def _bare_angle(text: str) -> str:
    match = _BARE_ANGLE.search(text)
    if match is None:
        return ""
    value = match[1] or match[2]
    return f"{value} deg" if 1 <= float(value) <= 180 else ""


def read_sheet_note(text: str) -> tuple[str, str] | None:
    """Read alloy and thickness from a note such as ``6061-T6, 1.016 mm (0.04 in) thick``."""
    match = _SHEET.match(text)
    if match is None:
        return None
    return (match[1] or "").strip(), _length(match, 2, "")


def _length(match: re.Match[str], group: int, unit: str) -> str:
    """Return a length as typed; of two in different units the one that is a fraction, as exact."""
    first = f"{match[group]} {_unit(match[group + 1]) or unit}".strip()
    if match[group + 2]:
        second = f"{match[group + 2]} {_unit(match[group + 3])}"
        if "/" in second or _rounder(first, second):
            return second
    return first


def _rounder(first: str, second: str) -> bool:
    """Say whether the second is the length as chosen and the first what it was turned into."""
    try:
        a, b = read_quantity(first).value, read_quantity(second).value
    except BadText:
        return False
    digits = [len(text.split(" ")[0].partition(".")[2]) for text in (first, second)]
    return abs(a - b) < 5e-4 and digits[1] < digits[0]


def _unit(word: str | None) -> str:
    if not word:
        return ""
    return "in" if word.lower() in ("in", "inch", "inches", '"', "″", "''") else word.lower()


def pen_note(pen: Pen) -> BendNote | None:
    """Read the direction of bends from the name of their layer or line type."""
    for word, kind in ((pen.layer, "layer"), (pen.line_type, "line type")):
        parts = re.split(r"[\W_]+", word.lower())
        up, down = "up" in parts, "down" in parts or "dn" in parts
        if up != down:
            return BendNote(text=word, up=up, by=f"{kind} {word}")
    return None


def notes_by_line(
    texts: Sequence[DrawnText], lines: Sequence[Line], unit: str
) -> dict[int, BendNote]:
    """Give each bend line the note beside it, where that is plain.

    A note belongs to a line when it is by far the nearest, both ways round: the line's nearest note
    and the note's nearest line.
    """
    notes: list[tuple[DrawnText, BendNote]] = []
    for text in texts:
        note = read_bend_note(text.text, unit)
        if note is not None:
            notes.append((text, note))
    # In our own drawings the notes beside the bends are on a layer of their own; the list of all
    # bends below says nothing of places.
    ours = [(text, note) for text, note in notes if text.pen.layer == BEND_NOTES.name]
    notes = ours or notes
    if not notes:
        return {}
    result: dict[int, BendNote] = {}
    away = [[_distance(text, line) for line in lines] for text, _ in notes]
    order = sorted((d, i, j) for i, row in enumerate(away) for j, d in enumerate(row))
    used: set[int] = set()
    for d, i, j in order:
        if i in used or j in result:
            continue
        text, note = notes[i]
        rivals = [other for k, other in enumerate(away[i]) if k != j and k not in result]
        if d > 8 * text.height or any(other < 1.5 * d for other in rivals):
            continue
        used.add(i)
        result[j] = note
    return result


def _distance(text: DrawnText, line: Line) -> float:
    """Return the distance from a text's middle line to a bend line [mm]."""
    wide = 0.6 * text.height * len(text.text)
    dx, dy = math.cos(text.angle), math.sin(text.angle)
    points = [
        (
            text.at[0] + dx * wide * t - dy * text.height / 2,
            text.at[1] + dy * wide * t + dx * text.height / 2,
        )
        for t in (0.0, 0.25, 0.5, 0.75, 1.0)
    ]
    return min(line.distance(p) for p in points)
