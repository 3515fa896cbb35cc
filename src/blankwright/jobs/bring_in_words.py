"""What is stated for a flat drawing read, and names for its bends."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Protocol

from blankwright.base.errors import BadInput, Problem
from blankwright.base.quantities import BadText, read_quantity
from blankwright.jobs.bring_in_asked import (
    UNKNOWN,
    Asked,
    Seen,
)
from blankwright.jobs.bring_in_text import BendText, listed, point_in, quoted

if TYPE_CHECKING:
    from blankwright.files.dxf_drawn.layout import Choices, LaidOut
    from blankwright.files.dxf_drawn.model import Drawn
    from blankwright.files.dxf_drawn.notes import BendNote


def seen_of(laid: LaidOut, bends: Sequence[BendText]) -> Seen:
    """Return a drawing as it is understood, to look at."""
    return Seen(
        loops=tuple(tuple(loop.points()) for loop in laid.outline.loops),
        bends=tuple(
            (bend.name, drawn.line.start, drawn.line.end)
            for bend, drawn in zip(bends, laid.bend_lines, strict=True)
        ),
    )


def names_for(notes: Sequence[BendNote | None]) -> list[str]:
    """Name bends by their notes where these have names, else by number."""
    names: list[str] = []
    for i, note in enumerate(notes, start=1):
        name = note.name if note is not None else ""
        usable = re.fullmatch(r"[A-Za-z0-9_][A-Za-z0-9_-]*", name) and name not in ("root", *names)
        if not usable:
            name = f"bend-{i}"
        while name in names:
            name += "b"
        names.append(name)
    return names


def length_asked(text: str, otherwise: float) -> float:
    """Return a stated length, or another one when none is stated [mm]. Raises BadInput."""
    if not text:
        return otherwise
    try:
        quantity = read_quantity(text)
    except BadText as error:
        raise BadInput(error.at("length")) from error
    if quantity.kind != "length":
        raise bad_word(f"`{text}` is no length", "a length such as 0.1 mm")
    return quantity.value


def point_asked(text: str) -> tuple[float, float] | None:
    """Return a stated point [mm], nothing when none is stated. Raises BadInput."""
    if not text:
        return None
    words = text.split(",")
    if len(words) != 2:
        raise bad_word(f"`{text}` is no point", "two lengths with a comma between: 1 in, 2 in")
    return (length_asked(words[0], 0.0), length_asked(words[1], 0.0))


def bad_word(got: str, allowed: str) -> BadInput:
    """Return the problem of something that is stated and can't be."""
    return BadInput(Problem(code="BRING-003", where="bring", got=got, allowed=allowed))


class Looked(Protocol):
    """What is known of a drawing that is looked at."""

    asked: Asked
    file: str
    data: bytes
    unit: str
    scale: float


def source_rows(
    look: Looked, choices: Choices, reach: float, drawn: Drawn
) -> list[tuple[str, str]]:
    """Return the keys of `[source]` with their values as TOML.

    Args:
        look: what is known of the drawing
        choices: which lines are what
        reach: how far bend lines may end short of the edge [mm]
        drawn: the drawing
    """
    asked = look.asked
    rows = [
        ("file", quoted(look.file)),
        ("sha256", quoted(hashlib.sha256(look.data).hexdigest())),
    ]
    if asked.units or not look.unit:
        rows.append(("units", quoted(look.unit or UNKNOWN)))
    for key in ("outline", "openings", "bend_lines", "tangent_lines"):
        texts = [choice.text for choice in getattr(choices, key)]
        if texts:
            rows.append((key, listed(texts)))
    if choices.leave_out:
        points = ", ".join(point_in(p, look.unit, look.scale) for p in choices.leave_out)
        rows.append(("leave_out", f"[{points}]"))
    if asked.layout:
        rows.append(("layout", quoted(asked.layout)))
    if asked.no_rounds:
        rows.append(("rounds", "false"))
    if asked.relieve:
        rows.append(("relieve", "true"))
    rows.append(("closes", quoted(asked.closes or f"{choices.closes:g} mm")))
    if drawn.fitted or asked.fit:
        from blankwright.files.dxf_drawn.layout import FIT

        rows.append(("fit", quoted(asked.fit or f"{FIT:g} mm")))
    if choices.bend_lines:
        rows.append(("reach", quoted(asked.reach or f"{reach:.3g} mm")))
    for key, text in (("part_at", asked.part_at), ("root_at", asked.root_at)):
        if text:
            rows.append((key, listed([word.strip() for word in text.split(",")])))
    return rows
