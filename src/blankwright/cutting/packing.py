"""The packing problem and its answer: blanks on sheets."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Protocol

from blankwright.cutting.stock import StockSheet
from blankwright.geom.move import Move
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

QUARTER_TURNS = (0.0, math.pi / 2, math.pi, 3 * math.pi / 2)
"""Turns that a part without grain may lie at [rad]."""


@dataclass(frozen=True, kw_only=True)
class PackPart:
    """One copy of a blank to be laid on a sheet.

    Args:
        name: part and copy, such as ``tray 2``; no two alike
        region: the blank in its own frame [mm]
        grain: direction of the grain wanted on the blank [rad], or nothing when it is free
        pair: parts with the same word go on one sheet; empty for none
        metal: alloy and thickness that the drawing wants, whatever it is laid on
    """

    name: str
    region: Region
    grain: float | None = None
    pair: str = ""
    metal: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PackSettings:
    """How blanks are laid on sheets.

    Args:
        gap: least distance between two blanks: the cutter's width and some metal [mm]
        margin: least distance between a blank and the sheet's edge [mm]
        clamp_gap: least distance between a blank and a clamp [mm]
        turns: turns that parts without grain may lie at [rad]
        in_openings: whether small parts may lie in the openings of larger ones
        seed: start of the random numbers [-]
        least_offcut: offcuts narrower than this are waste [mm]
        least_area: offcuts smaller than this are waste [mm²]
    """

    gap: float = 6.0
    margin: float = 6.0
    clamp_gap: float = 8.0
    turns: tuple[float, ...] = QUARTER_TURNS
    in_openings: bool = True
    seed: int = 1
    least_offcut: float = 80.0
    least_area: float = 20_000.0


@dataclass(frozen=True, kw_only=True)
class Placement:
    """Where a part lies on a sheet.

    Args:
        part: which
        move: carries the blank's frame onto the sheet's
    """

    part: PackPart
    move: Move

    @property
    def region(self) -> Region:
        """The blank on the sheet [mm]."""
        return self.part.region.moved(self.move)

    def shifted(self, dx: float, dy: float) -> Placement:
        """Return it moved by (dx, dy) [mm]."""
        return replace(self, move=self.move.then(Move.shift(dx, dy)))


@dataclass(frozen=True, kw_only=True)
class PackedSheet:
    """A sheet with the parts laid on it.

    Args:
        sheet: which
        number: which of several alike, from 1 [-]
        placements: parts on it
    """

    sheet: StockSheet
    number: int
    placements: tuple[Placement, ...]

    @property
    def title(self) -> str:
        """Name of the sheet, with its number where there are several alike."""
        return self.sheet.name if self.sheet.count == 1 else f"{self.sheet.name} #{self.number}"

    @property
    def parts_area(self) -> float:
        """Area of the parts on it [mm²]."""
        return sum(placement.part.region.area for placement in self.placements)

    @property
    def use(self) -> float:
        """Share of the sheet that becomes parts [-]."""
        return self.parts_area / self.sheet.area

    @property
    def cost(self) -> float:
        """Price of the sheet [-]."""
        return self.sheet.price


@dataclass(frozen=True, kw_only=True)
class Packing:
    """Parts laid on sheets.

    Args:
        sheets: in the order they are to be cut
        left: parts that found no room
    """

    sheets: tuple[PackedSheet, ...]
    left: tuple[PackPart, ...] = ()

    @property
    def use(self) -> float:
        """Share of all sheets taken that becomes parts [-]."""
        total = sum(packed.sheet.area for packed in self.sheets)
        return sum(packed.parts_area for packed in self.sheets) / total if total else 0.0

    @property
    def merit(self) -> tuple[float, ...]:
        """What makes one packing better than another; smaller is better.

        Parts left over first, then the price of whole sheets, then the area of stock taken, then
        how far along their sheets the parts reach, which says how large the offcuts are.
        """
        new = [packed for packed in self.sheets if not packed.sheet.offcut]
        reach = sum(_reach(packed) for packed in self.sheets)
        return (
            float(sum(part.region.area for part in self.left)),
            round(sum(packed.cost for packed in new), 6),
            float(len(new)),
            round(sum(packed.sheet.area for packed in self.sheets), 3),
            round(reach, 3),
        )


def _reach(packed: PackedSheet) -> float:
    """Return the area of the sheet's box up to the last part [mm²]."""
    x0, y0, _, y1 = packed.sheet.region.box
    far = max((placement.region.box[2] for placement in packed.placements), default=x0)
    return (far - x0) * (y1 - y0)


@dataclass(frozen=True, slots=True, kw_only=True)
class StripItem:
    """A polygon to pack in a strip.

    Args:
        name: which
        corners: of a polygon that holds the part [mm]
        turns: turns it may lie at [rad]
    """

    name: str
    corners: tuple[Point, ...]
    turns: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StripAnswer:
    """Where polygons lie in a strip.

    Args:
        length: length of strip used [mm]
        moves: by name; they carry the polygon as given onto the strip, which begins at (0, 0)
    """

    length: float
    moves: tuple[tuple[str, Move], ...]


class StripPacker(Protocol):
    """Packs polygons in a strip of fixed height and the least length it finds."""

    def __call__(
        self, items: tuple[StripItem, ...], height: float, gap: float, seed: int
    ) -> StripAnswer | None:
        """Pack the items; nothing when it was stopped before it found an answer.

        Args:
            items: what to pack
            height: of the strip [mm]
            gap: least distance between items [mm]
            seed: start of the random numbers [-]
        """
        ...
