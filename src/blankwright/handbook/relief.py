"""Relief holes: how large, where bend tangent lines meet."""

from __future__ import annotations

from enum import Enum
from functools import lru_cache

from blankwright.base.errors import NotPossible, Problem
from blankwright.handbook.table import table


class ReliefSize(Enum):
    """The two rules that one handbook chapter gives, in two paragraphs."""

    TWICE_RADIUS = "twice the radius"
    RADIUS = "the radius"


@lru_cache(maxsize=256)
def relief_diameter(
    thickness: float, inside_radius: float, rule: ReliefSize = ReliefSize.TWICE_RADIUS
) -> tuple[float, str]:
    """Return the diameter of a relief hole, centred where the bend tangent lines meet.

    The larger of the handbook's least diameter for the sheet and the chosen rule on the radius.
    Sheet thicker than the last row has no least diameter in print; the last row's is taken, and
    the source says so.

    Args:
        thickness: [mm]
        inside_radius: [mm]
        rule: which of the handbook's two rules on the radius

    Returns:
        Diameter [mm], and where it comes from.

    Raises:
        NotPossible: when thickness or radius can't be (RELIEF-010)
    """
    if not (thickness > 0 and inside_radius >= 0):
        raise NotPossible(
            Problem(
                code="RELIEF-010",
                where="relief hole",
                got=f"sheet {thickness:g} mm thick with an inside radius of {inside_radius:g} mm",
                allowed="a thickness over 0 mm and an inside radius from 0 mm",
            )
        )
    least, least_source = _least(thickness)
    rules = table("relief-rules")
    (row,) = (row for row in rules.rows if row.values["rule"] == rule.value)
    by_radius = rules.inner(row, "radii") * inside_radius
    if by_radius > least:
        return by_radius, f"{row.source}: {rule.value}"
    return least, least_source


def _least(thickness: float) -> tuple[float, str]:
    holes = table("relief-holes")
    for row in holes.rows:
        limit = holes.text(row, "thickest")
        if thickness <= holes.inner(row, "thickest") + 1e-6:
            said = f"least diameter for sheet up to {limit} in"
            return holes.inner(row, "diameter"), f"{row.source}: {said}"
    return (
        holes.inner(row, "diameter"),
        f"{row.source}: no least diameter is printed for sheet over {limit} in; that of the"
        " thickest row is taken",
    )
