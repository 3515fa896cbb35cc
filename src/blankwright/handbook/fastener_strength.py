"""What single fasteners bear in shear: solid rivets by metal, flush heads, blind rivets, bolts.

For checks, never for an approval: the drawing and the designer decide. What no table has is
refused, not guessed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from blankwright.base.errors import NotPossible, Problem
from blankwright.handbook.alloys import read_alloy
from blankwright.handbook.fact import Fact
from blankwright.handbook.joints import nominal_hole, shear_strength
from blankwright.handbook.rivets import rivet_name
from blankwright.handbook.table import table

USUAL_METAL = "AD"
"""Code of the metal that is taken where none is stated."""

_SAME = 1e-6
"""Two sizes closer than this are the same [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RivetMetal:
    """The metal of a solid rivet.

    Args:
        code: letters in the part number
        alloy: alloy and temper
        shear: shear strength [MPa]
        source: where they come from
        status: how sure they are
    """

    code: str
    alloy: str
    shear: float
    source: str
    status: str


def rivet_metal(text: str) -> RivetMetal | None:
    """Return a solid rivet's metal by code or alloy: ``AD``, ``2117-T3``, ``2117``; or nothing."""
    metals = table("rivet-metals")
    wanted = text.strip().upper()
    for row in metals.rows:
        alloy = str(row.values["alloy"])
        if wanted in (row.values["code"], alloy, alloy.partition("-")[0]):
            return RivetMetal(
                code=str(row.values["code"]),
                alloy=alloy,
                shear=metals.inner(row, "shear"),
                source=row.source,
                status=row.status,
            )
    return None


def solid_shear(rivet: str, metal: str) -> Fact:
    """Return the single shear strength of a solid rivet [N].

    The printed load for AD; for other metals shear strength times the area of the nominal hole,
    which makes the printed loads of AD within 0.5 %.

    Args:
        rivet: diameter, such as ``1/8``
        metal: code or alloy

    Raises:
        BadInput: when no rivet has that name (RIVET-001)
        NotPossible: when no table has the metal (RIVET-005)
    """
    known = rivet_metal(metal)
    if known is None:
        codes = [f"{row.code} ({row.alloy})" for row in rivet_metals()]
        raise NotPossible(
            Problem(
                code="RIVET-005",
                where=f"rivet {rivet}",
                got=f"no shear strength is printed here for solid rivets of {metal}",
                allowed=", ".join(codes),
                fix="Take it from the drawing or the rivet's maker",
            )
        )
    if known.code == USUAL_METAL:
        return shear_strength(rivet)
    area = math.pi * nominal_hole(rivet) ** 2 / 4
    return Fact(value=known.shear * area, source=known.source, status=known.status)


def rivet_metals() -> tuple[RivetMetal, ...]:
    """Return the metals of solid rivets that the table has."""
    rows = (rivet_metal(str(row.values["code"])) for row in table("rivet-metals").rows)
    return tuple(row for row in rows if row is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class FlushLoad:
    """What a flush rivet bears in its sheet, by test.

    Args:
        ultimate: [N]
        yields: [N]
        thickness: of the sheet that it was printed for [mm]
        source: where it comes from
        note: what the table says of it
    """

    ultimate: float
    yields: float
    thickness: float
    source: str
    note: str


def flush_load(rivet: str, metal: str, alloy: str, thickness: float, process: str) -> FlushLoad:
    """Return what a flush rivet bears in its outer sheet: that row, or the next thinner.

    Args:
        rivet: diameter, such as ``1/8``
        metal: of the rivet, code or alloy
        alloy: of the sheet that takes the head
        thickness: of that sheet [mm]
        process: ``countersunk`` or ``dimpled``

    Raises:
        BadInput: when no rivet has that name (RIVET-001)
        NotPossible: when no table has it (RIVET-006)
    """
    flush = table("rivet-flush")
    known, sheet = rivet_metal(metal), read_alloy(alloy)
    found = None
    if (
        rivet_name(rivet) == "3/32"
        and known is not None
        and known.code == "AD"
        and sheet is not None
        and sheet.key == "2024-T3"
        and not sheet.clad
    ):
        for row in flush.rows:
            t = flush.inner(row, "thickness")
            if row.values["process"] == process and t <= thickness + _SAME:
                found = row
    if found is None:
        raise NotPossible(
            Problem(
                code="RIVET-006",
                where=f"{process} rivet {rivet}",
                got=f"no strength is printed here for a {process} {rivet} in rivet of"
                f" {metal or USUAL_METAL} in {alloy or 'a sheet not stated'},"
                f" {thickness:.2f} mm",
                allowed="3/32 in AD in bare 2024-T3 of 0.032 in and more",
                fix="Take it from the drawing; a flush head bears less than a protruding one",
            )
        )
    return FlushLoad(
        ultimate=flush.inner(found, "ultimate"),
        yields=flush.inner(found, "yields"),
        thickness=flush.inner(found, "thickness"),
        source=found.source,
        note=found.note,
    )


def blind_shear(rivet: str, metal: str) -> Fact:
    """Return the least single shear strength of a blind rivet by its grade [N].

    Args:
        rivet: diameter, such as ``1/8``
        metal: of the rivet: ``5050``, ``steel``, ``stainless steel``

    Raises:
        BadInput: when no rivet has that name (RIVET-001)
        NotPossible: when no table has the metal (RIVET-005)
    """
    name, grades = rivet_name(rivet), table("blind-shear")
    for row in grades.rows:
        if row.values["metal"] == metal.strip().lower() and row.values["rivet"] == name:
            return Fact(value=grades.inner(row, "load"), source=row.source, status=row.status)
    metals = dict.fromkeys(str(row.values["metal"]) for row in grades.rows)
    raise NotPossible(
        Problem(
            code="RIVET-005",
            where=f"blind rivet {rivet}",
            got=f"no shear strength is printed here for blind rivets of {metal}"
            if metal
            else "the blind rivet's metal is not stated, and its strength hangs on it",
            allowed=", ".join(metals),
            fix="Take it from the rivet's maker",
        )
    )


def bolt_shear(bolt: str, screw: str) -> Fact:
    """Return the single shear strength of a bolt's plain shank [N].

    Args:
        bolt: part number as typed, such as ``AN3-4A``
        screw: its thread, such as ``10-32``

    Raises:
        NotPossible: when no table has it (RIVET-007)
    """
    bolts = table("bolt-shear")
    for row in bolts.rows:
        name = str(row.values["bolt"])
        rest = bolt.strip().upper().removeprefix(name)
        whole = bolt.strip().upper().startswith(name) and not rest[:1].isdigit()
        if whole and row.values["screw"] == screw:
            return Fact(value=bolts.inner(row, "load"), source=row.source, status=row.status)
    raise NotPossible(
        Problem(
            code="RIVET-007",
            where=f"screw {screw}",
            got=f"no strength is printed here for {bolt or 'a screw'} {screw}",
            allowed=", ".join(f"{r.values['bolt']} ({r.values['screw']})" for r in bolts.rows),
            fix="Take it from the drawing; state part_number where it is an AN bolt",
        )
    )
