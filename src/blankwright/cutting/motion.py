"""What a machine file makes the machine do: one motion after another, as a reader finds them."""

from __future__ import annotations

from dataclasses import dataclass

from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.vec import Point

Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """One motion of the cutter's tip.

    Args:
        line: line of the file, 1 for the first [-]
        rapid: whether it is at full speed, out of the work
        edge: its way seen from above, a line of no length for straight up or down [mm]
        z0: height at its start [mm]
        z1: height at its end [mm]; in between it runs evenly
        feed: [mm/min]; 0 for a rapid
        rpm: spindle speed [1/min]; 0 when it stands still
        tool: number of the cutter in the spindle [-]
        drilling: whether a drilling cycle makes it
    """

    line: int
    rapid: bool
    edge: Edge
    z0: float
    z1: float
    feed: float
    rpm: float
    tool: int
    drilling: bool = False

    @property
    def vertical(self) -> bool:
        """Whether it goes straight up or down."""
        return self.edge.length <= 1e-9

    @property
    def low(self) -> float:
        """Its lowest height [mm]."""
        return min(self.z0, self.z1)

    @property
    def high(self) -> float:
        """Its greatest height [mm]."""
        return max(self.z0, self.z1)

    def below(self, z: float) -> Edge | None:
        """Return the part of its way that lies at or below a height [mm], if any does."""
        if self.z0 <= z and self.z1 <= z:
            return self.edge
        if self.z0 > z and self.z1 > z:
            return None
        if self.vertical:
            return self.edge
        t = (z - self.z0) / (self.z1 - self.z0)
        return self.edge.part(t, 1.0) if self.z1 <= z else self.edge.part(0.0, t)


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A cutter put in.

    Args:
        line: line of the file [-]
        tool: number of the cutter [-]
        by_hand: whether the file stops for it (M0), or the machine does it (M6)
        z: height of the tip then [mm]; not a number when the file has not said
    """

    line: int
    tool: int
    by_hand: bool
    z: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SpinUp:
    """A start of the spindle, or a change of its speed.

    Args:
        line: line of the file [-]
        rpm: speed asked for [1/min]
        seconds: how long the file waits after it, before it feeds [s]
    """

    line: int
    rpm: float
    seconds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Replay:
    """All that a file makes the machine do.

    Args:
        motions: in order
        ended: whether the file says that it is at its end
        changes: of cutters, in order
        spin_ups: of the spindle, in order
        still: whether the file itself has stopped the spindle before its end
    """

    motions: tuple[Motion, ...]
    ended: bool
    changes: tuple[Change, ...] = ()
    spin_ups: tuple[SpinUp, ...] = ()
    still: bool = True


def straight(start: Point, end: Point) -> Line:
    """Return a straight way, which may have no length [mm]."""
    return Line(start, end)


def as_arc(edge: Edge) -> Arc | None:
    """Return the edge when it is an arc."""
    return edge if isinstance(edge, Arc) else None
