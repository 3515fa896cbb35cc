"""The faces and edges of a solid as plain numbers, however they were read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from enum import Enum
from functools import cached_property

import numpy as np

from blankwright.geom.pose import Array

Direction = Array
"""A unit vector, shape (3,) [-]."""


class SurfaceKind(Enum):
    """What a face lies on."""

    PLANE = "plane"
    CYLINDER = "cylinder"
    CONE = "cone"
    SPHERE = "sphere"
    TORUS = "ring-shaped surface"
    OTHER = "free-form surface"


class CurveKind(Enum):
    """What an edge runs along."""

    LINE = "line"
    CIRCLE = "circle"
    OTHER = "curve"


@dataclass(eq=False)
class SolidEdge:
    """An edge between two faces.

    Args:
        number: its number in the solid
        kind: what it runs along
        points: points along it, both ends among them: shape (n, 3) [mm]
        at: points at shares 0…1 of its parameter, shape (m,) to shape (m, 3) [mm]
        start: number of the vertex at its first point
        end: number of the vertex at its last point
        center: centre of a circle [mm]
        axis: axis of a circle, about which it runs counter-clockwise [-]
        radius: radius of a circle [mm]
        faces: numbers of the faces it bounds, one twice for a seam
    """

    number: int
    kind: CurveKind
    points: Array
    at: Callable[[Array], Array]
    start: int
    end: int
    center: Array = field(default_factory=lambda: np.zeros(3))
    axis: Direction = field(default_factory=lambda: np.zeros(3))
    radius: float = 0.0
    faces: list[int] = field(default_factory=list)

    @property
    def closed(self) -> bool:
        """Whether it ends where it starts."""
        return self.start == self.end

    @property
    def middle(self) -> Array:
        """A point inside it [mm]."""
        result: Array = self.at(np.array([0.5]))[0]
        return result


@dataclass(eq=False)
class SolidFace:
    """A face of a solid.

    Args:
        number: its number in the solid
        kind: what it lies on
        loops: for each wire its edges in order
        area: [mm²]
        origin: a point of the plane, or of the axis [mm]
        axis: outward normal of a plane; axis direction of the other kinds [-]
        radius: of a cylinder [mm]
        half_angle: of a cone [rad]
        outward: 1 where the normal points away from the axis, −1 towards it
        normal: outward normal at a point on the face, shape (3,) to shape (3,)
    """

    number: int
    kind: SurfaceKind
    loops: list[list[SolidEdge]]
    area: float
    origin: Array
    axis: Direction
    normal: Callable[[Array], Array]
    radius: float = 0.0
    half_angle: float = 0.0
    outward: int = 1

    @property
    def edges(self) -> list[SolidEdge]:
        """All edges, a seam once."""
        return list({edge.number: edge for loop in self.loops for edge in loop}.values())

    @property
    def seams(self) -> set[int]:
        """Numbers of the edges that bound the face on both sides."""
        counts: dict[int, int] = {}
        for loop in self.loops:
            for edge in loop:
                counts[edge.number] = counts.get(edge.number, 0) + 1
        return {number for number, n in counts.items() if n > 1}

    @property
    def some_point(self) -> Array:
        """A point on its boundary [mm], for messages."""
        return self.edges[0].middle

    @cached_property
    def spot(self) -> Array:
        """A point amid its boundary [mm], at which distances to other faces are measured.

        The mean: of a plane face it lies in the plane, as the middle of a box would not.
        """
        result: Array = np.concatenate([edge.points for edge in self.edges]).mean(axis=0)
        return result


@dataclass(frozen=True, slots=True, kw_only=True)
class Slack:
    """How true the faces of a solid are taken to be.

    Args:
        same: distances that differ by less are one thickness, one axis, one plane [mm]
        parallel: directions closer than this are one [rad]
        smooth: faces whose normals differ by less at their edge meet smoothly [rad]
        join: ends of neighbouring edges on the blank may be this far apart [mm]
    """

    same: float = 1e-4
    parallel: float = 1e-5
    smooth: float = 2e-3
    join: float = 1e-4


EXACT = Slack()
"""Files that keep all their digits; those with fewer need more, see `unfold.SLACKS`."""


@dataclass(eq=False)
class SolidModel:
    """A solid as faces and edges.

    Args:
        name: what the file calls it, or its number
        faces: all faces
        edges: all edges
        volume: [mm³]; nothing when it is not known
        slack: how true its faces are taken to be
    """

    name: str
    faces: list[SolidFace]
    edges: list[SolidEdge]
    volume: float | None = None
    slack: Slack = EXACT

    def meet_smoothly(self, edge: SolidEdge, a: SolidFace, b: SolidFace) -> bool:
        """Say whether two faces run into one another without a corner."""
        p = edge.middle
        return float(np.linalg.norm(a.normal(p) - b.normal(p))) <= self.slack.smooth

    def neighbours(self, face: SolidFace) -> list[tuple[SolidEdge, SolidFace]]:
        """Return each edge of a face with the face beyond it; seams are left out."""
        result = []
        for edge in face.edges:
            for number in edge.faces:
                if number != face.number:
                    result.append((edge, self.faces[number]))
        return result

    def beyond(self, edge: SolidEdge, face: SolidFace) -> SolidFace:
        """Return the face on the other side of an edge; the same one for a seam."""
        for number in edge.faces:
            if number != face.number:
                return self.faces[number]
        return face


def place_of(p: Array) -> str:
    """Return a place in the solid for a message."""
    return f"({p[0]:.2f}, {p[1]:.2f}, {p[2]:.2f})"
