"""The stock rack: sheets, bars' offcuts and boards, with what a cut must know of them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from blankwright.geom.region import Region


class Material(Enum):
    """What a sheet is made of, as far as a cutter cares."""

    ALUMINIUM = "aluminium"
    STEEL = "steel"
    BOARD = "board"
    """Hardboard, plywood or MDF for templates and form blocks."""
    PLASTIC = "plastic"


WROUGHT_ALUMINIUM = frozenset(
    {"1100", "2014", "2017", "2024", "2117", "3003", "5052", "5056", "5083"}
    | {"6061", "6063", "6082", "7050", "7075"}
)
"""Alloy numbers that name aluminium and nothing else in this trade (AA designations).

Not every number of four digits does: 4130 is a steel. So an alloy that is not here must have its
material stated.
"""


def material_of(alloy: str) -> Material | None:
    """Return the material that an alloy's name stands for, or nothing when it is not known."""
    number = alloy.upper().replace("ALCLAD", "").strip().split("-")[0].strip()
    return Material.ALUMINIUM if number in WROUGHT_ALUMINIUM else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Clamp:
    """A place on a sheet that a clamp, a screw or a hold-down takes up.

    Args:
        name: what it is, such as ``front left clamp``
        region: where, in the sheet's frame [mm]
        height: how far it stands above the sheet [mm]
    """

    name: str
    region: Region
    height: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StockSheet:
    """A sheet, an offcut or a board on the rack, `count` of them alike.

    The sheet's frame has its origin at the lower left corner of the box around it, seen from
    the face side.

    Args:
        name: what is written on it
        alloy: alloy and temper, such as ``6061-T6``; what it is, for a board
        material: for the cutter
        thickness: [mm]
        region: its outline, holes in it too [mm]
        grain: direction of the grain from the x axis [rad], or nothing when it has none
        film: protective film: ``none``, ``face``, ``back`` or ``both``
        price: what one such sheet costs, in the shop's money [-]
        count: how many are there [-]
        offcut: whether it was left over from an earlier cut
        clamps: places to keep free
        note: anything else
    """

    name: str
    alloy: str
    material: Material
    thickness: float
    region: Region
    grain: float | None = None
    film: str = "none"
    price: float = 0.0
    count: int = 1
    offcut: bool = False
    clamps: tuple[Clamp, ...] = ()
    note: str = ""

    @property
    def area(self) -> float:
        """Area of one such sheet [mm²]."""
        return self.region.area

    @property
    def size(self) -> tuple[float, float]:
        """Length along x and y of the box around it [mm]."""
        x0, y0, x1, y1 = self.region.box
        return (x1 - x0, y1 - y0)

    def fits(self, alloy: str, thickness: float) -> bool:
        """Say whether parts of an alloy and temper and a thickness [mm] may be cut from it."""
        same = _plain(self.alloy) == _plain(alloy)
        return same and abs(self.thickness - thickness) <= SAME_THICKNESS


SAME_THICKNESS = 0.005
"""Sheets whose nominal thickness differs by less are one thickness [mm]."""


def _plain(alloy: str) -> str:
    return alloy.upper().replace(" ", "")


def turns_for_grain(part: float | None, sheet: float | None) -> tuple[float, ...] | None:
    """Return the turns [rad] that lay a part's grain along the sheet's, or nothing when free.

    Grain has a direction but no sense, so there are two of them, half a turn apart.

    Args:
        part: direction of the grain wanted on the blank [rad], or nothing
        sheet: direction of the grain on the sheet [rad], or nothing
    """
    if part is None or sheet is None:
        return None
    turn = (sheet - part) % math.pi
    if turn > math.pi - 1e-9:
        turn = 0.0
    return (turn, turn + math.pi)
