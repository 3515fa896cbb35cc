"""Flats and bends as they lie on the blank."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from blankwright.base.findings import Finding
from blankwright.develop.unfold.flatten import BendFrame, FlatFrame
from blankwright.develop.unfold.graph import Node
from blankwright.develop.unfold.mates import in_plane
from blankwright.develop.unfold.model import CurveKind
from blankwright.geom.pose import Array

AllowanceRule = Callable[[float, float, float], tuple[float, float]]
"""From inside radius [mm], thickness [mm] and angle [rad] to allowance [mm] and k [-]."""


@dataclass(eq=False)
class LaidFlat:
    """A flat on the blank.

    Args:
        name: its name
        frame: where its plane lies on the blank
        node: the flat in the solid; nothing where two bends meet without a flat between
        bend: the bend that carries it; nothing for the root
    """

    name: str
    frame: FlatFrame
    node: Node | None
    bend: LaidBend | None = None
    line: tuple[Array, Array] | None = None


@dataclass(eq=False)
class LaidBend:
    """A bend on the blank, in one or more pieces."""

    name: str
    parent: LaidFlat
    leg: LaidFlat
    frame: BendFrame
    inside_radius: float
    up: bool
    k: float
    width: float
    nodes: list[Node] = field(default_factory=list)


@dataclass(eq=False)
class Laid:
    """All flats and bends on the blank."""

    flats: list[LaidFlat]
    bends: list[LaidBend]
    findings: list[Finding]


def widen(bend: LaidBend, piece: LaidBend) -> None:
    """Take another piece of the same bend in: one strip holds both."""
    f = bend.frame
    shift = float((piece.frame.at - f.at) @ f.x)
    low, high = min(0.0, shift), max(bend.width, shift + piece.width)
    bend.frame = BendFrame(
        f.center + f.along * low,
        f.along,
        f.start,
        f.across,
        f.angle,
        f.allowance,
        f.at + f.x * low,
        f.x,
        f.y,
    )
    bend.width = high - low
    bend.nodes += piece.nodes


def root_frame(root: Node, face_side: int, thickness: float) -> FlatFrame:
    """Return the frame of the root flat of sheet of a `thickness` [mm].

    Where the flat lies square in the solid's own frame, the blank keeps the solid's directions;
    else its x axis runs along the longest straight edge.
    """
    front = root.faces[face_side]
    if front:
        normal, origin = front[0].axis, front[0].origin
    else:
        back = root.faces[1 - face_side][0]
        normal, origin = -back.axis, back.origin - back.axis * thickness
    x = in_plane(normal)
    if float(np.abs(normal).max()) < 1 - 1e-9:
        edges = [e for f in (front or root.faces[1 - face_side]) for e in f.edges]
        straight = [e for e in edges if e.kind is CurveKind.LINE]
        if straight:
            longest = max(straight, key=lambda e: round(math.dist(e.points[0], e.points[-1]), 4))
            d = longest.points[-1] - longest.points[0]
            d = d - (d @ normal) * normal
            d = d / np.linalg.norm(d)
            x = d if float(d @ x) >= 0 else -d
    y = np.cross(normal, x)
    # Seen from the face side, the solid's origin is the blank's.
    return FlatFrame(origin, x, y, np.array((origin @ x, origin @ y)))
