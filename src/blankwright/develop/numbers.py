"""The numbers of a bend: allowance by the rule that applies to it, and setbacks, with trail."""

from __future__ import annotations

from dataclasses import dataclass

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.trail import TrailStep
from blankwright.develop.allowance import empirical_step, k_of_allowance, neutral_axis_step
from blankwright.develop.coupons import Coupons
from blankwright.develop.setback import setback_step
from blankwright.part.model import AllowanceRule, DrawnBend, Part


@dataclass(frozen=True, slots=True, kw_only=True)
class BendNumbers:
    """What a bend needs on the blank.

    Args:
        allowance: [mm]
        k: neutral-axis factor that the allowance stands for [-]
        parent_setback: parent's edge as drawn to the parent's tangent line [mm]
        leg_setback: leg's bend edge as drawn to the leg's tangent line [mm]
        trail: where they come from
    """

    allowance: float
    k: float
    parent_setback: float
    leg_setback: float
    trail: tuple[TrailStep, ...]


def bend_numbers(part: Part, bend: DrawnBend, coupons: Coupons | None) -> BendNumbers:
    """Work out a bend's allowance and setbacks.

    A k stated for the bend wins over the rule; the rule stated for the bend wins over the part's.

    Raises:
        NotPossible: when a rule asks for what is not there: a k not stated, no fitting coupon
    """
    radius, thickness, angle = bend.inside_radius, part.sheet.thickness, bend.angle
    where = f"bend {bend.name}"
    allowance = _allowance_step(part, bend, coupons)
    k = k_of_allowance(allowance.value, radius, thickness, angle)
    parent = setback_step(
        f"{where}: setback on {bend.parent}", bend.drawn_to, angle, radius, thickness
    )
    leg = setback_step(
        f"{where}: setback on {bend.leg.name}", bend.leg.drawn_to, angle, radius, thickness
    )
    k_step = TrailStep(
        name=f"{where}: neutral-axis factor",
        value=k,
        kind="number",
        formula="k = (BA/A − R)/T",
        inputs=(("BA", allowance.value, "length"), *allowance.inputs[:3]),
        source="geometry: the fibre that keeps its length",
    )
    return BendNumbers(
        allowance=allowance.value,
        k=k,
        parent_setback=parent.value,
        leg_setback=leg.value,
        trail=(allowance, k_step, parent, leg),
    )


def _allowance_step(part: Part, bend: DrawnBend, coupons: Coupons | None) -> TrailStep:
    name = f"bend {bend.name}: allowance"
    sizes = (bend.inside_radius, part.sheet.thickness, bend.angle)
    if bend.k is not None:
        return neutral_axis_step(name, *sizes, bend.k, f"k stated for bend {bend.name}")
    rule = bend.allowance or part.allowance
    if rule is AllowanceRule.EMPIRICAL:
        return empirical_step(name, *sizes)
    if rule is AllowanceRule.NEUTRAL_AXIS:
        if part.k is None:
            raise _missing(bend, "no k is stated", "State k for the part or for the bend")
        return neutral_axis_step(name, *sizes, part.k, "k stated for the part")
    match = None
    if coupons is not None:
        match = coupons.best(part.sheet.alloy, part.sheet.thickness, bend.inside_radius, bend.angle)
    if match is None:
        raise _missing(
            bend,
            f"no coupon fits {part.sheet.alloy}, {part.sheet.thickness:.3f} mm thick",
            "Bend and measure test strips of this sheet, or use the empirical formula",
        )
    return match.step(name, *sizes)


def _missing(bend: DrawnBend, got: str, fix: str) -> NotPossible:
    return NotPossible(
        Problem(code="BLANK-002", where=f"bend {bend.name}: allowance", got=got, fix=fix)
    )
