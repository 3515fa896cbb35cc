"""The shape of a place file: which tables it has and which keys. Quantities stay as typed."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, PlainValidator
from pydantic_core import PydanticCustomError

from blankwright.files.partfile.schema import (
    Count,
    OutlineTable,
    Point,
    Quantity,
    Table,
    Words,
    one_or_more,
)


def _triple(value: Any) -> Any:
    if isinstance(value, list) and len(value) == 3:
        for one in value:
            if not isinstance(one, str | int | float) or isinstance(one, bool):
                raise PydanticCustomError("triple", 'three quantities, such as ["1 in", "0 mm", …]')
        return tuple(value)
    raise PydanticCustomError("triple", 'three quantities, such as ["1 in", "0 mm", "2 in"]')


def _four(value: Any) -> Any:
    if isinstance(value, list) and len(value) == 4:
        return tuple(value)
    raise PydanticCustomError("four", "four quantities: least x, least y, greatest x, greatest y")


def _pair(value: Any) -> Any:
    if isinstance(value, list) and len(value) == 2 and all(isinstance(v, str) for v in value):
        return tuple(value)
    raise PydanticCustomError("words2", 'two words, such as ["metal", "felt"]')


Triple = Annotated[Any, PlainValidator(_triple)]
Four = Annotated[Any, PlainValidator(_four)]
TwoWords = Annotated[Any, PlainValidator(_pair)]


class PlaceHead(Table):
    """What stands at the top."""

    format: Literal[1] = 1
    title: Words
    drawing: Words = ""
    notes: Annotated[list[Words], BeforeValidator(one_or_more)] = Field(default_factory=list)
    keep_off: Quantity = "0 mm"


class TurnTable(Table):
    """One turn of a reference, about an axis of the frame it stands in."""

    about: Literal["x", "y", "z"]
    by: Quantity


class ReferenceTable(Table):
    """A named frame."""

    at: Triple = None
    turn: Annotated[list[TurnTable], BeforeValidator(one_or_more)] = Field(default_factory=list)
    in_: Words = Field(default="", alias="in")


class Located(Table):
    """Anything that stands in a reference."""

    in_: Words = Field(default="", alias="in")
    material: Words = "metal"
    note: Words = ""


class OpeningTable(Table):
    """An opening in a sheet."""

    outline: OutlineTable
    at: Point = None


class PlaceSheetTable(Located):
    """A sheet in the x-y plane of its reference, z from 0 to its thickness."""

    outline: OutlineTable
    at: Point = None
    thickness: Quantity
    openings: dict[str, OpeningTable] = Field(default_factory=dict)


class LineTable(Table):
    """A line in space, and the axis that the profile's y leans to."""

    from_: Triple = Field(alias="from")
    to: Triple
    up: Literal["x", "-x", "y", "-y", "z", "-z"]


class MemberTable(Located):
    """A frame or stiffener: a profile in x-y, drawn out along z, or along a line."""

    profile: OutlineTable
    at: Point = None
    start: Quantity = None
    end: Quantity = None
    line: LineTable | None = None


class BlockTable(Located):
    """A block, its least corner and its size."""

    corner: Triple
    size: Triple


class RivetEnd(Table):
    """Head or tail of a rivet or screw."""

    diameter: Quantity
    height: Quantity


class RepeatTable(Table):
    """More of the same along a line."""

    to: Point
    count: Count


class RivetTable(Located):
    """Rivets or screws along z: the head on z = 0, the tail under the grip."""

    at: Point
    head: RivetEnd | None = None
    tail: RivetEnd | None = None
    grip: Quantity = "0 mm"
    repeat: RepeatTable | None = None


class OtherPartTable(Located):
    """Another formed part."""

    file: Words
    variant: Words = ""


class StepSolidTable(Located):
    """A solid from elsewhere."""

    step: Words


class PartTable(Located):
    """The part that goes in."""

    file: Words
    variant: Words = ""


class PairTable(Table):
    """What is wanted between two materials."""

    between: TwoWords
    clearance: Quantity = None
    squeeze: Quantity = None
    most: Quantity = None


class WordsTable(Table):
    """What the directions in a section are called."""

    right: Words = "right"
    left: Words = "left"
    up: Words = "up"
    down: Words = "down"


class SectionTable(Table):
    """A plane in which the fit is decided: the x-y plane of a reference."""

    in_: Words = Field(default="", alias="in")
    words: WordsTable = WordsTable()
    way_in: Words = ""
    window: Four = None
    most_turn: Quantity = None


class StageTable(Table):
    """One placement on a stated path."""

    shift: Triple = None
    turn: Quantity = None


class RollTable(Table):
    """An edge that rolls: its radius about z, and on which side of it the plane lies."""

    radius: Quantity
    on: Literal["x", "-x", "y", "-y"]


class MotionTable(Table):
    """A motion from closed to open."""

    in_: Words = Field(default="", alias="in")
    along: Literal["x", "-x", "y", "-y", "z", "-z"] | None = None
    travel: Quantity = None
    turn: Quantity = None
    roll: RollTable | None = None
    path: Annotated[list[StageTable], BeforeValidator(one_or_more)] = Field(default_factory=list)
    opening: Words = ""


class ForceTable(Table):
    """What may move the part by itself."""

    section: Words
    toward: Words
    lift: Quantity = "0 mm"


class SpringTable(Table):
    """How far the part may be sprung, and the stress that this makes."""

    bend: Words
    squeeze: Quantity
    length: Quantity
    modulus: Quantity = None
    yield_stress: Quantity = None
    source: Words = ""


GROUPS: dict[str, type[Table]] = {
    "references": ReferenceTable,
    "sheets": PlaceSheetTable,
    "members": MemberTable,
    "blocks": BlockTable,
    "rivets": RivetTable,
    "parts": OtherPartTable,
    "solids": StepSolidTable,
    "pairs": PairTable,
    "sections": SectionTable,
    "motions": MotionTable,
    "forces": ForceTable,
}
"""Tables that hold tables by name."""

PLACE_TABLES = {*GROUPS, "sizes", "variants", "part", "spring", "matched", "air"}
"""All tables of a place file; `placefile_holes` reads the last two."""
