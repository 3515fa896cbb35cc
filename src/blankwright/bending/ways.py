"""Every way to make every bend: on which tool, which side held, which face up.

Face: the leaf swings up, so the inside of a bend is up: the face side for a bend up, the back for
a bend down. Which side is held leaves no more choice of how the part lies.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from blankwright.bending.lay import Lay
from blankwright.bending.motion import Stroke
from blankwright.bending.pieces import Tree
from blankwright.bending.sections import Bodies, bodies_of
from blankwright.bending.tools import Capacity, HandBlock, PressBrake, Tool
from blankwright.develop.blank import BlankBend

_LINE = 0.05
"""Bends whose tangent lines differ by less than this are on one line [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """What one bend is to be bent to in a tool.

    Args:
        angle: in the tool, before springback [rad]
        radius: inside radius while held [mm]
        source: where springback comes from
    """

    angle: float
    radius: float
    source: str


Aims = Mapping[str, Aim]
"""Aims by the bend's name."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Way:
    """A way to make some bends on one line.

    Args:
        number: its number
        lay: how the part lies
        tool: number of the tool
        nose: nose radius to set [mm]
        need: shortest length of bar that will do [mm]
        stroke: the bend's numbers
        set_up: the tool set up for it
        base: what it costs whatever came before [s]
    """

    number: int
    lay: Lay
    tool: int
    nose: float
    need: float
    stroke: Stroke
    set_up: Bodies
    base: float

    @property
    def mask(self) -> int:
        """Bits of its bends."""
        return self.lay.mask


def groups_of(tree: Tree) -> tuple[tuple[int, ...], ...]:
    """Return single bends, and sets of bends of one flat that lie on one line and are alike."""
    singles = [(j,) for j in range(len(tree.bends))]
    lines: list[list[int]] = []
    for j, bend in enumerate(tree.bends):
        for line in lines:
            if _on_line(tree.bends[line[0]], bend):
                line.append(j)
                break
        else:
            lines.append([j])
    return (*singles, *(tuple(line) for line in lines if len(line) > 1))


def _on_line(a: BlankBend, b: BlankBend) -> bool:
    if a.parent != b.parent or a.up != b.up or bool(a.last) != bool(b.last):
        return False
    if abs(a.angle - b.angle) > 1e-6 or abs(a.inside_radius - b.inside_radius) > 1e-6:
        return False
    if abs(a.allowance - b.allowance) > 1e-6:
        return False
    into = a.place.inverse()
    ends = [into(b.place(p)) for p in ((0.0, 0.0), (b.width, 0.0))]
    return ends[1][0] > ends[0][0] and all(abs(y) < _LINE for _, y in ends)


Refused = Callable[[int, int, str], None]
"""Told bend, tool, and why that tool can't make that bend in any state."""


def ways_of(
    tree: Tree,
    tools: tuple[Tool, ...],
    aims: Aims,
    base_cost: Callable[[Lay, Tool], float],
    ultimate: float,
    refused: Refused | None = None,
) -> tuple[Way, ...]:
    """Return every way that angle, radius, length and capacity of the tools allow.

    Args:
        tree: the part
        tools: the shop's
        aims: what to bend to
        base_cost: cost of a bend in a lay on a tool [s]
        ultimate: tensile strength of the sheet [MPa]
        refused: told what is ruled out
    """
    found: list[Way] = []
    lays = [Lay(tree, group, held) for group in groups_of(tree) for held in (True, False)]
    kept: dict[tuple[int, float, float, float], Bodies] = {}
    for t, tool in enumerate(tools):
        for lay in lays:
            bend = lay.first
            aim = aims[bend.name]
            why = unfit(lay, tool, aim, ultimate)
            if why:
                if refused is not None and lay.parent_held and len(lay.group) == 1:
                    refused(lay.group[0], t, why)
                continue
            nose = tool.radius_for(aim.radius)
            assert nose is not None
            key = (t, tree.blank.thickness, aim.radius, aim.angle)
            if key not in kept:
                kept[key] = bodies_of(tool, tree.blank.thickness, aim.radius, aim.angle)
            set_up = kept[key]
            x0, x1 = lay.stretch
            found.append(
                Way(
                    number=len(found),
                    lay=lay,
                    tool=t,
                    nose=nose,
                    need=max(0.0, x1 - x0 - 2 * tool.short),
                    stroke=Stroke(
                        angle=aim.angle,
                        allowance=bend.allowance,
                        k=bend.k,
                        thickness=tree.blank.thickness,
                        hinge=set_up.hinge,
                        share=set_up.share,
                        opening=set_up.opening,
                    ),
                    set_up=set_up,
                    base=base_cost(lay, tool),
                )
            )
    return tuple(found)


def unfit(lay: Lay, tool: Tool, aim: Aim, ultimate: float) -> str:
    """Say why a tool can't make a bend whatever the part's state; empty when it can."""
    x0, x1 = lay.stretch
    length = x1 - x0
    thickness = lay.tree.blank.thickness
    if aim.angle > tool.most_angle + 1e-9:
        return (
            f"it bends to {math.degrees(tool.most_angle):.0f}° at most, and"
            f" {math.degrees(aim.angle):.1f}° is needed with springback"
        )
    if length - 2 * tool.short > tool.length:
        return f"the bend is {length:.0f} mm long, the tool takes {tool.length:.0f} mm"
    if tool.radius_for(aim.radius) is None:
        near = min(tool.radii, key=lambda r: abs(r - aim.radius))
        return f"no nose of {aim.radius:.2f} mm; the nearest is {near:.2f} mm"
    if isinstance(tool, HandBlock) and thickness > tool.thickest:
        return f"the sheet is {thickness:.2f} mm, {tool.thickest:.2f} mm is the most by hand"
    if tool.capacity is not None:
        load = Capacity(thickness=thickness, length=length, ultimate=ultimate).load
        if load > tool.capacity.load * (1 + 1e-9):
            return (
                f"it needs {load / tool.capacity.load:.2f} times what the tool is rated for"
                " (strength × thickness² × length)"
            )
    if isinstance(tool, PressBrake):
        least = shortest_flange(tool)
        shortest = min(_leg_depth(lay.tree, j) for j in lay.group)
        if shortest < least:
            return (
                f"a leg of {shortest:.1f} mm does not reach the shoulders of the V, {least:.1f} mm"
            )
    return ""


def shortest_flange(tool: PressBrake) -> float:
    """Return the shortest leg, from the bend's middle, that still rests on a V's shoulder [mm].

    Bent to a right angle a leg leaves the shoulder at half the opening, seen at 45°. (Geometry.)
    """
    return tool.opening / 2 * math.sqrt(2)


def _leg_depth(tree: Tree, bend: int) -> float:
    """Return the lesser reach of the flats at a bend from its centre line [mm]."""
    b = tree.bends[bend]
    back = b.place.inverse()
    found = []
    for flat in tree.ends[bend]:
        ys = [back(p)[1] - b.allowance / 2 for p in tree.blank.flats[flat].region.outer.points()]
        found.append(max(abs(min(ys)), abs(max(ys))))
    return min(found)
