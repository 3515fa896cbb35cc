"""Fields of vent holes of a part file: a pattern over a flat or a region of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from blankwright.base.quantities import BadText
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.schema import FieldTable, HoleTable
from blankwright.files.partfile.shapes import Missing, need, outline_of
from blankwright.geom.boolean import cut_out
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.region import Region
from blankwright.holes.fields import AskedField, lay_field
from blankwright.part.model import DrawnFlat, DrawnHole, HoleKind
from blankwright.part.rivets import HoleField


def fields_of(
    numbers: Numbers,
    tables: Mapping[str, HoleTable],
    flats: Mapping[str, DrawnFlat],
    holes: Sequence[DrawnHole],
) -> tuple[tuple[DrawnHole, ...], tuple[HoleField, ...]]:
    """Return the holes of all fields, and what the fields are.

    Args:
        numbers: works quantities out
        tables: of holes; those without a field are passed over
        flats: flats that could be built
        holes: other holes, which fields make room for
    """
    taken = list(holes)
    made: list[DrawnHole] = []
    fields: list[HoleField] = []
    for name, table in tables.items():
        if table.field is None or table.on not in flats:
            continue
        place = f"holes.{name}"
        try:
            new, field = _field(numbers, name, place, table, flats[table.on], taken)
        except BadText as error:
            numbers.problems.add_text(f"{place}.field", error)
        except Missing:
            continue
        else:
            taken += new
            made += new
            fields.append(field)
    return tuple(made), tuple(fields)


def _field(
    numbers: Numbers,
    name: str,
    place: str,
    table: HoleTable,
    flat: DrawnFlat,
    taken: Sequence[DrawnHole],
) -> tuple[list[DrawnHole], HoleField]:
    assert table.field is not None
    diameter, drill = _size(numbers, place, table)
    asked = _asked(numbers, f"{place}.field", table.field, diameter)
    outline = _region(numbers, f"{place}.field", table.field, flat)
    regions = cut_out((Region(outline),), [h.loop for h in taken if h.flat == flat.name])
    field = lay_field(regions, outline.area, asked)
    holes = [
        DrawnHole(
            name=f"{name}[{i + 1}]",
            flat=table.on,
            kind=HoleKind.VENT,
            loop=Loop.circle(center, diameter / 2),
            center=center,
            drill=drill,
            note=table.note,
        )
        for i, center in enumerate(field.centers)
    ]
    return holes, HoleField(
        name=name,
        flat=table.on,
        holes=tuple(hole.name for hole in holes),
        diameter=diameter,
        pitch=field.pitch,
        staggered=asked.staggered,
        margin=asked.margin,
        area=field.area,
        open_area=field.open_area,
        open_area_by_cut=field.open_area_by_cut,
        asked_count=asked.count,
        asked_open_area=asked.open_area,
    )


def _size(numbers: Numbers, place: str, table: HoleTable) -> tuple[float, str]:
    others = [
        key
        for key in ("at", "lightening", "slot", "cut_out", "turn", "row", "grid", "ring")
        if getattr(table, key) is not None
    ]
    if others:
        numbers.problems.add(
            "PART-006",
            f"{place}.{others[0]}",
            f"a field of holes has `{others[0]}`",
            "drill or diameter beside `field`",
        )
        raise Missing
    if (table.drill is None) == (table.diameter is None):
        numbers.problems.add(
            "PART-003" if table.drill is None else "PART-006",
            place,
            "the field's holes have no single size",
            "drill or diameter",
        )
        raise Missing
    if table.drill is not None:
        found = numbers.drill(f"{place}.drill", table.drill)
        if found is None:
            raise Missing
        return found
    return need(numbers.length(f"{place}.diameter", table.diameter, over=0.0)), ""


def _asked(numbers: Numbers, place: str, table: FieldTable, diameter: float) -> AskedField:
    ways = [key for key in ("pitch", "count", "open_area") if getattr(table, key) is not None]
    if len(ways) != 1:
        numbers.problems.add(
            "PART-006" if ways else "PART-003",
            place,
            f"the field has {' and '.join(ways)}" if ways else "the field has no spacing",
            "one of pitch, count, open_area",
        )
        raise Missing
    margin = numbers.length(f"{place}.margin", table.margin, least=0.0)
    if table.margin is None:
        numbers.problems.add(
            "PART-003",
            place,
            "`margin` is missing",
            'metal left to the edge of the region, such as margin = "1/4 in"',
        )
    turn = numbers.angle(f"{place}.turn", table.turn)
    count = numbers.count(f"{place}.count", table.count)
    if (table.turn is not None and turn is None) or (table.count is not None and count is None):
        raise Missing
    return AskedField(
        diameter=diameter,
        margin=need(margin),
        staggered=table.staggered,
        turn=turn or 0.0,
        pitch=0.0
        if table.pitch is None
        else need(numbers.length(f"{place}.pitch", table.pitch, over=0.0)),
        count=count or 0,
        open_area=0.0
        if table.open_area is None
        else need(numbers.number(f"{place}.open_area", table.open_area, 0.001, 0.9)),
    )


def _region(numbers: Numbers, place: str, table: FieldTable, flat: DrawnFlat) -> Loop:
    if table.region is None:
        if table.region_at is not None:
            numbers.problems.add(
                "PART-006", f"{place}.region_at", "no region is stated", "region beside it"
            )
            raise Missing
        return flat.outline.ccw()
    loop = outline_of(numbers, f"{place}.region", table.region).loop.ccw()
    if table.region.rectangle is not None:
        # A rectangle is placed by its middle, as cut-outs are.
        _, _, x1, y1 = loop.box
        loop = loop.moved(Move.shift(-x1 / 2, -y1 / 2))
    if table.region_at is None:
        if table.region.rectangle is not None or table.region.diameter is not None:
            numbers.problems.add(
                "PART-003", place, "`region_at` is missing", "the middle of the region"
            )
            raise Missing
        return loop
    at = numbers.point(f"{place}.region_at", table.region_at)
    if at is None:
        raise Missing
    return loop.moved(Move.shift(*at))
