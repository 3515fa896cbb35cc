"""What the solid is sewn from: cells with numbered corners, before any kernel shape is made.

A cell is a flat, or one piece of a bend. Its sides are the edges of its region, cut so that where
two cells meet along a bend tangent line their sides match one to one. Corners are numbered by cell
and place in the loop, not by position, so a loop that touches itself, or a blank that overlaps
itself, still gives faces that meet two and two. A bend with no inside radius has no inside face:
there its inside corners and edges fall together on the axis, and the sides that do are paired.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass, field

from blankwright.develop.formed import BendShape
from blankwright.geom.edges import Edge, Line
from blankwright.geom.move import Move
from blankwright.geom.pose import Point3, Pose


@dataclass
class Side:
    """One edge of a cell, in the cell's own frame, between two corners."""

    number: int
    edge: Edge
    start: int
    end: int
    mate: Side | None = None

    @property
    def is_across(self) -> bool:
        """Whether it runs square to the bend line: x is constant."""
        return isinstance(self.edge, Line) and abs(self.edge.start[0] - self.edge.end[0]) < 1e-9

    @property
    def is_along(self) -> bool:
        """Whether it runs along the bend line: y is constant."""
        return isinstance(self.edge, Line) and abs(self.edge.start[1] - self.edge.end[1]) < 1e-9


@dataclass
class Cell:
    """A flat, or one piece of a bend.

    Args:
        name: the flat's name or the bend's label
        loops: sides in travel order, the metal to the left
        shape: the bend in space; nothing for a plane cell
        pose: carries the cell's frame, z up from the back face, into space
        to_blank: carries the cell's frame onto the blank
    """

    name: str
    loops: list[list[Side]]
    shape: BendShape | None
    pose: Pose
    to_blank: Move
    sharp: bool = False

    @property
    def sides(self) -> Iterable[Side]:
        """All sides."""
        return itertools.chain.from_iterable(self.loops)


@dataclass
class Classes:
    """Numbers sorted into classes that are one thing (union–find)."""

    parent: dict[int, int] = field(default_factory=dict)

    def of(self, n: int) -> int:
        """Return the number that stands for the class of n."""
        root = n
        while (up := self.parent.get(root, root)) != root:
            root = up
        while (up := self.parent.get(n, n)) != root:
            self.parent[n] = root
            n = up
        return root

    def join(self, a: int, b: int) -> None:
        """Make two classes one; the least number stands for it."""
        a, b = self.of(a), self.of(b)
        if a != b:
            self.parent[max(a, b)] = min(a, b)


@dataclass
class Plan:
    """All cells, and which vertices and edges of theirs are one.

    A vertex is ``2·corner + face`` and an edge ``2·side + face``, face 0 for the back, 1 for the
    face side.
    """

    thickness: float
    cells: list[Cell]
    vertices: Classes
    edges: Classes


def pieces(plan: Plan) -> int:
    """Return in how many pieces the metal is that the cells' shared edges hold together."""
    owner = {side.number: i for i, cell in enumerate(plan.cells) for side in cell.sides}
    joined = Classes()
    for i, cell in enumerate(plan.cells):
        for side in cell.sides:
            if side.mate is not None:
                joined.join(i, owner[side.mate.number])
    return len({joined.of(i) for i in range(len(plan.cells))})


def corner_point(cell: Cell, p: tuple[float, float], z: float, thickness: float) -> Point3:
    """Return where a point of a cell's frame is in space [mm]."""
    if cell.shape is None:
        return cell.pose((p[0], p[1], z))
    return cell.pose(cell.shape.local(p[0], p[1], z, thickness))
