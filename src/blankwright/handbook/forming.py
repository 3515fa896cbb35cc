"""Springback, and the force that a press brake needs."""

from __future__ import annotations

import math

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.units import MM_PER_INCH
from blankwright.handbook.inner import POUND_FORCE, factor
from blankwright.handbook.table import table

SPRINGBACK_SOURCE = (
    "Gardiner 1957, as in Kalpakjian and Schmid, sheet forming: Ri/Rf = 4x³ − 3x + 1,"
    " x = Ri·Y/(E·T); αi·(Ri + T/2) = αf·(Rf + T/2); from memory, high confidence"
)

_US_TON = 2000.0
"""Pounds in a US ton, exact."""


def springback_ratio(tool_radius: float, thickness: float, yields: float, modulus: float) -> float:
    """Return Ri/Rf: inside radius in the tool over inside radius after release [-].

    Args:
        tool_radius: Ri, inside radius while held [mm]
        thickness: T [mm]
        yields: Y, yield strength [MPa]
        modulus: E, modulus of elasticity [MPa]

    Raises:
        NotPossible: when the sheet springs back whole, x ≥ 0.5 (SPRING-001), or a size can't be

    Source: Gardiner 1957.
    """
    if not (tool_radius >= 0 and thickness > 0 and yields > 0 and modulus > 0):
        raise NotPossible(
            Problem(
                code="SPRING-002",
                where="springback",
                got=f"tool radius {tool_radius:g} mm, thickness {thickness:g} mm, yield"
                f" {yields:g} MPa, modulus {modulus:g} MPa",
                allowed="a tool radius from 0, the others more than 0",
            )
        )
    share = tool_radius * yields / (modulus * thickness)
    if share >= 0.5:
        raise NotPossible(
            Problem(
                code="SPRING-001",
                where=f"tool radius of {tool_radius:.1f} mm on sheet of {thickness:.2f} mm",
                got=f"the sheet springs back whole: Ri·Y/(E·T) is {share:.2f}",
                allowed="under 0.5",
                fix="Roll it over a much smaller radius",
            )
        )
    return 4 * share**3 - 3 * share + 1


def angle_in_tool(
    angle: float, tool_radius: float, thickness: float, yields: float, modulus: float
) -> float:
    """Return the angle to bend to in the tool, so that the wanted angle is left after release.

    Args:
        angle: wanted [rad]
        tool_radius: inside radius while held [mm]
        thickness: [mm]
        yields: yield strength [MPa]
        modulus: modulus of elasticity [MPa]

    Returns:
        αi = αf·(Rf + T/2)/(Ri + T/2) [rad].

    Raises:
        NotPossible: as `springback_ratio`

    Source: Gardiner 1957; the middle of the sheet keeps its length.
    """
    after = radius_after(tool_radius, thickness, yields, modulus)
    return angle * (after + thickness / 2) / (tool_radius + thickness / 2)


def radius_after(tool_radius: float, thickness: float, yields: float, modulus: float) -> float:
    """Return Rf, the inside radius after release [mm].

    Args:
        tool_radius: inside radius while held [mm]
        thickness: [mm]
        yields: yield strength [MPa]
        modulus: modulus of elasticity [MPa]

    Raises:
        NotPossible: as `springback_ratio`
    """
    return tool_radius / springback_ratio(tool_radius, thickness, yields, modulus)


def radius_in_tool(inside_radius: float, thickness: float, yields: float, modulus: float) -> float:
    """Return Ri, the inside radius to bend over so that the wanted one is left [mm].

    Args:
        inside_radius: Rf, wanted after release [mm]
        thickness: [mm]
        yields: yield strength [MPa]
        modulus: modulus of elasticity [MPa]

    Raises:
        NotPossible: when a size can't be

    Rf rises with Ri without end as x nears 0.5, so that every wanted radius has its tool radius;
    it is found by halving.
    """
    if not (inside_radius >= 0 and thickness > 0 and yields > 0 and modulus > 0):
        springback_ratio(inside_radius, thickness, yields, modulus)
    low, high = 0.0, min(inside_radius, 0.5 * modulus * thickness / yields * (1 - 1e-12))
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if radius_after(middle, thickness, yields, modulus) < inside_radius:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def brake_force(
    thickness: float, opening: float, ultimate: float | None = None
) -> tuple[float, str]:
    """Return the force to air-bend in a V die, per length of bend.

    The shop rule for mild steel, 575·T²/V US tons a foot, times the ratio of strengths. A maker's
    chart differs from it by a sixth: take it as plus or minus 20 %.

    Args:
        thickness: [mm]
        opening: of the V [mm]
        ultimate: tensile strength [MPa]; nothing for the mild steel that the rule is written for

    Returns:
        Force per length [N/mm], and its source.

    Raises:
        NotPossible: when a size can't be (FORCE-001)
    """
    if not (thickness > 0 and opening > 0 and (ultimate is None or ultimate > 0)):
        raise NotPossible(
            Problem(
                code="FORCE-001",
                where="bending force",
                got=f"thickness {thickness:g} mm over an opening of {opening:g} mm",
                allowed="more than 0",
            )
        )
    rule, source = _force_rule("tons per foot, mild steel: factor on T²/V")
    tons_a_foot = rule * (thickness**2 / opening) / MM_PER_INCH
    force = tons_a_foot * _US_TON * POUND_FORCE / factor("ft")
    if ultimate is not None:
        reference, _ = _force_rule("reference strength of that rule, ksi")
        force *= ultimate / (reference * factor("ksi"))
        source += "; times the ratio of tensile strengths"
    return force, f"{source}; ± 20 %"


def v_opening(thickness: float) -> tuple[float, float, str]:
    """Return least and greatest usual V opening for a thickness [mm], and the source.

    Args:
        thickness: [mm]
    """
    least, source = _force_rule("V opening over thickness, least")
    most, _ = _force_rule("V opening over thickness, most")
    return least * thickness, most * thickness, source


def air_bend_radius(opening: float) -> tuple[float, str]:
    """Return the inside radius that air bending over a V opening leaves in steel [mm].

    Args:
        opening: of the V [mm]
    """
    share, source = _force_rule("inside radius over V opening")
    return share * opening, source


def _force_rule(name: str) -> tuple[float, str]:
    rules = table("brake-force")
    (row,) = (row for row in rules.rows if row.values["rule"] == name)
    value = rules.inner(row, "value")
    assert math.isfinite(value)
    return value, row.source
