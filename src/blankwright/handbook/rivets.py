"""Rivets: holes, lengths, heads, grips.

A rivet's diameter is named as the trade does, in inches: ``3/32``, ``1/8``, ``5/32`` …
Strength and numbers are in `joints`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Literal

from blankwright.base.errors import BadInput, NotPossible, Problem
from blankwright.base.units import MM_PER_INCH
from blankwright.handbook.drills import Drill, find_drill
from blankwright.handbook.fact import Fact
from blankwright.handbook.table import Span, table

HoleFor = Literal["solid", "solid, 1940s", "blind", "blind, IFI-114"]

_SAME = 1e-6
"""Two sizes closer than this are the same [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RivetHole:
    """The hole for a rivet.

    Args:
        drill: drill to finish with
        least: smallest hole [mm]; the drill's own where none is printed
        most: largest hole [mm]; the drill's own where none is printed
        source: where it comes from
        status: how sure it is
    """

    drill: Drill
    least: float
    most: float
    source: str
    status: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RivetLength:
    """A solid rivet's length.

    Args:
        wanted: grip and 1½ D [mm]
        length: length to buy [mm]
        dash: length in sixteenths of an inch, the last dash number of MS20470AD4-*7*
        diameter_dash: diameter in thirty-seconds of an inch
        source: where the rule comes from
    """

    wanted: float
    length: float
    dash: int
    diameter_dash: int
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopHead:
    """Size of a solid rivet's shop head.

    Args:
        least_width: [mm]
        width: wanted [mm]
        least_height: [mm]
        height: wanted [mm]
        source: where they come from
    """

    least_width: float
    width: float
    least_height: float
    height: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """A manufactured head.

    Args:
        diameter: [mm]
        height: [mm]
        source: where it comes from
    """

    diameter: float
    height: float
    source: str


def diameter_of(rivet: str) -> float:
    """Return a rivet's nominal diameter [mm].

    Args:
        rivet: ``1/8`` or ``1/8 in``

    Raises:
        BadInput: when no rivet has that name (RIVET-001)
    """
    return float(Fraction(rivet_name(rivet)) * Fraction(str(MM_PER_INCH)))


@cache
def rivet_names() -> tuple[str, ...]:
    """Return the rivet diameters that some table has, smallest first."""
    names = {str(row.values["rivet"]) for row in table("rivet-shear").rows}
    return tuple(sorted(names, key=Fraction))


def hole_for(rivet: str, fastener: HoleFor = "solid") -> RivetHole:
    """Return drill and hole limits for a rivet.

    Args:
        rivet: diameter, such as ``1/8``
        fastener: kind of rivet

    Raises:
        BadInput: when the table has none such (RIVET-001)
    """
    name = rivet_name(rivet)
    holes = table("rivet-holes")
    for row in holes.rows:
        if row.values["rivet"] == name and row.values["fastener"] == fastener:
            drill = find_drill(str(row.values["drill"]))
            limits = "least" in row.values
            return RivetHole(
                drill=drill,
                least=holes.inner(row, "least") if limits else drill.diameter,
                most=holes.inner(row, "most") if limits else drill.diameter,
                source=row.source,
                status=row.status,
            )
    raise unknown_rivet(rivet, f"no hole is printed for a {fastener} rivet of this diameter")


def rivet_length(rivet: str, grip: float, rounding: Literal["up", "nearest"] = "up") -> RivetLength:
    """Return the length of a solid rivet: grip and 1½ D, in sixteenths of an inch.

    The handbook says no more than that sum; whether to go to the next longer or to the nearest
    sixteenth is a choice of the shop.

    Args:
        rivet: diameter, such as ``1/8``
        grip: total thickness of the sheets [mm]
        rounding: ``up`` or ``nearest``

    Raises:
        BadInput: when no rivet has that name (RIVET-001)
        NotPossible: when the grip can't be (RIVET-002)
    """
    if not grip > 0:
        raise NotPossible(
            Problem(
                code="RIVET-002",
                where=f"rivet {rivet}",
                got=f"a grip of {grip:g} mm",
                allowed="more than 0 mm",
            )
        )
    diameter = diameter_of(rivet)
    factor, source = layout_rule("rivet length beyond the grip")
    wanted = grip + factor * diameter
    steps = wanted / (MM_PER_INCH / 16)
    dash = math.ceil(steps - 1e-9) if rounding == "up" else math.floor(steps + 0.5)
    return RivetLength(
        wanted=wanted,
        length=dash * MM_PER_INCH / 16,
        dash=dash,
        diameter_dash=int(Fraction(rivet_name(rivet)) * 32),
        source=source,
    )


def shop_head(rivet: str) -> ShopHead:
    """Return the size of a solid rivet's shop head; sources differ on the least, see the table.

    Args:
        rivet: diameter, such as ``1/8``

    Raises:
        BadInput: when no rivet has that name (RIVET-001)
    """
    diameter = diameter_of(rivet)
    heads = table("shop-head")
    rows = {(row.values["source"], row.values["dimension"]): row for row in heads.rows}

    def times(source: str, dimension: str, column: str) -> float:
        return heads.inner(rows[source, dimension], column) * diameter

    said = {row.cite: row.source for row in heads.rows}
    return ShopHead(
        least_width=times("MIL-HDBK-5H", "width", "least"),
        width=times("FAA", "width", "target"),
        least_height=times("MIL-HDBK-5H", "height", "least"),
        height=times("FAA", "height", "target"),
        source="; ".join(said.values()),
    )


def head(rivet: str, style: Literal["100°", "universal"]) -> Head:
    """Return the manufactured head of a solid rivet.

    Args:
        rivet: diameter, such as ``1/8``
        style: countersunk or universal

    Raises:
        BadInput: when no rivet has that name (RIVET-001)
    """
    name = rivet_name(rivet)
    heads = table("rivet-heads")
    for row in heads.rows:
        if row.values["rivet"] == name and row.values["head"] == style:
            return Head(
                diameter=heads.inner(row, "diameter"),
                height=heads.inner(row, "height"),
                source=row.source,
            )
    raise unknown_rivet(rivet, f"no {style} head is printed for this diameter")


def diameters_for(thickest: float) -> tuple[float, float, float, str]:
    """Return least, usual and greatest rivet diameter for the thicker sheet of a joint [mm].

    Args:
        thickest: thickness of the thicker sheet [mm]

    Returns:
        The three diameters and where the rules come from.
    """
    least, source = layout_rule("rivet diameter over thickest sheet, least")
    usual, usual_source = layout_rule("rivet diameter over thickest sheet, usual")
    most, _ = layout_rule("rivet diameter over thickest sheet, most")
    return least * thickest, usual * thickest, most * thickest, f"{source}; {usual_source}"


def blind_grip(rivet: str, grip: float) -> tuple[str, str]:
    """Return the grip code of a blind rivet, such as ``42``, and where it comes from.

    Args:
        rivet: diameter, such as ``1/8``
        grip: total thickness of the sheets [mm]

    Raises:
        BadInput: when no rivet has that name (RIVET-001)
        NotPossible: when no code covers the grip (RIVET-002)
    """
    size = str(int(Fraction(rivet_name(rivet)) * 32))
    grips = table("blind-grip")
    # The print leaves 0.001 in between two codes: a grip in the gap takes the longer rivet.
    for row in grips.rows:
        if row.values["size"] == size and grip <= grips.inner(row, "most") + _SAME:
            gap = MM_PER_INCH / 1000
            if grip >= grips.inner(row, "least") - gap - _SAME:
                return str(row.values["code"]), row.source
            break
    raise NotPossible(
        Problem(
            code="RIVET-002",
            where=f"blind rivet {rivet}",
            got=f"no code is printed for a grip of {grip:.2f} mm",
            allowed=", ".join(
                f"{row.values['code']}: {row.values['least']} to {row.values['most']} in"
                for row in grips.rows
                if row.values["size"] == size
            ),
        )
    )


def thinnest_countersink(rivet: str) -> Fact:
    """Return the thinnest sheet for a machine countersink [mm]: upper end of a range of practice.

    Args:
        rivet: diameter, such as ``1/8``

    Raises:
        BadInput: when the table has none such (RIVET-001)
    """
    name = rivet_name(rivet)
    limits = table("countersink")
    for row in limits.rows:
        if row.values["rivet"] == name:
            cell = row.values["least"]
            value = cell.high if isinstance(cell, Span) else cell
            assert isinstance(value, Decimal)
            return Fact(
                value=float(Fraction(value) * Fraction(str(MM_PER_INCH))),
                source=row.source,
                status=row.status,
            )
    raise unknown_rivet(rivet, "no countersink limit is printed for this diameter")


def rivet_name(rivet: str) -> str:
    """Return the name that tables use, such as ``1/8``.

    Raises:
        BadInput: when no rivet has this diameter (RIVET-001)
    """
    text = rivet.strip().removesuffix("in").strip().rstrip('"″')
    try:
        name = str(Fraction(text))
    except (ValueError, ZeroDivisionError):
        name = ""
    if name not in rivet_names():
        raise unknown_rivet(rivet, "no rivet has this diameter")
    return name


def unknown_rivet(rivet: str, got: str) -> BadInput:
    """Return the error for a rivet that a table doesn't have."""
    return BadInput(
        Problem(
            code="RIVET-001",
            where=f"rivet {rivet!r}",
            got=got,
            allowed=", ".join(rivet_names()) + " in",
        )
    )


def layout_rule(name: str) -> tuple[float, str]:
    """Return the factor of a rule of layout, and where it comes from."""
    rules = table("layout-rules")
    (row,) = (row for row in rules.rows if row.values["rule"] == name)
    return rules.inner(row, "factor"), row.source
