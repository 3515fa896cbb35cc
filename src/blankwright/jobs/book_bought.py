"""What must be bought for parts and places: sheet, rivets, screws, plate nuts, soft strips.

Rivet numbers take alloy 2117 (AD), the metal that the project's strength tables are for; where
the drawing says otherwise, the number is changed in the book.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from blankwright.base.errors import BlankwrightError
from blankwright.base.units import show_mm
from blankwright.book import records as r
from blankwright.book.change import Change
from blankwright.holes.fasteners import FastenerFacts, facts_of
from blankwright.jobs.book_hardware import put_need
from blankwright.jobs.project import Project
from blankwright.part.model import Part
from blankwright.part.rivets import Fastener, HeadStyle, RivetRow

_WASTE = 25.0
"""Sheet ordered beyond the blanks' own rectangles [%]. Common practice, no source."""

_METAL = "metal 2117 taken for granted: the part file states none, the drawing decides"


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
        tasks: kinds of task that take it, the best first
        note: what was taken for granted, for a new item
    """

    key: str
    number: str
    quantity: float
    title: str = ""
    unit: str = "each"
    grip: float | None = None
    spare_percent: float = 10.0
    tasks: tuple[r.TaskKind, ...] = (r.TaskKind.RIVET, r.TaskKind.GLUE)
    note: str = ""


def bought_for_part(part: Part) -> tuple[Bought, ...]:
    """Return what a part takes: its sheet, and the fasteners of its rows."""
    return (*_sheet(part), *(b for row in part.rivets for b in _row(part, row)))


def bought_for_place(project: Project, place: str) -> tuple[str, tuple[Bought, ...]]:
    """Return the name of the part that goes into a place, and the soft strips there.

    Raises:
        BlankwrightError: when place or part can't be read
    """
    from blankwright.jobs.fit_open import open_fit

    fit = open_fit(project, place)
    soft = set(fit.soft)
    strips = tuple(
        Bought(
            key=f"place:{place}:{wall.name}",
            number=f"{wall.material} strip",
            quantity=round(_longest(wall.triangles[0].tolist()) / 1000.0, 3),
            title=f"{wall.material} strip, as in place {place}",
            unit="m",
            tasks=(r.TaskKind.GLUE, r.TaskKind.TRIAL_FIT),
        )
        for wall in fit.place.solids
        if wall.name in soft
    )
    return fit.part.name, strips


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
        fitting = [t.id for kind in one.tasks for t in tasks if t.kind is kind]
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


def _sheet(part: Part) -> Iterator[Bought]:
    from blankwright.develop.develop import develop_blank

    try:
        left, low, right, high = develop_blank(part).outline.box
    except BlankwrightError:
        return  # the checks say why there is no blank
    stated = part.stated.get("sheet.thickness")
    thickness = stated.text if stated is not None else show_mm(part.sheet.thickness)
    yield Bought(
        key=f"part:{part.name}:sheet",
        number=f"{part.sheet.alloy} sheet {thickness}",
        quantity=round((right - left) * (high - low) / 1e6, 4),
        title="sheet, by the rectangles round the blanks",
        unit="m²",
        spare_percent=_WASTE,
        # Sheet is often on the rack before anyone counts it: it is listed, it holds nothing up.
        tasks=(),
    )


def _row(part: Part, row: RivetRow) -> Iterator[Bought]:
    facts = facts_of(row, part.sheet.thickness)
    key = f"part:{part.name}:row:{row.name}"
    if row.fastener is Fastener.SCREW:
        head = row.head.value
        yield Bought(key=key, number=f"screw {row.size}, {head}", quantity=row.count)
        yield Bought(key=f"{key}:nut", number=f"plate nut {row.size}, two lugs", quantity=row.count)
        if facts.nut is not None:
            number = f"rivet {facts.nut.rivet} in, for plate nuts"
            yield Bought(key=f"{key}:nut rivet", number=number, quantity=2 * row.count)
        return
    number = _rivet(row, facts)
    note = _METAL if number.startswith("MS") else ""
    yield Bought(key=key, number=number, quantity=row.count, grip=facts.grip, note=note)


def _rivet(row: RivetRow, facts: FastenerFacts) -> str:
    if row.fastener is Fastener.SOLID and facts.length is not None:
        head = "MS20470" if row.head is HeadStyle.PROTRUDING else "MS20426"
        return f"{head}AD{facts.length.diameter_dash}-{facts.length.dash}"
    code = f", grip {facts.grip_code}" if facts.grip_code else f", grip {show_mm(facts.grip)}"
    return f"{row.fastener.value} rivet {row.size} in, {row.head.value}{code}"


def _longest(corners: list[list[float]]) -> float:
    """Greatest distance between two corners [mm]: the length of a strip, however it lies."""
    import math

    distinct = {tuple(round(x, 6) for x in corner) for corner in corners}
    return max((math.dist(a, b) for a in distinct for b in distinct), default=0.0)
