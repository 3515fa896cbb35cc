"""Riveted joints: shear, bearing, and how many rivets to an inch of splice.

For checks, never for an approval: the drawing and the designer decide.
"""

from __future__ import annotations

import math
from typing import Literal

from blankwright.base.errors import NotPossible, Problem
from blankwright.handbook.fact import Fact
from blankwright.handbook.rivets import layout_rule, rivet_name
from blankwright.handbook.table import Row, table

_SAME = 1e-6
"""Two sizes closer than this are the same [mm]."""


def shear_strength(rivet: str) -> Fact:
    """Return the single shear strength of a 2117-T3 (AD) rivet [N].

    Args:
        rivet: diameter, such as ``1/8``

    Raises:
        BadInput: when no rivet has that name (RIVET-001)
    """
    row = _shear_row(rivet)
    return Fact(value=table("rivet-shear").inner(row, "load"), source=row.source, status=row.status)


def nominal_hole(rivet: str) -> float:
    """Return the hole diameter that rivet strengths are worked with [mm].

    Args:
        rivet: diameter, such as ``1/8``

    Raises:
        BadInput: when no rivet has that name (RIVET-001)
    """
    return table("rivet-shear").inner(_shear_row(rivet), "hole")


def bearing_load(hole: float, thickness: float, bearing_strength: float) -> float:
    """Return D·t·Fbr: what the sheet bears at one hole [N].

    Args:
        hole: diameter [mm]
        thickness: [mm]
        bearing_strength: [MPa]

    Raises:
        NotPossible: when t/D is under 0.18, where the handbook's bearing values end (RIVET-003)

    Source: MIL-HDBK-5H par. 8.1.2.
    """
    least, source = layout_rule("thickness over diameter for bearing tables, least")
    if thickness / hole < least - 1e-9:
        raise NotPossible(
            Problem(
                code="RIVET-003",
                where=f"hole of {hole:.2f} mm in sheet of {thickness:.2f} mm",
                got=f"thickness over diameter is {thickness / hole:.3f}",
                allowed=f"{least:g} or more ({source})",
                fix="Take a smaller rivet; for so thin a sheet tests decide",
            )
        )
    return hole * thickness * bearing_strength


def bearing_over_tensile() -> Fact:
    """Return bearing strength over tensile strength as the AC 43.13-1B tables count it [-]."""
    value, source = layout_rule("bearing strength over tensile strength")
    return Fact(value=value, source=source, status="READ")


def rivets_per_inch(number: Literal["4-9", "4-10"], thickness: float, rivet: str) -> Row:
    """Return the row of AC 43.13-1B Table 4-9 or 4-10 for a sheet, or the next thicker one.

    Args:
        number: of the table
        thickness: [mm]
        rivet: diameter, such as ``1/8``, or ``AN-3 bolt``

    Raises:
        NotPossible: when the table gives none (RIVET-004)
    """
    name = rivet if rivet == "AN-3 bolt" else rivet_name(rivet)
    counts = table(f"rivets-per-inch-{number}")
    for row in counts.rows:
        if row.values["rivet"] == name and counts.inner(row, "thickness") >= thickness - _SAME:
            return row
    raise NotPossible(
        Problem(
            code="RIVET-004",
            where=f"AC 43.13-1B Table {number}",
            got=f"no number is given for {rivet} in sheet of {thickness:.2f} mm",
            fix="Take a larger rivet",
        )
    )


def splice_count(
    number: Literal["4-9", "4-10"],
    thickness: float,
    rivet: str,
    width: float,
    share: float = 1.0,
) -> int:
    """Return how many rivets each side of a splice needs.

    Args:
        number: of the AC 43.13-1B table, by the sheet's alloy
        thickness: [mm]
        rivet: diameter, such as ``1/8``
        width: of the splice [mm]
        share: part of the table's number: 0.75 for single lap joints of sheet [-]

    Raises:
        NotPossible: as `rivets_per_inch`
    """
    row = rivets_per_inch(number, thickness, rivet)
    per_length = table(f"rivets-per-inch-{number}").inner(row, "number")
    return math.ceil(per_length * share * width - 1e-9)


def _shear_row(rivet: str) -> Row:
    name = rivet_name(rivet)
    (row,) = (row for row in table("rivet-shear").rows if row.values["rivet"] == name)
    return row
