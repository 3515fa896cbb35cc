"""Coupons: test strips bent on the shop's own tool, from which the neutral-axis factor is learned.

A strip of known length is bent once and its two legs are measured from outside to outside. What
the legs reach beyond the strip's length tells the allowance:

    BA = L − a − b + 2·SB        SB: setback to what the legs are measured to
    k  = (BA/A − R)/T

Uncertainty of k, after JCGM 100 (GUM):

    u² = s²/n + (∂k/∂L·u_L)² + (∂k/∂a·u_a)² + (∂k/∂b·u_b)² + (∂k/∂A·u_A)² + (∂k/∂R·u_R)²
              + (∂k/∂T·u_T)²

with s the scatter of n strips, and each u the stated plus/minus divided by √3 (equally likely
anywhere inside it). Readings by one rule and one eye share their error, so they are not divided
by n. Plus/minus of k is u times Student's t for 95 % at the effective degrees of freedom
u⁴(n−1)/(s²/n)².
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from statistics import fmean, stdev

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.findings import Finding, Level
from blankwright.base.tolerance import ANGLE
from blankwright.develop.allowance import k_of_allowance
from blankwright.develop.setback import setback
from blankwright.handbook.statistics import coverage_factor
from blankwright.part.model import DrawnTo

LIKELY_K = (0.25, 0.55)
"""Outside this k is doubtful: trade tables and handbooks print 0.35 to 0.5 for sheet metal."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """A bent test strip.

    Args:
        before: length of the flat strip [mm]
        legs: length of both legs after bending, outside to outside [mm]
        angle: angle bent through, as measured [rad]
    """

    before: float
    legs: tuple[float, float]
    angle: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """How far each reading may be off, plus or minus; nought where it was not stated.

    Args:
        length: of a strip or a leg [mm]
        angle: [rad]
        inside_radius: [mm]
        thickness: [mm]
    """

    length: float
    angle: float = 0.0
    inside_radius: float = 0.0
    thickness: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Coupon:
    """Strips of one sheet, bent alike on one tool.

    Args:
        name: its name in the coupon file
        date: day of the test, as ``2026-03-14``
        alloy: alloy of the strips, without temper, such as ``6061``
        temper: such as ``T6``
        clad: whether clad
        thickness: as measured [mm]
        tool: what they were bent on, as typed
        inside_radius: [mm]
        angle: angle that was wanted [rad]
        measured_to: what the legs are measured to: the outside mold line, or from 90° on the
            outside of the bend
        strips: at least one
        reading: how far readings may be off
        note: as typed
    """

    name: str
    date: str
    alloy: str
    temper: str
    thickness: float
    tool: str
    inside_radius: float
    angle: float
    strips: tuple[Strip, ...]
    reading: Reading
    clad: bool = False
    measured_to: DrawnTo = DrawnTo.OUTSIDE_MOLD_LINE
    note: str = ""

    def __post_init__(self) -> None:
        if not self.strips:
            raise NotPossible(
                Problem(
                    code="COUPON-010",
                    where=f"coupon {self.name!r}",
                    got="no strip was measured",
                    fix="Bend and measure at least one strip; three show the scatter",
                )
            )

    @cached_property
    def learned(self) -> Learned:
        """What the strips teach.

        Raises:
            NotPossible: when a size or an angle can't be
        """
        return _learn(self)

    @property
    def material(self) -> str:
        """Alloy, temper and cladding in one text."""
        text = f"{self.alloy}-{self.temper}" if self.temper else self.alloy
        return f"{text} clad" if self.clad else text


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """What a coupon teaches.

    Args:
        k: neutral-axis factor, mean of the strips [-]
        k_plus_minus: 95 % interval, half width [-]
        k_standard: standard uncertainty [-]
        allowance: at the coupon's radius, thickness and wanted angle [mm]
        allowance_plus_minus: 95 % interval, half width [mm]
        strip_allowances: of each strip, at its own angle [mm]
        strip_ks: of each strip [-]
        scatter: standard deviation of the strips' k [-]; nought for one strip
        freedom: effective degrees of freedom [-], may be infinite
        factor: Student's t that was used [-]
        not_counted: what the plus/minus leaves out
    """

    k: float
    k_plus_minus: float
    k_standard: float
    allowance: float
    allowance_plus_minus: float
    strip_allowances: tuple[float, ...]
    strip_ks: tuple[float, ...]
    scatter: float
    freedom: float
    factor: float
    not_counted: tuple[str, ...]


def allowance_of_strip(coupon: Coupon, strip: Strip) -> float:
    """Return the bend allowance that one strip shows [mm].

    Raises:
        NotPossible: when legs can't be measured to that line at the strip's angle
    """
    back = setback(coupon.measured_to, strip.angle, coupon.inside_radius, coupon.thickness)
    return strip.before - sum(strip.legs) + 2 * back


def check_coupon(coupon: Coupon) -> tuple[Finding, ...]:
    """Return what is doubtful about a coupon: k out of the likely, one strip, wild scatter."""
    learned = coupon.learned
    place = f"coupon {coupon.name}"
    found: list[Finding] = []
    low, high = LIKELY_K
    if not low <= learned.k <= high:
        found.append(
            Finding(
                code="COUPON-030",
                level=Level.ASK,
                place=place,
                got=f"k comes out as {learned.k:.3f}",
                limit=f"{low} to {high}",
                source="handbooks and trade tables print 0.35 to 0.5 for sheet metal",
                fix="Measure the inside radius on the bent strip with a radius gauge, and the legs"
                " outside to outside, then correct the coupon file",
            )
        )
    if len(coupon.strips) == 1:
        found.append(
            Finding(
                code="COUPON-031",
                level=Level.NOTE,
                place=place,
                got="one strip shows no scatter",
                fix="Bend two more alike: three strips show how well the tool repeats",
            )
        )
    readings = learned.k_standard**2 - learned.scatter**2 / len(coupon.strips)
    if len(coupon.strips) > 2 and learned.scatter > 3 * math.sqrt(max(readings, 0.0)) > 0:
        found.append(
            Finding(
                code="COUPON-032",
                level=Level.ASK,
                place=place,
                got=f"k scatters by {learned.scatter:.3f} from strip to strip, more than three"
                " times what the readings explain",
                limit=f"{3 * math.sqrt(readings):.3f}",
                fix="Look for a strip measured wrongly, or a tool that does not repeat",
            )
        )
    return tuple(found)


def _learn(coupon: Coupon) -> Learned:
    radius, thickness = coupon.inside_radius, coupon.thickness
    allowances = tuple(allowance_of_strip(coupon, strip) for strip in coupon.strips)
    ks = tuple(
        k_of_allowance(allowance, radius, thickness, strip.angle)
        for allowance, strip in zip(allowances, coupon.strips, strict=True)
    )
    count = len(ks)
    k = fmean(ks)
    scatter = stdev(ks) if count > 1 else 0.0
    of_scatter = scatter**2 / count
    variance = of_scatter + _variance_of_readings(coupon, fmean(allowances))
    freedom = math.inf
    if count > 1 and of_scatter > 0:
        freedom = variance**2 * (count - 1) / of_scatter**2
    factor = coverage_factor(freedom)
    standard = math.sqrt(variance)
    return Learned(
        k=k,
        k_plus_minus=factor * standard,
        k_standard=standard,
        allowance=coupon.angle * (radius + k * thickness),
        allowance_plus_minus=coupon.angle * thickness * factor * standard,
        strip_allowances=allowances,
        strip_ks=ks,
        scatter=scatter,
        freedom=freedom,
        factor=factor,
        not_counted=_not_counted(coupon),
    )


def _variance_of_readings(coupon: Coupon, allowance: float) -> float:
    """Return the variance of k from readings alone [-], by the partial derivatives of its formula.

    The derivatives are taken at the mean angle. SB is tan(A/2)·(R+T) to the outside mold line and
    R+T to the outside of the bend.
    """
    radius, thickness = coupon.inside_radius, coupon.thickness
    angle = fmean(strip.angle for strip in coupon.strips)
    if coupon.measured_to is DrawnTo.OUTSIDE_OF_BEND:
        reach, turn = 1.0, 0.0
    else:
        reach = math.tan(angle / 2)
        turn = (radius + thickness) / math.cos(angle / 2) ** 2
    k = (allowance / angle - radius) / thickness
    by_length = 1 / (angle * thickness)
    by_angle = (turn - allowance / angle) / (angle * thickness)
    by_radius = (2 * reach / angle - 1) / thickness
    by_thickness = (2 * reach / angle - k) / thickness
    off = coupon.reading
    terms = (
        *(by_length * off.length for _ in range(3)),
        by_angle * off.angle,
        by_radius * off.inside_radius,
        by_thickness * off.thickness,
    )
    return math.fsum(term**2 / 3 for term in terms)


def _not_counted(coupon: Coupon) -> tuple[str, ...]:
    off = coupon.reading
    missing = [
        text
        for value, text in (
            (off.angle, "the reading of the angle"),
            (off.inside_radius, "the reading of the inside radius"),
            (off.thickness, "the reading of the thickness"),
        )
        if value == 0
    ]
    if len(coupon.strips) == 1:
        missing.append("the scatter from strip to strip")
    return tuple(missing)


def measured_to_for(angle: float) -> DrawnTo:
    """Return what legs are measured to when the file doesn't say.

    Up to 90° a square reaches the outside mold line; beyond it only the outside of the bend can
    be touched.

    Args:
        angle: angle bent through [rad]
    """
    return DrawnTo.OUTSIDE_MOLD_LINE if angle <= math.pi / 2 + ANGLE else DrawnTo.OUTSIDE_OF_BEND
