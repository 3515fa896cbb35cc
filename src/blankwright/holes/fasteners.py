"""What the handbook says of the fastener of a row: hole, length, heads, limits of layout."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from blankwright.base.errors import BlankwrightError
from blankwright.base.units import show_inches
from blankwright.handbook.drills import Drill, find_drill
from blankwright.handbook.edge import (
    Limit,
    edge_distance,
    least_pitch,
    rivet_to_bend,
    transverse_pitch,
)
from blankwright.handbook.fastener_strength import rivet_metal
from blankwright.handbook.rivets import (
    Head,
    RivetLength,
    ShopHead,
    blind_grip,
    diameter_of,
    head,
    hole_for,
    rivet_length,
    shop_head,
)
from blankwright.handbook.screws import PlateNut, plate_nut, screw
from blankwright.part.rivets import Fastener, HeadStyle, RivetRow

Found = TypeVar("Found")

_NUMBER = re.compile(
    r"(?:MS20|AN)(?P<head>426|470)(?P<metal>[A-Z]{1,2})(?P<diameter>\d+)-(?P<length>\d+)"
)
"""Part number of a solid rivet: 100° or universal head, metal, diameter in 1/32 in, length in
1/16 in. AC 43.13-1B Fig. 4-4."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleSize:
    """The finished hole of a fastener.

    Args:
        drill: to finish with
        least: smallest good hole [mm]
        most: largest good hole [mm]; equal to `least` where no limits are printed
        source: where it comes from
    """

    drill: Drill
    least: float
    most: float
    source: str

    @property
    def has_limits(self) -> bool:
        """Whether smallest and largest are printed."""
        return self.most > self.least


@dataclass(frozen=True, slots=True, kw_only=True)
class FastenerFacts:
    """What goes into one hole of a row.

    Args:
        diameter: nominal [mm]
        grip: thickness of all sheets [mm]
        hole: finished hole; nothing where no table has one
        length: of a solid rivet, or nothing
        shop: shop head of a solid rivet, or nothing
        head: manufactured head of a solid rivet, or nothing
        grip_code: of a blind rivet, or empty
        nut: plate nut of a screw, or nothing
        sources: where they come from
        missing: what no table has, in words
        number: part number; empty where neither it nor the metal is stated
        number_stated: whether it is the part file's own
    """

    diameter: float
    grip: float
    hole: HoleSize | None = None
    length: RivetLength | None = None
    shop: ShopHead | None = None
    head: Head | None = None
    grip_code: str = ""
    nut: PlateNut | None = None
    sources: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    number: str = ""
    number_stated: bool = False

    @property
    def buy(self) -> str:
        """What to take from the bin: the part number, else the trade's dash numbers."""
        if self.length is not None and not (self.number and self.number_stated):
            dashes = f"-{self.length.diameter_dash}-{self.length.dash}"
            return f"{self.number or dashes} ({show_inches(self.length.length, 4)} long)"
        if self.number:
            return f"{self.number}, grip {self.grip_code}" if self.grip_code else self.number
        return f"grip {self.grip_code}" if self.grip_code else ""


def nominal_diameter(fastener: Fastener, size: str) -> float:
    """Return the nominal diameter of a rivet or screw [mm].

    Raises:
        BadInput: when no table has it
    """
    return screw(size).body if fastener is Fastener.SCREW else diameter_of(size)


def finished_hole(fastener: Fastener, size: str, drill: str = "") -> HoleSize:
    """Return the finished hole of a rivet or screw.

    Args:
        fastener: kind
        size: diameter or thread
        drill: stated by the builder in place of the handbook's; empty for that

    Raises:
        BadInput: when no table has it
    """
    if fastener is Fastener.SCREW:
        found = screw(size)
        # A clearance hole has no upper limit of its own: the drill is all that is printed.
        hole = HoleSize(
            drill=found.free,
            least=found.free.diameter,
            most=found.free.diameter,
            source=found.source,
        )
    else:
        printed = hole_for(size, "solid" if fastener is Fastener.SOLID else "blind")
        hole = HoleSize(
            drill=printed.drill, least=printed.least, most=printed.most, source=printed.source
        )
    if not drill:
        return hole
    stated = find_drill(drill)
    return HoleSize(drill=stated, least=hole.least, most=hole.most, source="part file")


def facts_of(row: RivetRow, thickness: float) -> FastenerFacts:
    """Return what the handbook says of a row's fastener.

    Args:
        row: the row
        thickness: of the part's own sheet [mm]
    """
    grip = thickness + sum(sheet.thickness for sheet in row.stack)
    sources: list[str] = []
    missing: list[str] = []

    def ask(what: str, call: Callable[[], Found]) -> Found | None:
        try:
            found = call()
        except BlankwrightError as error:
            missing.append(f"{what}: {error.problems[0].got}")
            return None
        source = found[1] if isinstance(found, tuple) else str(found.source)  # type: ignore[attr-defined]
        if source not in sources:
            sources.append(source)
        return found

    hole = ask("hole", lambda: finished_hole(row.fastener, row.size, row.drill))
    length = shop = made = nut = None
    code = ""
    if row.fastener is Fastener.SOLID:
        length = ask("length", lambda: rivet_length(row.size, grip))
        shop = ask("shop head", lambda: shop_head(row.size))
        if row.head is HeadStyle.PROTRUDING:
            made = ask("head", lambda: head(row.size, "universal"))
        else:
            made = ask("head", lambda: head(row.size, "100°"))
    elif row.fastener is Fastener.BLIND:
        found = ask("grip code", lambda: blind_grip(row.size, grip))
        code = found[0] if found else ""
    else:
        nut = ask("plate nut", lambda: plate_nut(row.size))
    return FastenerFacts(
        diameter=nominal_diameter(row.fastener, row.size),
        grip=grip,
        hole=hole,
        length=length,
        shop=shop,
        head=made,
        grip_code=code,
        nut=nut,
        sources=tuple(sources),
        missing=tuple(missing),
        number=row.part_number or (rivet_number(row, length, metal_of(row)) if length else ""),
        number_stated=bool(row.part_number),
    )


def metal_of(row: RivetRow) -> str:
    """Return the metal of a row's fastener as stated, or as its part number has it; or empty."""
    if row.metal or row.fastener is not Fastener.SOLID:
        return row.metal
    read = _NUMBER.fullmatch(row.part_number.strip().upper())
    return read["metal"] if read else ""


def rivet_number(row: RivetRow, length: RivetLength, metal: str) -> str:
    """Return a solid rivet's part number, such as ``MS20470AD4-5``; empty for a metal not known.

    Args:
        row: the row
        length: of its rivet
        metal: code or alloy
    """
    known = rivet_metal(metal) if metal else None
    if known is None:
        return ""
    head_of = "MS20470" if row.head is HeadStyle.PROTRUDING else "MS20426"
    return f"{head_of}{known.code}{length.diameter_dash}-{length.dash}"


def number_at_odds(row: RivetRow, facts: FastenerFacts) -> str:
    """Return how a stated part number and the row disagree, in words; empty when they don't."""
    read = _NUMBER.fullmatch(row.part_number.strip().upper())
    if read is None or facts.length is None or row.fastener is not Fastener.SOLID:
        return ""
    flush = row.head is not HeadStyle.PROTRUDING
    stated = rivet_metal(row.metal) if row.metal else None
    odd = [
        words
        for wrong, words in (
            (
                int(read["diameter"]) != facts.length.diameter_dash,
                f"a diameter of {read['diameter']}/32 in for a rivet of {row.size} in",
            ),
            (
                int(read["length"]) != facts.length.dash,
                f"a length of -{read['length']} where the grip asks for -{facts.length.dash}",
            ),
            ((read["head"] == "426") != flush, f"another head than {row.head.value}"),
            (
                stated is not None and stated.code != read["metal"],
                f"{read['metal']} where the row says {row.metal}",
            ),
        )
        if wrong
    ]
    return " and ".join(odd)


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutLimits:
    """Limits of layout for a row, all from hole centres.

    Args:
        edge: least edge distance
        pitch: least pitch
        line: least distance of lines; hangs on the pitch
        bend: least distance to a bend tangent line
    """

    edge: Limit
    pitch: Limit
    line: Limit
    bend: Limit


def limits_of(diameter: float, head_style: HeadStyle, pitch: float = 0.0) -> LayoutLimits:
    """Return the limits of layout for a fastener.

    Args:
        diameter: nominal [mm]
        head_style: countersunk and dimpled want more edge, dimpled more room to bends
        pitch: in the row [mm], for the distance of lines
    """
    return LayoutLimits(
        edge=edge_distance(diameter, head_style is not HeadStyle.PROTRUDING),
        pitch=least_pitch(diameter),
        line=transverse_pitch(diameter, pitch),
        bend=rivet_to_bend(diameter, head_style is HeadStyle.DIMPLED),
    )
