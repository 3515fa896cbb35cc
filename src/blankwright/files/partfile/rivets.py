"""Rivet rows of a part file: what is asked for, and the part with their holes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from blankwright.base.errors import BlankwrightError
from blankwright.base.quantities import BadText
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.problems import Problems
from blankwright.files.partfile.schema import Raw, RivetTable
from blankwright.files.partfile.shapes import Missing, need
from blankwright.holes.asked_row import AskedRow
from blankwright.holes.fasteners import finished_hole, nominal_diameter
from blankwright.holes.rivet_rows import lay_row
from blankwright.holes.spacing import Spacing
from blankwright.part.model import DrawnFlat, Part
from blankwright.part.rivets import Fastener, HeadStyle, RivetRow, StackSheet
from blankwright.part.sizes import nearest

MOST_LINES = 8
"""More lines than this in one row are a slip of the pen [-]."""


def asked_rows(
    numbers: Numbers,
    tables: Mapping[str, RivetTable],
    flats: Mapping[str, DrawnFlat],
    broken: set[str],
    holes: set[str],
) -> tuple[AskedRow, ...]:
    """Return the rows that are asked for; what is wrong with others is collected.

    Args:
        numbers: works quantities out
        tables: of the rows
        flats: flats that could be built
        broken: names of flats that could not
        holes: names of tables of holes, which rows must not share
    """
    rows: list[AskedRow] = []
    for name, table in tables.items():
        place = f"rivets.{name}"
        if name in holes:
            numbers.problems.add(
                "ROW-005",
                place,
                f"holes of the part are called `{name}` too",
                "a name of its own for each row and each pattern of holes",
            )
            continue
        if table.on not in flats:
            if table.on not in broken and flats:
                numbers.problems.add(
                    "PART-009",
                    f"{place}.on",
                    f"no flat is named `{table.on}`",
                    f"flats: {', '.join(sorted(flats))}",
                    nearest(table.on, flats),
                )
            continue
        try:
            rows.append(_row(numbers, name, place, table))
        except Missing:
            continue
    return tuple(rows)


def with_rows(part: Part, rows: Sequence[AskedRow], problems: Problems) -> Part | None:
    """Return the part with the holes of its rivet rows; nothing when a row can't be laid."""
    from blankwright.develop.develop import develop_blank

    try:
        # Rows are laid in the frames of flats as drawn, which hang on no allowance.
        blank = develop_blank(part)
    except BlankwrightError:
        blank = None  # whoever develops the part next is told why
    for asked in rows:
        try:
            laid = lay_row(part, blank, asked)
        except BadText as error:
            problems.add_text(f"rivets.{asked.row.name}", error)
            continue
        part = replace(part, holes=(*part.holes, *laid.holes), rivets=(*part.rivets, laid.row))
    return None if problems.found else part


def _row(numbers: Numbers, name: str, place: str, table: RivetTable) -> AskedRow:
    fastener, size = _fastener(numbers, place, table)
    drills = {key: _drill(numbers, place, key, getattr(table, key)) for key in ("drill", "pilot")}
    try:
        diameter = nominal_diameter(fastener, size)
        hole = finished_hole(fastener, size, drills["drill"])
    except BlankwrightError as error:
        key = "screw" if fastener is Fastener.SCREW else "rivet"
        for problem in error.problems:
            numbers.problems.add(problem.code, f"{place}.{key}", problem.got, problem.allowed)
        raise Missing from None
    if drills["pilot"]:
        from blankwright.handbook.drills import find_drill

        over = find_drill(drills["pilot"]).diameter - hole.drill.diameter
        if abs(over) <= 1e-6:
            drills["pilot"] = ""  # drilled to size at once: there is no pilot
        elif over > 0:
            numbers.problems.add(
                "PART-015",
                f"{place}.pilot",
                f"the pilot is larger than the finished hole, {hole.drill.name}",
                "a smaller drill",
            )
            raise Missing
    if table.nut_rivets and fastener is not Fastener.SCREW:
        numbers.problems.add(
            "PART-006",
            f"{place}.nut_rivets",
            "only screws go into plate nuts",
            "nut_rivets beside `screw`",
        )
        raise Missing
    edges, between = _line(numbers, place, table)
    return AskedRow(
        row=RivetRow(
            name=name,
            flat=table.on,
            fastener=fastener,
            size=size,
            metal=table.metal.strip(),
            part_number=table.part_number.strip(),
            head=HeadStyle(table.head),
            head_here=table.head_here,
            stack=_stack(numbers, place, table),
            drill=drills["drill"],
            pilot=drills["pilot"],
            splice=table.splice,
            note=table.note,
        ),
        edges=edges,
        between=between,
        edge_distance=_edge_distance(numbers, place, table, diameter),
        spacing=_spacing(numbers, place, table),
        corner_holes=table.corner_holes,
        line_count=_lines(numbers, place, table),
        line_distance=_length(numbers, f"{place}.line_distance", table.line_distance),
        staggered=table.staggered,
        dodge=table.dodge,
        nut_rivets=table.nut_rivets,
    )


def _fastener(numbers: Numbers, place: str, table: RivetTable) -> tuple[Fastener, str]:
    if (table.rivet is None) == (table.screw is None):
        numbers.problems.add(
            "PART-006" if table.rivet else "PART-003",
            place,
            "the row has a rivet and a screw" if table.rivet else "the row has no fastener",
            'rivet = "1/8 in" or screw = "8-32"',
        )
        raise Missing
    if table.screw is not None:
        if table.kind is not None:
            numbers.problems.add(
                "PART-006", f"{place}.kind", "a screw has no kind", "no `kind` beside `screw`"
            )
        return Fastener.SCREW, table.screw
    if table.kind is None:
        numbers.problems.add(
            "PART-003", place, "`kind` is missing", 'kind = "solid" or kind = "blind"'
        )
        raise Missing
    fastener = Fastener(table.kind)
    size = table.rivet.removesuffix("in").strip()
    return fastener, size


def _drill(numbers: Numbers, place: str, key: str, text: str | None) -> str:
    if text is None:
        return ""
    found = numbers.drill(f"{place}.{key}", text)
    if found is None:
        raise Missing
    return found[1]


def _line(
    numbers: Numbers, place: str, table: RivetTable
) -> tuple[tuple[str, ...], tuple[tuple[float, float], tuple[float, float]] | None]:
    if (table.along is None) == (table.between is None):
        numbers.problems.add(
            "PART-006" if table.along else "PART-003",
            place,
            "the row has `along` and `between`" if table.along else "the row has no line",
            'along = "tip", along = ["front", "right"] or between = [["…", "…"], ["…", "…"]]',
        )
        raise Missing
    if table.along is not None:
        if not table.along:
            numbers.problems.add("PART-003", f"{place}.along", "no edge is named", "one or more")
            raise Missing
        return tuple(table.along), None
    assert table.between is not None
    if len(table.between) != 2:
        numbers.problems.add(
            "PART-004", f"{place}.between", f"{len(table.between)} points stand here", "two points"
        )
        raise Missing
    points = [
        numbers.point(f"{place}.between[{i + 1}]", raw) for i, raw in enumerate(table.between)
    ]
    first, last = points
    if first is None or last is None:
        raise Missing
    return (), (first, last)


def _edge_distance(numbers: Numbers, place: str, table: RivetTable, diameter: float) -> float:
    if table.between is not None:
        if table.edge_distance is not None:
            numbers.problems.add(
                "PART-006",
                f"{place}.edge_distance",
                "a row from point to point follows no edge",
                "edge_distance beside `along`",
            )
            raise Missing
        return 0.0
    if table.edge_distance is not None:
        return need(numbers.length(f"{place}.edge_distance", table.edge_distance, over=0.0))
    from blankwright.handbook.edge import recommended_edge_distance

    return recommended_edge_distance(diameter).value


def _spacing(numbers: Numbers, place: str, table: RivetTable) -> Spacing:
    ways = [key for key in ("count", "pitch", "pitch_at_most") if getattr(table, key) is not None]
    if len(ways) != 1:
        numbers.problems.add(
            "PART-006" if ways else "PART-003",
            place,
            f"the row has {' and '.join(ways)}" if ways else "the row has no spacing",
            "one of count, pitch, pitch_at_most",
        )
        raise Missing
    parted = table.corner_holes or table.frames is not None
    if parted and ways != ["pitch_at_most"]:
        numbers.problems.add(
            "PART-006",
            f"{place}.{ways[0]}",
            f"`{ways[0]}` can't hold in a row that frames or corners part",
            "pitch_at_most",
        )
        raise Missing
    if table.ends is not None and (table.left_end is not None or table.right_end is not None):
        numbers.problems.add(
            "PART-006", f"{place}.ends", "both ends are stated twice", "ends, or the two by side"
        )
        raise Missing
    ends = _length(numbers, f"{place}.ends", table.ends)
    left = _length(numbers, f"{place}.left_end", table.left_end, ends)
    right = _length(numbers, f"{place}.right_end", table.right_end, ends)
    frames, clear, stations = _frames(numbers, place, table)
    count = 0 if table.count is None else numbers.count(f"{place}.count", table.count)
    if count is None:
        raise Missing
    return Spacing(
        left=left,
        right=right,
        count=count,
        pitch=_length(numbers, f"{place}.pitch", table.pitch, over=True),
        pitch_at_most=_length(numbers, f"{place}.pitch_at_most", table.pitch_at_most, over=True),
        stations=stations,
        frames=frames,
        frame_clear=clear,
    )


def _frames(
    numbers: Numbers, place: str, table: RivetTable
) -> tuple[tuple[float, ...], float, tuple[float, ...]]:
    if table.frames is None:
        return (), 0.0, ()
    at = tuple(
        need(numbers.length(f"{place}.frames.at[{i + 1}]", raw, least=0.0))
        for i, raw in enumerate(table.frames.at)
    )
    if table.frames.clear is None:
        return (), 0.0, at
    clear = need(numbers.length(f"{place}.frames.clear", table.frames.clear, over=0.0))
    return at, clear, ()


def _lines(numbers: Numbers, place: str, table: RivetTable) -> int:
    if table.lines is None:
        return 1
    count = numbers.count(f"{place}.lines", table.lines)
    if count is None:
        raise Missing
    if count > MOST_LINES:
        numbers.problems.add(
            "PART-015", f"{place}.lines", f"{count} lines in one row", f"at most {MOST_LINES}"
        )
        raise Missing
    return count


def _stack(numbers: Numbers, place: str, table: RivetTable) -> tuple[StackSheet, ...]:
    sheets = []
    for i, one in enumerate(table.stack):
        thickness = need(
            numbers.length(f"{place}.stack[{i + 1}].thickness", one.thickness, over=0.0)
        )
        sheets.append(StackSheet(thickness=thickness, alloy=one.alloy, note=one.note))
    return tuple(sheets)


def _length(
    numbers: Numbers, place: str, raw: Raw | None, default: float = 0.0, *, over: bool = False
) -> float:
    if raw is None:
        return default
    if over:
        return need(numbers.length(place, raw, over=0.0))
    return need(numbers.length(place, raw, least=0.0))
