"""The shape of a template file: which tables it has and which keys. Quantities stay as typed."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from blankwright.files.partfile.schema import (
    OutlineTable,
    Point,
    Quantity,
    Table,
    Words,
    one_or_more,
)


class TemplateHead(Table):
    """What stands at the top."""

    format: Literal[1] = 1
    title: Words
    drawing: Words = ""
    notes: list[Words] = Field(default_factory=list)
    mirror: bool = False


class PlateTable(Table):
    """The plate."""

    outline: OutlineTable
    material: Words
    thickness: Quantity


class WordsTable(Table):
    """What its sides are called."""

    front: Words = ""
    right: Words = ""
    back: Words = ""
    left: Words = ""


class TapeTable(Table):
    """Where it is held down."""

    sides: list[Literal["front", "right", "back", "left"]]
    width: Quantity


class TemplateReferenceTable(Table):
    """A line on the structure."""

    kind: Literal["rivet row", "frame edge", "skin edge", "centre line", "bend", "other"]
    runs: Literal["up", "across"]
    rivet: Words = ""
    keep: Quantity = None
    note: Words = ""


class MeasuredTable(Table):
    """A distance between two references, or a diagonal from one crossing of two to another."""

    from_: Words | list[Words] = Field(alias="from")
    to: Words | list[Words]
    distance: Quantity
    plus_minus: Quantity = None
    at: Literal["low", "high"] | None = None


class WishTable(Table):
    """Where a side of the plate goes."""

    between: list[Words] | None = None
    from_: Words = Field(default="", alias="from")
    side: Literal["front", "right", "back", "left", "middle"] | None = None
    distance: Quantity = None


Wishes = Annotated[list[WishTable], BeforeValidator(one_or_more)]


class PlaceTable(Table):
    """Where the template goes among its references."""

    across: Wishes = Field(default_factory=list)
    up: Wishes = Field(default_factory=list)


class OpeningTable(Table):
    """An opening to be cut in the structure."""

    outline: OutlineTable
    at: Point = None
    witness: Point = None
    witness_drill: Words = "#40"
    in_plate: bool = False


class CarryTable(Table):
    """Holes taken over from a flat of a part."""

    part: Words
    variant: Words = ""
    flat: Words
    holes: Annotated[list[Words], BeforeValidator(one_or_more)]
    at: Point
    turn: Quantity = None
    face_down: bool = False
    drill: Words


class StructureTable(Table):
    """What the template goes on."""

    thickness: Quantity


TEMPLATE_GROUPS = ("references", "measured", "holes", "carry")
"""Tables that hold tables by name."""

TEMPLATE_TABLES = {
    *TEMPLATE_GROUPS,
    "sizes",
    "variants",
    "plate",
    "words",
    "tape",
    "place",
    "opening",
    "structure",
}
"""All tables of a template file."""
