"""What a builder types into the book's fields and options: times, days, quantities, lengths."""

from __future__ import annotations

import math
import re
from datetime import datetime

from blankwright.base.quantities import BadText, read_quantity
from blankwright.jobs.book_find import bad_input
from blankwright.jobs.book_measured import Measured


def minutes_of(typed: str) -> int:
    """Return minutes from ``45``, ``1:30``, ``1.5 h`` or ``45 min``; 0 for nothing.

    Raises:
        BadInput: for anything else
    """
    text = typed.strip().lower().replace(",", ".")
    if not text:
        return 0
    if found := re.fullmatch(r"([0-9]{1,6}):([0-5][0-9])", text):
        return int(found[1]) * 60 + int(found[2])
    if found := re.fullmatch(r"([0-9]{1,6}(?:\.[0-9]+)?)\s*(h|hours?|min|minutes?)?", text):
        value = float(found[1])
        return round(value * 60) if (found[2] or "").startswith("h") else round(value)
    raise bad_input("BOOK-081", "time", f"{typed!r} is no time span", "Write 45, 1:30 or 1.5 h")


def number_of(typed: str, what: str, usual: float | None = None) -> float:
    """Return a plain number, with a point or a comma.

    Args:
        typed: as typed
        what: name of the field, for the message
        usual: what nothing typed stands for; without it nothing is refused

    Raises:
        BadInput: when it is no number
    """
    text = typed.strip().replace(",", ".")
    if not text and usual is not None:
        return usual
    try:
        found = float(text)
        if not math.isfinite(found):
            raise ValueError
    except ValueError:
        raise bad_input("BOOK-081", what, f"{typed!r} is no number", "Write a number") from None
    return found


def count_of(typed: str, what: str, usual: int | None = None) -> int:
    """Return a whole number. Raises BadInput when it is none."""
    found = number_of(typed, what, usual)
    if found != int(found):
        raise bad_input("BOOK-081", what, f"{typed!r} is no whole number", "Write a whole number")
    return int(found)


def day_of(typed: str) -> datetime | None:
    """Return a day, or a moment, by the shop's clock; nothing for nothing typed.

    Raises:
        BadInput: when it is no day
    """
    if not typed.strip():
        return None
    try:
        return datetime.fromisoformat(typed.strip()).astimezone()
    except (ValueError, OverflowError):
        raise bad_input(
            "BOOK-081", "day", f"{typed!r} is no day", "Write it as 2026-03-20"
        ) from None


def length_of(typed: str, what: str) -> float | None:
    """Return a length with its unit in mm; nothing for nothing typed.

    Raises:
        BadInput: when it is no length
    """
    if not typed.strip():
        return None
    try:
        read = read_quantity(typed)
    except BadText as error:
        raise bad_input("BOOK-081", what, str(error), "Write it with its unit: 0.072 in") from None
    if read.kind != "length":
        raise bad_input("BOOK-081", what, f"{typed!r} is no length", "Write it as 0.072 in")
    return read.value


def measured_of(typed: str, reason: str = "") -> Measured:
    """Return what was measured, from ``battery-tray.bay_width = 186.4 mm ± 0.3 mm``.

    Before the point stands a part or a place; ``+/-`` does for ``±``.

    Raises:
        BadInput: when it isn't written so
    """
    name, sign, value = typed.partition("=")
    part, dot, size = name.strip().rpartition(".")
    value, _, plus_minus = value.replace("+/-", "±").replace("+-", "±").partition("±")
    if not sign or not dot or not part.strip() or not value.strip():
        raise bad_input(
            "BOOK-081",
            "measured",
            f"{typed!r} is no measurement",
            "Write part.size = value, such as battery-tray.bay_width = 186.4 mm ± 0.3 mm",
        )
    return Measured(
        part=part.strip(),
        size=size.strip(),
        value=value.strip(),
        plus_minus=plus_minus.strip(),
        reason=reason,
    )
