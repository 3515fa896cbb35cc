"""What must be bought for parts and places: sheet, rivets, screws, plate nuts, soft strips.

A row's part number is taken as stated, or made of its metal, head and length. Where neither is
stated the number is that of alloy 2117 (AD), with a note that this was taken for granted.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from blankwright.base.errors import BlankwrightError
from blankwright.base.units import show_inches, show_mm
from blankwright.book import records as r
from blankwright.book.change import Change
from blankwright.cutting.stock import StockSheet
from blankwright.handbook.fastener_strength import USUAL_METAL
from blankwright.holes.fasteners import FastenerFacts, facts_of, metal_of, rivet_number
from blankwright.jobs.book_hardware import put_need
from blankwright.jobs.project import Project
from blankwright.part.model import Part
from blankwright.part.rivets import Fastener, RivetRow

_WASTE = 25.0
"""Sheet ordered beyond the blanks' own rectangles [%]. Common practice, no source."""

METAL = "metal 2117 taken for granted: the file states none, the drawing decides"

RACK = "the rack"
"""Reference of counts that were taken over from the project's rack file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bought:
    """Something bought for a part.

    Args:
        key: stable name of where the need comes from
        number: part number of its standard, or what the shop calls it
        quantity: in its unit
        title: in words; empty where the number says it
        unit: ``each``, ``m``, ``m²``
        grip: what it clamps [mm], or nothing
        spare_percent: ordered beyond the need, for a new item [%]
        tasks: last words of the keys of tasks that take it, the best first
        note: what was taken for granted, for a new item
    """

    key: str
    number: str
    quantity: float
    title: str = ""
    unit: str = "each"
    grip: float | None = None
    spare_percent: float = 10.0
    tasks: tuple[str, ...] = ("rivet", "glue", "inspect")
    note: str = ""


def bought_for_part(part: Part, rack: Sequence[StockSheet] = ()) -> tuple[Bought, ...]:
    """Return what a part takes: its sheet, and the fasteners of its rows.

    Args:
        part: the part as stated
        rack: sheets that there are, to see whether one is large enough
    """
    return (*_sheet(part, rack), *(b for row in part.rivets for b in _row(part, row)))


def rack_of(project: Project) -> tuple[StockSheet, ...]:
    """Return the sheets on the project's rack; none where it keeps no rack file.

    Raises:
        BadInput: when the rack file is wrong
    """
    from blankwright.files.rackfile import NAME, read_rack

    path = project.root / NAME
    return read_rack(path) if path.is_file() else ()


def renew_rack(change: Change, parts: Iterable[Part], rack: Sequence[StockSheet]) -> None:
    """Count in the book what lies on the rack, of every sheet that parts are made from.

    A count is written down only when the rack has changed since the last one, so that what was
    cut or counted by hand meanwhile stands.
    """
    kinds = {sheet_number(p.sheet.alloy, p.sheet.thickness, _stated(p)): p.sheet for p in parts}
    for number, wanted in kinds.items():
        item = change.by(r.Hardware, number=number)
        if not item:
            continue
        alike = [s for s in rack if s.fits(wanted.alloy, wanted.thickness)]
        there = round(sum(s.area * s.count for s in alike) / 1e6, 4)
        moves = change.by(r.HardwareMove, hardware_id=item[0].id)
        last = [m.quantity for m in moves if m.reference == RACK]
        if there != (last[-1] if last else 0.0):
            change.add(
                r.HardwareMove,
                hardware_id=item[0].id,
                kind=r.MoveKind.COUNTED,
                quantity=there,
                at=change.at,
                reference=RACK,
            )


def renew_bought(change: Change, part: str, wanted: tuple[Bought, ...], prefix: str) -> None:
    """Bring the hardware that a part takes, as far as the tool knows of it, up to date.

    Args:
        change: the change that it becomes part of
        part: name of the part
        wanted: all that it takes now
        prefix: beginning of the keys of all that it could take
    """
    row = change.by(r.Part, name=part)
    if not row:
        return
    tasks = [t for t in change.by(r.Task, part_id=row[0].id) if t.state is not r.TaskState.DROPPED]
    for one in wanted:
        fitting = [t.id for word in one.tasks for t in tasks if t.key == f"part:{part}:{word}"]
        put_need(
            change,
            one.number,
            one.quantity,
            part_id=row[0].id,
            task=fitting[0] if fitting else None,
            key=one.key,
            grip=one.grip,
            new={
                "unit": one.unit,
                "spare_percent": one.spare_percent,
                "note": one.note,
                **({"title": one.title} if one.title else {}),
            },
        )
    keys = {one.key for one in wanted}
    for need in change.by(r.HardwareNeed, part_id=row[0].id):
        if need.key.startswith(prefix) and need.key not in keys:
            for wait in change.by(r.Need, key=f"hardware need {need.id}"):
                change.remove(r.Need, wait.id)
            change.remove(r.HardwareNeed, need.id)


def _sheet(part: Part, rack: Sequence[StockSheet]) -> Iterator[Bought]:
    from blankwright.develop.develop import develop_blank

    try:
        blank = develop_blank(part)
    except BlankwrightError:
        return  # the checks say why there is no blank
    left, low, right, high = blank.outline.box
    sides = (right - left, high - low)
    alike = [s for s in rack if s.fits(part.sheet.alloy, part.sheet.thickness)]
    number = sheet_number(part.sheet.alloy, part.sheet.thickness, _stated(part))
    title = "sheet, by the rectangles round the blanks"
    if alike and not any(_goes_on(sides, sheet.size) for sheet in alike):
        # The rack's sheets are too small for it: one must come that is large enough.
        least = " × ".join(f"{math.ceil(side)}" for side in sorted(sides, reverse=True))
        number = f"{number}, at least {least} mm"
        title = "sheet: those on the rack are too small for this blank"
    yield Bought(
        key=f"part:{part.name}:sheet",
        number=number,
        quantity=round(sides[0] * sides[1] / 1e6, 4),
        title=title,
        unit="m²",
        spare_percent=_WASTE,
        tasks=(r.TaskKind.CUT.value,),
    )


def sheet_number(alloy: str, thickness: float, typed: str = "") -> str:
    """Return what a sheet is called in the book: the same sheet always the same.

    Args:
        alloy: alloy and temper
        thickness: [mm]
        typed: as typed; in inches it stays in inches
    """
    inch = typed.rstrip().endswith(("in", '"', "″"))
    return f"{alloy} sheet {show_inches(thickness) if inch else show_mm(thickness)}"


def _stated(part: Part) -> str:
    stated = part.stated.get("sheet.thickness")
    return stated.text if stated is not None else ""


def _goes_on(blank: tuple[float, float], sheet: tuple[float, float]) -> bool:
    return all(b <= s for b, s in zip(sorted(blank), sorted(sheet), strict=True))


def _row(part: Part, row: RivetRow) -> Iterator[Bought]:
    facts = facts_of(row, part.sheet.thickness)
    key = f"part:{part.name}:row:{row.name}"
    if row.fastener is Fastener.SCREW:
        screw = row.part_number or f"screw {row.size}, {row.head.value}"
        yield Bought(key=key, number=screw, quantity=row.count)
        yield Bought(key=f"{key}:nut", number=f"plate nut {row.size}, two lugs", quantity=row.count)
        if facts.nut is not None:
            number = f"rivet {facts.nut.rivet} in, for plate nuts"
            yield Bought(key=f"{key}:nut rivet", number=number, quantity=2 * row.count)
        return
    number = _rivet(row, facts)
    note = METAL if number.startswith("MS") and not metal_of(row) else ""
    yield Bought(key=key, number=number, quantity=row.count, grip=facts.grip, note=note)


def _rivet(row: RivetRow, facts: FastenerFacts) -> str:
    if facts.number:
        return facts.number
    if row.fastener is Fastener.SOLID and facts.length is not None and not metal_of(row):
        return rivet_number(row, facts.length, USUAL_METAL)
    code = f", grip {facts.grip_code}" if facts.grip_code else f", grip {show_mm(facts.grip)}"
    metal = f" {row.metal}" if row.metal else ""
    return f"{row.fastener.value} rivet{metal} {row.size} in, {row.head.value}{code}"
