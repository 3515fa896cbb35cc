"""Reading the fields of one table of a TOML file, keeping every problem on the way."""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any

from blankwright.base.errors import Problem
from blankwright.base.quantities import BadText, read_quantity


def misspelt(key: str, allowed: tuple[str, ...], where: str) -> Problem:
    """Return the problem of a word that means nothing here, with the nearest that does."""
    near = get_close_matches(key, allowed, n=1)
    return Problem(
        code="COUPON-005",
        where=where,
        got=f"{key!r} means nothing here",
        allowed=", ".join(allowed),
        fix=f"Write {near[0]!r} if that is meant" if near else "",
    )


@dataclass
class CouponFields:
    """Fields of one coupon, each read with its problems.

    Args:
        raw: the table as TOML gives it
        where: file, line and coupon, as messages name it
        problems: what was wrong so far
    """

    raw: Mapping[str, Any]
    where: str
    problems: list[Problem] = field(default_factory=list)

    def problem(self, code: str, key: str, got: str, allowed: str = "", fix: str = "") -> None:
        """Keep a problem at one of the fields."""
        self.problems.append(
            Problem(code=code, where=f"{self.where}, {key}", got=got, allowed=allowed, fix=fix)
        )

    def text(self, key: str, needed: bool = True) -> str:
        """Return a text; empty when there is none."""
        value = self.raw.get(key)
        if value is None:
            if needed:
                self.problem("COUPON-007", key, "it is missing")
            return ""
        if not isinstance(value, str) or (needed and not value.strip()):
            self.problem("COUPON-008", key, f"{value!r} isn't a text", "words in quotes")
            return ""
        return value.strip()

    def date(self) -> str:
        """Return a day as ``2026-03-14``."""
        value = self.raw.get("date")
        if value is None:
            self.problem("COUPON-007", "date", "it is missing")
            return ""
        if isinstance(value, datetime.datetime):
            value = value.date()
        if isinstance(value, str):
            try:
                value = datetime.date.fromisoformat(value)
            except ValueError:
                value = None
        if not isinstance(value, datetime.date):
            self.problem(
                "COUPON-008",
                "date",
                f"{self.raw['date']!r} isn't a day",
                "year-month-day, such as 2026-03-14",
            )
            return ""
        return value.isoformat()

    def size(
        self,
        key: str,
        kind: str,
        *,
        least: float,
        open_end: bool = False,
        most: float = math.inf,
        needed: bool = True,
    ) -> float:
        """Return a quantity [mm] or [rad]; nought when it is missing or faulty."""
        if key not in self.raw:
            if needed:
                self.problem("COUPON-007", key, "it is missing")
            return 0.0
        return self.quantity(self.raw[key], key, kind, least=least, open_end=open_end, most=most)

    def quantity(
        self,
        value: object,
        key: str,
        kind: str,
        *,
        least: float = 0.0,
        open_end: bool = True,
        most: float = math.inf,
    ) -> float:
        """Return the quantity that a value states [mm] or [rad]; nought when faulty."""
        sample = '"3.2 mm" or "1/8 in"' if kind == "length" else '"90 deg"'
        if not isinstance(value, str):
            self.problem(
                "COUPON-008",
                key,
                f"{value!r} has no unit",
                f"{kind} with its unit, in quotes, such as {sample}",
            )
            return 0.0
        try:
            read = read_quantity(value)
        except BadText as error:
            self.problems.append(error.at(f"{self.where}, {key}"))
            return 0.0
        if read.kind != kind:
            self.problem(
                "COUPON-008",
                key,
                f"{value!r} isn't a {kind}" if kind == "length" else f"{value!r} isn't an {kind}",
                f"{kind} with its unit, such as {sample}",
            )
            return 0.0
        low = read.value <= least if open_end else read.value < least
        if low or read.value > most + 1e-9:
            allowed = f"more than {least:g}" if open_end else f"{least:g} or more"
            if most < math.inf:
                allowed += f", up to {math.degrees(most):g}°"
            self.problem("COUPON-008", key, f"{value!r} can't be", allowed)
        return read.value
