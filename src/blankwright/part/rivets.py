"""Rivet rows and fields of holes as stated: what is in them, and what they are for."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Fastener(Enum):
    """What holds a row together."""

    SOLID = "solid"
    BLIND = "blind"
    SCREW = "screw"
    """A screw into a plate nut, for panels that come off."""


class HeadStyle(Enum):
    """How the head sits in the outer sheet."""

    PROTRUDING = "protruding"
    COUNTERSUNK = "countersunk"
    DIMPLED = "dimpled"


@dataclass(frozen=True, slots=True, kw_only=True)
class StackSheet:
    """Another sheet that the rivets of a row go through.

    Args:
        thickness: [mm]
        alloy: alloy and temper; empty when not stated
        note: what it is, as typed
    """

    thickness: float
    alloy: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RowLine:
    """One line of holes of a row.

    Args:
        holes: names of its holes, from the left end
        pitches: centre to centre, in order [mm]; one less than the holes, as many on a closed line
        dodged: what it makes room for, such as ``hole drain``
        edge: distance of its line from the edge that it follows [mm]; 0 when it follows none
    """

    holes: tuple[str, ...]
    pitches: tuple[float, ...]
    dodged: tuple[str, ...] = ()
    edge: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RivetRow:
    """A row of rivets or screws, its holes among those of the part.

    Args:
        name: its name; its holes are ``name[1]``, ``name[2]`` …
        flat: name of the flat it is on
        fastener: solid rivet, blind rivet or screw
        size: diameter as tables name it, such as ``1/8``; thread of a screw, such as ``8-32``
        metal: of the fastener, as typed: code or alloy; empty when not stated
        part_number: as the drawing has it, such as ``MS20470AD4-5``; empty when not stated
        head: how the head sits
        head_here: whether the head is in this part; else in the last sheet of the stack
        lines: its lines of holes, the one nearest the edge first
        asked_pitch: pitch asked for [mm], or what the asked count makes
        asked_count: count asked for in a line [-], or 0
        line_distance: from line to line [mm]; 0 with a single line
        stack: the other sheets, the next to this part first
        drill: final drill, as typed or as the handbook has it
        pilot: drill that the blank is drilled with; empty when it is drilled to final size
        nut_holes: holes for the rivets of the plate nuts, where this part carries them
        splice: whether the row is to carry what the sheet carries, by the handbook's tables
        note: as typed
    """

    name: str
    flat: str
    fastener: Fastener
    size: str
    metal: str = ""
    part_number: str = ""
    head: HeadStyle = HeadStyle.PROTRUDING
    head_here: bool = True
    lines: tuple[RowLine, ...] = ()
    asked_pitch: float = 0.0
    asked_count: int = 0
    line_distance: float = 0.0
    stack: tuple[StackSheet, ...] = ()
    drill: str = ""
    pilot: str = ""
    nut_holes: tuple[str, ...] = ()
    splice: bool = False
    note: str = ""

    @property
    def holes(self) -> tuple[str, ...]:
        """Names of all its holes."""
        return tuple(name for line in self.lines for name in line.holes)

    @property
    def count(self) -> int:
        """How many holes it has [-]."""
        return sum(len(line.holes) for line in self.lines)

    @property
    def pitch(self) -> float:
        """Greatest pitch that no detour widened [mm]; 0 for a single hole."""
        pitches = [p for line in self.lines for p in line.pitches]
        return max((p for p in pitches if p <= self.asked_pitch + 1e-6), default=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleField:
    """A field of vent holes, its holes among those of the part.

    Args:
        name: its name; its holes are ``name[1]``, ``name[2]`` …
        flat: name of the flat it is on
        holes: names of its holes
        diameter: of its holes [mm]
        pitch: from hole to hole [mm]
        staggered: whether every second row stands half a pitch aside
        margin: least metal from a hole's edge to the region's edge [mm]
        area: of the region [mm²]
        open_area: share of the region that is open [-]
        open_area_by_cut: the same, found by cutting [-]
        asked_count: count asked for [-], or 0
        asked_open_area: open area asked for [-], or 0
    """

    name: str
    flat: str
    holes: tuple[str, ...]
    diameter: float
    pitch: float
    staggered: bool
    margin: float
    area: float
    open_area: float
    open_area_by_cut: float
    asked_count: int = 0
    asked_open_area: float = 0.0
