"""The shape of a part file: which tables it has, which keys, and what kind of value each holds.

Quantities are kept as typed here; `Numbers` works them out.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, PlainValidator
from pydantic_core import PydanticCustomError

Raw = str | int | float
"""A quantity, formula or bare number as typed."""


_RELIEFS = '"handbook", "none", { round = "…" } or { square = "…", depth = "…" }'


def _quantity(value: Any) -> Raw:
    if isinstance(value, str | int | float) and not isinstance(value, bool):
        return value
    raise PydanticCustomError("quantity", 'a quantity in quotes, such as "1-1/2 in"')


def _point(value: Any) -> tuple[Raw, Raw]:
    if isinstance(value, list) and len(value) == 2:
        return (_quantity(value[0]), _quantity(value[1]))
    raise PydanticCustomError("point", 'two quantities, such as ["1 in", "2 in"]')


def _words(value: Any) -> str:
    if isinstance(value, str):
        return value.strip()
    raise PydanticCustomError("words", "a text in quotes")


def _reason(value: Any) -> str:
    text = _words(value)
    if len(text.split()) < 2:
        raise PydanticCustomError("reason", "a written reason of two words or more, in quotes")
    return text


def _count(value: Any) -> Raw:
    if isinstance(value, bool) or not isinstance(value, int | str):
        raise PydanticCustomError("count", "a whole number, or a formula in quotes")
    return value


def _vertex(value: Any) -> Any:
    return {"at": value} if isinstance(value, list) else value


def one_or_more(value: Any) -> Any:
    """Return a single text or table as a list of it."""
    return [value] if isinstance(value, (str, dict)) else value


def _relief(value: Any) -> Any:
    if isinstance(value, str):
        if value == "handbook":
            return ReliefTable(rule="handbook")
        if value == "none":
            return ReliefTable(rule="none")
        raise PydanticCustomError("choice", _RELIEFS)
    if isinstance(value, dict) and "rule" in value:
        raise PydanticCustomError("choice", _RELIEFS)
    return value


Quantity = Annotated[Any, PlainValidator(_quantity)]
Point = Annotated[Any, PlainValidator(_point)]
Words = Annotated[Any, PlainValidator(_words)]
Reason = Annotated[Any, PlainValidator(_reason)]
Count = Annotated[Any, PlainValidator(_count)]

DrawnToWord = Literal[
    "outside mold line",
    "inside mold line",
    "bend tangent line",
    "tangent line",
    "outside of bend",
]
AllowanceWord = Literal["empirical formula", "neutral-axis factor", "coupons"]
CornerWord = Literal["open", "closed", "lapped", "as drawn"]


class Table(BaseModel):
    """A table of the file: no other keys, no value turned into another kind."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, populate_by_name=False)


class Head(Table):
    """What stands at the top, before any table."""

    format: Literal[1] = 1
    title: Words
    drawing: Words = ""
    place: Words = ""
    hand: Literal["left", "right"] | None = None
    other_hand: bool = False
    notes: list[Words] = []


class SizeTable(Table):
    """A size with more to say than its value."""

    drawn: Quantity = None
    measured: Quantity = None
    drill: Words = None
    plus_minus: Quantity = None
    note: Words = ""


class SheetTable(Table):
    """What the part is cut from."""

    alloy: Words
    thickness: Quantity
    grain: Quantity = None


class CornerTrim(Table):
    """What becomes of a corner of an outline."""

    radius: Quantity = None
    chamfer: Quantity = None


class VertexTable(CornerTrim):
    """A corner of a polygon."""

    at: Point


class RectangleCorners(Table):
    """Corners of a rectangle that differ."""

    front_left: CornerTrim | None = None
    front_right: CornerTrim | None = None
    back_right: CornerTrim | None = None
    back_left: CornerTrim | None = None


class StepTable(Table):
    """One step of a path."""

    to: Point = None
    by: Point = None
    radius: Quantity = None
    center: Point = None
    turn: Literal["left", "right"] | None = None
    long: bool = False
    name: Words = ""


class OutlineTable(CornerTrim):
    """An outline: a rectangle, a polygon, a path or a disc."""

    rectangle: Point = None
    corners: RectangleCorners | None = None
    polygon: list[Annotated[VertexTable, BeforeValidator(_vertex)]] | None = None
    edges: list[Words] | None = None
    start: Point = None
    path: list[StepTable] | None = None
    diameter: Quantity = None


class NotchTable(Table):
    """A notch in an edge."""

    edge: Words
    at: Quantity
    width: Quantity
    depth: Quantity
    shape: Literal["square", "round", "vee"] = "square"
    radius: Quantity = None


class FlatTable(Table):
    """The root flat."""

    outline: OutlineTable
    drawn_to: DrawnToWord | None = None
    notches: list[NotchTable] = []


class ReliefTable(Table):
    """A relief, stated."""

    rule: Literal["handbook", "none"] | None = None
    round: Quantity = None
    square: Quantity = None
    depth: Quantity = None


Relief = Annotated[ReliefTable, BeforeValidator(_relief)]


class LegTable(CornerTrim):
    """The leg that a bend carries."""

    name: Words = None
    height: Quantity = None
    left_height: Quantity = None
    right_height: Quantity = None
    drawn_to: DrawnToWord | None = None
    taper: Quantity = None
    left_taper: Quantity = None
    right_taper: Quantity = None
    left_corner: CornerTrim | None = None
    right_corner: CornerTrim | None = None
    outline: OutlineTable | None = None
    notches: list[NotchTable] = []
    ends_in_bend: bool = False


class BendDefaults(Table):
    """What holds for every bend that does not say otherwise."""

    angle: Quantity = None
    inside_radius: Quantity = None
    up: bool | None = None
    down: bool | None = None
    drawn_to: DrawnToWord | None = None
    allowance: AllowanceWord | None = None
    k: Quantity = None
    end_relief: Relief | None = None


class BendTable(Table):
    """A bend with its leg."""

    from_: Words = Field(alias="from")
    angle: Quantity = None
    inside_radius: Quantity = None
    up: bool | None = None
    down: bool | None = None
    leg: LegTable
    inset: Quantity = None
    left_inset: Quantity = None
    right_inset: Quantity = None
    width: Quantity = None
    centered: bool = False
    edge_drawn_to: DrawnToWord | None = None
    allowance: AllowanceWord | None = None
    k: Quantity = None
    end_relief: Relief | None = None
    last: Reason = ""
    note: Words = ""


class CornerDefaults(Table):
    """What holds for every corner that does not say otherwise."""

    rule: CornerWord | None = None
    gap: Quantity = None
    relief: Relief | None = None


class CornerTable(CornerDefaults):
    """A corner that two legs share."""

    between: list[Words]


class SlotTable(Table):
    """A slot with round ends."""

    length: Quantity
    width: Quantity


class RowTable(Table):
    """A row of holes."""

    count: Count = None
    pitch: Quantity = None
    along: Quantity = None
    to: Point = None
    pitch_at_most: Quantity = None


class GridTable(Table):
    """A grid of holes."""

    columns: Count
    rows: Count
    column_pitch: Quantity
    row_pitch: Quantity
    turn: Quantity = None


class RingTable(Table):
    """A ring of holes."""

    count: Count
    diameter: Quantity
    first: Quantity = None
    turned: bool = False


class FieldTable(Table):
    """A field of holes over a region."""

    region: OutlineTable | None = None
    region_at: Point = None
    pitch: Quantity = None
    count: Count = None
    open_area: Quantity = None
    margin: Quantity = None
    staggered: bool = True
    turn: Quantity = None


class HoleTable(Table):
    """A hole, slot or cut-out, or a pattern of them."""

    on: Words
    at: Point = None
    drill: Words = None
    diameter: Quantity = None
    lightening: Quantity = None
    slot: SlotTable | None = None
    cut_out: OutlineTable | None = None
    turn: Quantity = None
    row: RowTable | None = None
    grid: GridTable | None = None
    ring: RingTable | None = None
    field: FieldTable | None = None
    note: Words = ""


class StackTable(Table):
    """Another sheet that rivets go through."""

    thickness: Quantity
    alloy: Words = ""
    note: Words = ""


class FramesTable(Table):
    """Where frames cross a row, from its left end."""

    at: list[Quantity]
    clear: Quantity = None


class RivetTable(Table):
    """A row of rivets, or of screws into plate nuts."""

    on: Words
    rivet: Words = None
    screw: Words = None
    kind: Literal["solid", "blind"] | None = None
    metal: Words = ""
    part_number: Words = ""
    head: Literal["protruding", "countersunk", "dimpled"] = "protruding"
    head_here: bool = True
    along: Annotated[list[Words], BeforeValidator(one_or_more)] | None = None
    between: list[Point] | None = None
    edge_distance: Quantity = None
    ends: Quantity = None
    left_end: Quantity = None
    right_end: Quantity = None
    count: Count = None
    pitch: Quantity = None
    pitch_at_most: Quantity = None
    corner_holes: bool = False
    frames: FramesTable | None = None
    lines: Count = None
    line_distance: Quantity = None
    staggered: bool = True
    dodge: bool = True
    stack: list[StackTable] = []
    drill: Words = None
    pilot: Words = None
    splice: bool = False
    nut_rivets: bool = False
    note: Words = ""


TABLES = {
    "sizes",
    "variants",
    "source",
    "sheet",
    "flats",
    "bend_defaults",
    "bends",
    "corner_defaults",
    "corners",
    "holes",
    "rivets",
    "overrides",
}
"""The tables of a part file, beside the keys of `Head`."""
