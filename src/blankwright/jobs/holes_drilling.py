"""Drilling up with the shop's drills: for one hole, and for the rivet rows of a part."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from blankwright.base.errors import BadInput, BlankwrightError, Problem
from blankwright.base.quantities import BadText, read_quantity
from blankwright.handbook.drilling import material_of
from blankwright.handbook.drills import find_drill
from blankwright.holes.drill_rack import DrillRack
from blankwright.holes.fasteners import finished_hole
from blankwright.holes.ladder import AskedHole, Ladder, plan_ladder
from blankwright.jobs.findings_json import SHORT, findings_json
from blankwright.jobs.project import Project
from blankwright.part.model import Part
from blankwright.part.rivets import RivetRow


@dataclass(frozen=True, kw_only=True)
class RowLadder:
    """How the holes of a rivet row are drilled up.

    Args:
        row: the row
        ladder: how; nothing when it can't be
        problem: why not; empty when it can
    """

    row: RivetRow
    ladder: Ladder | None
    problem: str = ""


def shop_drills(project: Project) -> DrillRack:
    """Return the drills that the project's shop file lists; all there are without a list.

    Raises:
        BadInput: with every problem of that table
    """
    from blankwright.files.shopfile import NAME, read_shop
    from blankwright.files.shopfile_drills import drills_of

    return drills_of(read_shop(project.root / NAME))


def row_ladders(part: Part, rack: DrillRack) -> tuple[RowLadder, ...]:
    """Plan how the holes of each rivet row of a part are drilled up from their pilots."""
    found: list[RowLadder] = []
    for row in part.rivets:
        try:
            hole = finished_hole(row.fastener, row.size, row.drill)
            asked = AskedHole(
                final=hole.drill.diameter,
                pilot=find_drill(row.pilot).diameter if row.pilot else 0.0,
                stack=(part.sheet.thickness, *(sheet.thickness for sheet in row.stack)),
                material=material_of(part.sheet.alloy),
                plus=hole.most - hole.drill.diameter if hole.has_limits else math.inf,
                minus=max(0.0, hole.drill.diameter - hole.least) if hole.has_limits else math.inf,
                holes=row.count,
            )
            found.append(RowLadder(row=row, ladder=plan_ladder(asked, rack)))
        except BlankwrightError as error:
            found.append(RowLadder(row=row, ladder=None, problem=str(error)))
    return tuple(found)


def read_hole_size(text: str) -> float:
    """Return a hole's diameter [mm] from a drill's name or a length.

    Raises:
        BadInput: when it is neither
    """
    try:
        return find_drill(text).diameter
    except BlankwrightError as error:
        try:
            quantity = read_quantity(text)
        except BadText:
            raise error from None
        if quantity.kind != "length" or quantity.value <= 0:
            raise error from None
        return quantity.value


def read_stack(text: str) -> tuple[float, ...]:
    """Return thicknesses [mm] from a text such as ``0.032 in + 0.040 in``.

    Raises:
        BadInput: when one is no length
    """
    found = []
    for word in text.split("+"):
        try:
            quantity = read_quantity(word.strip())
            if quantity.kind != "length" or quantity.value <= 0:
                raise BadText("QTY-001", f"`{word.strip()}` is no thickness")
        except BadText as error:
            raise BadInput(
                Problem(
                    code=error.code,
                    where="stack",
                    got=error.got,
                    allowed='thicknesses, such as "0.032 in + 0.040 in"',
                )
            ) from error
        found.append(quantity.value)
    return tuple(found)


def asked_hole(final: str, pilot: str, stack: str) -> AskedHole:
    """Return one hole to be drilled up, as typed.

    Raises:
        BadInput: when a text can't be read
    """
    return AskedHole(
        final=read_hole_size(final),
        pilot=read_hole_size(pilot) if pilot.strip() else 0.0,
        stack=read_stack(stack),
    )


def ladder_result(ladder: Ladder) -> dict[str, Any]:
    """Return a ladder as plain values, mm."""
    return {
        "final": _n(ladder.final),
        "holes": ladder.holes,
        "strokes": ladder.strokes,
        "largest_step": {"value": _n(ladder.rule[0]), "source": ladder.rule[1]},
        "reached": None if ladder.reached is None else [_n(d) for d in ladder.reached],
        "passes": [
            {
                "tool": one.tool,
                "kind": one.kind.value,
                "diameter": _n(one.diameter),
                "step": _n(one.step),
                "strokes": one.strokes,
            }
            for one in ladder.passes
        ],
        "findings": findings_json(ladder.findings, SHORT),
        "sources": list(ladder.sources),
    }


def default_project(folder: Path) -> Project | None:
    """Return the project that a folder is in, or nothing: drilling up needs none."""
    from blankwright.jobs.project import find_project

    try:
        return find_project(folder)
    except BlankwrightError:
        return None


def _n(value: float) -> float:
    return round(value, 9) + 0.0
