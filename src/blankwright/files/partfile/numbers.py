"""Quantities of a part file worked out, each kept as typed beside its value."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, Final

from blankwright.base.quantities import BadText, Quantity, QuantityKind
from blankwright.base.units import show_angle, show_mm
from blankwright.files.partfile.problems import Problems
from blankwright.files.partfile.schema import Raw
from blankwright.geom.vec import Point
from blankwright.part.formula import read_formula
from blankwright.part.model import Size, Stated
from blankwright.part.sizes import FindDrill, SizeBroken, drill_diameter, look_up

LONGEST: Final = 100_000.0
"""A length over this is a slip of the pen [mm]."""

_A: Final = {"length": "a length", "angle": "an angle", "number": "a bare number"}


class Numbers:
    """Works out the quantities of one file.

    Every method returns nothing when the quantity is wrong (collected) or hangs on a size that
    is wrong (told at the size).
    """

    def __init__(
        self,
        problems: Problems,
        sizes: Mapping[str, Size],
        broken: frozenset[str],
        find_drill: FindDrill,
    ) -> None:
        self.problems = problems
        self.sizes = sizes
        self.stated: dict[str, Stated] = {}
        self._find = look_up(sizes, broken)
        self._find_drill = find_drill
        self._broken = broken

    def length(
        self, place: str, raw: Raw | None, least: float = -LONGEST, over: float | None = None
    ) -> float | None:
        """Return a length [mm].

        Args:
            place: where it stands
            raw: as typed; nothing gives nothing
            least: least allowed [mm]
            over: it must be more than this [mm]
        """
        value = self._value(place, raw, "length")
        if value is None:
            return None
        if over is not None and value <= over + 1e-9:
            self._out(place, raw, show_mm(value, 3), f"more than {show_mm(over, 0)}")
            return None
        if value < least or abs(value) > LONGEST:
            allowed = f"{show_mm(least, 0)} or more" if value < least else f"at most {LONGEST:g} mm"
            self._out(place, raw, show_mm(value, 3), allowed)
            return None
        return value

    def angle(self, place: str, raw: Raw | None) -> float | None:
        """Return an angle [rad]."""
        return self._value(place, raw, "angle")

    def bend_angle(self, place: str, raw: Raw | None) -> float | None:
        """Return an angle bent through [rad], 1° to 180°."""
        value = self._value(place, raw, "angle")
        if value is not None and not math.radians(1) - 1e-9 <= value <= math.pi + 1e-9:
            self._out(place, raw, show_angle(value), "1° to 180°, bent through from flat")
            return None
        return None if value is None else min(value, math.pi)

    def number(self, place: str, raw: Raw | None, least: float, most: float) -> float | None:
        """Return a bare number [-]."""
        value = self._value(place, raw, "number")
        if value is not None and not least <= value <= most:
            self._out(place, raw, f"{value:g}", f"{least:g} to {most:g}")
            return None
        return value

    def count(self, place: str, raw: Raw | None) -> int | None:
        """Return a whole number, one or more [-]."""
        value = self._value(place, raw, "number")
        if value is None:
            return None
        if abs(value - round(value)) > 1e-9 or round(value) < 1:
            self._out(place, raw, f"{value:g}", "a whole number, 1 or more")
            return None
        return round(value)

    def point(self, place: str, raw: tuple[Raw, Raw] | None) -> Point | None:
        """Return a point of two lengths [mm]."""
        if raw is None:
            return None
        x = self.length(f"{place}[1]", raw[0])
        y = self.length(f"{place}[2]", raw[1])
        return None if x is None or y is None else (x, y)

    def drill(self, place: str, text: str) -> tuple[float, str] | None:
        """Return a drill's diameter [mm] and its name, or those of the size of that name."""
        size = self.sizes.get(text)
        if size is not None:
            if size.kind != "length":
                self.problems.add(
                    "SIZE-005", place, f"size `{text}` is {_A[size.kind]}", "a drill or a length"
                )
                return None
            self.stated[place] = Stated(
                text=text,
                value=size.value,
                kind="length",
                uses=(text,),
                line=self.problems.positions.line(place),
            )
            return size.value, size.text
        if text in self._broken:
            return None
        try:
            diameter = drill_diameter(text, self._find_drill)
        except BadText as error:
            self.problems.add_text(place, error)
            return None
        self.stated[place] = Stated(
            text=text, value=diameter, kind="length", line=self.problems.positions.line(place)
        )
        return diameter, text

    def _value(self, place: str, raw: Raw | None, kind: QuantityKind) -> float | None:
        if raw is None:
            return None
        try:
            quantity, uses = self._work_out(raw)
            if quantity.kind != kind:
                raise _wrong_kind(raw, quantity, kind, bool(uses))
        except SizeBroken:
            return None
        except BadText as error:
            self.problems.add_text(place, error)
            return None
        self.stated[place] = Stated(
            text=str(raw),
            value=quantity.value,
            kind=quantity.kind,
            uses=uses,
            line=self.problems.positions.line(place),
        )
        return quantity.value

    def _work_out(self, raw: Raw) -> tuple[Quantity, tuple[str, ...]]:
        if isinstance(raw, str):
            formula = read_formula(raw)
            return formula.value(self._find), formula.uses
        if not math.isfinite(raw):
            raise BadText("QTY-003", f"`{raw}` is no number", "a number")
        return Quantity(float(raw), "number"), ()

    def _out(self, place: str, raw: Any, value: str, allowed: str) -> None:
        typed = str(raw)
        got = (
            f"`{typed}`"
            if typed.replace(" ", "") == value.replace(" ", "")
            else f"`{typed}` = {value}"
        )
        self.problems.add("PART-015", place, f"{got} is out of range", allowed)


def _wrong_kind(raw: Raw, got: Quantity, wanted: QuantityKind, formula: bool) -> BadText:
    if got.kind == "number" and not formula:
        example = f'"{raw} mm" or "{raw} in"' if wanted == "length" else f'"{raw} deg"'
        return BadText("QTY-001", f"`{raw}` has no unit", _A[wanted], f"Write {example}, in quotes")
    return BadText("SIZE-005", f"`{raw}` is {_A[got.kind]}", _A[wanted])
