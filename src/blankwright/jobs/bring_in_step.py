"""A file of bent solids looked at: a part file for each sheet part, and why others are none."""

from __future__ import annotations

import hashlib
import math
from typing import TYPE_CHECKING

from blankwright.base.errors import BadInput, Problem
from blankwright.base.quantities import BadText, read_quantity
from blankwright.base.units import show_angle, show_mm, trimmed
from blankwright.develop.allowance import (
    bend_allowance_empirical,
    bend_allowance_neutral_axis,
    k_of_allowance,
)
from blankwright.jobs.bring_in_asked import UNKNOWN, Asked, Candidate, Question, Seen
from blankwright.jobs.bring_in_text import listed, part_file, quoted
from blankwright.jobs.shapes import part_name

if TYPE_CHECKING:
    from blankwright.develop.blank import Blank
    from blankwright.develop.unfold.result import NotSheet, Unfolded

Refused = tuple[str, tuple[Problem, ...]]
"""A solid's name, and why it is no sheet part."""


def look_at_step(
    data: bytes, file: str, name: str, title: str, asked: Asked
) -> tuple[tuple[Candidate, ...], tuple[Refused, ...]]:
    """Look at a file of solids and propose a part file for each sheet part in it.

    Args:
        data: the STEP file
        file: how the part files will name it
        name: name of the part; with several, each has its solid's name behind it
        title: its title
        asked: what is stated

    Raises:
        BadInput: when it is no STEP file, or holds no solid
    """
    from blankwright.develop.unfold.result import NotSheet, Unfolded

    results = _unfolded(data, file.rsplit("/", 1)[-1], asked)
    if asked.solid:
        chosen = tuple(result for result in results if result.name == asked.solid)
        if not chosen:
            raise BadInput(
                Problem(
                    code="BRING-003",
                    where="solid",
                    got=f"the file holds no solid `{asked.solid}`",
                    allowed=", ".join(result.name for result in results),
                )
            )
    else:
        chosen = results
    refused = tuple(
        (r.name + _times(r.copies), r.problems) for r in chosen if isinstance(r, NotSheet)
    )
    sheets = [r for r in chosen if isinstance(r, Unfolded)]
    several = len(results) > 1
    candidates: list[Candidate] = []
    for sheet in sheets:
        own_name, own_title = name, title
        if several and len(sheets) > 1:
            own_name = f"{name}-{part_name(sheet.name)}".strip("-")
            own_title = f"{title}, {sheet.name}"
        if any(own_name == other.name for other in candidates):
            own_name = f"{own_name}-{len(candidates) + 1}"
        candidates.append(_candidate(sheet, data, file, own_name, own_title, several, asked))
    return tuple(candidates), refused


def one_blank(data: bytes, name: str, asked: Asked) -> Blank:
    """Return the blank of the one sheet part in a file of solids.

    Args:
        data: the STEP file
        name: what messages call it
        asked: k, and the solid where there are several

    Raises:
        BadInput: when it is no STEP file, or holds no such solid
        NotPossible: when the solid is no sheet part
    """
    from blankwright.files.partfile.source_step import chosen_solid

    return chosen_solid(_unfolded(data, name, asked), asked.solid, name).blank


def _unfolded(data: bytes, name: str, asked: Asked) -> tuple[Unfolded | NotSheet, ...]:
    from blankwright.files.partfile.source_step import unfolded

    k = _number(asked.k) if asked.k else None

    def rule(radius: float, thickness: float, angle: float) -> tuple[float, float]:
        halves = 1 if angle <= math.pi + 1e-9 else 2
        own = angle / halves
        if k is not None:
            allowance = bend_allowance_neutral_axis(radius, thickness, own, k)
        else:
            allowance = bend_allowance_empirical(radius, thickness, own)
        return halves * allowance, k_of_allowance(allowance, radius, thickness, own)

    return unfolded(
        data,
        name,
        rule=rule,
        mark=("look", k),
        root_at=_point3(asked.root_at),
        seen_from=asked.seen_from,
    )


def _candidate(
    sheet: object,
    data: bytes,
    file: str,
    name: str,
    title: str,
    several: bool,
    asked: Asked,
) -> Candidate:
    from blankwright.develop.restate import wide_bends_halved
    from blankwright.develop.unfold.result import Unfolded
    from blankwright.files.partfile.source_step import seen

    assert isinstance(sheet, Unfolded)
    blank = wide_bends_halved(sheet.blank)
    widths = _widths(asked, len(blank.bends))
    told = [
        f"solid {sheet.name}{_times(sheet.copies)}: sheet {show_mm(blank.thickness, 3)} thick,"
        f" {len(blank.flats)} flats, {len(blank.bends)} bends, {len(blank.outline.holes)} openings,"
        f" blank {show_mm(blank.size[0])} × {show_mm(blank.size[1])}"
        f"{' by the rule for all bends' if widths else ''}"
    ]
    told += [str(finding) for finding in (*sheet.findings, *seen(sheet))]
    questions: list[Question] = []
    if not asked.alloy:
        questions.append(
            Question(
                key="alloy",
                ask="What alloy and temper is the sheet? A solid does not say.",
                example="6061-T6",
            )
        )
    source = [("file", quoted(file)), ("sha256", quoted(hashlib.sha256(data).hexdigest()))]
    if several:
        source.append(("solid", quoted(sheet.name)))
    if asked.root_at:
        source.append(("root_at", listed([word.strip() for word in asked.root_at.split(",")])))
    if asked.seen_from:
        source.append(("seen_from", quoted(asked.seen_from)))
    notes = [
        f"bend-{i}: {'up' if bend.up else 'down'} {show_angle(bend.angle)}"
        f" R {show_mm(bend.inside_radius, 3)}, by the solid"
        for i, bend in enumerate(blank.bends, start=1)
    ]
    text = part_file(
        title=title,
        drawing=asked.drawing,
        source=source,
        alloy=asked.alloy or UNKNOWN,
        thickness=asked.thickness or f"{trimmed(blank.thickness, 6)} mm",
        k=asked.k,
        bends=(),
        notes=notes,
        widths=widths,
    )
    return Candidate(
        name=name,
        told=tuple(told),
        text=text,
        questions=tuple(questions),
        blank_size=blank.size,
        seen=Seen(
            loops=tuple(tuple(loop.points()) for loop in blank.outline.loops),
            bends=tuple(
                (f"bend-{i}", bend.center_line.start, bend.center_line.end)
                for i, bend in enumerate(blank.bends, start=1)
            ),
        ),
    )


def _widths(asked: Asked, count: int) -> list[tuple[str, tuple[str, str]]]:
    """Return for each bend what is stated of the width of its strip."""
    names = [f"bend-{i}" for i in range(1, count + 1)]
    unknown = set(asked.bends) - set(names)
    if unknown:
        raise BadInput(
            Problem(
                code="BRING-003",
                where="bend",
                got=f"the solid has no bend `{sorted(unknown)[0]}`",
                allowed=f"bends: {', '.join(names) or 'none'}",
            )
        )
    return [
        (name, width)
        for name in names
        if (width := asked.bends.get(name, asked.every_bend).width)[0]
    ]


def _times(copies: int) -> str:
    return f", {copies} of it" if copies > 1 else ""


def _number(text: str) -> float:
    try:
        quantity = read_quantity(text)
        if quantity.kind != "number":
            raise BadText("BRING-003", f"`{text}` is no bare number", "such as 0.44")
    except BadText as error:
        raise BadInput(error.at("k")) from error
    return quantity.value


def _point3(text: str) -> tuple[float, float, float] | None:
    if not text:
        return None
    try:
        values = [read_quantity(word) for word in text.split(",")]
    except BadText as error:
        raise BadInput(error.at("root_at")) from error
    if len(values) != 3 or any(value.kind != "length" for value in values):
        raise BadInput(
            Problem(
                code="BRING-003",
                where="root_at",
                got=f"`{text}` is no point of a solid",
                allowed="three lengths with commas between: 1 in, 2 in, 0 in",
            )
        )
    x, y, z = (value.value for value in values)
    return (x, y, z)
