"""Reading the fields of a table in a shop or rack file, all problems gathered."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from difflib import get_close_matches
from enum import Enum
from typing import Any, TypeVar

from blankwright.base.errors import Problem
from blankwright.base.quantities import BadText, read_quantity

Value = TypeVar("Value")
Choice = TypeVar("Choice", bound=Enum)

_COMPOUND = re.compile(r"\s*([0-9.]+)\s*([a-zA-Z1]+)\s*/\s*([a-zA-Z]+)\s*")
_COUNTED = re.compile(r"\s*([0-9.]+)\s*([a-zA-Z/1]+)\s*")


class Fields:
    """One table being read; each field is taken once, what is left over is misspelt.

    Args:
        raw: the table
        where: how messages call it
        problems: where problems go
        code: their code
    """

    def __init__(self, raw: dict[str, Any], where: str, problems: list[Problem], code: str) -> None:
        self.raw = dict(raw)
        self.where = where
        self.problems = problems
        self.code = code
        self._known: list[str] = []

    def wrong(self, key: str, got: str, allowed: str = "", fix: str = "") -> None:
        """Note a problem with a field."""
        self.problems.append(
            Problem(code=self.code, where=f"{self.where}, {key}", got=got, allowed=allowed, fix=fix)
        )

    def has(self, key: str) -> bool:
        """Say whether a field is there."""
        return key in self.raw

    def take(self, key: str) -> Any:
        """Take a field as it is, or nothing."""
        self._known.append(key)
        return self.raw.pop(key, None)

    def _read(self, key: str, default: Value, read: Callable[[str], Value]) -> Value:
        value = self.take(key)
        if value is None:
            return default
        if not isinstance(value, str):
            self.wrong(key, f"`{value}` is no text", 'a number with its unit, such as "1/8 in"')
            return default
        try:
            return read(value)
        except BadText as error:
            self.wrong(key, error.got, error.allowed, error.fix)
        except ValueError as error:
            self.wrong(key, str(error))
        return default

    def length(self, key: str, default: float, *, least: float = 0.0) -> float:
        """Take a length [mm], such as ``1/8 in``."""
        return self._read(key, default, lambda text: read_length(text, least))

    def length_or_none(self, key: str) -> float | None:
        """Take a length [mm], or nothing when there is none."""
        if not self.has(key):
            self.take(key)
            return None
        return self.length(key, 0.0)

    def lengths(self, key: str, default: Sequence[float], count: int) -> tuple[float, ...]:
        """Take a list of lengths [mm]."""
        value = self.take(key)
        if value is None:
            return tuple(default)
        if not isinstance(value, list) or len(value) != count:
            self.wrong(key, f"`{value}` isn't a list of {count} lengths", '["1220 mm", "24 in"]')
            return tuple(default)
        try:
            return tuple(read_length(str(item), -1e9) for item in value)
        except BadText as error:
            self.wrong(key, error.got, error.allowed, error.fix)
        except ValueError as error:
            self.wrong(key, str(error))
        return tuple(default)

    def angle(self, key: str, default: float) -> float:
        """Take an angle [rad], such as ``3 deg``."""
        return self._read(key, default, _angle)

    def angle_or_none(self, key: str) -> float | None:
        """Take an angle [rad], or nothing when there is none."""
        if not self.has(key):
            self.take(key)
            return None
        return self.angle(key, 0.0)

    def feed(self, key: str, default: float) -> float:
        """Take a feed [mm/min], such as ``1500 mm/min`` or ``60 in/min``."""
        return self._read(key, default, lambda text: _per(text, "min", "60 in/min"))

    def speed_or_none(self, key: str) -> float | None:
        """Take a cutting speed [m/min], such as ``150 m/min`` or ``500 ft/min``, or nothing."""
        if not self.has(key):
            self.take(key)
            return None
        return self._read(key, 0.0, lambda text: _per(text, "min", "150 m/min") / 1000.0)

    def turns(self, key: str, default: float) -> float:
        """Take a spindle speed [1/min], such as ``8000 rpm``."""
        return self._read(
            key, default, lambda text: _counted(text, {"rpm": 1.0, "1/min": 1.0}, "8000 rpm")
        )

    def seconds(self, key: str, default: float) -> float:
        """Take a time [s], such as ``5 s``."""
        return self._read(
            key, default, lambda text: _counted(text, {"s": 1.0, "sec": 1.0, "min": 60.0}, "5 s")
        )

    def text(self, key: str, default: str = "") -> str:
        """Take a text."""
        value = self.take(key)
        if value is None:
            return default
        if not isinstance(value, str):
            self.wrong(key, f"`{value}` is no text", "text in quotes")
            return default
        return value

    def count(self, key: str, default: int, least: int = 0) -> int:
        """Take a whole number."""
        value = self.take(key)
        if value is None:
            return default
        if not isinstance(value, int) or isinstance(value, bool) or value < least:
            self.wrong(key, f"`{value}` is no whole number from {least}", "such as 2")
            return default
        return value

    def money(self, key: str) -> float:
        """Take a price: a bare number in the shop's money."""
        value = self.take(key)
        if value is None:
            return 0.0
        if isinstance(value, bool) or not isinstance(value, int | float) or value < 0:
            self.wrong(key, f"`{value}` is no price", "a number, such as 84.50")
            return 0.0
        return float(value)

    def yes(self, key: str, default: bool) -> bool:
        """Take true or false."""
        value = self.take(key)
        if value is None:
            return default
        if not isinstance(value, bool):
            self.wrong(key, f"`{value}` is neither true nor false", "true or false")
            return default
        return value

    def choice(self, key: str, default: Choice) -> Choice:
        """Take one of several words."""
        text = self.text(key, default.value)
        kind = type(default)
        for item in kind:
            if item.value == text:
                return item
        self.wrong(key, f"`{text}` is none of them", ", ".join(str(item.value) for item in kind))
        return default

    def nothing_left(self) -> None:
        """Note every field that nobody took."""
        for key in self.raw:
            near = get_close_matches(key, self._known, n=1)
            fix = f"Did you mean `{near[0]}`?" if near else "Take it out"
            self.wrong(key, "there is no such field here", ", ".join(sorted(set(self._known))), fix)


def read_length(text: str, least: float = 0.0) -> float:
    """Read a length [mm].

    Raises:
        BadText: when it is none
        ValueError: when it is less than `least` [mm]
    """
    quantity = read_quantity(text)
    if quantity.kind != "length":
        raise ValueError(f"`{text}` is no length with a unit, such as `1/8 in` or `3 mm`")
    if quantity.value < least:
        raise ValueError(f"`{text}` is too small")
    return quantity.value


def _angle(text: str) -> float:
    quantity = read_quantity(text)
    if quantity.kind != "angle":
        raise ValueError(f"`{text}` is no angle with a unit, such as `3 deg`")
    return quantity.value


def _per(text: str, time: str, example: str) -> float:
    match = _COMPOUND.fullmatch(text)
    if match is None or match[3] != time:
        raise ValueError(f"`{text}` is no speed, such as `{example}`")
    return read_length(f"{match[1]} {match[2]}")


def _counted(text: str, units: dict[str, float], example: str) -> float:
    match = _COUNTED.fullmatch(text)
    if match is None or match[2] not in units:
        raise ValueError(f"`{text}` can't be read; write it like `{example}`")
    return float(match[1]) * units[match[2]]
