"""A part whose flats and bends are taken from a drawing: the `[source]` table of a part file."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from blankwright.base.errors import BlankwrightError, NotPossible, Problem
from blankwright.base.findings import Finding, Level
from blankwright.base.tolerance import ANGLE
from blankwright.base.units import show_mm
from blankwright.develop.allowance import empirical_step, k_of_allowance, neutral_axis_step
from blankwright.develop.restate import part_of_blank
from blankwright.files.dxf_drawn.opening import kind_of
from blankwright.files.dxf_drawn.reading import read_bytes
from blankwright.files.partfile.bends import Flats
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.problems import Problems
from blankwright.files.partfile.schema import BendDefaults
from blankwright.files.partfile.schema_source import SourceBendTable, SourceTable
from blankwright.files.partfile.sections import many_tables, one_table
from blankwright.files.partfile.source_place import Beside
from blankwright.part.model import AllowanceRule, Part, Sheet
from blankwright.part.source import Source

if TYPE_CHECKING:
    from blankwright.develop.coupons import Coupons

MOST_STEP_BYTES = 60_000_000
"""A larger STEP file is not one part."""

_OWN_SHAPE = ("flats",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """What a part file says about its drawing, worked out.

    Args:
        table: the table as typed
        bends: tables of bends by name
        defaults: what holds for every bend
        data: the drawing
        name: what messages call the drawing
        sheet: what the part is cut from
        rule: how allowances are found
        k: neutral-axis factor for the rule NEUTRAL_AXIS [-]
    """

    table: SourceTable
    bends: Mapping[str, SourceBendTable]
    defaults: BendDefaults
    data: bytes
    name: str
    sheet: Sheet
    rule: AllowanceRule
    k: float | None


def source_part(
    tables: Mapping[str, Any],
    numbers: Numbers,
    sheet: Sheet | None,
    defaults: BendDefaults,
    beside: Beside,
    flats: Flats,
) -> Part | None:
    """Return the part that a drawing holds, by what the part file says about it.

    Its name, title and what else the file states are not filled in yet. What is wrong is collected;
    nothing is returned then.

    Args:
        tables: the part file
        numbers: works quantities out
        sheet: what it is cut from; nothing when that is wrong
        defaults: what holds for every bend
        beside: where the part file is
        flats: filled with the flats that are found
    """
    problems = numbers.problems
    table = one_table(tables, "source", SourceTable, problems)
    bends, bad = many_tables(tables, "bends", SourceBendTable, problems)
    for key in _OWN_SHAPE:
        if key in tables:
            problems.add(
                "PART-006",
                key,
                "flats are stated here and taken from a drawing too",
                "either [source] or [flats.NAME]",
            )
    data = None if table is None else _data(table, beside, problems)
    if table is None or data is None or sheet is None or bad or problems.found:
        flats.broken.add("root")
        return None
    rule = AllowanceRule(defaults.allowance or "empirical formula")
    k = numbers.number("bend_defaults.k", defaults.k, 0.0, 1.0)
    stated = Stated(
        table=table,
        bends=bends,
        defaults=defaults,
        data=data,
        name=Path(table.file).name,
        sheet=sheet,
        rule=rule,
        k=k,
    )
    try:
        kind = kind_of(data)
        if kind == "step" or (kind != "dxf" and _is_step_name(table.file)):
            from blankwright.files.partfile.source_step import step_part

            part, found = step_part(stated, numbers, beside.coupons)
            kind = "STEP"
        else:
            from blankwright.files.partfile.source_dxf import dxf_part

            part, found = dxf_part(stated, numbers, beside.coupons)
            kind = "DXF"
    except BlankwrightError as error:
        for problem in error.problems:
            _add(problems, problem)
        flats.broken.add("root")
        return None
    if problems.found:
        flats.broken.add("root")
        return None
    changed = table.sha256 != "" and table.sha256.lower() != hashlib.sha256(data).hexdigest()
    findings = (*_on_change(table, changed), *found)
    for flat in (part.root, *(bend.leg for bend in part.bends)):
        flats.drawn[flat.name] = flat
    flats.root = part.root.name
    return replace(
        part,
        sheet=sheet,
        allowance=rule,
        k=k,
        source=Source(file=table.file, kind=kind, changed=changed, findings=findings),
    )


def _data(table: SourceTable, beside: Beside, problems: Problems) -> bytes | None:
    if not table.file:
        problems.add("PART-004", "source.file", "the file's name is empty", "such as part.dxf")
        return None
    if table.file in beside.drawings:
        return beside.drawings[table.file]
    path = Path(table.file)
    if not path.is_absolute():
        if beside.folder is None:
            problems.add(
                "SOURCE-010",
                "source.file",
                f"`{table.file}` can't be found from here, where the part file has no place",
                fix="Read the part file from its folder",
            )
            return None
        path = beside.folder / path
    most = MOST_STEP_BYTES if _is_step_name(table.file) else 32 * 1024 * 1024
    try:
        return read_bytes(path, most)
    except BlankwrightError as error:
        for problem in error.problems:
            _add(problems, problem, "source.file")
        return None


def _is_step_name(name: str) -> bool:
    return name.lower().endswith((".step", ".stp"))


def _add(problems: Problems, problem: Problem, place: str = "source") -> None:
    """Collect a problem of the drawing at its place in the part file."""
    if any(problem is known for known in problems.found):
        return
    said = problem.got if problem.where in ("", place) else f"{problem.where}: {problem.got}"
    problems.add(problem.code, place, said, problem.allowed, problem.fix)


def _on_change(table: SourceTable, changed: bool) -> list[Finding]:
    if changed:
        return [
            Finding(
                code="SOURCE-001",
                level=Level.STOP,
                place="source",
                got=f"{table.file} has changed since it was brought in",
                limit="the drawing that was looked at",
                fix="Look at the part as the drawing has it now, then take it so:"
                f" blankwright bring {Path(table.file).name} --again",
            )
        ]
    if not table.sha256:
        return [
            Finding(
                code="SOURCE-002",
                level=Level.NOTE,
                place="source",
                got=f"a change of {table.file} would not be noticed: its sha256 is not stated",
                fix=f"Let it be written: blankwright bring {Path(table.file).name} --again",
            )
        ]
    return []


class Allowances:
    """Allowances by the rule of a part file.

    Args:
        stated: the part file
        numbers: works quantities out
        coupons: the shop's test strips
    """

    def __init__(self, stated: Stated, numbers: Numbers, coupons: Coupons | None) -> None:
        self.stated = stated
        self.numbers = numbers
        self.coupons = coupons

    def of_any_angle(
        self, inside_radius: float, thickness: float, angle: float
    ) -> tuple[float, float]:
        """Return allowance [mm] and neutral-axis factor [-] of a bend of a solid.

        A bend of more than 180° is bent as two halves. Raises as `of`.
        """
        if angle <= math.pi + ANGLE:
            return self.of(inside_radius, thickness, angle)
        allowance, k = self.of(inside_radius, thickness, angle / 2)
        return 2 * allowance, k

    def of(
        self,
        inside_radius: float,
        thickness: float,
        angle: float,
        own_rule: AllowanceRule | None = None,
        own_k: float | None = None,
    ) -> tuple[float, float]:
        """Return allowance [mm] and neutral-axis factor [-] of a bend.

        Raises:
            NotPossible: when a size can't be, or there is no k or no coupon
        """
        sizes = (inside_radius, thickness, angle)
        rule = own_rule or self.stated.rule
        k = own_k if own_k is not None else self.stated.k
        if own_k is not None or (rule is AllowanceRule.NEUTRAL_AXIS and k is not None):
            assert k is not None
            step = neutral_axis_step("allowance", *sizes, k, "stated")
        elif rule is AllowanceRule.EMPIRICAL:
            step = empirical_step("allowance", *sizes)
        elif rule is AllowanceRule.NEUTRAL_AXIS:
            raise NotPossible(
                Problem(
                    code="PART-003",
                    where="bend_defaults",
                    got="`k` is missing, which the rule `neutral-axis factor` needs",
                    allowed="k = 0.44, say, learned from your own coupons",
                )
            )
        else:
            alloy = self.stated.sheet.alloy
            match = None
            if self.coupons is not None:
                match = self.coupons.best(alloy, thickness, inside_radius, angle)
            if match is None:
                raise NotPossible(
                    Problem(
                        code="SOURCE-011",
                        where="bend_defaults.allowance",
                        got=f"no coupon fits {alloy}, {show_mm(thickness, 3)} thick,"
                        f" R {show_mm(inside_radius, 3)}",
                        fix="Bend and measure test strips of this sheet, or state k",
                    )
                )
            step = match.step("allowance", *sizes)
        return step.value, k_of_allowance(step.value, *sizes)


def renamed(part: Part, names: Mapping[str, str]) -> Part:
    """Return a part with its flats and bends renamed; a bend's leg is named like the bend."""
    root = replace(part.root, name=names.get(part.root.name, part.root.name))

    def new(name: str) -> str:
        return names.get(name, name)

    return replace(
        part,
        root=root,
        bends=tuple(
            replace(
                bend,
                name=new(bend.name),
                parent=new(bend.parent),
                leg=replace(bend.leg, name=new(bend.leg.name)),
            )
            for bend in part.bends
        ),
        corners=tuple(
            replace(corner, first=new(corner.first), second=new(corner.second))
            for corner in part.corners
        ),
        holes=tuple(
            replace(hole, name=_hole_name(hole.name, names), flat=new(hole.flat))
            for hole in part.holes
        ),
    )


def _hole_name(name: str, names: Mapping[str, str]) -> str:
    for old, new in names.items():
        for begin in (f"bend {old} cut-out", f"{old} opening"):
            if name.startswith(begin):
                return begin.replace(old, new) + name[len(begin) :]
    return name


__all__ = ["Allowances", "Stated", "part_of_blank", "renamed", "source_part"]
