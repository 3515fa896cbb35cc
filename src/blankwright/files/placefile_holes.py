"""What a place file says of holes: parts to be match-drilled, and the air path through it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Final, Literal, TypeVar

from pydantic import BeforeValidator, Field

from blankwright.base.errors import BlankwrightError
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.opened import opened
from blankwright.files.partfile.problems import Problems
from blankwright.files.partfile.schema import OutlineTable, Quantity, Table, Words, one_or_more
from blankwright.files.partfile.shapes import Missing, need
from blankwright.holes.position_error import USUAL_ANGLE, USUAL_BEND, USUAL_PLACE, Tolerances
from blankwright.part.sizes import nearest

_T = TypeVar("_T", bound=Table)

THE_PART: Final = "part"
"""What the part that goes into the place is called among others."""

REACH: Final = 3.0
"""How far matched parts may be apart along a hole unless stated [mm]. Our choice."""


class MatchedTable(Table):
    """Holes of one part to be carried to another."""

    from_: Words = Field(default=THE_PART, alias="from")
    to: Words
    holes: Annotated[list[Words], BeforeValidator(one_or_more)]
    rivet: Words = None
    screw: Words = None
    final: Words = None
    pilot: Words = None
    reach: Quantity = None
    plus_minus: Quantity = None
    bend_error: Quantity = None
    angle_error: Quantity = None
    note: Words = ""


class AirPieceTable(Table):
    """One piece of an air path."""

    kind: Literal["inlet", "opening", "duct", "bend", "perforated", "screen", "outlet"]
    width: Quantity = None
    height: Quantity = None
    diameter: Quantity = None
    outline: OutlineTable | None = None
    radius: Quantity = None
    length: Quantity = None
    roughness: Quantity = None
    angle: Quantity = None
    bend_radius: Quantity = None
    part: Words = ""
    variant: Words = ""
    field: Words = ""
    open_area: Quantity = None
    hole: Quantity = None
    thickness: Quantity = None
    motion: Words = ""
    note: Words = ""


class AirTable(Table):
    """An air path: pieces in the order that the air meets them."""

    speeds: list[Quantity] = Field(default_factory=list)
    pressures: list[Quantity] = Field(default_factory=list)
    recovery: Quantity = None
    suction: Quantity = None
    altitude: Quantity = None
    pieces: list[AirPieceTable]
    note: Words = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchStated:
    """Parts to be match-drilled, as stated.

    Args:
        name: its name in the place
        first: name of the part that has the holes; ``part`` for the one that goes in
        other: name of the part that gets them
        holes: names of holes or of patterns
        rivet: diameter, such as ``1/8``; empty when a screw or nothing is stated
        screw: thread; empty when a rivet or nothing is stated
        final: finished drill; empty for the hole's own
        pilot: pilot drill; empty when both are drilled to final size
        reach: how far apart the two may be along a hole [mm]
        tolerances: how sure places and bends are
        note: as typed
    """

    name: str
    first: str
    other: str
    holes: tuple[str, ...]
    rivet: str
    screw: str
    final: str
    pilot: str
    reach: float
    tolerances: Tolerances
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AirStated:
    """An air path as stated.

    Args:
        name: its name in the place
        table: its keys as typed
        numbers: works quantities out, each at its place in the file
        problems: where problems go
    """

    name: str
    table: AirTable
    numbers: Numbers
    problems: Problems


def read_matched(text: str, name: str, parts: Mapping[str, Any]) -> tuple[MatchStated, ...]:
    """Return the parts to be match-drilled in a place file.

    Args:
        text: of the place file
        name: what messages call it
        parts: parts of the place by name, ``part`` among them

    Raises:
        BadInput: with every problem of those tables
    """
    file_read = opened(text, name)
    problems = file_read.problems
    _, numbers = file_read.sizes()
    found: list[MatchStated] = []
    for key, table in file_read.many("matched", MatchedTable).items():
        try:
            found.append(_matched(numbers, key, table, parts))
        except Missing:
            continue
    problems.raise_if_any()
    return tuple(found)


def read_air(text: str, name: str) -> tuple[AirStated, ...]:
    """Return the air paths of a place file, their pieces still to be worked out.

    Raises:
        BadInput: with every problem of the shape of those tables
    """
    file_read = opened(text, name)
    problems = file_read.problems
    _, numbers = file_read.sizes()
    found = [
        AirStated(name=key, table=table, numbers=numbers, problems=problems)
        for key, table in file_read.many("air", AirTable).items()
    ]
    problems.raise_if_any()
    return tuple(found)


def _matched(
    numbers: Numbers, name: str, table: MatchedTable, parts: Mapping[str, Any]
) -> MatchStated:
    place = f"matched.{name}"
    problems = numbers.problems
    for key, word in (("from", table.from_), ("to", table.to)):
        if word not in parts:
            problems.add(
                "PLACE-005",
                f"{place}.{key}",
                f"no part of this place is named `{word}`",
                ", ".join(parts),
                nearest(word, parts),
            )
            raise Missing
    if table.from_ == table.to:
        problems.add("PART-006", place, "a part is matched to itself", "two parts")
        raise Missing
    if table.rivet is not None and table.screw is not None:
        problems.add("PART-006", place, "a rivet and a screw are stated", "one of both")
        raise Missing
    _fastener(numbers, place, table)
    drills: dict[str, str] = {}
    for key in ("final", "pilot"):
        word = getattr(table, key)
        if word is None:
            drills[key] = ""
            continue
        found = numbers.drill(f"{place}.{key}", word)
        if found is None:
            raise Missing
        drills[key] = found[1]
    return MatchStated(
        name=name,
        first=table.from_,
        other=table.to,
        holes=tuple(table.holes),
        rivet=(table.rivet or "").removesuffix("in").strip(),
        screw=table.screw or "",
        final=drills["final"],
        pilot=drills["pilot"],
        reach=_length(numbers.length, f"{place}.reach", table.reach, REACH),
        tolerances=Tolerances(
            place=_length(numbers.length, f"{place}.plus_minus", table.plus_minus, USUAL_PLACE),
            bend=_length(numbers.length, f"{place}.bend_error", table.bend_error, USUAL_BEND),
            angle=_length(numbers.angle, f"{place}.angle_error", table.angle_error, USUAL_ANGLE),
        ),
        note=table.note,
    )


def _fastener(numbers: Numbers, place: str, table: MatchedTable) -> None:
    from blankwright.handbook.rivets import diameter_of
    from blankwright.handbook.screws import screw

    try:
        if table.rivet is not None:
            diameter_of(table.rivet)
        if table.screw is not None:
            screw(table.screw)
    except BlankwrightError as error:
        key = "rivet" if table.rivet is not None else "screw"
        for problem in error.problems:
            numbers.problems.add(problem.code, f"{place}.{key}", problem.got, problem.allowed)
        raise Missing from None


def _length(
    read: Callable[[str, Any], float | None], place: str, raw: Any, default: float
) -> float:
    return default if raw is None else need(read(place, raw))
