"""Which coupon speaks for a bend: nearest by alloy, temper, thickness, radius and tool."""

from __future__ import annotations

import math
from dataclasses import dataclass

from blankwright.base.trail import TrailStep
from blankwright.base.units import show_angle, show_mm
from blankwright.develop.allowance import neutral_axis_step
from blankwright.develop.coupon import Coupon
from blankwright.handbook.alloys import Alloy, read_alloy

SAME = 0.05
"""Sizes within this share of one another count as the same [-]."""

THICKNESS_REACH = 0.25
"""A coupon is no guide for sheet that differs in thickness by more than this share [-]."""

RADIUS_REACH = 2.0
"""A coupon is no guide for a bend whose R/T differs by more than this factor [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CouponMatch:
    """The coupon that speaks for a bend.

    Args:
        coupon: the coupon
        k: neutral-axis factor learned from it [-]
        k_plus_minus: 95 % interval, half width [-]
        matched: what is the same, in words
        off: what differs and how far, in words; empty when nothing does
    """

    coupon: Coupon
    k: float
    k_plus_minus: float
    matched: tuple[str, ...]
    off: tuple[str, ...]

    @property
    def source(self) -> str:
        """Which coupon, with what it doesn't match, as trails print it."""
        text = f"coupon {self.coupon.name} of {self.coupon.date}, k ± {self.k_plus_minus:.3f}"
        return f"{text}; nearest, but {'; '.join(self.off)}" if self.off else text

    def step(self, name: str, inside_radius: float, thickness: float, angle: float) -> TrailStep:
        """Return the allowance of a bend by this coupon's k, with its trail.

        Args:
            name: what it is called in the trail
            inside_radius: [mm]
            thickness: [mm]
            angle: [rad]

        Raises:
            NotPossible: when k lies outside the sheet, or a size can't be
        """
        return neutral_axis_step(name, inside_radius, thickness, angle, self.k, self.source)

    def allowance_plus_minus(self, thickness: float, angle: float) -> float:
        """Return the 95 % interval of an allowance by this k, half width [mm].

        Args:
            thickness: [mm]
            angle: [rad]
        """
        return angle * thickness * self.k_plus_minus


@dataclass(frozen=True, slots=True)
class Coupons:
    """All coupons of a project.

    Args:
        tests: in the order of the file
    """

    tests: tuple[Coupon, ...] = ()

    def best(
        self,
        alloy: str,
        thickness: float,
        inside_radius: float,
        angle: float,
        tool: str = "",
    ) -> CouponMatch | None:
        """Return the coupon nearest to a bend, or nothing when none is near enough.

        Another alloy never matches. Sheet must be within 25 % in thickness, R/T within a factor
        of two. Of those the nearest is the one with the fewest differences, weighed in this
        order: temper and cladding, thickness, R/T, tool, angle; sizes within 5 % are the same.
        The newest wins between equals.

        Args:
            alloy: as typed in the part file
            thickness: [mm]
            inside_radius: [mm]
            angle: angle bent through [rad]
            tool: what the bend is made on; empty when not stated
        """
        wanted = read_alloy(alloy)
        if wanted is None:
            return None
        best: tuple[tuple[float, ...], str, Coupon] | None = None
        for test in self.tests:
            rank = _rank(test, wanted, thickness, inside_radius, angle, tool)
            if rank is None:
                continue
            # Dates are ISO text, so the later one is the greater.
            if best is None or rank < best[0] or (rank == best[0] and test.date > best[1]):
                best = (rank, test.date, test)
        if best is None:
            return None
        test = best[2]
        matched, off = _compare(test, wanted, thickness, inside_radius, angle, tool)
        return CouponMatch(
            coupon=test,
            k=test.learned.k,
            k_plus_minus=test.learned.k_plus_minus,
            matched=matched,
            off=off,
        )


def _rank(
    test: Coupon, wanted: Alloy, thickness: float, inside_radius: float, angle: float, tool: str
) -> tuple[float, ...] | None:
    if test.alloy != wanted.base:
        return None
    thicker = max(test.thickness, thickness) / min(test.thickness, thickness) - 1
    if thicker > THICKNESS_REACH + 1e-9:
        return None
    rounder = _ratio_off(test.inside_radius / test.thickness, inside_radius / thickness)
    if rounder > RADIUS_REACH - 1 + 1e-9:
        return None
    return (
        float(test.temper != wanted.temper) + float(test.clad != wanted.clad),
        _steps(thicker),
        _steps(rounder),
        float(_tool_differs(test, tool)),
        _steps(_ratio_off(test.angle, angle)),
    )


def _ratio_off(one: float, other: float) -> float:
    small, large = sorted((one, other))
    if large < 1e-9:
        return 0.0
    return math.inf if small < 1e-9 else large / small - 1


def _steps(off: float) -> float:
    """Count a difference in whole steps of 5 %, so that a hair's breadth doesn't decide."""
    return math.inf if math.isinf(off) else float(math.floor(off / SAME + 1e-9))


def _tool_differs(test: Coupon, tool: str) -> bool:
    return bool(tool.strip()) and _plain(test.tool) != _plain(tool)


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())


def _compare(
    test: Coupon, wanted: Alloy, thickness: float, inside_radius: float, angle: float, tool: str
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    same: list[str] = [f"alloy {wanted.base}"]
    off: list[str] = []

    def note(differs: bool, what: str, has: str, wants: str) -> None:
        if differs:
            off.append(f"{what} {has} instead of {wants}")
        else:
            same.append(f"{what} {wants}")

    note(
        test.temper != wanted.temper,
        "temper",
        test.temper or "not stated",
        wanted.temper or "not stated",
    )
    if test.clad != wanted.clad:
        off.append("clad instead of bare" if test.clad else "bare instead of clad")
    note(
        _ratio_off(test.thickness, thickness) >= SAME,
        "thickness",
        show_mm(test.thickness, 3),
        show_mm(thickness, 3),
    )
    note(
        _ratio_off(test.inside_radius / test.thickness, inside_radius / thickness) >= SAME,
        "R/T",
        f"{test.inside_radius / test.thickness:.2f}",
        f"{inside_radius / thickness:.2f}",
    )
    if tool.strip():
        note(_tool_differs(test, tool), "tool", test.tool, tool)
    note(
        _ratio_off(test.angle, angle) >= SAME,
        "angle",
        show_angle(test.angle),
        show_angle(angle),
    )
    return tuple(same), tuple(off)
