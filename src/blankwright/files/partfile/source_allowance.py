"""What a drawing from elsewhere says of a bend's width on its blank: k, allowance or deduction."""

from __future__ import annotations

import math

from blankwright.base.errors import NotPossible
from blankwright.base.units import show_mm
from blankwright.develop.allowance import k_of_allowance
from blankwright.develop.setback import outside_setback
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.schema_source import SourceBendTable


def own_k(
    table: SourceBendTable,
    place: str,
    numbers: Numbers,
    inside_radius: float,
    thickness: float,
    angle: float,
) -> float | None:
    """Return the neutral-axis factor that is stated for one bend, in whichever way.

    The deduction is what two legs measured to the outside mold line are longer together than the
    blank: twice the outside setback less the allowance (FAA-H-8083-31 vol. 1 ch. 4; common practice
    calls it bend deduction).

    Args:
        table: what the part file states of the bend
        place: where it stands, for messages
        numbers: works quantities out, and collects problems
        inside_radius: [mm]
        thickness: [mm]
        angle: angle bent through [rad]

    Returns:
        k [-], or nothing when nothing is stated or it can't be.
    """
    k = numbers.number(f"{place}.k", table.k, 0.0, 1.0)
    allowance = numbers.length(f"{place}.bend_allowance", table.bend_allowance, over=0.0)
    deduction = numbers.length(f"{place}.deduction", table.deduction)
    stated = [
        key
        for key, raw in (
            ("k", table.k),
            ("bend_allowance", table.bend_allowance),
            ("deduction", table.deduction),
            ("allowance", table.allowance),
        )
        if raw is not None
    ]
    if len(stated) > 1:
        numbers.problems.add(
            "PART-006", place, f"`{stated[0]}` and `{stated[1]}` say the same", "one of them"
        )
        return None
    if deduction is not None:
        if angle > math.pi - 1e-6:
            numbers.problems.add(
                "SOURCE-022",
                f"{place}.deduction",
                "a bend of 180° has no mold line, so there is no deduction",
                "k or bend_allowance",
            )
            return None
        allowance = 2 * outside_setback(angle, inside_radius, thickness) - deduction
    if allowance is None:
        return k
    try:
        k = k_of_allowance(allowance, inside_radius, thickness, angle)
    except NotPossible:
        return None
    if not 0 <= k <= 1:
        numbers.problems.add(
            "SOURCE-022",
            place,
            f"with an allowance of {show_mm(allowance, 3)} the neutral axis would lie outside the"
            f" sheet (k = {k:.3f})",
            "k from 0 to 1",
            "Check allowance or deduction, angle, radius and thickness",
        )
        return None
    return k
