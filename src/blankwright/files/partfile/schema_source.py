"""The shape of the tables of a part file whose part is taken from a drawing."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from blankwright.files.partfile.schema import (
    AllowanceWord,
    Point,
    Quantity,
    Reason,
    Table,
    Words,
    one_or_more,
)


class SourceTable(Table):
    """The drawing that a part is taken from."""

    file: Words
    sha256: Words = ""
    units: Literal["mm", "cm", "m", "in", "ft", "thou"] | None = None
    outline: Annotated[list[Words], BeforeValidator(one_or_more)] = Field(default_factory=list)
    openings: Annotated[list[Words], BeforeValidator(one_or_more)] = Field(default_factory=list)
    bend_lines: Annotated[list[Words], BeforeValidator(one_or_more)] = Field(default_factory=list)
    tangent_lines: Annotated[list[Words], BeforeValidator(one_or_more)] = Field(
        default_factory=list
    )
    leave_out: list[Point] = Field(default_factory=list)
    layout: Words = ""
    closes: Quantity = None
    fit: Quantity = None
    reach: Quantity = None
    rounds: bool = True
    relieve: bool = False
    part_at: Point = None
    root_at: list[Quantity] = Field(default_factory=list)
    seen_from: Literal["+x", "-x", "+y", "-y", "+z", "-z"] | None = None
    solid: Words = ""


class SourceBendTable(Table):
    """A bend of a part that is taken from a drawing."""

    line: Point = None
    drawn_as: Literal["centre line", "bend tangent line", "sight line"] = "centre line"
    angle: Quantity = None
    inside_radius: Quantity = None
    up: bool | None = None
    down: bool | None = None
    allowance: AllowanceWord | None = None
    k: Quantity = None
    bend_allowance: Quantity = None
    deduction: Quantity = None
    last: Reason = ""
    note: Words = ""
