"""Pieces of a template file: where it goes, the opening, holes carried over from a part."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from blankwright.base.errors import BlankwrightError
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.shapes import Missing, need, outline_of
from blankwright.files.templatefile_measured import tied
from blankwright.files.templatefile_schema import (
    CarryTable,
    OpeningTable,
    PlaceTable,
    WishTable,
)
from blankwright.geom.edges import Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import FLIP_X, Move
from blankwright.holes.placing import Measured, Way, Wish
from blankwright.holes.template import OpeningCut, Reference
from blankwright.part.model import DrawnHole, HoleKind, Part
from blankwright.part.outlines import Outline
from blankwright.part.sizes import nearest

_STRAIGHT = 1e-6
"""A side runs straight up or across when its ends differ by less than this [mm]."""

_LOW_SIDES = {Way.UP: "left", Way.ACROSS: "front"}
_HIGH_SIDES = {Way.UP: "right", Way.ACROSS: "back"}


def wishes_of(
    numbers: Numbers,
    table: PlaceTable,
    references: Mapping[str, Reference],
    measured: Mapping[Way, tuple[Measured, ...]],
    outline: Outline,
) -> dict[Way, tuple[Wish, ...]]:
    """Return where the template is asked to go, by the way the references run.

    `across` speaks of references that run up, which are met going across; `up` of the others.
    """
    found: dict[Way, tuple[Wish, ...]] = {}
    for key, way, tables in (("across", Way.UP, table.across), ("up", Way.ACROSS, table.up)):
        wishes: list[Wish] = []
        for i, one in enumerate(tables):
            place = f"place.{key}" if len(tables) == 1 else f"place.{key}[{i + 1}]"
            try:
                wishes += _wishes(numbers, place, one, way, references, measured, outline)
            except Missing:
                continue
        found[way] = tuple(wishes)
    return found


def _wishes(
    numbers: Numbers,
    place: str,
    table: WishTable,
    way: Way,
    references: Mapping[str, Reference],
    measured: Mapping[Way, tuple[Measured, ...]],
    outline: Outline,
) -> list[Wish]:
    problems = numbers.problems
    low, high = _LOW_SIDES[way], _HIGH_SIDES[way]
    if (table.between is None) == (not table.from_):
        problems.add(
            "PART-003" if table.between is None else "PART-006",
            place,
            "it is not said where the template goes",
            'between = ["left-row", "right-row"], or from, side and distance',
        )
        raise Missing
    if table.between is not None:
        if len(table.between) != 2 or table.side or table.distance is not None:
            problems.add(
                "PART-006", place, "`between` names two references and nothing else", "two names"
            )
            raise Missing
        first, second = (_reference(numbers, place, n, way, references) for n in table.between)
        names = [n for n, r in references.items() if r.way is way]
        if not tied(names, measured[way], first.name, second.name):
            problems.add(
                "TEMPLATE-004",
                place,
                f"nothing measured leads from `{first.name}` to `{second.name}`",
                "a distance between them, straight or through others",
                "Measure it: [measured.NAME] with from, to and distance",
            )
            raise Missing
        x, y = (_side(numbers, place, side, way, outline) for side in (low, high))
        return [
            Wish(reference=first.name, edge=x, distance=0.0, label=first.name, centered=True),
            Wish(reference=second.name, edge=y, distance=0.0, label=second.name, centered=True),
        ]
    reference = _reference(numbers, place, table.from_, way, references)
    if table.side is None or table.distance is None:
        problems.add(
            "PART-003",
            place,
            "side or distance is missing",
            f'side = "{low}", "{high}" or "middle", and distance',
        )
        raise Missing
    distance = need(numbers.length(f"{place}.distance", table.distance))
    if table.side == "middle":
        x0, y0, x1, y1 = outline.loop.box
        edge = (x0 + x1) / 2 if way is Way.UP else (y0 + y1) / 2
    elif table.side not in (low, high):
        problems.add(
            "TEMPLATE-003",
            f"{place}.side",
            f"the {table.side} side does not run along `{reference.name}`",
            f"{low}, {high} or middle",
        )
        raise Missing
    else:
        edge = _side(numbers, place, table.side, way, outline)
    sign = -1.0 if table.side == high else 1.0
    return [
        Wish(
            reference=reference.name,
            edge=edge,
            distance=sign * distance,
            label=f"{table.side} side to {reference.name}",
        )
    ]


def _reference(
    numbers: Numbers, place: str, name: str, way: Way, references: Mapping[str, Reference]
) -> Reference:
    if name not in references:
        numbers.problems.add(
            "TEMPLATE-001",
            place,
            f"no reference is named `{name}`",
            ", ".join(references) or "none are stated",
            nearest(name, references),
        )
        raise Missing
    found = references[name]
    if found.way is not way:
        numbers.problems.add(
            "TEMPLATE-002",
            place,
            f"`{name}` runs {found.way.value}",
            f"a reference that runs {way.value}",
        )
        raise Missing
    return found


def _side(numbers: Numbers, place: str, side: str, way: Way, outline: Outline) -> float:
    """Return where a side of the plate is, which must be a straight edge [mm]."""
    x0, y0, x1, y1 = outline.loop.box
    at = {"left": x0, "right": x1, "front": y0, "back": y1}[side]
    axis = 0 if way is Way.UP else 1
    for edge in outline.loop.edges:
        if isinstance(edge, Line) and all(
            abs(p[axis] - at) < _STRAIGHT for p in (edge.start, edge.end)
        ):
            return at
    numbers.problems.add(
        "TEMPLATE-003",
        place,
        f"the {side} side has no straight edge to measure to",
        "a straight edge along the reference, or the middle",
    )
    raise Missing


def opening_of(numbers: Numbers, table: OpeningTable, *, has_plate: bool) -> OpeningCut:
    """Return the opening in the template's frame. Raises Missing."""
    loop = outline_of(numbers, "opening.outline", table.outline).loop.ccw()
    at = numbers.point("opening.at", table.at)
    witness = numbers.point("opening.witness", table.witness)
    drill = numbers.drill("opening.witness_drill", table.witness_drill)
    if table.at is not None and not has_plate:
        numbers.problems.add(
            "PART-006",
            "opening.at",
            "without a plate the opening is the template itself",
            "no `at`; [place] says where it goes",
        )
        raise Missing
    if table.at is not None:
        if at is None:
            raise Missing
        loop = loop.moved(Move.shift(*at))
    if drill is None or (table.witness is not None and witness is None):
        raise Missing
    x0, y0, x1, y1 = loop.box
    middle = witness or ((x0 + x1) / 2, (y0 + y1) / 2)
    if not loop.contains(middle):
        numbers.problems.add(
            "TEMPLATE-006",
            "opening.witness",
            "the witness hole lies outside the opening",
            "a point in the part that is cut away",
        )
        raise Missing
    return OpeningCut(loop=loop, witness=middle, witness_drill=drill[1], in_plate=table.in_plate)


def carried_holes(
    numbers: Numbers,
    tables: Mapping[str, CarryTable],
    parts: Callable[[str, str], Part],
    flat: str,
) -> tuple[DrawnHole, ...]:
    """Return holes of parts on the template, drilled as the template asks."""
    found: list[DrawnHole] = []
    for name, table in tables.items():
        place = f"carry.{name}"
        try:
            found += _carried(numbers, place, name, table, parts, flat)
        except Missing:
            continue
    return tuple(found)


def _carried(
    numbers: Numbers,
    place: str,
    name: str,
    table: CarryTable,
    parts: Callable[[str, str], Part],
    flat: str,
) -> list[DrawnHole]:
    problems = numbers.problems
    at = numbers.point(f"{place}.at", table.at)
    turn = numbers.angle(f"{place}.turn", table.turn)
    drill = numbers.drill(f"{place}.drill", table.drill)
    try:
        part = parts(table.part, table.variant)
    except BlankwrightError as error:
        for problem in error.problems:
            problems.add("TEMPLATE-005", f"{place}.part", str(problem).rstrip("."))
        raise Missing from None
    names = {part.root.name, *(bend.leg.name for bend in part.bends)}
    if table.flat not in names:
        problems.add(
            "PART-009",
            f"{place}.flat",
            f"{part.name} has no flat `{table.flat}`",
            ", ".join(sorted(names)),
            nearest(table.flat, names),
        )
        raise Missing
    if at is None or drill is None or (table.turn is not None and turn is None):
        raise Missing
    move = (FLIP_X if table.face_down else Move()).then(Move.turn(turn or 0.0))
    move = move.then(Move.shift(*at))
    holes: list[DrawnHole] = []
    for wanted in table.holes:
        mine = [
            hole
            for hole in part.holes
            if hole.flat == table.flat and wanted in (hole.name, hole.name.partition("[")[0])
        ]
        if not mine:
            known = sorted({h.name.partition("[")[0] for h in part.holes if h.flat == table.flat})
            problems.add(
                "PART-009",
                f"{place}.holes",
                f"flat {table.flat} of {part.name} has no holes `{wanted}`",
                ", ".join(known) or "none",
                nearest(wanted, known),
            )
            continue
        for hole in mine:
            center = move(hole.center)
            holes.append(
                DrawnHole(
                    name=f"{name}.{hole.name}",
                    flat=flat,
                    kind=HoleKind.ROUND,
                    loop=Loop.circle(center, drill[0] / 2),
                    center=center,
                    drill=drill[1],
                    note=f"hole {hole.name} of {part.name}",
                )
            )
    return holes
