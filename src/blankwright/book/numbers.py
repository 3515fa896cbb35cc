"""Part numbers of aircraft hardware standards, in words.

What a number means is from memory (surely, where `sure` says so); the drawing and the standard
sheet decide. Rivets after MS20470 and MS20426: dash numbers as in AC 43.13-1B, Fig. 4-4.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from blankwright.base.errors import BadInput, Problem
from blankwright.base.units import from_inches, inches


@dataclass(frozen=True, slots=True, kw_only=True)
class Meaning:
    """What a part number says.

    Args:
        words: in words
        diameter: of shank or thread [mm], or nothing
        length: of the shank [mm], or nothing
        source: where the reading comes from
        sure: whether the reading was seen in print; the rest is from memory
    """

    words: str
    diameter: float | None = None
    length: float | None = None
    source: str = "from memory"
    sure: bool = False


_RIVET_METAL: Final = {
    "A": "1100",
    "AD": "2117-T4",
    "D": "2017-T4",
    "DD": "2024-T4",
    "B": "5056-H32",
}
_RIVET_HEAD: Final = {
    "MS20470": "rivet, universal head",
    "MS20426": "rivet, 100° countersunk head",
    "AN470": "rivet, universal head",
    "AN426": "rivet, 100° countersunk head",
}
_THREAD: Final = {
    "04": ("4-40", Fraction(112, 1000)),
    "06": ("6-32", Fraction(138, 1000)),
    "08": ("8-32", Fraction(164, 1000)),
    "3": ("10-32", Fraction(190, 1000)),
    "4": ("1/4-28", Fraction(1, 4)),
    "5": ("5/16-24", Fraction(5, 16)),
}
_PLATE_NUT: Final = {
    "MS21047": "plate nut, self-locking, two lugs, fixed",
    "MS21059": "plate nut, self-locking, two lugs, floating",
    "MS21051": "plate nut, self-locking, one lug, fixed",
    "MS21061": "plate nut, self-locking, one lug, floating",
    "MS21069": "plate nut, self-locking, two lugs, small, fixed",
}
_RIVET = re.compile(r"(MS20470|MS20426|AN470|AN426)(AD|DD|A|B|D)(\d{1,2})-(\d{1,2})")
_NUT = re.compile(r"(MS210(?:47|59|51|61|69))-?L?(04|06|08|3|4|5)")
_BOLT = re.compile(r"AN([3-9]|1\d|20)-(\d)(\d)?(A)?|AN([3-9]|1\d|20)-(\d{1,2})(A)?")


def meaning(number: str) -> Meaning | None:
    """Return what a part number says, or nothing for one that isn't known here."""
    plain = number.upper().replace(" ", "")
    if found := _RIVET.fullmatch(plain):
        head, metal, thirty_seconds, sixteenths = found.groups()
        diameter = Fraction(int(thirty_seconds), 32)
        length = Fraction(int(sixteenths), 16)
        return Meaning(
            words=f"{_RIVET_HEAD[head]}, {_RIVET_METAL[metal]}, {diameter} × {mixed(length)} in",
            diameter=from_inches(float(diameter)),
            length=from_inches(float(length)),
            source="AC 43.13-1B Fig. 4-4 (dash numbers); metal letters from memory",
            sure=True,
        )
    if found := _NUT.fullmatch(plain):
        thread, diameter = _THREAD[found.group(2)]
        return Meaning(
            words=f"{_PLATE_NUT[found.group(1)]}, {thread}", diameter=from_inches(float(diameter))
        )
    if found := _BOLT.fullmatch(plain):
        return _bolt(plain)
    return None


def _bolt(plain: str) -> Meaning:
    """AN bolts: diameter in sixteenths (3 is No. 10), length in whole inches and eighths."""
    head, dash = plain.removeprefix("AN").split("-")
    undrilled = dash.endswith("A")
    digits = dash.removesuffix("A")
    inch = Fraction(int(digits[:-1] or 0)) + Fraction(int(digits[-1]), 8)
    diameter = Fraction(190, 1000) if head == "3" else Fraction(int(head), 16)
    size = "No. 10 (3/16 in)" if head == "3" else f"{mixed(diameter)} in"
    shank = "shank undrilled" if undrilled else "shank drilled"
    return Meaning(
        words=f"bolt, hexagon head, {size}, about {mixed(inch)} in long, {shank}",
        diameter=from_inches(float(diameter)),
    )


def rivet_number(
    *, head: str, metal: str, diameter: float, grip: float, round_up: bool = True
) -> str:
    """Return the part number of the solid rivet for a grip.

    Length = grip + 1½ diameters (FAA-H-8083-31; Navy 14018, Fig. 13-43), to the next 1/16 in.

    Args:
        head: ``MS20470`` or ``MS20426``
        metal: ``AD``, ``A``, ``B``, ``D`` or ``DD``
        diameter: nominal [mm]
        grip: total thickness riveted [mm]
        round_up: to the next longer step; else to the nearest

    Raises:
        BadInput: for a head, metal or diameter that has no such number
    """
    steps = inches(diameter) * 32
    if head not in _RIVET_HEAD or metal not in _RIVET_METAL or abs(steps - round(steps)) > 0.01:
        raise BadInput(
            Problem(
                code="BOOK-040",
                where=f"rivet {head} {metal}",
                got=f"no such rivet of {inches(diameter):.4f} in",
                allowed="MS20470, MS20426; A, AD, B, D, DD; diameters in 1/32 in",
            )
        )
    sixteenths = (inches(grip) + 1.5 * round(steps) / 32) * 16
    # A hair under a step is that step: sheet thicknesses are decimal inches.
    dash = math.ceil(sixteenths - 1e-6) if round_up else math.floor(sixteenths + 0.5)
    return f"{head}{metal}{round(steps)}-{dash}"


def mixed(value: Fraction) -> str:
    """Return a fraction as shops write it, such as ``1-1/4``."""
    whole, rest = divmod(value, 1)
    if not rest:
        return str(whole)
    return f"{whole}-{rest}" if whole else str(rest)
