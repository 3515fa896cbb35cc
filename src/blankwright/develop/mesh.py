"""The formed part as triangles for viewing, with the place on the blank of every vertex.

A viewer that knows the map can fold the part itself: each vertex keeps its blank coordinates and
its height over the back face. Only pictures are made from these triangles, never files to cut by.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from blankwright.develop.cell_plan import plan_of
from blankwright.develop.cells import Cell, Side
from blankwright.develop.formed import Formed, as_pose
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Edge
from blankwright.geom.pose import Array
from blankwright.geom.triangles import Triangles, triangulate
from blankwright.geom.vec import Point

VIEW_SAG = 0.05
"""How far a chord may stand off its arc in pictures of the part [mm]."""

_CORNER = math.radians(20)
"""Edges that meet at more than this show a line through the thickness [rad]."""

Pairs = NDArray[np.int32]


class MeshKind(Enum):
    """What a mesh shows."""

    FLAT = "flat"
    BEND = "bend"


@dataclass(frozen=True, slots=True, kw_only=True)
class CellMesh:
    """Triangles of one flat or one bend: both faces and the rims.

    Args:
        name: the flat's name or the bend's label
        kind: which of the two
        blank: vertices on the blank, z over the back face: shape (n, 3) [mm]
        blank_normals: outward normals before bending: shape (n, 3) [-]
        points: vertices of the formed part: shape (n, 3) [mm]
        normals: outward normals of the formed part: shape (n, 3) [-]
        triangles: vertex numbers, counter-clockwise from outside: shape (m, 3)
        lines: vertex numbers of the stretches of its sharp edges: shape (k, 2)
    """

    name: str
    kind: MeshKind
    blank: Array
    blank_normals: Array
    points: Array
    normals: Array
    triangles: Triangles
    lines: Pairs


class _Pile:
    """Vertices, triangles and lines of one cell as they come, in the cell's own frame."""

    def __init__(self) -> None:
        self.vertices: list[Array] = []
        self.normals: list[Array] = []
        self.triangles: list[Triangles] = []
        self.lines: list[Pairs] = []
        self.count = 0

    def add(self, vertices: Array, normals: Array, triangles: Triangles, lines: Pairs) -> None:
        self.vertices.append(vertices)
        self.normals.append(normals)
        self.triangles.append(triangles + np.int32(self.count))
        self.lines.append(lines + np.int32(self.count))
        self.count += len(vertices)


def mesh_of(formed: Formed, sag: float = VIEW_SAG) -> tuple[CellMesh, ...]:
    """Return the triangles of a formed part, flats first, bends after them.

    Args:
        formed: the formed part; its state also says how finely bends are cut, so make the mesh
            from the finished part and fold that
        sag: how far a chord may stand off its arc [mm]
    """
    plan = plan_of(formed)
    result = []
    for name, cells in itertools.groupby(plan.cells, key=lambda cell: cell.name):
        pile = _Pile()
        group = list(cells)
        for cell in group:
            _fill(cell, plan.thickness, sag, pile)
        kind = MeshKind.FLAT if name in formed.flats else MeshKind.BEND
        result.append(_finished(formed, group[0], kind, pile))
    return tuple(result)


def _fill(cell: Cell, thickness: float, sag: float, pile: _Pile) -> None:
    cuts = _cuts(cell, thickness, sag)
    loops = [
        [p for side in loop for p in _stretches(side.edge, cuts, sag)[:-1]] for loop in cell.loops
    ]
    corners, triangles = triangulate(loops[0], loops[1:], cuts)
    none = np.empty((0, 2), dtype=np.int32)
    for z, up in ((0.0, -1.0), (thickness, 1.0)):
        normals = np.tile((0.0, 0.0, up), (len(corners), 1))
        vertices = np.column_stack((corners, np.full(len(corners), z)))
        pile.add(vertices, normals, triangles if up > 0 else triangles[:, ::-1], none)
    for loop in cell.loops:
        for side, after in zip(loop, (*loop[1:], loop[0]), strict=True):
            if side.mate is None:
                _fill_rim(side, after, cuts, sag, thickness, pile)


def _cuts(cell: Cell, thickness: float, sag: float) -> list[float]:
    """Return where a bend's strip is cut along its length, so that each band is nearly flat."""
    shape = cell.shape
    if shape is None:
        return []
    outer = shape.inside_radius + thickness
    turn = math.pi / 4 if sag >= outer else min(math.pi / 4, 2 * math.acos(1 - sag / outer))
    n = math.ceil(shape.angle / turn)
    return [shape.bend.allowance * i / n for i in range(1, n)]


def _stretches(edge: Edge, cuts: list[float], sag: float) -> list[Point]:
    """Return points along an edge, both ends among them, also where it crosses the cuts."""
    return [edge.point(t) for t in _shares(edge, cuts, sag)]


def _shares(edge: Edge, cuts: list[float], sag: float) -> list[float]:
    n = edge.chord_count(sag) if isinstance(edge, Arc) else 1
    shares = {i / n for i in range(n + 1)}
    for y in cuts:
        shares.update(t for t in _crossing(edge, y) if 1e-9 < t < 1 - 1e-9)
    return sorted(shares)


def _crossing(edge: Edge, y: float) -> Iterator[float]:
    if isinstance(edge, Arc):
        s = (y - edge.center[1]) / edge.radius
        if abs(s) < 1.0:
            for angle in (math.asin(s), math.pi - math.asin(s)):
                yield edge.share(vec.polar(edge.center, edge.radius, angle))
    elif abs(edge.end[1] - edge.start[1]) > 1e-12:
        yield (y - edge.start[1]) / (edge.end[1] - edge.start[1])


def _fill_rim(
    side: Side, after: Side, cuts: list[float], sag: float, thickness: float, pile: _Pile
) -> None:
    shares = _shares(side.edge, cuts, sag)
    n = len(shares)
    points = np.array([side.edge.point(t) for t in shares])
    travel = np.array([side.edge.direction(t) for t in shares])
    normal = np.column_stack((travel[:, 1], -travel[:, 0], np.zeros(n)))
    vertices = np.concatenate([np.column_stack((points, np.full(n, z))) for z in (0.0, thickness)])
    i = np.arange(n - 1, dtype=np.int32)
    m = np.int32(n)
    triangles = np.concatenate(
        (np.column_stack((i, i + 1, i + 1 + m)), np.column_stack((i, i + 1 + m, i + m)))
    )
    lines = [np.column_stack((i, i + 1)), np.column_stack((i + m, i + 1 + m))]
    turn = vec.dot(side.edge.direction(1.0), after.edge.direction(0.0))
    if after.mate is None and turn < math.cos(_CORNER):
        lines.append(np.array([[n - 1, 2 * n - 1]], dtype=np.int32))
    pile.add(vertices, np.concatenate((normal, normal)), triangles, np.concatenate(lines))


def _finished(formed: Formed, cell: Cell, kind: MeshKind, pile: _Pile) -> CellMesh:
    local, normals = np.concatenate(pile.vertices), np.concatenate(pile.normals)
    to_blank = as_pose(cell.to_blank)
    bent, turned = local, normals
    if cell.shape is not None:
        bent = cell.shape.locals(local, formed.blank.thickness)
        phi = local[:, 1] * (cell.shape.angle / cell.shape.bend.allowance)
        if not cell.shape.bend.up:
            phi = -phi
        cos, sin = np.cos(phi), np.sin(phi)
        turned = np.column_stack(
            (
                normals[:, 0],
                normals[:, 1] * cos - normals[:, 2] * sin,
                normals[:, 1] * sin + normals[:, 2] * cos,
            )
        )
    spin, blank_spin = (np.array((p.x, p.y, p.z)) for p in (cell.pose, to_blank))
    return CellMesh(
        name=cell.name,
        kind=kind,
        blank=to_blank.points(local),
        blank_normals=normals @ blank_spin,
        points=cell.pose.points(bent),
        normals=turned @ spin,
        triangles=np.concatenate(pile.triangles),
        lines=np.concatenate(pile.lines),
    )
