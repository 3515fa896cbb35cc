"""What a shop writes: ``2-7/16 in``, ``0.040"``, ``3' 2-1/2"``, ``45° 30'``.

A number without a unit is never taken for a length or an angle, and what can be read two ways is
refused.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from blankwright.base.errors import Problem
from blankwright.base.units import INCH, RAD_PER_DEGREE

QuantityKind = Literal["length", "angle", "number"]

_LENGTHS: Final[dict[str, Fraction]] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": INCH,
    "inch": INCH,
    "inches": INCH,
    '"': INCH,
    "″": INCH,
    "ft": 12 * INCH,
    "foot": 12 * INCH,
    "feet": 12 * INCH,
    "'": 12 * INCH,
    "′": 12 * INCH,
    "thou": INCH / 1000,
}
_DEGREES: Final[dict[str, Fraction]] = {
    "deg": Fraction(1),
    "degree": Fraction(1),
    "degrees": Fraction(1),
    "°": Fraction(1),
    "min": Fraction(1, 60),
    "arcmin": Fraction(1, 60),
}
_RADIANS: Final = ("rad", "radian", "radians")
_FEET: Final = ("ft", "foot", "feet", "'", "′")
_INCHES: Final = dict.fromkeys(("in", "inch", "inches", '"', "″"), INCH)
_MINUTES: Final = dict.fromkeys(("min", "arcmin", "'", "′"), Fraction(1, 60))
_SECONDS: Final = dict.fromkeys(("sec", "arcsec", '"', "″"), Fraction(1, 3600))

UNIT_WORDS: Final = frozenset(
    word for word in (*_LENGTHS, *_DEGREES, *_RADIANS, "sec", "arcsec") if word.isalpha()
)
"""Words that a size can't be named, because they are units."""

ALLOWED_UNITS: Final = "mm, cm, m, in, ft, thou (0.001 in) for lengths; deg, min, rad for angles"

_AMBIGUOUS: Final = {
    "mil": "is a thousandth of an inch to some and a millimetre to others; write thou or mm",
    "mils": "is a thousandth of an inch to some and a millimetre to others; write thou or mm",
    "ga": "is a gauge number, which differs from metal to metal; write the thickness",
    "gauge": "is a gauge number, which differs from metal to metal; write the thickness",
    "sec": "stands for seconds of angle only after degrees and minutes",
    "arcsec": "stands for seconds of angle only after degrees and minutes",
    "d": "may mean degrees or a diameter; write deg",
    "IN": "is written in small letters: in",
    "MM": "is written in small letters: mm",
    "M": "is written in small letters: m",
}


class BadText(ValueError):
    """A text that can't be read, told without its place: the caller knows that.

    Args:
        code: stable code of the problem
        got: what was found
        allowed: what is allowed there
        fix: what to do
    """

    def __init__(self, code: str, got: str, allowed: str = "", fix: str = "") -> None:
        super().__init__(got)
        self.code = code
        self.got = got
        self.allowed = allowed
        self.fix = fix

    def at(self, where: str) -> Problem:
        """Return the problem at its place."""
        return Problem(
            code=self.code, where=where, got=self.got, allowed=self.allowed, fix=self.fix
        )


@dataclass(frozen=True, slots=True)
class Quantity:
    """A length, an angle or a bare number.

    Args:
        value: in mm, rad or as it is
        kind: which of the three
    """

    value: float
    kind: QuantityKind


_VULGAR: Final = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
_NUMBER: Final = re.compile(
    r"(?P<whole>\d+)(?P<join>-|[ \t]+)(?P<mtop>\d+)/(?P<mbottom>\d+)(?![\d.])"
    r"|(?P<top>\d+)/(?P<bottom>\d+)(?![\d.])"
    r"|(?P<decimal>\d+\.\d*|\.\d+|\d+)",
    re.ASCII,
)
_UNIT: Final = re.compile(r"[^\W\d_]+|°|″|′|''|\"|'")
_GAP: Final = re.compile(r"[ \t]*")
_PLAIN: Final = str.maketrans({"\u00a0": " ", "\u2212": "-", "”": '"', "’": "'"})


def plain(text: str) -> str:
    """Return a text with printed fractions such as ½ spelled out, and odd signs made plain."""
    for sign, spelled in _VULGAR.items():
        if sign in text:
            text = re.sub(rf"(?<=\d){sign}", f"-{spelled}", text).replace(sign, spelled)
    return text.translate(_PLAIN)


def scan_quantity(text: str, at: int = 0) -> tuple[Quantity, int]:
    """Read one number, with its unit or units if there are any, from a place in a text.

    ``2-7/16 in`` (no spaces about the hyphen) and ``1 3/8"`` are mixed numbers; a mixed number
    must have a unit. ``3' 2-1/2"`` and ``45° 30'`` are read as one quantity.

    Args:
        text: made `plain` before
        at: where the number begins [-]

    Returns:
        the quantity, and the place behind it

    Raises:
        BadText: when there is no number, or it can be read two ways
    """
    value, match = _number(text, at)
    end = match.end()
    unit, behind = _unit(text, end)
    if not unit:
        return _bare(text, value, match)
    _refuse_stuck_on(text, at, unit, behind)
    if unit in _LENGTHS:
        length = value * _LENGTHS[unit]
        if unit in _FEET:
            more, behind = _smaller(text, behind, _INCHES, "12 in", 12)
            length += more
        return Quantity(_float(length, text[at:behind]), "length"), behind
    if unit in _RADIANS:
        return Quantity(_float(value, text[at:behind]), "angle"), behind
    angle = value * _DEGREES[unit]
    if unit not in _MINUTES:
        more, after = _smaller(text, behind, _MINUTES, "60 min", 60)
        if after != behind:
            seconds, after = _smaller(text, after, _SECONDS, "60 sec", 60)
            angle += more + seconds
        behind = after
    return Quantity(_float(angle, text[at:behind]) * RAD_PER_DEGREE, "angle"), behind


def read_quantity(text: str) -> Quantity:
    """Read a whole text as one quantity, with an optional sign: ``-1/8 in``, ``90 deg``, ``0.44``.

    Raises:
        BadText: when it is not one
    """
    bare = plain(text).strip()
    sign = -1.0 if bare.startswith("-") else 1.0
    body = bare[1:].lstrip() if bare[:1] in ("-", "+") else bare
    quantity, end = scan_quantity(body)
    rest = body[end:].strip()
    fraction = _NUMBER.fullmatch(body)
    if rest and fraction and fraction["top"]:
        # A bare fraction, which `scan_quantity` leaves to formulas as a division.
        value = Fraction(int(fraction["top"]), int(fraction["bottom"]))
        return Quantity(sign * _float(value, body), "number")
    if rest:
        raise _goes_on(text, body[:end].strip(), rest)
    return Quantity(sign * quantity.value, quantity.kind)


def _goes_on(text: str, begin: str, rest: str) -> BadText:
    word = re.match(r"[^\W\d_]+", rest)
    if word:
        return BadText(
            "QTY-002", f"`{word[0]}` after `{begin}` in `{text}` is no unit", ALLOWED_UNITS
        )
    return BadText(
        "QTY-003",
        f"`{text}` goes on with `{rest}` after `{begin}`",
        "one number with its unit",
        "Write one quantity, such as `2-7/16 in` or `61.9 mm`",
    )


def _bare(text: str, value: Fraction, match: re.Match[str]) -> tuple[Quantity, int]:
    """Return a number that has no unit."""
    if match["whole"]:
        whole, top = match["whole"], f"{match['mtop']}/{match['mbottom']}"
        raise BadText(
            "QTY-004",
            f"`{match[0]}` has no unit: it may be {whole} and {top}, or {whole} less {top}",
            "a mixed number with its unit, such as `2-7/16 in`",
            f"Write the unit, or `({whole} + {top})` or `({whole} - {top})`",
        )
    if match["top"]:
        # A bare fraction is a division, which the formula reads; here it is only its top.
        return Quantity(_float(Fraction(int(match["top"])), match[0]), "number"), match.end("top")
    return Quantity(_float(value, match[0]), "number"), match.end()


def _float(value: Fraction, text: str) -> float:
    try:
        return float(value)
    except OverflowError:
        raise BadText(
            "QTY-003", f"`{text[:40]}…` is too large", "a number that a shop has use for"
        ) from None


def _number(text: str, at: int) -> tuple[Fraction, re.Match[str]]:
    match = _NUMBER.match(text, at)
    if match is None:
        raise BadText(
            "QTY-003",
            f"`{text[at:].strip() or text}` does not begin with a number",
            "a number with its unit, such as `3/32 in` or `1.5 mm`",
        )
    if re.match(r",\d", text[match.end() :]):
        raise BadText(
            "QTY-004",
            f"`{text[at:]}` has a comma in a number, which may be a decimal point or a separator",
            "a point for decimals and no separators, such as `1.5 mm` or `1200 mm`",
        )
    if match["decimal"]:
        return Fraction(match["decimal"].rstrip(".")), match
    mixed = match["whole"] is not None
    top, bottom = (match["mtop"], match["mbottom"]) if mixed else (match["top"], match["bottom"])
    if int(bottom) == 0:
        raise BadText("QTY-003", f"`{match[0]}` divides by zero", "a fraction such as `3/32`")
    part = Fraction(int(top), int(bottom))
    if not mixed:
        return part, match
    if part >= 1:
        raise BadText(
            "QTY-004",
            f"`{match[0]}` has a fraction of one or more, so it is no mixed number",
            "a mixed number such as `2-7/16 in`",
            "If you mean a difference, put spaces about the minus and give both a unit",
        )
    return int(match["whole"]) + part, match


def _unit(text: str, at: int) -> tuple[str, int]:
    gap = _GAP.match(text, at)
    match = _UNIT.match(text, gap.end() if gap else at)
    if match is None:
        return "", at
    word = '"' if match[0] == "''" else match[0]
    if word in _AMBIGUOUS:
        raise BadText("QTY-004", f"`{word}` {_AMBIGUOUS[word]}", ALLOWED_UNITS)
    if word in _LENGTHS or word in _DEGREES or word in _RADIANS:
        return word, match.end()
    return "", at


def _refuse_stuck_on(text: str, at: int, unit: str, behind: int) -> None:
    """Refuse ``3'-2"``: feet and inches to a draughtsman, a difference to anyone else."""
    if unit in _FEET and re.match(r"-\d", text[behind:]):
        raise BadText(
            "QTY-004",
            f"`{text[at:].strip()}` may be feet and inches or a difference",
            "feet and inches with a space between, such as `3' 2-1/2\"`",
            "Put a space in place of the hyphen, or spaces about the minus",
        )


def _smaller(
    text: str, at: int, units: Mapping[str, Fraction], most: str, limit: int
) -> tuple[Fraction, int]:
    """Read inches after feet or minutes after degrees, if they are there."""
    gap = _GAP.match(text, at)
    start = gap.end() if gap else at
    if not _NUMBER.match(text, start):
        return Fraction(0), at
    value, number = _number(text, start)
    gap = _GAP.match(text, number.end())
    match = _UNIT.match(text, gap.end() if gap else number.end())
    word = "" if match is None else '"' if match[0] == "''" else match[0]
    if match is None or word not in units:
        return Fraction(0), at
    if value >= limit:
        raise BadText(
            "QTY-004", f"`{text[start : match.end()]}` after a larger unit", f"less than {most}"
        )
    return value * units[word], match.end()
