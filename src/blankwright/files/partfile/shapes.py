"""Outlines, notches and reliefs of a part file built from their tables."""

from __future__ import annotations

from collections.abc import Sequence

from blankwright.base.quantities import BadText
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.schema import (
    CornerTrim,
    NotchTable,
    OutlineTable,
    ReliefTable,
    StepTable,
)
from blankwright.geom import vec
from blankwright.geom.vec import Point
from blankwright.part.model import DrawnTo, Relief, ReliefRule
from blankwright.part.notches import Notch, notched
from blankwright.part.outlines import (
    RECTANGLE_CORNERS,
    Outline,
    Step,
    Trim,
    Vertex,
    disc,
    path,
    polygon,
    rectangle,
)

DRAWN_TO = {
    "outside mold line": DrawnTo.OUTSIDE_MOLD_LINE,
    "inside mold line": DrawnTo.INSIDE_MOLD_LINE,
    "bend tangent line": DrawnTo.TANGENT_LINE,
    "tangent line": DrawnTo.TANGENT_LINE,
    "outside of bend": DrawnTo.OUTSIDE_OF_BEND,
}


class Missing(Exception):
    """Something needed could not be worked out; why is collected already."""


def need(value: float | None) -> float:
    """Return a value that is there. Raises Missing."""
    if value is None:
        raise Missing
    return value


def trim_of(numbers: Numbers, place: str, table: CornerTrim | None) -> Trim | None:
    """Return what becomes of a corner. Raises Missing."""
    if table is None:
        return None
    if table.radius is not None and table.chamfer is not None:
        numbers.problems.add(
            "PART-006", place, "a corner has a radius and a chamfer", "one of both"
        )
        raise Missing
    if table.radius is not None:
        return Trim("radius", need(numbers.length(f"{place}.radius", table.radius, over=0.0)))
    if table.chamfer is not None:
        return Trim("chamfer", need(numbers.length(f"{place}.chamfer", table.chamfer, over=0.0)))
    return None


def outline_of(numbers: Numbers, place: str, table: OutlineTable) -> Outline:
    """Return an outline. Raises Missing."""
    problems = numbers.problems
    ways = [
        name
        for name, value in (
            ("rectangle", table.rectangle),
            ("polygon", table.polygon),
            ("path", table.path),
            ("diameter", table.diameter),
        )
        if value is not None
    ]
    if len(ways) != 1:
        problems.add(
            "PART-006",
            place,
            f"the outline has {' and '.join(ways)}" if ways else "the outline has no shape",
            "one of rectangle, polygon, path (with start), diameter",
        )
        raise Missing
    _refuse_strays(numbers, place, table, ways[0])
    try:
        if ways == ["rectangle"]:
            return _rectangle(numbers, place, table)
        if ways == ["polygon"]:
            return _polygon(numbers, place, table)
        if ways == ["path"]:
            return _path(numbers, place, table)
        return disc(need(numbers.length(f"{place}.diameter", table.diameter, over=0.0)))
    except BadText as error:
        problems.add_text(place, error)
        raise Missing from None


def _refuse_strays(numbers: Numbers, place: str, table: OutlineTable, way: str) -> None:
    fits = {
        "rectangle": {"radius", "chamfer", "corners"},
        "polygon": {"radius", "chamfer", "edges"},
        "path": {"start"},
        "diameter": set(),
    }[way]
    strays = [
        name
        for name in ("radius", "chamfer", "corners", "edges", "start")
        if getattr(table, name) is not None and name not in fits
    ]
    for stray in strays:
        numbers.problems.add(
            "PART-006",
            f"{place}.{stray}",
            f"`{stray}` says nothing beside `{way}`",
            ", ".join((way, *sorted(fits))),
        )
    if way == "path" and table.start is None:
        numbers.problems.add(
            "PART-003", place, "`start` is missing", "the point the path starts at"
        )
        strays.append("start")
    if strays:
        raise Missing


def _rectangle(numbers: Numbers, place: str, table: OutlineTable) -> Outline:
    width = numbers.length(f"{place}.rectangle[1]", table.rectangle[0], over=0.0)
    depth = numbers.length(f"{place}.rectangle[2]", table.rectangle[1], over=0.0)
    all_corners = trim_of(numbers, place, table)
    trims: list[Trim | None] = []
    for name in RECTANGLE_CORNERS:
        own = getattr(table.corners, name) if table.corners else None
        trims.append(trim_of(numbers, f"{place}.corners.{name}", own) or all_corners)
    return rectangle(need(width), need(depth), trims)


def _polygon(numbers: Numbers, place: str, table: OutlineTable) -> Outline:
    assert table.polygon is not None
    every = trim_of(numbers, place, table)
    vertices: list[Vertex | None] = []
    for i, vertex in enumerate(table.polygon):
        at = f"{place}.polygon[{i + 1}]"
        # A corner is `[x, y]` or `{ at = [x, y], … }`: its place in the file differs.
        inner = f"{at}.at" if f"{at}.at" in numbers.problems.positions.lines else at
        point = numbers.point(inner, vertex.at)
        trim = trim_of(numbers, at, vertex) or every
        vertices.append(None if point is None else Vertex(point, trim))
    names = table.edges or []
    if names:
        _check_names(numbers, f"{place}.edges", names, len(vertices))
    if any(vertex is None for vertex in vertices):
        raise Missing
    return polygon([vertex for vertex in vertices if vertex is not None], names)


def _check_names(numbers: Numbers, place: str, names: Sequence[str], wanted: int) -> None:
    problems = numbers.problems
    if len(names) != wanted:
        problems.add(
            "PART-006",
            place,
            f"{len(names)} edges are named, the polygon has {wanted}",
            "one name for the edge after each corner",
        )
        raise Missing
    double = sorted({name for name in names if names.count(name) > 1})
    if double:
        problems.add("PART-008", place, f"two edges are named `{double[0]}`", "each name once")
        raise Missing


def _path(numbers: Numbers, place: str, table: OutlineTable) -> Outline:
    assert table.path is not None
    start = numbers.point(f"{place}.start", table.start)
    at: Point | None = start
    steps: list[Step] = []
    broken = False
    for i, row in enumerate(table.path):
        step = _step(numbers, f"{place}.path[{i + 1}]", row, at)
        broken = broken or step is None
        at = None if step is None else step.to
        if step is not None:
            steps.append(step)
    names = [step.name for step in steps if step.name]
    if len(set(names)) < len(names):
        numbers.problems.add(
            "PART-008", f"{place}.path", "two steps have one name", "each name once"
        )
        broken = True
    if start is None or broken:
        raise Missing
    return path(start, steps)


def _step(numbers: Numbers, place: str, row: StepTable, at: Point | None) -> Step | None:
    if (row.to is None) == (row.by is None):
        numbers.problems.add(
            "PART-006", place, "a step has both `to` and `by`, or neither", "one of the two"
        )
        return None
    to = numbers.point(f"{place}.to", row.to)
    by = numbers.point(f"{place}.by", row.by)
    radius = numbers.length(f"{place}.radius", row.radius, over=0.0)
    center = numbers.point(f"{place}.center", row.center)
    arc = row.radius is not None or row.center is not None
    if row.radius is not None and row.center is not None:
        numbers.problems.add(
            "PART-006", place, "an arc has a radius and a center", "one of the two"
        )
        return None
    if arc and row.turn is None:
        numbers.problems.add(
            "PART-003", place, "`turn` is missing", '"left" or "right", as you travel the arc'
        )
        return None
    if not arc and (row.turn is not None or row.long):
        numbers.problems.add(
            "PART-006", place, "a straight step has a turn", "`radius` or `center` beside it"
        )
        return None
    if by is not None and at is not None:
        to = vec.add(at, by)
    missing = (row.radius is not None and radius is None) or (
        row.center is not None and center is None
    )
    if to is None or missing:
        return None
    return Step(
        to=to,
        radius=radius,
        center=center,
        left=row.turn != "right",
        long=row.long,
        name=row.name,
    )


def with_notches(
    numbers: Numbers, place: str, outline: Outline, tables: Sequence[NotchTable]
) -> Outline:
    """Return an outline with its notches. Raises Missing."""
    if not tables:
        return outline
    notches: list[Notch] = []
    for i, table in enumerate(tables):
        at = f"{place}[{i + 1}]"
        values = (
            numbers.length(f"{at}.at", table.at),
            numbers.length(f"{at}.width", table.width, over=0.0),
            numbers.length(f"{at}.depth", table.depth, over=0.0),
            numbers.length(f"{at}.radius", table.radius, over=0.0),
        )
        if None in values[:3] or (table.radius is not None and values[3] is None):
            continue
        notches.append(
            Notch(
                edge=table.edge,
                at=need(values[0]),
                width=need(values[1]),
                depth=need(values[2]),
                shape=table.shape,
                radius=values[3] or 0.0,
            )
        )
    if len(notches) < len(tables):
        raise Missing
    try:
        return notched(outline, notches)
    except BadText as error:
        numbers.problems.add_text(place, error)
        raise Missing from None


def relief_of(numbers: Numbers, place: str, table: ReliefTable | None) -> Relief | None:
    """Return a relief, or nothing when none is stated or it is wrong."""
    if table is None:
        return None
    if table.rule is not None:
        return Relief(rule=ReliefRule.HANDBOOK if table.rule == "handbook" else ReliefRule.NONE)
    if (table.round is None) == (table.square is None):
        numbers.problems.add(
            "PART-006",
            place,
            "a relief has both `round` and `square`, or neither",
            "one of the two",
        )
        return None
    if table.round is not None:
        if table.depth is not None:
            numbers.problems.add(
                "PART-006", f"{place}.depth", "`depth` says nothing beside `round`", "round"
            )
        size = numbers.length(f"{place}.round", table.round, over=0.0)
        return None if size is None else Relief(rule=ReliefRule.ROUND, size=size)
    size = numbers.length(f"{place}.square", table.square, over=0.0)
    depth = numbers.length(f"{place}.depth", table.depth, least=0.0)
    if size is None or (table.depth is not None and depth is None):
        return None
    return Relief(rule=ReliefRule.SQUARE, size=size, depth=depth or 0.0)
