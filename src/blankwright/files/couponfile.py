"""The coupon file, ``coupons.toml`` in a project folder: test strips as measured in the shop.

::

    [[coupons]]
    name = "leaf brake 040"
    date = 2026-03-14
    alloy = "6061-T6"
    thickness = "1.01 mm"
    tool = "leaf brake"
    inside_radius = "1/8 in"
    angle = "90 deg"
    reading = "0.1 mm"              # plus or minus of each strip and leg length
    angle_reading = "0.5 deg"       # and, if known, of these
    radius_reading = "0.1 mm"
    thickness_reading = "0.01 mm"
    measured_to = "outside mold line"    # or "outside of bend"; may be left out
    strips = [
      { before = "100.0 mm", legs = ["51.3 mm", "51.4 mm"] },
      { before = "100.1 mm", legs = ["51.5 mm", "51.4 mm"], angle = "90.5 deg" },
    ]
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from pathlib import Path

from blankwright.base.errors import BadInput, BlankwrightError, Problem
from blankwright.develop.coupon import Coupon, Reading, Strip, measured_to_for
from blankwright.develop.coupons import Coupons
from blankwright.files.coupon_fields import CouponFields, misspelt
from blankwright.files.shop_text import text_of, toml_of
from blankwright.handbook.alloys import read_alloy
from blankwright.part.model import DrawnTo

NAME = "coupons.toml"
"""Name of the coupon file in a project folder."""

_TEXTS = ("name", "alloy", "tool", "measured_to", "note")
_LENGTHS = ("thickness", "inside_radius", "reading", "radius_reading", "thickness_reading")
_ANGLES = ("angle", "angle_reading")
_ALLOWED = (*_TEXTS, "date", *_LENGTHS, *_ANGLES, "strips")
_STRIP = ("before", "legs", "angle")


def read_coupons(path: Path) -> Coupons:
    """Read a coupon file.

    Args:
        path: of the file; when there is none, there are no coupons

    Raises:
        FileProblem: when it exists and can't be read (COUPON-001)
        BadInput: with every problem in it
    """
    text = text_of(path, "COUPON-001", "coupon file")
    return parse_coupons(text, path.name)


def parse_coupons(text: str, name: str = NAME) -> Coupons:
    """Read coupons from the text of a coupon file.

    Args:
        text: TOML
        name: what the file is called in messages

    Raises:
        BadInput: with every problem in it
    """
    raw = toml_of(text, "COUPON-002", name)
    problems: list[Problem] = []
    problems += (misspelt(key, ("coupons",), f"{name}, {key}") for key in raw if key != "coupons")
    items = raw.get("coupons", [])
    if not isinstance(items, list) or not all(isinstance(item, dict) for item in items):
        problems.append(
            Problem(
                code="COUPON-003",
                where=f"{name}, coupons",
                got="this isn't a list of coupons",
                fix="Begin each coupon with a line [[coupons]]",
            )
        )
        items = []
    starts = [
        number
        for number, line in enumerate(text.splitlines(), start=1)
        if re.match(r"\s*\[\[\s*coupons\s*\]\]", line)
    ]
    tests: list[Coupon] = []
    names: dict[str, int] = {}
    for index, item in enumerate(items):
        line = starts[index] if index < len(starts) else 0
        label = str(item.get("name", f"number {index + 1}"))
        where = f"{name}:{line}, coupon {label!r}" if line else f"{name}, coupon {label!r}"
        reader = _Reader(item, where)
        test = reader.coupon()
        problems += reader.problems
        if label in names:
            problems.append(
                Problem(
                    code="COUPON-004",
                    where=where,
                    got="another coupon has the same name",
                    fix="Give each coupon a name of its own, such as tool, sheet and month",
                )
            )
        names[label] = line
        if test is not None:
            tests.append(test)
    if problems:
        raise BadInput(*problems)
    return Coupons(tests=tuple(tests))


@dataclass
class _Reader(CouponFields):
    """Reads one coupon and keeps every problem on the way."""

    def coupon(self) -> Coupon | None:
        self.problems += (
            misspelt(key, _ALLOWED, f"{self.where}, {key}")
            for key in self.raw
            if key not in _ALLOWED
        )
        name = self.text("name")
        date = self.date()
        alloy = self.text("alloy")
        tool = self.text("tool")
        note = self.text("note", needed=False)
        thickness = self.size("thickness", "length", least=0.0, open_end=True)
        radius = self.size("inside_radius", "length", least=0.0)
        angle = self.size("angle", "angle", least=0.0, open_end=True, most=math.pi)
        reading = Reading(
            length=self.size("reading", "length", least=0.0, open_end=True),
            angle=self.size("angle_reading", "angle", least=0.0, needed=False),
            inside_radius=self.size("radius_reading", "length", least=0.0, needed=False),
            thickness=self.size("thickness_reading", "length", least=0.0, needed=False),
        )
        read = read_alloy(alloy) if alloy else None
        if alloy and read is None:
            self.problem(
                "COUPON-006",
                "alloy",
                f"{alloy!r} isn't written like an alloy and temper",
                "such as 6061-T6, 2024-T3 clad, 5052-H32",
            )
        measured_to = self.measured_to(angle)
        strips = self.strips(angle)
        if self.problems or read is None:
            return None
        test = Coupon(
            name=name,
            date=date,
            alloy=read.base,
            temper=read.temper,
            clad=read.clad,
            thickness=thickness,
            tool=tool,
            inside_radius=radius,
            angle=angle,
            strips=strips,
            reading=reading,
            measured_to=measured_to,
            note=note,
        )
        self.prove(test)
        return None if self.problems else test

    def prove(self, test: Coupon) -> None:
        """Learn from the coupon now, so that what can't be measured is said with its place."""
        try:
            learned = test.learned
        except BlankwrightError as error:
            self.problems += (
                Problem(
                    code=problem.code,
                    where=self.where,
                    got=problem.got,
                    allowed=problem.allowed,
                    fix=problem.fix,
                )
                for problem in error.problems
            )
            return
        for index, k in enumerate(learned.strip_ks, start=1):
            if not 0 <= k <= 1:
                self.problem(
                    "COUPON-009",
                    f"strip {index}",
                    f"k comes out as {k:.3f}, outside the sheet",
                    "0 to 1",
                    "A length was misread, or the inside radius isn't the bend's; measure again",
                )

    def measured_to(self, angle: float) -> DrawnTo:
        text = self.text("measured_to", needed=False)
        if not text:
            return measured_to_for(angle)
        allowed = (DrawnTo.OUTSIDE_MOLD_LINE, DrawnTo.OUTSIDE_OF_BEND)
        for drawn_to in allowed:
            if drawn_to.value == text.casefold():
                return drawn_to
        self.problem(
            "COUPON-008",
            "measured_to",
            f"legs of a strip can't be measured to {text!r}",
            ", ".join(drawn_to.value for drawn_to in allowed),
        )
        return DrawnTo.OUTSIDE_MOLD_LINE

    def strips(self, angle: float) -> tuple[Strip, ...]:
        items = self.raw.get("strips")
        if not isinstance(items, list) or not items:
            self.problem(
                "COUPON-007",
                "strips",
                "no strip is given",
                '{ before = "100 mm", legs = ["52.3 mm", "51.9 mm"] }, one for each strip',
            )
            return ()
        return tuple(
            self.strip(item, f"strip {index}", angle) for index, item in enumerate(items, start=1)
        )

    def strip(self, item: object, key: str, angle: float) -> Strip:
        blank = Strip(before=0.0, legs=(0.0, 0.0), angle=angle)
        if not isinstance(item, dict):
            self.problem("COUPON-008", key, f"{item!r} isn't a strip", ", ".join(_STRIP))
            return blank
        self.problems += (
            misspelt(name, _STRIP, f"{self.where}, {key}") for name in item if name not in _STRIP
        )
        for name in ("before", "legs"):
            if name not in item:
                self.problem("COUPON-007", f"{key}, {name}", "it is missing")
        before = (
            self.quantity(item["before"], f"{key}, before", "length") if "before" in item else 0.0
        )
        legs = item.get("legs", [])
        lengths = [0.0, 0.0]
        if "legs" in item and not (isinstance(legs, list) and len(legs) == 2):
            self.problem("COUPON-008", f"{key}, legs", f"{legs!r} isn't the lengths of two legs")
        elif legs:
            lengths = [self.quantity(leg, f"{key}, legs", "length") for leg in legs]
        if "angle" in item:
            angle = self.quantity(item["angle"], f"{key}, angle", "angle", most=math.pi)
        return Strip(before=before, legs=(lengths[0], lengths[1]), angle=angle)
