"""What angle and radius to bend to in the tool, so that the drawn ones are left after release."""

from __future__ import annotations

import math
from collections.abc import Sequence

from blankwright.base.errors import NotPossible
from blankwright.bending.tools import Sprung
from blankwright.bending.ways import Aim
from blankwright.develop.blank import Blank, BlankBend
from blankwright.handbook.alloys import read_alloy
from blankwright.handbook.forming import SPRINGBACK_SOURCE, angle_in_tool, radius_in_tool
from blankwright.handbook.materials import Strength, strength

_LIKE_THICKNESS, _LIKE_RADIUS, _LIKE_ANGLE = 0.06, 0.15, math.radians(35)
"""A measured bend counts for another whose thickness, radius and angle are this near."""

UNKNOWN = "the alloy's strength is in no table, so that springback can't be worked out: none taken"


def aim_of(bend: BlankBend, blank: Blank, sprung: Sequence[Sprung] = ()) -> Aim:
    """Return what to bend one bend to in the tool.

    The shop's own measured bends win over the formula. The radius while held is that which the
    law of bending gives at the angle in the tool: the neutral fibre keeps its length.

    Args:
        bend: the bend
        blank: its blank
        sprung: the shop's own measured bends
    """
    share, source = _share(bend, blank, sprung)
    angle = bend.angle * share
    radius = max(0.0, bend.allowance / angle - bend.k * blank.thickness)
    return Aim(angle=angle, radius=radius, source=source)


def strength_of(blank: Blank) -> Strength | None:
    """Return the strength of a blank's sheet, of the bare alloy when the clad one has no row."""
    found = strength(blank.alloy, blank.thickness) or strength(blank.alloy)
    read = read_alloy(blank.alloy)
    if found is None and read is not None and read.clad:
        found = strength(read.key, blank.thickness) or strength(read.key)
    return found


def _share(bend: BlankBend, blank: Blank, sprung: Sequence[Sprung]) -> tuple[float, str]:
    near = [s for s in sprung if _is_like(s, bend, blank)]
    if near:
        shares = [s.bent_to / s.sprang_to for s in near]
        mean = sum(shares) / len(shares)
        return mean, f"the shop's own bends, {len(near)} measured: bent to over sprang to"
    strong = strength_of(blank)
    if strong is None:
        return 1.0, UNKNOWN
    try:
        radius = radius_in_tool(bend.inside_radius, blank.thickness, strong.yields, strong.modulus)
        angle = angle_in_tool(bend.angle, radius, blank.thickness, strong.yields, strong.modulus)
    except NotPossible:
        return 1.0, UNKNOWN
    return angle / bend.angle, f"{SPRINGBACK_SOURCE}; strength: {strong.source}"


def _is_like(sprung: Sprung, bend: BlankBend, blank: Blank) -> bool:
    a, b = read_alloy(sprung.alloy), read_alloy(blank.alloy)
    return (
        a is not None
        and b is not None
        and a.key == b.key
        and abs(sprung.thickness - blank.thickness) <= _LIKE_THICKNESS * blank.thickness
        and abs(sprung.inside_radius - bend.inside_radius)
        <= max(0.2, _LIKE_RADIUS * bend.inside_radius)
        and abs(sprung.sprang_to - bend.angle) <= _LIKE_ANGLE
    )
