"""The bodies of a tool: convex sections that run along x, and how each moves."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from blankwright.bending.convex import convex_pieces
from blankwright.bending.tools import (
    Corners,
    HandBlock,
    LeafBrake,
    PressBrake,
    Tool,
    Vise,
)
from blankwright.geom.pose import Array

_SPAN = math.radians(15)
"""The nose's round is cut into chords of at most this [rad]. They lie inside the nose, so that
sheet wrapped on it is clear of them; the sheet itself keeps everything else off the round."""


_HEM = math.radians(150)
"""A bend through more than this is closed over a plate, not over a block [rad]."""

_RELIEF = math.radians(3)
"""A block's face is planed back by this more than the bend needs [rad]."""


class Role(Enum):
    """How a body moves, and how far it runs along the bend."""

    RUN = "run"
    """Bar, fingers, segments: as long as was set up; lifts."""
    BEAM = "beam"
    """Above the bar, the whole length, or a vise's jaw; lifts with it."""
    BED = "bed"
    """Stays; the whole length, or a vise's fixed jaw and slide."""
    BOARD = "board"
    """Under the sheet, as long as the bar above it; stays."""
    LEAF = "leaf"
    """Swings about the hinge; the whole length."""
    DIE = "die"
    """Of a press brake: the sheet sinks into it."""


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Body:
    """A convex body of a tool, in the tool frame, clamped, the leaf at rest.

    Args:
        name: what it is called in messages
        role: how it moves
        corners: section, counter-clockwise (y, z); shape (n, 2) [mm]
        width: along the bend, its middle at the bend's middle [mm]; endless where not stated
    """

    name: str
    role: Role
    corners: Array
    width: float = math.inf

    def along(self, middle: float) -> tuple[float, float]:
        """Return from where to where it runs [mm].

        Args:
            middle: of the bend, along the tool [mm]
        """
        return (middle - self.width / 2, middle + self.width / 2)


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Bodies:
    """A tool set up for one thickness, radius and allowance.

    Args:
        bodies: its bodies
        hinge: y of the hinge line, on z = 0 [mm]
        lift: how far run and beam lift [mm]
        share: what share of the angle the free side swings: 1, or 1/2 in a V [-]
        opening: of the V [mm]; nought for other tools
    """

    bodies: tuple[Body, ...]
    hinge: float
    lift: float
    share: float = 1.0
    opening: float = 0.0


def bodies_of(tool: Tool, thickness: float, radius: float, angle: float) -> Bodies:
    """Set up a tool.

    The bar is set back from the hinge line by one thickness, so that a bend of 90° lies against
    the leaf (common practice, no source).

    Args:
        tool: the tool
        thickness: of the sheet [mm]
        radius: inside radius while held, which the nose has [mm]
        angle: in the tool [rad]; a block is planed to suit it
    """
    if isinstance(tool, LeafBrake):
        return _leaf_brake(tool, thickness, radius)
    if isinstance(tool, Vise):
        return _vise(tool, thickness, radius)
    if isinstance(tool, HandBlock):
        return _block(tool, thickness, radius, angle)
    if isinstance(tool, PressBrake):
        return _press(tool, thickness)
    raise TypeError(f"no bodies are known for {type(tool).__name__}")


def _leaf_brake(tool: LeafBrake, thickness: float, radius: float) -> Bodies:
    hinge = radius + thickness
    leaf = hinge + tool.leaf_depth
    bodies = [
        *_nosed("bar", Role.RUN, tool.bar, thickness, radius),
        *_above("beam", tool.beam, thickness, radius),
        _box("bed", Role.BED, hinge - tool.bed_depth, hinge, -tool.bed_height, 0.0),
        _box("leaf", Role.LEAF, hinge, leaf, -tool.leaf_thickness, 0.0),
    ]
    return Bodies(bodies=tuple(bodies), hinge=hinge, lift=tool.lift)


def _vise(tool: Vise, thickness: float, radius: float) -> Bodies:
    hinge = radius + thickness
    bar: Corners = (
        (0.0, 0.0),
        (tool.bar_depth, 0.0),
        (tool.bar_depth, tool.bar_thickness),
        (tool.bar_thickness * math.tan(tool.face_back), tool.bar_thickness),
    )
    top = thickness + tool.bar_thickness
    back = -tool.jaw_depth
    face = radius - tool.bar_above
    far = top + tool.jaw_thickness
    bodies = [
        *_nosed("radius bar", Role.RUN, bar, thickness, radius),
        _box("back bar", Role.BOARD, hinge - tool.bar_depth, hinge, -tool.bar_thickness, 0.0),
        _box("jaw", Role.BEAM, back, face, top, far, tool.jaw_width),
        _box(
            "fixed jaw",
            Role.BED,
            back,
            face,
            -tool.bar_thickness - tool.jaw_thickness,
            -tool.bar_thickness,
            tool.jaw_width,
        ),
        _box("slide of the vise", Role.BED, back - 40.0, back, -60.0, 60.0, tool.jaw_width),
    ]
    return Bodies(bodies=tuple(bodies), hinge=hinge, lift=60.0)


def _block(tool: HandBlock, thickness: float, radius: float, angle: float) -> Bodies:
    hinge = radius + thickness
    board = _box("board", Role.BOARD, hinge - tool.block_depth, hinge, -tool.board, 0.0)
    return Bodies(
        bodies=(*_shaped_block(tool, thickness, radius, angle), board), hinge=hinge, lift=300.0
    )


def _shaped_block(tool: HandBlock, thickness: float, radius: float, angle: float) -> list[Body]:
    """Shape the block: its face planed back for the angle; for a hem a plate, or nothing inside."""
    if angle > _HEM:
        tall = 2 * radius
        if tall < 0.3:
            return []
        plate: Corners = ((0.0, 0.0), (tool.block_depth, 0.0), (tool.block_depth, tall))
        return _nosed("plate", Role.RUN, (*plate, (radius, tall)), thickness, radius)
    back = tool.block_height * math.tan(max(0.0, angle - math.pi / 2) + _RELIEF)
    depth = max(tool.block_depth, back + 8.0)
    block: Corners = ((0.0, 0.0), (depth, 0.0), (depth, tool.block_height))
    return _nosed("block", Role.RUN, (*block, (back, tool.block_height)), thickness, radius)


def _press(tool: PressBrake, thickness: float) -> Bodies:
    bodies = [
        *_convex("punch", Role.RUN, [(y, thickness + z) for y, z in tool.punch]),
        *_convex("ram", Role.BEAM, [(y, thickness + z) for y, z in tool.ram]),
    ]
    half, top = tool.opening / 2, tool.die_width / 2
    depth = half  # a V of 90°
    deep = -tool.die_height
    bodies += _convex(
        "die", Role.DIE, [(half, 0.0), (0.0, -depth), (0.0, deep), (top, deep), (top, 0.0)]
    )
    bodies += _convex(
        "die", Role.DIE, [(-half, 0.0), (-top, 0.0), (-top, deep), (0.0, deep), (0.0, -depth)]
    )
    bed = tool.bed_width / 2
    bodies.append(_box("bed", Role.DIE, -bed, bed, deep - 100.0, deep))
    return Bodies(
        bodies=tuple(bodies), hinge=0.0, lift=tool.stroke, share=0.5, opening=tool.opening
    )


def _nosed(name: str, role: Role, section: Corners, thickness: float, radius: float) -> list[Body]:
    """Round the nose of a section given as (back, up) from its sharp front lower corner."""
    points = [(radius - back, thickness + up) for back, up in section[1:]]
    cy, cz = 0.0, thickness + radius
    if radius < 0.05:
        return _convex(name, role, [(0.0, thickness), *points])
    # The front face is the tangent from its upper corner to the round.
    py, pz = points[-1]
    far = math.hypot(py - cy, pz - cz)
    toward = math.atan2(pz - cz, py - cy)
    start = toward - math.acos(min(1.0, radius / far)) if far > radius else 0.0
    start = min(start, math.pi / 2)
    count = max(1, math.ceil((start + math.pi / 2) / _SPAN))
    arc = [
        (
            cy + radius * math.cos(start - (start + math.pi / 2) * i / count),
            cz + radius * math.sin(start - (start + math.pi / 2) * i / count),
        )
        for i in range(count + 1)
    ]
    return _convex(name, role, [*points, *arc])


def _above(name: str, section: Corners, thickness: float, radius: float) -> list[Body]:
    points = [(radius - back, thickness + up) for back, up in section]
    return _convex(name, Role.BEAM, points) if points else []


def _convex(name: str, role: Role, corners: Sequence[tuple[float, float]]) -> list[Body]:
    return [Body(name=name, role=role, corners=piece) for piece in convex_pieces(corners)]


def _box(
    name: str,
    role: Role,
    y0: float,
    y1: float,
    z0: float,
    z1: float,
    width: float = math.inf,
) -> Body:
    corners = np.array([(y0, z0), (y1, z0), (y1, z1), (y0, z1)])
    return Body(name=name, role=role, corners=corners, width=width)
