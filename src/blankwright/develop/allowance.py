"""Bend allowance: the length of a bend on the blank, tangent line to tangent line.

Pure arithmetic. Which rule a bend follows is decided elsewhere.
"""

from __future__ import annotations

import math
from enum import Enum
from typing import Final

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.tolerance import ANGLE
from blankwright.base.trail import Kind, TrailStep

THICKNESS_CONSTANT: Final = 0.0078
"""The empirical formula's factor on the thickness, per degree. FAA-H-8083-31 vol. 1 ch. 4,
"Formula 2"; Navy training manual NAVEDTRA 14018, p. 13-19; both print it alike."""


class RadiusConstant(Enum):
    """The empirical formula's factor on the radius, per degree, as different books print it."""

    EXACT = math.pi / 180
    """π/180 = 0.017453, as shop texts print it; the FAA bend allowance chart is worked with it."""
    FAA = 0.01743
    """FAA-H-8083-31 vol. 1 ch. 4, "Formula 2"; AC 43.13-1B ch. 4."""
    NAVY = 0.0173
    """Navy training manual NAVEDTRA 14018, p. 13-19."""


EMPIRICAL_SOURCE: Final = (
    'FAA-H-8083-31 vol. 1 ch. 4 "Formula 2" and AC 43.13-1B ch. 4, with 0.01743 written as π/180'
)
EMPIRICAL_FORMULA: Final = "BA = (π/180·R + 0.0078·T)·A, A in degrees"
NEUTRAL_AXIS_FORMULA: Final = "BA = A·(R + k·T), A in radians"


def bend_allowance_empirical(
    inside_radius: float,
    thickness: float,
    angle: float,
    constant: RadiusConstant = RadiusConstant.EXACT,
) -> float:
    """Return the bend allowance by the handbooks' empirical formula, (c·R + 0.0078·T)·N.

    Args:
        inside_radius: R [mm]
        thickness: T [mm]
        angle: angle bent through, over 0 to π [rad]; N is the same in degrees
        constant: c; the books differ in the fourth digit

    Returns:
        Bend allowance [mm]. With the exact constant it stands for a k of 0.4469.

    Raises:
        NotPossible: when a size can't be (ALLOWANCE-001)

    Source: FAA-H-8083-31 vol. 1 ch. 4, "Formula 2"; AC 43.13-1B ch. 4.
    """
    _check(inside_radius, thickness, angle)
    return (constant.value * inside_radius + THICKNESS_CONSTANT * thickness) * math.degrees(angle)


def bend_allowance_neutral_axis(
    inside_radius: float, thickness: float, angle: float, k: float
) -> float:
    """Return the length of the arc at depth k·T from the inside face.

    Args:
        inside_radius: R [mm]
        thickness: T [mm]
        angle: angle bent through, over 0 to π [rad]
        k: neutral-axis factor [-]; 0.5 is the middle of the sheet

    Returns:
        Bend allowance [mm].

    Raises:
        NotPossible: when a size can't be (ALLOWANCE-001)

    Source: geometry; with k = 0.5 it is the handbook's "Formula 1" and that of Navy training
        manual 14119, p. 13-42.
    """
    _check(inside_radius, thickness, angle)
    if not 0 <= k <= 1:
        raise NotPossible(
            Problem(
                code="ALLOWANCE-002",
                where="neutral-axis factor",
                got=f"k = {k:g} lies outside the sheet",
                allowed="0 (inside face) to 1 (outside face); sheet metal bends near 0.3 to 0.5",
            )
        )
    return angle * (inside_radius + k * thickness)


def k_of_allowance(allowance: float, inside_radius: float, thickness: float, angle: float) -> float:
    """Return the neutral-axis factor that an allowance stands for: (BA/A − R)/T.

    Args:
        allowance: BA [mm]
        inside_radius: R [mm]
        thickness: T [mm]
        angle: A, angle bent through [rad]

    Returns:
        k [-]. It may come out under 0 or over 1 when a coupon was measured wrongly.

    Raises:
        NotPossible: when a size can't be (ALLOWANCE-001)
    """
    _check(inside_radius, thickness, angle)
    return (allowance / angle - inside_radius) / thickness


def empirical_step(name: str, inside_radius: float, thickness: float, angle: float) -> TrailStep:
    """Return the allowance by the empirical formula with its trail.

    Args:
        name: what it is called in the trail, such as ``bend left: allowance``
        inside_radius: [mm]
        thickness: [mm]
        angle: [rad]

    Raises:
        NotPossible: as `bend_allowance_empirical`
    """
    return TrailStep(
        name=name,
        value=bend_allowance_empirical(inside_radius, thickness, angle),
        formula=EMPIRICAL_FORMULA,
        inputs=_inputs(inside_radius, thickness, angle),
        source=EMPIRICAL_SOURCE,
    )


def neutral_axis_step(
    name: str, inside_radius: float, thickness: float, angle: float, k: float, source: str
) -> TrailStep:
    """Return the allowance by a neutral-axis factor with its trail.

    Args:
        name: what it is called in the trail, such as ``bend left: allowance``
        inside_radius: [mm]
        thickness: [mm]
        angle: [rad]
        k: neutral-axis factor [-]
        source: where k comes from

    Raises:
        NotPossible: as `bend_allowance_neutral_axis`
    """
    return TrailStep(
        name=name,
        value=bend_allowance_neutral_axis(inside_radius, thickness, angle, k),
        formula=NEUTRAL_AXIS_FORMULA,
        inputs=(*_inputs(inside_radius, thickness, angle), ("k", k, "number")),
        source=source,
    )


def _inputs(
    inside_radius: float, thickness: float, angle: float
) -> tuple[tuple[str, float, Kind], ...]:
    return (
        ("R", inside_radius, "length"),
        ("T", thickness, "length"),
        ("A", angle, "angle"),
    )


def _check(inside_radius: float, thickness: float, angle: float) -> None:
    got = ""
    if not (math.isfinite(inside_radius) and inside_radius >= 0):
        got = f"an inside radius of {inside_radius:g} mm"
    elif not (math.isfinite(thickness) and thickness > 0):
        got = f"a thickness of {thickness:g} mm"
    elif not 0 < angle <= math.pi + ANGLE:
        got = f"a bend through {math.degrees(angle):g}°"
    if got:
        raise NotPossible(
            Problem(
                code="ALLOWANCE-001",
                where="bend allowance",
                got=f"there can be no bend with {got}",
                allowed="inside radius from 0 mm, thickness over 0 mm, over 0° to 180°",
            )
        )
