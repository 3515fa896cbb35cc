"""How much of its edge a bend takes."""

from __future__ import annotations

from blankwright.base.tolerance import TOUCH
from blankwright.base.units import show_mm
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.schema import BendTable
from blankwright.files.partfile.shapes import need
from blankwright.geom.edges import Line


def span_of(
    numbers: Numbers, place: str, table: BendTable, edge: Line
) -> tuple[float, float] | None:
    """Return where the bend begins and ends along its edge, from the leg's left end [mm]."""
    both = numbers.length(f"{place}.inset", table.inset, least=0.0)
    left = numbers.length(f"{place}.left_inset", table.left_inset, least=0.0)
    right = numbers.length(f"{place}.right_inset", table.right_inset, least=0.0)
    width = numbers.length(f"{place}.width", table.width, over=0.0)
    given = (table.inset, table.left_inset, table.right_inset, table.width)
    if any(
        raw is not None and value is None
        for raw, value in zip(given, (both, left, right, width), strict=True)
    ):
        return None
    if both is not None and (left is not None or right is not None):
        numbers.problems.add(
            "PART-006",
            place,
            "`inset` stands beside `left_inset` or `right_inset`",
            "`inset` for both ends alike, or one for each end",
        )
        return None
    length = edge.length
    if both is not None:
        left = right = both
    if table.centered and (width is None or left is not None or right is not None):
        numbers.problems.add(
            "PART-006", f"{place}.centered", "`centered` needs a width and no inset", "width"
        )
        return None
    if width is not None:
        if left is not None and right is not None:
            numbers.problems.add(
                "PART-006",
                place,
                "a width and the insets of both ends are stated",
                "two of three",
            )
            return None
        if not table.centered and left is None and right is None:
            numbers.problems.add(
                "PART-006",
                f"{place}.width",
                "a width does not tell where the bend is",
                "left_inset, right_inset or centered = true beside it",
            )
            return None
        if table.centered:
            left = (length - width) / 2
        elif left is None:
            left = length - width - need(right)
        start, end = left, left + width
    else:
        start, end = left or 0.0, length - (right or 0.0)
    if start < -TOUCH or end > length + TOUCH or end - start < 0.01:
        numbers.problems.add(
            "PART-015",
            place,
            f"the bend runs from {show_mm(start)} to {show_mm(end)} along its edge",
            f"within the edge, 0 mm to {show_mm(length)}",
        )
        return None
    return max(0.0, start), min(length, end)
