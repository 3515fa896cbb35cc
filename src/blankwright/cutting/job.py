"""What is to be cut out of one sheet, and how the shop wants it cut."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from blankwright.base.tolerance import TOUCH
from blankwright.cutting.stock import StockSheet
from blankwright.develop.blank import Blank
from blankwright.geom.edges import Line
from blankwright.geom.meet import meetings
from blankwright.geom.move import Move
from blankwright.geom.region import Region


class BendLine(Enum):
    """Which line of a bend is marked."""

    CENTER = "center line"
    TANGENT = "bend tangent lines"


class BendMarks(Enum):
    """How the ends of bend lines are marked."""

    NONE = "none"
    PEN = "pen"
    SPOT = "spot"
    """A dimple by the spot drill: on template board only, for in metal it starts cracks."""


@dataclass(frozen=True, kw_only=True)
class CutPart:
    """One blank, or one template, as it lies on the sheet.

    Args:
        name: part and copy, such as ``tray 2``
        region: what is left standing, in the sheet's frame [mm]
        bends: bend strips, where no tab may be [mm]
        bend_lines: lines whose ends are marked, each as long as the metal they cross [mm]
    """

    name: str
    region: Region
    bends: tuple[Region, ...] = ()
    bend_lines: tuple[Line, ...] = ()


@dataclass(frozen=True, kw_only=True)
class SheetJob:
    """All that is cut out of one sheet.

    Args:
        name: what the file is called in comments and messages
        sheet: what it is cut from
        parts: what is cut out of it
    """

    name: str
    sheet: StockSheet
    parts: tuple[CutPart, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CutSettings:
    """How the shop wants it cut.

    Args:
        cutter: number of the router bit for profiles; 0 for the largest that the machine has
        tab_width: metal left between part and waste at a tab's narrowest [mm]
        tab_height: height of a tab above the sheet's lower face [mm]; 0 for the usual
        tab_count: tabs around each part; -1 for the usual number, 0 for none
        loose_size: openings larger than this, either way, keep their waste held by tabs [mm]
        bend_line: which line of a bend is marked
        bend_marks: how
        climb: whether to cut with the feed (the cutter's edge goes into full metal first)
        spot_depth: how deep spot marks go [mm]
    """

    cutter: int = 0
    tab_width: float = 3.0
    tab_height: float = 0.0
    tab_count: int = -1
    loose_size: float = 40.0
    bend_line: BendLine = BendLine.CENTER
    bend_marks: BendMarks = BendMarks.NONE
    climb: bool = True
    spot_depth: float = 0.3

    def tab_top(self, thickness: float) -> float:
        """Return how high tabs stand above the lower face of a sheet [mm]."""
        usual = min(max(0.3 * thickness, 0.25), 2.0)
        return min(self.tab_height or usual, thickness)


def part_of_blank(
    blank: Blank, name: str, place: Move, bend_line: BendLine = BendLine.CENTER
) -> CutPart:
    """Lay a blank on the sheet.

    Args:
        blank: the blank
        name: part and copy
        place: carries the blank onto the sheet
        bend_line: which lines of the bends are to be marked
    """
    region = blank.outline.moved(place)
    lines: list[Line] = []
    for bend in blank.bends:
        wanted = (
            [bend.center_line]
            if bend_line is BendLine.CENTER
            else [bend.parent_tangent, bend.leg_tangent]
        )
        for line in wanted:
            lines.extend(across_metal(line.moved(place), region))
    strips = tuple(piece.moved(place) for bend in blank.bends for piece in bend.regions)
    return CutPart(name=name, region=region, bends=strips, bend_lines=tuple(lines))


def across_metal(line: Line, region: Region) -> Sequence[Line]:
    """Return the line from where it first enters a region to where it last leaves it, if it does.

    Holes that it crosses between do not part it: only its ends are marked.
    """
    shares = [0.0, 1.0]
    for edge in region.edges:
        shares.extend(line.share(p) for p in meetings(line, edge))
    shares = sorted({min(1.0, max(0.0, t)) for t in shares})
    inside = [
        (t0, t1)
        for t0, t1 in itertools.pairwise(shares)
        if (t1 - t0) * line.length > 10 * TOUCH and region.contains(line.point((t0 + t1) / 2))
    ]
    if not inside:
        return ()
    return (line.part(inside[0][0], inside[-1][1]),)
