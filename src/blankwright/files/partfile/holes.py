"""Holes, slots, cut-outs and patterns of a part file built from their tables."""

from __future__ import annotations

import math
from collections.abc import Mapping

from blankwright.base.quantities import BadText
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.schema import HoleTable, Raw, RowTable
from blankwright.files.partfile.shapes import Missing, need, outline_of
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.vec import Point
from blankwright.part.model import DrawnHole, HoleKind
from blankwright.part.patterns import (
    Member,
    count_for_pitch,
    grid,
    ring,
    row,
    row_between,
)
from blankwright.part.sizes import nearest

MOST = 20_000
"""More holes than this in one part are a slip of the pen [-]."""


def holes_of(
    numbers: Numbers, tables: Mapping[str, HoleTable], flats: set[str], broken: set[str]
) -> tuple[DrawnHole, ...]:
    """Return all holes, patterns spelled out as ``name[1]``, ``name[2]`` …

    Fields are left to `fields_of`, for they make room for the other holes.
    """
    holes: list[DrawnHole] = []
    for name, table in tables.items():
        place = f"holes.{name}"
        # Without a root flat anything may be meant.
        if flats and table.on not in flats and table.on not in broken:
            numbers.problems.add(
                "PART-009",
                f"{place}.on",
                f"no flat is named `{table.on}`",
                f"flats: {', '.join(sorted(flats))}",
                nearest(table.on, flats),
            )
        if table.field is not None:
            continue
        try:
            holes.extend(_hole(numbers, name, place, table))
        except Missing:
            continue
        if len(holes) > MOST:
            numbers.problems.add("PART-015", place, f"more than {MOST} holes", f"at most {MOST}")
            break
    return tuple(holes)


def _hole(numbers: Numbers, name: str, place: str, table: HoleTable) -> list[DrawnHole]:
    kind, loop, drill = _shape(numbers, place, table)
    patterned = any(p is not None for p in (table.row, table.grid, table.ring))
    members = _members(numbers, place, table)
    x0, y0, x1, y1 = loop.box
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    result: list[DrawnHole] = []
    for i, (at, turn) in enumerate(members):
        move = Move.turn(turn).then(Move.shift(*at))
        result.append(
            DrawnHole(
                name=f"{name}[{i + 1}]" if patterned else name,
                flat=table.on,
                kind=kind,
                loop=loop.moved(move),
                center=move(middle),
                drill=drill,
                note=table.note,
            )
        )
    return result


def _shape(numbers: Numbers, place: str, table: HoleTable) -> tuple[HoleKind, Loop, str]:
    """Return kind, loop about (0, 0) and drill of a hole. Raises Missing."""
    ways = [
        key
        for key in ("drill", "diameter", "lightening", "slot", "cut_out")
        if getattr(table, key) is not None
    ]
    if len(ways) != 1:
        numbers.problems.add(
            "PART-006" if ways else "PART-003",
            place,
            f"the hole has {' and '.join(ways)}" if ways else "the hole has no size",
            "one of drill, diameter, lightening, slot, cut_out",
        )
        raise Missing
    way = ways[0]
    turn = numbers.angle(f"{place}.turn", table.turn)
    if table.turn is not None and way not in ("slot", "cut_out"):
        numbers.problems.add(
            "PART-006", f"{place}.turn", "a round hole is turned", "slot or cut_out beside it"
        )
    move = Move.turn(turn or 0.0)
    if way == "drill":
        found = numbers.drill(f"{place}.drill", table.drill)
        if found is None:
            raise Missing
        return HoleKind.ROUND, _circle(found[0]), found[1]
    if way in ("diameter", "lightening"):
        raw: Raw = getattr(table, way)
        diameter = need(numbers.length(f"{place}.{way}", raw, over=0.0))
        return (
            HoleKind.ROUND if way == "diameter" else HoleKind.LIGHTENING,
            _circle(diameter),
            "",
        )
    if table.slot is not None:
        length = numbers.length(f"{place}.slot.length", table.slot.length, over=0.0)
        width = numbers.length(f"{place}.slot.width", table.slot.width, over=0.0)
        if need(length) < need(width):
            numbers.problems.add(
                "PART-015",
                f"{place}.slot",
                "the slot is shorter than it is wide",
                "overall length of the width or more",
                "Swap the two and turn the slot by 90 deg if it lies across",
            )
            raise Missing
        return HoleKind.SLOT, Loop.slot((0.0, 0.0), need(length), need(width)).moved(move), ""
    assert table.cut_out is not None
    outline = outline_of(numbers, f"{place}.cut_out", table.cut_out).loop
    if table.cut_out.rectangle is not None:
        # A rectangle is placed by its middle, as holes are.
        _, _, x1, y1 = outline.box
        outline = outline.moved(Move.shift(-x1 / 2, -y1 / 2))
    return HoleKind.CUT_OUT, outline.moved(move), ""


def _circle(diameter: float) -> Loop:
    return Loop.circle((0.0, 0.0), diameter / 2)


def _members(numbers: Numbers, place: str, table: HoleTable) -> list[Member]:
    patterns = [key for key in ("row", "grid", "ring") if getattr(table, key) is not None]
    if len(patterns) > 1:
        numbers.problems.add(
            "PART-006", place, f"the hole has {' and '.join(patterns)}", "one pattern"
        )
        raise Missing
    drawn = table.cut_out is not None and table.cut_out.rectangle is None
    at = numbers.point(f"{place}.at", table.at)
    if table.at is None:
        if not drawn or patterns:
            numbers.problems.add(
                "PART-003",
                place,
                "`at` is missing",
                'its centre in the frame of its flat, such as ["1 in", "1/2 in"]',
            )
            raise Missing
        at = (0.0, 0.0)
    try:
        if table.row is not None:
            return _row(numbers, f"{place}.row", at, table.row)
        if table.grid is not None:
            return _grid(numbers, f"{place}.grid", at, table)
        if table.ring is not None:
            return _ring(numbers, f"{place}.ring", at, table)
    except BadText as error:
        numbers.problems.add_text(f"{place}.{patterns[0]}", error)
        raise Missing from None
    if at is None:
        raise Missing
    return [(at, 0.0)]


def _row(numbers: Numbers, place: str, at: Point | None, table: RowTable) -> list[Member]:
    count = numbers.count(f"{place}.count", table.count)
    to = numbers.point(f"{place}.to", table.to)
    pitch = numbers.length(f"{place}.pitch", table.pitch, over=0.0)
    most = numbers.length(f"{place}.pitch_at_most", table.pitch_at_most, over=0.0)
    along = _along(numbers, f"{place}.along", table.along)
    keys = {
        key
        for key in ("count", "pitch", "along", "to", "pitch_at_most")
        if getattr(table, key) is not None
    }
    if keys not in ({"count", "pitch", "along"}, {"count", "to"}, {"pitch_at_most", "to"}):
        numbers.problems.add(
            "PART-006",
            place,
            f"the row has {', '.join(sorted(keys)) or 'nothing'}",
            "count, pitch and along; or count and to; or pitch_at_most and to",
        )
        raise Missing
    if at is None:
        raise Missing
    if "pitch" in keys:
        if count is None:
            raise Missing
        return row(at, count, need(pitch), need(along))
    if to is None:
        raise Missing
    if "pitch_at_most" in keys:
        return row_between(at, to, count_for_pitch(at, to, need(most)))
    if count is None:
        raise Missing
    return row_between(at, to, count)


def _along(numbers: Numbers, place: str, raw: Raw | None) -> float | None:
    """Return a direction [rad]: ``x``, ``y`` or an angle from the x axis."""
    if raw in ("x", "y"):
        return 0.0 if raw == "x" else math.pi / 2
    return numbers.angle(place, raw)


def _grid(numbers: Numbers, place: str, at: Point | None, table: HoleTable) -> list[Member]:
    assert table.grid is not None
    columns = numbers.count(f"{place}.columns", table.grid.columns)
    rows = numbers.count(f"{place}.rows", table.grid.rows)
    column_pitch = numbers.length(f"{place}.column_pitch", table.grid.column_pitch, over=0.0)
    row_pitch = numbers.length(f"{place}.row_pitch", table.grid.row_pitch, over=0.0)
    turn = numbers.angle(f"{place}.turn", table.grid.turn)
    if table.grid.turn is not None and turn is None:
        raise Missing
    if at is None or columns is None or rows is None:
        raise Missing
    return grid(at, columns, rows, need(column_pitch), need(row_pitch), turn or 0.0)


def _ring(numbers: Numbers, place: str, at: Point | None, table: HoleTable) -> list[Member]:
    assert table.ring is not None
    count = numbers.count(f"{place}.count", table.ring.count)
    diameter = numbers.length(f"{place}.diameter", table.ring.diameter, over=0.0)
    first = numbers.angle(f"{place}.first", table.ring.first)
    if table.ring.first is not None and first is None:
        raise Missing
    if at is None or count is None:
        raise Missing
    return ring(at, count, need(diameter), first or 0.0, table.ring.turned)
