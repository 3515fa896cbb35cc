"""What the machine has to do for a sheet job: points to drill or spot, marks, loops to go round."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from blankwright.base.findings import Finding
from blankwright.cutting.job import CutPart, CutSettings, SheetJob
from blankwright.cutting.machine import Cutter, Machine
from blankwright.geom.edges import Line
from blankwright.geom.loop import Loop
from blankwright.geom.vec import Point

SAME_DIAMETER = 0.02
"""A drill and a hole whose diameters differ by less are of one size [mm]: 0.01 mm at the edge."""


TIGHT = 0.004
"""A slot as wide as the cutter is cut by bringing the cutter so much nearer to its walls [mm].

Reliefs of 1/8 in cut by a 1/8 in bit are common, and an exact offset leaves no way into them."""


PEN_DOWN = -0.5
"""How far below the sheet's face a sprung pen is pressed [mm]. Common practice, no source."""


class PointKind(Enum):
    """What is done at a point."""

    DRILL = "drill"
    SPOT = "spot mark"
    BEND_SPOT = "bend mark"


@dataclass(frozen=True, slots=True, kw_only=True)
class PointWork:
    """A hole to drill through, or a mark to drill at later.

    Args:
        part: name of the part
        kind: what is done
        at: where [mm]
        hole: diameter of the hole that it is for [mm]; 0 for none
        cutter: what with
        depth: how deep the cutter's tip goes below the sheet's face [mm]
    """

    part: str
    kind: PointKind
    at: Point
    hole: float
    cutter: Cutter
    depth: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkWork:
    """A line to draw with the pen.

    Args:
        part: name of the part
        line: where [mm]
        cutter: the pen
    """

    part: str
    line: Line
    cutter: Cutter


@dataclass(frozen=True, slots=True, kw_only=True)
class Tab:
    """A bridge left between part and waste.

    Args:
        at: its middle, on the part's edge [mm]
        half: half the length of part's edge that stays uncut [mm]
    """

    at: Point
    half: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A circle in the waste, beside the path, round which the cutter goes down.

    Args:
        at: where it touches the path [mm]
        center: its centre [mm]
    """

    at: Point
    center: Point


@dataclass(frozen=True, kw_only=True)
class Profile:
    """A loop to cut through the sheet.

    Args:
        part: name of the part
        loop: number of the part's loop, 0 for the outside
        outline: that loop [mm]
        path: way of the cutter's centre, closed, in the direction of travel [mm]
        cutter: what with
        tabs: bridges to leave
        entry: where the cutter goes in; nothing to go down along the path
        depth: how deep in other parts' openings the part lies: deeper parts are cut first [-]
    """

    part: str
    loop: int
    outline: Loop
    path: Loop
    cutter: Cutter
    tabs: tuple[Tab, ...] = ()
    entry: Entry | None = None
    depth: int = 0

    @property
    def outside(self) -> bool:
        """Whether it is the outside of the part."""
        return self.loop == 0


@dataclass(frozen=True, kw_only=True)
class Work:
    """All that is to be done.

    Args:
        job: for what
        machine: on what
        settings: how
        points: holes and spot marks
        marks: lines to draw
        profiles: loops to cut
        findings: what can't be done as stated, and what to know
    """

    job: SheetJob
    machine: Machine
    settings: CutSettings
    points: tuple[PointWork, ...]
    marks: tuple[MarkWork, ...]
    profiles: tuple[Profile, ...]
    findings: tuple[Finding, ...]

    @property
    def bottom(self) -> float:
        """Height of the deepest cut, from the sheet's upper face [mm], negative."""
        return -(self.job.sheet.thickness + self.machine.through)

    @property
    def tab_z(self) -> float:
        """Height of the top of a tab, from the sheet's upper face [mm], negative."""
        thickness = self.job.sheet.thickness
        return -(thickness - self.settings.tab_top(thickness))

    def part(self, name: str) -> CutPart:
        """Return a part by name. Raises KeyError."""
        for part in self.job.parts:
            if part.name == name:
                return part
        raise KeyError(name)
