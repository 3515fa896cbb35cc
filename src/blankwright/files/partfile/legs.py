"""Legs of a part file: their outlines, from heights and tapers or as drawn."""

from __future__ import annotations

from blankwright.base.quantities import BadText
from blankwright.base.units import show_mm
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.schema import LegTable
from blankwright.files.partfile.shapes import Missing, need, outline_of, trim_of
from blankwright.part.outlines import TINY_LEG, Outline, as_leg, leg


def leg_outline(numbers: Numbers, place: str, table: LegTable, width: float) -> Outline:
    """Return the outline of a leg on a bend of some width [mm]. Raises Missing or BadText."""
    heights = [
        key for key in ("height", "left_height", "right_height") if getattr(table, key) is not None
    ]
    ways = [
        word
        for word, here in (
            ("outline", table.outline is not None),
            ("ends_in_bend", table.ends_in_bend),
            ("height", bool(heights)),
        )
        if here
    ]
    if len(ways) != 1 or (heights and heights not in (["height"], ["left_height", "right_height"])):
        got = f"the leg has {' and '.join(heights if ways == ['height'] else ways)}"
        numbers.problems.add(
            "PART-006" if ways else "PART-003",
            place,
            got if ways else "`height` is missing",
            "height; or left_height and right_height; or outline; or ends_in_bend = true",
        )
        raise Missing
    shaping = [
        key
        for key in (
            "taper",
            "left_taper",
            "right_taper",
            "radius",
            "chamfer",
            "left_corner",
            "right_corner",
        )
        if getattr(table, key) is not None
    ]
    if ways != ["height"] and (shaping or (table.drawn_to and ways == ["ends_in_bend"])):
        key = shaping[0] if shaping else "drawn_to"
        numbers.problems.add(
            "PART-006", f"{place}.{key}", f"`{key}` says nothing beside `{ways[0]}`", ways[0]
        )
        raise Missing
    if ways == ["ends_in_bend"]:
        return leg(width, TINY_LEG, TINY_LEG)
    if table.outline is not None:
        outline = as_leg(outline_of(numbers, f"{place}.outline", table.outline))
        base = outline.loop.edges[0].length
        if abs(base - width) > 0.001:
            raise BadText(
                "PART-016",
                f"the leg stands on {show_mm(base, 3)}, its bend is {show_mm(width, 3)} wide",
                "the same width for both",
                "State width or insets of the bend, or widen the outline",
            )
        return outline
    tall = []
    for key in heights:
        value = numbers.length(f"{place}.{key}", getattr(table, key))
        if value is not None and value < 0.01:
            numbers.problems.add(
                "PART-015",
                f"{place}.{key}",
                f"the leg is {show_mm(value, 3)} high",
                "more than 0.01 mm",
                "For a lip that ends in its bend write `ends_in_bend = true` instead",
            )
            value = None
        tall.append(value)
    if table.taper is not None and (table.left_taper is not None or table.right_taper is not None):
        numbers.problems.add(
            "PART-006",
            place,
            "`taper` stands beside `left_taper` or `right_taper`",
            "`taper` for both sides alike, or one for each side",
        )
        raise Missing
    taper = numbers.angle(f"{place}.taper", table.taper)
    left = numbers.angle(f"{place}.left_taper", table.left_taper)
    right = numbers.angle(f"{place}.right_taper", table.right_taper)
    every = trim_of(numbers, place, table)
    return leg(
        width,
        need(tall[0]),
        need(tall[-1]),
        taper or left or 0.0,
        taper or right or 0.0,
        trim_of(numbers, f"{place}.left_corner", table.left_corner) or every,
        trim_of(numbers, f"{place}.right_corner", table.right_corner) or every,
    )
