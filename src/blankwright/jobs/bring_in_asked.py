"""What a builder states when a drawing is brought in, and what is asked back."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any, Final

from blankwright.base.errors import BadInput, Problem
from blankwright.base.findings import Finding
from blankwright.base.quantities import BadText, read_quantity
from blankwright.geom.vec import Point

LISTS: Final = ("outline", "openings", "bend_lines", "tangent_lines", "leave_out")
"""What is stated as a list; in a single text with semicolons between."""

YES_OR_NO: Final = ("no_rounds", "relieve")
"""What is stated by yes or no."""

UNKNOWN = "?"
"""Stands in a proposed part file where something must be stated."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BendAsked:
    """What is stated for a bend; empty for what is not.

    Args:
        name: the name it shall have
        up: its direction
        angle: as typed
        radius: as typed
        width: what says how wide its strip is: ``k``, ``bend_allowance`` or ``deduction``, and the
            value as typed; empty when nothing does
    """

    name: str = ""
    up: bool | None = None
    angle: str = ""
    radius: str = ""
    width: tuple[str, str] = ("", "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is stated, all as typed; empty for what is not.

    Args:
        title: title of the part
        name: name of the part, that of its file
        drawing: drawing number and revision
        alloy: alloy and temper
        thickness: of the sheet
        units: unit of the drawing
        outline, openings, bend_lines, tangent_lines: which lines are what
        leave_out: points on lines that are none of these, as ``1 in, 2 in``
        layout: sheet to read in place of the model space
        closes: widest gap to close
        fit: how far arcs may stand off ellipses and splines
        reach: how far bend lines may end short of the edge
        part_at: a point on the metal of the part that is meant
        root_at: a point on the flat that stays put
        seen_from: where the face side of a solid looks to
        solid: name of the one solid that is meant
        no_rounds: whether circles and arcs drawn as many short lines stay as they are
        relieve: whether the metal where two bends overlap is taken out
        k: neutral-axis factor
        every_bend: what holds for bends of which nothing else is known
        bends: what holds for one bend, by its name in the proposal
    """

    title: str = ""
    name: str = ""
    drawing: str = ""
    alloy: str = ""
    thickness: str = ""
    units: str = ""
    outline: tuple[str, ...] = ()
    openings: tuple[str, ...] = ()
    bend_lines: tuple[str, ...] = ()
    tangent_lines: tuple[str, ...] = ()
    leave_out: tuple[str, ...] = ()
    layout: str = ""
    closes: str = ""
    fit: str = ""
    reach: str = ""
    part_at: str = ""
    root_at: str = ""
    seen_from: str = ""
    solid: str = ""
    no_rounds: bool = False
    relieve: bool = False
    k: str = ""
    every_bend: BendAsked = field(default_factory=BendAsked)
    bends: Mapping[str, BendAsked] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """Something that must be stated before a part file can be kept.

    Args:
        key: what it is about: ``units``, ``alloy``, ``thickness``, ``bend-1 angle`` …
        ask: the question
        example: an answer
    """

    key: str
    ask: str
    example: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A drawing as it is understood, to look at.

    Args:
        loops: corners of the outline and of each opening, within a hundredth [mm]
        bends: each bend's name, and both ends of its line [mm]
    """

    loops: tuple[tuple[Point, ...], ...]
    bends: tuple[tuple[str, Point, Point], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A part that may be made from a drawing.

    Args:
        name: name of the part
        told: what was found in the drawing and what it is taken for, a line each
        text: the part file that would be kept
        questions: what must be stated first
        problems: what is wrong, when all questions are answered
        findings: what the checks find
        blank_size: size of the blank [mm], once it can be made
        seen: the drawing as it is understood; nothing when it is not
    """

    name: str
    told: tuple[str, ...]
    text: str
    questions: tuple[Question, ...] = ()
    problems: tuple[Problem, ...] = ()
    findings: tuple[Finding, ...] = ()
    blank_size: tuple[float, float] | None = None
    seen: Seen | None = None

    @property
    def ready(self) -> bool:
        """Whether the part file can be kept."""
        return not self.questions and not self.problems


def read_bend_asked(text: str) -> tuple[str, BendAsked]:
    """Read what is stated for a bend: ``bend-1: up 90 deg R 1/8 in``, ``bend-1 = flange: down``.

    Returns:
        The bend's name in the proposal, empty when none is given, and what is stated.

    Raises:
        BadInput: BRING-003 when it can't be read
    """
    from blankwright.files.dxf_drawn.notes import read_bend_note

    match = re.fullmatch(
        r"\s*(?:([A-Za-z0-9][\w-]*)\s*(?:=\s*([A-Za-z0-9][\w-]*)\s*)?:)?\s*(.*?)\s*", text
    )
    assert match is not None
    body, width = _width_in(match[3])
    if width[0] and not body:
        return match[1] or "", BendAsked(name=match[2] or "", width=width)
    note = read_bend_note(body, "") if body else None
    problem = ""
    if note is None and body:
        # A direction alone is no note of a drawing, but is one here.
        word = body.lower()
        if word in ("up", "down"):
            return match[1] or "", BendAsked(name=match[2] or "", up=word == "up", width=width)
        problem = f"`{body}` says nothing of a bend"
    elif note is None and not match[2]:
        problem = f"`{text}` says nothing of a bend"
    elif note is not None and note.radius_bare:
        problem = f"the radius in `{body}` has no unit"
    elif note is not None and note.angle_bare:
        problem = f"the angle in `{body}` has no unit"
    if not problem and note is not None:
        for typed in (note.angle, note.radius):
            try:
                if typed:
                    read_quantity(typed)
            except BadText as error:
                problem = error.got
    if problem:
        raise BadInput(
            Problem(
                code="BRING-003",
                where="bend",
                got=problem,
                allowed="such as `bend-1: up 90 deg R 1/8 in`, or `bend-1 = flange: up` to name it",
            )
        )
    if note is None:
        return match[1] or "", BendAsked(name=match[2] or "")
    return match[1] or "", BendAsked(
        name=match[2] or "", up=note.up, angle=note.angle, radius=note.radius, width=width
    )


_WIDTH: Final = re.compile(
    r"\b(k|(?:bend[ _])?allowance|(?:bend[ _])?deduction)\b\s*[=:]?\s*"
    r"([\d./-]+(?:\s+\d+/\d+)?(?:\s*(?:mm|cm|in\b|\"))?)",
    re.IGNORECASE,
)


def _width_in(text: str) -> tuple[str, tuple[str, str]]:
    """Take ``k 0.4``, ``allowance 3.8 mm`` or ``deduction 2.1 mm`` out of what is stated.

    Returns:
        What is left, and the key of the part file with the value.

    Raises:
        BadInput: BRING-003 when the value can't be read
    """
    match = _WIDTH.search(text)
    if match is None:
        return text, ("", "")
    word = match[1].lower()
    key = "k" if word == "k" else "deduction" if "deduction" in word else "bend_allowance"
    value = match[2].strip().replace('"', " in")
    try:
        quantity = read_quantity(value)
        if quantity.kind != ("number" if key == "k" else "length"):
            raise BadText("BRING-003", f"`{match[0].strip()}` has no unit", "such as 3.8 mm")
    except BadText as error:
        raise BadInput(error.at("bend")) from error
    left = f"{text[: match.start()]} {text[match.end() :]}".strip(" ,;")
    return left, (key, value)


def asked_of(data: object) -> Asked:
    """Return what is stated from plain values, as the page sends them.

    Args:
        data: a mapping with the names of `Asked`; bends as a mapping of mappings with ``up``
            (``up`` or ``down``), ``angle``, ``radius`` and ``name``

    Raises:
        BadInput: BRING-003 when it is not that
    """

    def bad(key: object) -> BadInput:
        return BadInput(
            Problem(
                code="BRING-003", where=str(key), got="this can't be stated so", allowed="a text"
            )
        )

    def bend_of(value: object) -> BendAsked:
        if not isinstance(value, dict) or not all(isinstance(v, str) for v in value.values()):
            raise bad("bends")
        way = value.get("up", "")
        return BendAsked(
            name=value.get("name", ""),
            up={"up": True, "down": False}.get(way),
            angle=value.get("angle", ""),
            radius=value.get("radius", ""),
        )

    if not isinstance(data, dict):
        raise bad("stated")
    known: dict[str, Any] = {}
    for field_ in fields(Asked):
        value = data.get(field_.name)
        if value in (None, "", [], {}):
            continue
        if field_.name == "bends":
            if not isinstance(value, dict):
                raise bad("bends")
            known["bends"] = {str(name): bend_of(bend) for name, bend in value.items()}
        elif field_.name == "every_bend":
            known["every_bend"] = bend_of(value)
        elif field_.name in LISTS:
            texts = value.split(";") if isinstance(value, str) else value
            if not isinstance(texts, list) or not all(isinstance(t, str) for t in texts):
                raise bad(field_.name)
            known[field_.name] = tuple(t.strip() for t in texts if t.strip())
        elif field_.name in YES_OR_NO:
            known[field_.name] = str(value).strip().lower() not in ("no", "false")
        elif isinstance(value, str):
            known[field_.name] = value.strip()
        else:
            raise bad(field_.name)
    return Asked(**known)
