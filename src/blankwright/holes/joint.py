"""Strength of a riveted row by the handbook's tables: a check, never an approval."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from blankwright.base.errors import BlankwrightError
from blankwright.handbook.alloys import read_alloy
from blankwright.handbook.fact import Fact
from blankwright.handbook.fastener_strength import (
    USUAL_METAL,
    blind_shear,
    bolt_shear,
    flush_load,
    rivet_metal,
    solid_shear,
)
from blankwright.handbook.inner import POUND_FORCE
from blankwright.handbook.joints import (
    bearing_load,
    bearing_over_tensile,
    nominal_hole,
    splice_count,
)
from blankwright.handbook.materials import strength
from blankwright.holes.fasteners import metal_of, nominal_diameter
from blankwright.part.rivets import Fastener, HeadStyle, RivetRow

CAUTION = "A check by the handbook's tables, not an approval: the drawing and the designer decide."


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetOfJoint:
    """A sheet of a joint.

    Args:
        name: what it is
        alloy: alloy and temper
        thickness: [mm]
    """

    name: str
    alloy: str
    thickness: float


@dataclass(frozen=True, slots=True, kw_only=True)
class JointPart:
    """How much one member of a joint carries at one rivet.

    Args:
        name: ``shear of the rivet``, or ``bearing of`` a sheet
        load: [N]
        source: where it comes from
    """

    name: str
    load: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """What the tables say of a row.

    Args:
        members: what carries, the weakest first
        per_rivet: load of one rivet [N]: the least of the members known; 0 when none is
        row: load of the whole row in single shear [N]
        complete: whether every member is known; else the loads are upper limits
        splice: holes that a splice of this width wants by AC 43.13-1B, or 0
        splice_source: the table it comes from
        missing: what could not be worked out, and why
        assumed: what was taken for granted; empty for nothing
    """

    members: tuple[JointPart, ...]
    per_rivet: float
    row: float
    complete: bool = True
    splice: int = 0
    splice_source: str = ""
    missing: tuple[str, ...] = ()
    assumed: str = ""


def joint_of(row: RivetRow, sheets: Sequence[SheetOfJoint], width: float) -> Joint:
    """Work out what a row carries in single shear.

    The fastener's shear and each sheet's bearing D·t·Fbr, with Fbr = 1.6 Ftu as AC 43.13-1B counts
    it, at the nominal hole of a solid rivet and at the body of any other. A flush rivet bears what
    its own table says, and without one what it would bear with a protruding head, as an upper
    limit that says so.

    Args:
        row: the row
        sheets: the sheets it joins
        width: of the joint, across the load [mm]
    """
    missing: list[str] = []
    try:
        shear = _shear(row)
    except BlankwrightError as error:
        problem = error.problems[0]
        return Joint(
            members=(),
            per_rivet=0.0,
            row=0.0,
            complete=False,
            missing=(f"{problem.got}: take it from the drawing or the maker",),
        )
    members = [JointPart(name=f"shear of the {_what(row)}", load=shear.value, source=shear.source)]
    if row.head is not HeadStyle.PROTRUDING:
        _flush(row, sheets, members, missing)
    solid = row.fastener is Fastener.SOLID
    hole = nominal_hole(row.size) if solid else nominal_diameter(row.fastener, row.size)
    ratio = bearing_over_tensile()
    for sheet in sheets:
        known = strength(sheet.alloy, sheet.thickness) if sheet.alloy else None
        if known is None:
            missing.append(f"bearing of {sheet.name}: no strength for {sheet.alloy or 'its alloy'}")
            continue
        try:
            load = bearing_load(hole, sheet.thickness, ratio.value * known.ultimate)
        except BlankwrightError as error:
            missing.append(f"bearing of {sheet.name}: {error.problems[0].got}")
            continue
        source = f"{known.source}; {ratio.source}"
        members.append(JointPart(name=f"bearing of {sheet.name}", load=load, source=source))
    members.sort(key=lambda member: member.load)
    per_rivet = members[0].load
    complete = not missing
    assumed = metal_taken(row)
    # What the splice table lacks matters only to a row that is to be a full splice.
    wanted, source = _splice(row, sheets, width, missing if row.splice else [])
    return Joint(
        members=tuple(members),
        per_rivet=per_rivet,
        row=per_rivet * row.count,
        complete=complete,
        splice=wanted,
        splice_source=source,
        missing=tuple(missing),
        assumed=assumed,
    )


def metal_taken(row: RivetRow) -> str:
    """Return what is taken for granted of a solid rivet's metal, in words; empty when stated."""
    if row.fastener is not Fastener.SOLID or metal_of(row):
        return ""
    usual = rivet_metal(USUAL_METAL)
    assert usual is not None
    return f"metal taken as {usual.code} ({usual.alloy}): the part file states none"


def _what(row: RivetRow) -> str:
    return "bolt" if row.fastener is Fastener.SCREW else "rivet"


def _shear(row: RivetRow) -> Fact:
    """Return the fastener's shear [N]; raises NotPossible where no table has it."""
    if row.fastener is Fastener.SOLID:
        return solid_shear(row.size, metal_of(row) or USUAL_METAL)
    if row.fastener is Fastener.BLIND:
        return blind_shear(row.size, row.metal)
    return bolt_shear(row.part_number, row.size)


def _flush(
    row: RivetRow,
    sheets: Sequence[SheetOfJoint],
    members: list[JointPart],
    missing: list[str],
) -> None:
    """Add what a flush head bears in the sheet that it sits in."""
    words = f"{row.head.value} head"
    if row.fastener is not Fastener.SOLID or not sheets:
        missing.append(f"{words}: no table; worked as protruding, which bears more")
        return
    outer = sheets[0] if row.head_here else sheets[-1]
    metal = metal_of(row) or USUAL_METAL
    try:
        found = flush_load(row.size, metal, outer.alloy, outer.thickness, row.head.value)
    except BlankwrightError as error:
        missing.append(f"{error.problems[0].got}; worked as protruding, which bears more")
        return
    note = f" {found.note}" if found.note else ""
    source = f"{found.source}; yields at {load_words(found.yields)}.{note}"
    members.append(JointPart(name=f"{words} in {outer.name}", load=found.ultimate, source=source))


def _splice(
    row: RivetRow, sheets: Sequence[SheetOfJoint], width: float, missing: list[str]
) -> tuple[int, str]:
    """Return how many rivets a lap splice of this width wants by AC 43.13-1B, or 0."""
    if not sheets:
        return 0, ""
    known = rivet_metal(metal_of(row) or USUAL_METAL)
    if row.fastener is not Fastener.SOLID or known is None or known.code != USUAL_METAL:
        missing.append("splice table: AC 43.13-1B counts solid AD rivets only")
        return 0, ""
    thinnest = min(sheets, key=lambda sheet: sheet.thickness)
    alloy = read_alloy(thinnest.alloy) if thinnest.alloy else None
    if alloy is None:
        missing.append(f"splice table: no row for {thinnest.alloy or 'an alloy not stated'}")
        return 0, ""
    if alloy.base in ("2014", "7075") or (alloy.base == "2024" and not alloy.clad):
        number = "4-9"
    elif alloy.base in ("2017", "2024"):
        number = "4-10"
    else:
        missing.append(f"splice table: AC 43.13-1B gives none here for {thinnest.alloy}")
        return 0, ""
    try:
        count = splice_count(number, thinnest.thickness, row.size, width, 0.75)  # type: ignore[arg-type]
    except BlankwrightError as error:
        missing.append(f"splice table: {error.problems[0].got}")
        return 0, ""
    source = f"AC 43.13-1B Table {number}, 75 % for a single lap"
    if row.head is not HeadStyle.PROTRUDING:
        source += "; it counts protruding heads, flush ones take more"
    return count, source


def pounds_force(load: float) -> float:
    """Return a load [N] in pounds-force."""
    return load / POUND_FORCE


def load_words(load: float) -> str:
    """Return a load [N] in both units, rounded down: strength is never rounded up."""
    return f"{math.floor(load)} N ({math.floor(pounds_force(load) + 1e-6)} lb)"
