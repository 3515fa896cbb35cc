"""The machine and its cutters, as the shop describes them once."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum


class FileUnits(Enum):
    """Which units the machine file is written in."""

    MM = "mm"
    INCH = "inch"


class Dialect(Enum):
    """Which standard's words the controller knows."""

    RS_274 = "RS-274"
    """G20 inch, G21 millimetre (NIST RS274/NGC)."""
    ISO_6983 = "ISO 6983"
    """G70 inch, G71 millimetre (ISO 6983, DIN 66025)."""


class ToolChange(Enum):
    """How the cutter is changed in the middle of a file."""

    BY_HAND = "by hand"
    """The file stops (M0) and says which cutter to put in."""
    BY_MACHINE = "by machine"
    """The file calls the cutter (T, M6)."""


class CutterKind(Enum):
    """What a cutter does."""

    ROUTER_BIT = "router bit"
    DRILL = "drill"
    SPOT_DRILL = "spot drill"
    PEN = "pen"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutter:
    """One cutter, drill or pen.

    Args:
        number: tool number in the file [-]
        name: as the shop calls it
        kind: what it does
        diameter: cutting diameter [mm]
        flutes: cutting edges [-]
        cut_length: how deep it can cut [mm]
        tip_angle: angle between the edges of a drill's or spot drill's point [rad]
        most_rpm: how fast it may turn [1/min]; 0 when its maker states none
        chip_load: stated feed a tooth [mm], or nothing to follow the table
        surface_speed: stated cutting speed [m/min], or nothing to follow the table
        step: stated depth of one pass [mm], or nothing to follow the table
        source: where the stated values come from
    """

    number: int
    name: str
    kind: CutterKind
    diameter: float
    flutes: int = 1
    cut_length: float = 12.0
    tip_angle: float = math.pi / 2
    most_rpm: float = 0.0
    chip_load: float | None = None
    surface_speed: float | None = None
    step: float | None = None
    source: str = ""

    @property
    def radius(self) -> float:
        """Half its diameter [mm]."""
        return self.diameter / 2

    def radius_at(self, depth: float) -> float:
        """Return how far from its axis it cuts when its tip is at a depth [mm] in the work."""
        if self.kind is CutterKind.PEN or depth <= 0:
            return 0.0
        if self.kind is CutterKind.SPOT_DRILL:
            return min(self.radius, depth * math.tan(self.tip_angle / 2))
        return self.radius

    @property
    def point_length(self) -> float:
        """How far the point of a drill goes on below its full diameter [mm]."""
        if self.kind not in (CutterKind.DRILL, CutterKind.SPOT_DRILL):
            return 0.0
        return self.radius / math.tan(self.tip_angle / 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """A router or mill with three axes.

    Work zero is the lower left corner of the box around the sheet, at the sheet's upper face.

    Args:
        name: as the shop calls it
        travel: how far each axis goes [mm]
        zero: where the work zero lies in that travel, from its lower ends [mm]
        units: units of the file
        dialect: words of the file
        least_rpm: slowest useful spindle speed [1/min]
        most_rpm: fastest spindle speed [1/min]
        most_feed: fastest feed along the sheet [mm/min]
        most_plunge: fastest feed down into the work [mm/min]
        safe_height: height above the sheet that clears everything but clamps stated higher, over
            which it is raised [mm]
        near_height: height above the sheet where a rapid move down ends [mm]
        clear_of_clamps: how far the cutter keeps from clamps, sideways and over them [mm]
        through: how far below the sheet a cut goes [mm]
        board: thickness of the board under the sheet that may be cut into [mm]
        ramp: steepest way down into the work [rad]
        drill_cycles: whether the controller knows G81 and G83
        tool_change: how cutters are changed
        spin_up: time for the spindle to come up to speed [s]
        cutters: what there is to cut with
    """

    name: str
    travel: tuple[float, float, float]
    zero: tuple[float, float, float]
    units: FileUnits = FileUnits.MM
    dialect: Dialect = Dialect.RS_274
    least_rpm: float = 8000.0
    most_rpm: float = 24000.0
    most_feed: float = 2000.0
    most_plunge: float = 300.0
    safe_height: float = 10.0
    near_height: float = 1.0
    clear_of_clamps: float = 2.0
    through: float = 0.3
    board: float = 6.0
    ramp: float = math.radians(3.0)
    drill_cycles: bool = True
    tool_change: ToolChange = ToolChange.BY_HAND
    spin_up: float = 5.0
    cutters: tuple[Cutter, ...] = ()

    def of_kind(self, kind: CutterKind) -> tuple[Cutter, ...]:
        """Return the cutters of one kind, the largest first."""
        found = [cutter for cutter in self.cutters if cutter.kind is kind]
        return tuple(sorted(found, key=lambda cutter: (-cutter.diameter, cutter.number)))

    def cutter(self, number: int) -> Cutter:
        """Return a cutter by its number. Raises KeyError."""
        for cutter in self.cutters:
            if cutter.number == number:
                return cutter
        raise KeyError(number)

    @property
    def reach(self) -> tuple[tuple[float, float], tuple[float, float], tuple[float, float]]:
        """Least and greatest x, y, z that the machine can go to, from work zero [mm]."""
        x, y, z = (
            (-zero, travel - zero) for zero, travel in zip(self.zero, self.travel, strict=True)
        )
        return (x, y, z)
