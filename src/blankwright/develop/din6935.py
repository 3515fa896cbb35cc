"""Bend development after DIN 6935, for cold-bent flat steel: an alternative source of k."""

from __future__ import annotations

import math

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.tolerance import ANGLE

SOURCE = "DIN 6935, k = 0.65 + 0.5·lg(r/s) up to r/s = 5, else 1; written for steel"


def k_din6935(inside_radius: float, thickness: float) -> float:
    """Return DIN 6935's k halved, so that it is a neutral-axis factor as used everywhere here.

    Args:
        inside_radius: r [mm]
        thickness: s [mm]

    Returns:
        Neutral-axis factor [-], never under 0: the formula falls below for r/s under 0.05.

    Source: DIN 6935. The standard's k counts in half thicknesses and jumps by 0.0005 at r/s = 5.
    """
    return correction_factor(inside_radius, thickness) / 2


def correction_factor(inside_radius: float, thickness: float) -> float:
    """Return DIN 6935's own k, in half thicknesses [-]: 0.65 + 0.5·lg(r/s), 1 over r/s = 5.

    Args:
        inside_radius: r [mm]
        thickness: s [mm]

    Source: DIN 6935.
    """
    ratio = inside_radius / thickness
    if ratio > 5:
        return 1.0
    if ratio <= 0:
        return 0.0
    return max(0.0, 0.65 + 0.5 * math.log10(ratio))


def compensation_din6935(opening: float, inside_radius: float, thickness: float) -> float:
    """Return DIN 6935's v: what is added to the outside legs to give the stretched length.

    Args:
        opening: opening angle β between the legs, 0 to π [rad]; π is flat
        inside_radius: r [mm]
        thickness: s [mm]

    Returns:
        v [mm], mostly under nought. For openings up to 90° the legs are measured to the outside
        of the bend, from there to the outside mold line; over 165° v is nought.

    Raises:
        NotPossible: when the opening angle can't be (ALLOWANCE-003)

    Source: DIN 6935.
    """
    if not 0 <= opening <= math.pi:
        raise NotPossible(
            Problem(
                code="ALLOWANCE-003",
                where="opening angle",
                got=f"legs can't stand {math.degrees(opening):g}° open",
                allowed="0° to 180°",
            )
        )
    if opening > math.radians(165) + ANGLE:
        return 0.0
    bent = math.pi - opening
    arc = bent * (inside_radius + thickness / 2 * correction_factor(inside_radius, thickness))
    reach = 1.0 if opening <= math.pi / 2 + ANGLE else math.tan(bent / 2)
    return arc - 2 * (inside_radius + thickness) * reach
