"""A part taken from a flat drawing: what the part file says of its lines and bends, worked out."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from blankwright.base.errors import NotPossible
from blankwright.base.findings import Finding
from blankwright.base.quantities import BadText
from blankwright.base.units import show_mm
from blankwright.develop.allowance import k_of_allowance
from blankwright.develop.flat.bend_lines import DrawnBendLine, allowance_drawn
from blankwright.develop.flat.bends import blank_of_flat, whole_name
from blankwright.develop.flat.strips import BendLineKind, FlatBend, OutlineCut
from blankwright.files.dxf_drawn.choose import Choice, read_choice
from blankwright.files.dxf_drawn.layout import CLOSES, FIT, REACH, Choices, LaidOut, lay_out
from blankwright.files.dxf_drawn.model import Drawn
from blankwright.files.dxf_drawn.reading import UNITS, Drawing
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.schema_source import SourceBendTable
from blankwright.files.partfile.source import Allowances, Stated, part_of_blank
from blankwright.files.partfile.source_allowance import own_k
from blankwright.files.partfile.source_told import drawing_told, reliefs_told
from blankwright.geom.region import Region
from blankwright.part.model import AllowanceRule, Part

if TYPE_CHECKING:
    from blankwright.develop.coupons import Coupons

AT = 0.25
"""A stated point is on a bend line when it is this near to it [mm]."""


@lru_cache(maxsize=8)
def _opened(mark: str, data: bytes, name: str) -> Drawing:
    return Drawing(data, name)


@lru_cache(maxsize=8)
def _read(drawing: Drawing, unit: str, fit: float, layout: str) -> Drawn:
    return drawing.read(unit, fit, layout)


def drawing_of(data: bytes, name: str) -> Drawing:
    """Return a drawing, opened once for as long as it stays the same."""
    return _opened(hashlib.sha256(data).hexdigest(), data, name)


def drawn_in(drawing: Drawing, unit: str, fit: float, layout: str) -> Drawn:
    """Return a drawing read in a unit, read once for as long as it stays the same."""
    return _read(drawing, unit, fit, layout)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Said:
    """What the part file says of one bend."""

    name: str
    table: SourceBendTable
    angle: float
    radius: float
    up: bool
    k: float | None


def dxf_part(
    stated: Stated, numbers: Numbers, coupons: Coupons | None
) -> tuple[Part, tuple[Finding, ...]]:
    """Return the part that a flat drawing holds, and what was put right in the drawing.

    Raises:
        BadInput: with every problem of the drawing
        NotPossible: when its bend lines do not part the outline
    """
    table, problems = stated.table, numbers.problems
    drawing = drawing_of(stated.data, stated.name)
    unit = table.units or drawing.units
    choices = _choices(stated, numbers)
    fit = numbers.length("source.fit", table.fit, over=1e-6)
    if not unit:
        problems.add(
            "SOURCE-012",
            "source.units",
            f"{stated.name} does not say what unit it is drawn in",
            ", ".join(f'"{word}"' for word in UNITS),
            'State it: units = "in", say; it is never guessed',
        )
    if table.solid or table.seen_from:
        key = "solid" if table.solid else "seen_from"
        problems.add("PART-006", f"source.{key}", f"`{key}` is for STEP files", "a flat drawing")
    root_at = _root_at(stated, numbers)
    problems.raise_if_any()
    drawn = drawn_in(drawing, unit, FIT if fit is None else fit, table.layout)
    laid = lay_out(drawn, choices, stated.name)
    said = _said(stated, numbers)
    lines = _matched(said, laid.bend_lines, numbers)
    problems.raise_if_any()
    allowances = Allowances(stated, numbers, coupons)
    flat_bends: list[FlatBend] = []
    ruled: dict[str, float | None] = {}
    for one, line in zip(said, lines, strict=True):
        found = _flat_bend(one, line, laid, stated, allowances, ruled)
        if found is not None:
            flat_bends.append(found)
    problems.raise_if_any()
    taken: list[Region] = []
    outline = laid.outline
    if table.relieve:
        outline, taken = OutlineCut(outline, stated.sheet.thickness, choices.reach).relieved(
            flat_bends
        )
    blank = blank_of_flat(
        outline,
        flat_bends,
        thickness=stated.sheet.thickness,
        alloy=stated.sheet.alloy,
        root_at=root_at,
        reach=choices.reach,
    )
    part = part_of_blank(blank, stated.name, "")
    by_name = {one.name: one for one in said}
    bends = []
    for bend in part.bends:
        drawn_as = whole_name(bend.name, by_name)
        own = by_name[drawn_as].table
        changes = replace(bend, last=own.last, note=own.note)
        if drawn_as in ruled:
            rule = AllowanceRule(own.allowance) if own.allowance else None
            changes = replace(changes, k=ruled[drawn_as], allowance=rule)
        bends.append(changes)
    told = drawing_told(stated, drawing, drawn, laid)
    return replace(part, bends=tuple(bends)), (*told, *reliefs_told(stated, taken))


def _choices(stated: Stated, numbers: Numbers) -> Choices:
    table = stated.table

    def read(role: str, texts: Sequence[str]) -> tuple[Choice, ...]:
        found = []
        for i, text in enumerate(texts):
            try:
                found.append(read_choice(text))
            except BadText as error:
                numbers.problems.add_text(f"source.{role}[{i + 1}]", error)
        return tuple(found)

    if not table.outline:
        numbers.problems.add(
            "PART-003",
            "source",
            "`outline` is missing",
            'the lines that are the outline, such as "layer 0"',
            f"Let it be proposed: blankwright bring {stated.name}",
        )
    closes = numbers.length("source.closes", table.closes, least=0.0)
    reach = numbers.length("source.reach", table.reach, least=0.0)
    points = [
        numbers.point(f"source.leave_out[{i + 1}]", raw) for i, raw in enumerate(table.leave_out)
    ]
    return Choices(
        outline=read("outline", table.outline),
        openings=read("openings", table.openings),
        bend_lines=read("bend_lines", table.bend_lines),
        tangent_lines=read("tangent_lines", table.tangent_lines),
        closes=CLOSES if closes is None else closes,
        reach=REACH if reach is None else reach,
        part_at=numbers.point("source.part_at", table.part_at),
        leave_out=tuple(p for p in points if p is not None),
        rounds=table.rounds,
    )


def _root_at(stated: Stated, numbers: Numbers) -> tuple[float, float] | None:
    raw = stated.table.root_at
    if not raw:
        return None
    if len(raw) != 2:
        numbers.problems.add(
            "PART-004", "source.root_at", f"a list of {len(raw)} stands here", "two lengths"
        )
        return None
    return numbers.point("source.root_at", (raw[0], raw[1]))


def _said(stated: Stated, numbers: Numbers) -> list[_Said]:
    """Work out what is stated for each bend, and collect what is missing."""
    defaults, problems = stated.defaults, numbers.problems
    angle = numbers.bend_angle("bend_defaults.angle", defaults.angle)
    radius = numbers.length("bend_defaults.inside_radius", defaults.inside_radius, least=0.0)
    up = way(defaults.up, defaults.down, "bend_defaults", numbers)
    said: list[_Said] = []
    for name, table in stated.bends.items():
        place = f"bends.{name}"
        own_angle = numbers.bend_angle(f"{place}.angle", table.angle)
        own_radius = numbers.length(f"{place}.inside_radius", table.inside_radius, least=0.0)
        own_up = way(table.up, table.down, place, numbers)
        if name == "root":
            problems.add("PART-008", place, "the flat that stays put is called `root`", "another")
        if table.line is None:
            problems.add(
                "PART-003",
                place,
                "`line` is missing",
                'a point on its bend line, such as ["1 in", "2 in"]',
            )
        final_angle = own_angle if table.angle is not None else angle
        final_radius = own_radius if table.inside_radius is not None else radius
        final_up = own_up if own_up is not None else up
        for key, value, raw, example in (
            ("angle", final_angle, table.angle or defaults.angle, '"90 deg"'),
            (
                "inside_radius",
                final_radius,
                table.inside_radius if table.inside_radius is not None else defaults.inside_radius,
                '"1/8 in"',
            ),
        ):
            if value is None and raw is None:
                problems.add("PART-003", place, f"`{key}` is missing", f"{key} = {example}, say")
        if final_up is None:
            problems.add("PART-003", place, "`up` is missing", "up = true, or down = true")
        if final_angle is not None and final_radius is not None and final_up is not None:
            k = own_k(table, place, numbers, final_radius, stated.sheet.thickness, final_angle)
            said.append(
                _Said(
                    name=name, table=table, angle=final_angle, radius=final_radius, up=final_up, k=k
                )
            )
    return said


def way(up: bool | None, down: bool | None, place: str, numbers: Numbers) -> bool | None:
    """Return a direction stated by either of two keys."""
    if up is not None and down is not None and up == down:
        numbers.problems.add("PART-006", place, "a bend goes up and down", "one of both")
    if up is not None:
        return up
    return None if down is None else not down


def _matched(
    said: Sequence[_Said], lines: Sequence[DrawnBendLine], numbers: Numbers
) -> list[DrawnBendLine | None]:
    """Find the bend line of each bend; every line needs its bend, every bend its line."""
    problems = numbers.problems
    taken: dict[int, str] = {}
    result: list[DrawnBendLine | None] = []
    for one in said:
        at = numbers.point(f"bends.{one.name}.line", one.table.line)
        if at is None:
            result.append(None)
            continue
        near = sorted((line.line.distance(at), i) for i, line in enumerate(lines))
        fits = [i for d, i in near if d <= AT]
        fits.sort(key=lambda i: i in taken)
        if not fits:
            known = "; ".join(f"({line.at[0]:.3f}, {line.at[1]:.3f}) mm" for line in lines)
            problems.add(
                "SOURCE-013",
                f"bends.{one.name}.line",
                f"no bend line runs through ({at[0]:.3f}, {at[1]:.3f}) mm",
                f"bend lines through {known}" if known else "there is no bend line",
            )
            result.append(None)
        elif fits[0] in taken:
            problems.add(
                "PART-008",
                f"bends.{one.name}.line",
                f"bend {taken[fits[0]]} has this line already",
                "a line for each bend",
            )
            result.append(None)
        else:
            taken[fits[0]] = one.name
            result.append(lines[fits[0]])
    for i, line in enumerate(lines):
        if i not in taken and len(said) == sum(found is not None for found in result):
            problems.add(
                "SOURCE-014",
                "bends",
                f"nothing is stated for the bend line through ({line.at[0]:.3f},"
                f" {line.at[1]:.3f}) mm, {show_mm(line.line.length)} long",
                "[bends.NAME] with line, angle, inside_radius and up or down",
                "State it, or put the point on `leave_out` if it is no bend line",
            )
    return result


def _flat_bend(
    one: _Said,
    line: DrawnBendLine | None,
    laid: LaidOut,
    stated: Stated,
    allowances: Allowances,
    ruled: dict[str, float | None],
) -> FlatBend | None:
    if line is None:
        return None
    thickness = stated.sheet.thickness
    drawn = allowance_drawn(line.line, laid.tangents) if laid.tangents else None
    rule = AllowanceRule(one.table.allowance) if one.table.allowance else None
    if drawn is not None and one.k is None and rule is None:
        allowance, k = drawn, k_of_allowance(drawn, one.radius, thickness, one.angle)
        if not 0 <= k <= 1:
            allowances.numbers.problems.add(
                "SOURCE-015",
                f"bends.{one.name}",
                f"its tangent lines are {show_mm(drawn, 3)} apart, for which the neutral axis would"
                f" lie outside the sheet (k = {k:.3f})",
                "k from 0 to 1",
                "Check angle, radius and thickness; or state k to go by that",
            )
            return None
    else:
        try:
            allowance, k = allowances.of(one.radius, thickness, one.angle, rule, one.k)
        except NotPossible as error:
            for problem in error.problems:
                allowances.numbers.problems.add(
                    problem.code,
                    f"bends.{one.name}",
                    problem.got,
                    problem.allowed,
                    problem.fix,
                )
            return None
        ruled[one.name] = one.k
    x, y = line.at
    return FlatBend(
        name=one.name,
        line=line.line,
        kind=BendLineKind(one.table.drawn_as),
        angle=one.angle,
        inside_radius=one.radius,
        up=one.up,
        allowance=allowance,
        k=k,
        where=f"its line runs through ({x:.3f}, {y:.3f}) mm",
    )
