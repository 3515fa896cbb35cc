"""What came out of unfolding a solid."""

from __future__ import annotations

from dataclasses import dataclass

from blankwright.base.errors import Problem
from blankwright.base.findings import Finding
from blankwright.develop.blank import Blank
from blankwright.geom.loop import Loop
from blankwright.geom.vec import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Countersink:
    """A countersunk hole, or a hole with a conical chamfer.

    Args:
        center: on the blank [mm]
        hole: diameter of the hole [mm]
        sink: diameter at the sheet's surface [mm]
        angle: angle of the cone, side to side [rad]
        on_face: whether it is sunk from the face side
    """

    center: Point
    hole: float
    sink: float
    angle: float
    on_face: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimple:
    """A dimpled hole. The blank shows the hole as formed; drill it to the dimple die's pilot.

    Args:
        center: on the blank [mm]
        hole: least diameter of the hole as formed [mm]
        outer: diameter where the cone begins, on the side the dimple is pressed from [mm]
        angle: angle of the cone, side to side [rad]
        up: whether it stands out on the face side
    """

    center: Point
    hole: float
    outer: float
    angle: float
    up: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """Something engraved: letters or a shallow pocket, not cut through.

    Args:
        loops: its outlines on the blank [mm]
        depth: [mm]
        on_face: whether it is on the face side
    """

    loops: tuple[Loop, ...]
    depth: float
    on_face: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfolded:
    """A blank that a solid was unfolded into, and what else was seen on it.

    Args:
        name: what the file calls the solid, or its number
        blank: the blank
        countersinks: countersunk holes
        dimples: dimpled holes
        marks: what is engraved
        broken_edges: how many edges are chamfered or rounded in the solid
        findings: what to look at
        copies: how many such solids the file holds
    """

    name: str
    blank: Blank
    countersinks: tuple[Countersink, ...] = ()
    dimples: tuple[Dimple, ...] = ()
    marks: tuple[Mark, ...] = ()
    broken_edges: int = 0
    findings: tuple[Finding, ...] = ()
    copies: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class NotSheet:
    """A solid that is no sheet part, and why.

    Args:
        name: what the file calls it, or its number
        problems: why
        copies: how many such solids the file holds
    """

    name: str
    problems: tuple[Problem, ...]
    copies: int = 1
