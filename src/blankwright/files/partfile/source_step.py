"""A part taken from a bent solid: unfolded, named, and restated."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.findings import Finding, Level
from blankwright.base.units import show_angle, show_mm
from blankwright.develop.restate import MIDDLE, wide_bends_halved
from blankwright.develop.unfold.result import NotSheet, Unfolded
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.source import Allowances, Stated, part_of_blank, renamed
from blankwright.files.partfile.source_allowance import own_k
from blankwright.geom.move import Move
from blankwright.geom.pose import Point3
from blankwright.part.model import AllowanceRule, Part
from blankwright.part.sizes import nearest

if TYPE_CHECKING:
    from collections.abc import Callable

    from blankwright.develop.coupons import Coupons

_THICKNESS = 0.005
"""A stated thickness that differs from the solid's by more than this is another sheet [mm]."""

_AXES: dict[str, Point3] = {
    "+x": (1.0, 0.0, 0.0),
    "-x": (-1.0, 0.0, 0.0),
    "+y": (0.0, 1.0, 0.0),
    "-y": (0.0, -1.0, 0.0),
    "+z": (0.0, 0.0, 1.0),
    "-z": (0.0, 0.0, -1.0),
}

Results = tuple[Unfolded | NotSheet, ...]
_KEPT: dict[tuple[object, ...], Results] = {}


def unfolded(
    data: bytes,
    name: str,
    *,
    rule: Callable[[float, float, float], tuple[float, float]],
    mark: object,
    alloy: str = "",
    root_at: Point3 | None = None,
    seen_from: str = "",
    fit: float | None = None,
    own: Mapping[str, float] | None = None,
) -> Results:
    """Unfold every solid of a STEP file; the last few results are kept.

    Args:
        data: the file
        name: what messages call it
        rule: inside radius, thickness and angle to allowance and k
        mark: what the rule is known by; nothing for one that can't be known again
        alloy: alloy and temper
        root_at: a point of the flat that stays put [mm]
        seen_from: where the face side looks to, such as ``+z``
        fit: how far arcs may stand off cut edges [mm]
        own: neutral-axis factors of single bends, by their names in the blank [-]

    Raises:
        BadInput: when it is no STEP file, or holds no solid
    """
    from blankwright.develop.unfold.unfold import UnfoldWishes
    from blankwright.files.kernel import blanks_in_step

    digest = hashlib.sha256(data).hexdigest()
    key = (digest, name, mark, alloy, root_at, seen_from, fit, tuple(sorted((own or {}).items())))
    if mark is not None and key in _KEPT:
        return _KEPT[key]
    wishes = UnfoldWishes(
        rule=rule,
        own=own or {},
        alloy=alloy,
        root_at=root_at,
        seen_from=_AXES.get(seen_from),
    )
    if fit is not None:
        wishes = replace(wishes, fit=fit)
    results = blanks_in_step(data, name, wishes)
    if mark is not None:
        while len(_KEPT) >= 8:
            del _KEPT[next(iter(_KEPT))]
        _KEPT[key] = results
    return results


def step_part(
    stated: Stated, numbers: Numbers, coupons: Coupons | None
) -> tuple[Part, tuple[Finding, ...]]:
    """Return the part that a solid of a STEP file unfolds into, and what to look at.

    Raises:
        BadInput: when it is no STEP file, or holds no solid
        NotPossible: when the solid is no sheet part: why and where
    """
    table, problems = stated.table, numbers.problems
    for key in ("outline", "openings", "bend_lines", "tangent_lines", "leave_out", "layout"):
        if getattr(table, key):
            problems.add("PART-006", f"source.{key}", f"`{key}` is for flat drawings", "a solid")
    if table.units:
        problems.add("PART-006", "source.units", "a STEP file states its units", "no `units`")
    fit = numbers.length("source.fit", table.fit, over=1e-6)
    root_at = _root_at(stated, numbers)
    problems.raise_if_any()
    allowances = Allowances(stated, numbers, coupons)
    coupled = stated.rule is AllowanceRule.COUPONS

    def unfolded_with(own: dict[str, float]) -> Unfolded:
        results = unfolded(
            stated.data,
            stated.name,
            rule=allowances.of_any_angle,
            mark=None if coupled else (stated.rule, stated.k),
            alloy=stated.sheet.alloy,
            root_at=root_at,
            seen_from=table.seen_from or "",
            fit=fit,
            own=own,
        )
        return chosen_solid(results, table.solid, stated.name)

    found = unfolded_with({})
    own = _own_factors(found, stated, numbers, allowances)
    problems.raise_if_any()
    if own:
        # Openings that run across these bends go with them, so the solid is unfolded by them.
        found = unfolded_with(own)
    # The root is drawn as it lies on the blank, so that places told there are places on it.
    root, *others = found.blank.flats
    blank = replace(found.blank, flats=(replace(root, place=Move()), *others))
    if abs(blank.thickness - stated.sheet.thickness) > _THICKNESS:
        problems.add(
            "SOURCE-016",
            "sheet.thickness",
            f"the solid is {show_mm(blank.thickness, 4)} thick, the part file says"
            f" {show_mm(stated.sheet.thickness, 4)}",
            show_mm(blank.thickness, 4),
            "State the solid's thickness, or have the solid changed",
        )
        problems.raise_if_any()
    part = part_of_blank(wide_bends_halved(blank), stated.name, "")
    names = names_of(part)
    part = _with_stated(renamed(part, names), stated, numbers, as_laid=bool(own))
    return part, (*found.findings, *seen(found))


def _own_factors(
    found: Unfolded, stated: Stated, numbers: Numbers, allowances: Allowances
) -> dict[str, float]:
    """Return the neutral-axis factors that are stated for single bends, by the blank's names."""
    blank = wide_bends_halved(found.blank)
    result: dict[str, float] = {}
    for i, bend in enumerate(blank.bends, start=1):
        table = stated.bends.get(f"bend-{i}")
        if table is None:
            continue
        place = f"bends.bend-{i}"
        sizes = (bend.inside_radius, blank.thickness, bend.angle)
        k = own_k(table, place, numbers, *sizes)
        if k is None and table.allowance:
            try:
                _, k = allowances.of(*sizes, AllowanceRule(table.allowance))
            except NotPossible as error:
                for problem in error.problems:
                    numbers.problems.add(problem.code, place, problem.got, problem.allowed)
        if k is not None:
            # Both halves of a bend of more than 180° are one bend of the solid.
            result[bend.name.removesuffix(MIDDLE)] = k
    return result


def names_of(part: Part) -> dict[str, str]:
    """Return names for the flats and bends of an unfolded solid: ``root``, ``bend-1`` …"""
    names = {part.root.name: "root"}
    for i, bend in enumerate(part.bends, start=1):
        names[bend.name] = names[bend.leg.name] = f"bend-{i}"
    return names


def _root_at(stated: Stated, numbers: Numbers) -> Point3 | None:
    raw = stated.table.root_at
    if not raw:
        return None
    if len(raw) != 3:
        numbers.problems.add(
            "PART-004", "source.root_at", f"a list of {len(raw)} stands here", "three lengths"
        )
        return None
    x, y, z = (numbers.length(f"source.root_at[{i + 1}]", one) for i, one in enumerate(raw))
    return None if x is None or y is None or z is None else (x, y, z)


def chosen_solid(results: Results, solid: str, name: str) -> Unfolded:
    """Return the solid that is meant, or the only sheet part. Raises NotPossible."""
    if solid:
        for result in results:
            if result.name == solid:
                return _sheet(result)
        names = [result.name for result in results]
        raise NotPossible(
            Problem(
                code="SOURCE-017",
                where=name,
                got=f"it holds no solid `{solid}`",
                allowed=", ".join(names),
                fix=nearest(solid, names),
            )
        )
    sheets = [result for result in results if isinstance(result, Unfolded)]
    if len(sheets) == 1:
        return sheets[0]
    if not sheets:
        raise NotPossible(
            *(p for result in results if isinstance(result, NotSheet) for p in result.problems)
        )
    raise NotPossible(
        Problem(
            code="SOURCE-017",
            where=name,
            got=f"it holds {len(sheets)} sheet parts",
            allowed=", ".join(sheet.name for sheet in sheets),
            fix='State the one that is meant: solid = "…"',
        )
    )


def _sheet(result: Unfolded | NotSheet) -> Unfolded:
    if isinstance(result, NotSheet):
        raise NotPossible(*result.problems)
    return result


def _with_stated(part: Part, stated: Stated, numbers: Numbers, *, as_laid: bool) -> Part:
    """Return the part with what the part file states for single bends.

    Args:
        part: as the solid has it
        stated: what the part file states
        numbers: works quantities out
        as_laid: whether bends keep the k that the solid was unfolded by
    """
    problems = numbers.problems
    names = [bend.name for bend in part.bends]
    for name, table in stated.bends.items():
        place = f"bends.{name}"
        if name not in names:
            problems.add(
                "PART-009",
                place,
                f"the solid has no bend `{name}`",
                f"bends: {', '.join(names) or 'none'}",
                nearest(name, names),
            )
        for key in ("line", "angle", "inside_radius", "up", "down"):
            if getattr(table, key) is not None:
                problems.add(
                    "PART-006",
                    f"{place}.{key}",
                    f"`{key}` comes from the solid",
                    "k, bend_allowance, deduction, last, note",
                )
    bends = []
    for bend in part.bends:
        own = stated.bends.get(bend.name)
        # Its k is the blank's already; by coupons it is looked up anew, so that the trail tells.
        rule = AllowanceRule(own.allowance) if own is not None and own.allowance else None
        bends.append(
            replace(
                bend,
                k=bend.k if as_laid and rule is None else None,
                allowance=rule,
                last="" if own is None else own.last,
                note="" if own is None else own.note,
            )
        )
    problems.raise_if_any()
    return replace(part, bends=tuple(bends))


def seen(found: Unfolded) -> Sequence[Finding]:
    """Return what was seen on a solid that its blank can't show."""
    notes: list[str] = []
    for sink in found.countersinks:
        x, y = sink.center
        side = "face" if sink.on_face else "back"
        notes.append(
            f"countersink {show_angle(sink.angle)} to Ø {show_mm(sink.sink)} on the {side} side at"
            f" ({x:.2f}, {y:.2f})"
        )
    for dimple in found.dimples:
        x, y = dimple.center
        side = "face" if dimple.up else "back"
        notes.append(
            f"dimple {show_angle(dimple.angle)}, Ø {show_mm(dimple.outer)}, standing out on the"
            f" {side} side at ({x:.2f}, {y:.2f}): drill to the pilot of the dimple die"
        )
    for mark in found.marks:
        x0, y0, x1, y1 = mark.loops[0].box
        side = "face" if mark.on_face else "back"
        notes.append(
            f"mark {show_mm(mark.depth)} deep on the {side} side about"
            f" ({(x0 + x1) / 2:.1f}, {(y0 + y1) / 2:.1f})"
        )
    if found.broken_edges:
        notes.append(f"{found.broken_edges} edges are rounded or chamfered in the solid")
    return [
        Finding(
            code="SOURCE-008",
            level=Level.NOTE,
            place=f"source {found.name}",
            got=note,
            fix="Mark it on the blank by hand; the blank shows the hole alone",
        )
        for note in notes
    ]
