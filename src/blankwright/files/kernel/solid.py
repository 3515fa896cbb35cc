"""The formed part as a closed solid of the CAD kernel, its topology built face by face.

Nothing is sewn: vertices and edges are shared as the plan (see `cells`) says, so the shell is
closed by the way it is made. Flats have plane faces, bends cylinders trimmed by exact curves in
(u, v). Rims are planes, cylinders or, where a slanted or round cut crosses a bend, ruled surfaces.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from OCP.BRep import BRep_Builder
from OCP.Geom import (
    Geom_Circle,
    Geom_Curve,
    Geom_CylindricalSurface,
    Geom_Plane,
    Geom_Surface,
)
from OCP.Geom2d import Geom2d_Curve
from OCP.gp import gp_Ax2, gp_Pnt
from OCP.TopAbs import TopAbs_FORWARD, TopAbs_REVERSED
from OCP.TopoDS import (
    TopoDS_Edge,
    TopoDS_Face,
    TopoDS_Shell,
    TopoDS_Solid,
    TopoDS_Vertex,
    TopoDS_Wire,
)

from blankwright.base.errors import NotPossible, Problem
from blankwright.develop.cell_plan import plan_of
from blankwright.develop.cells import Cell, Plan, Side, corner_point, pieces
from blankwright.develop.formed import Formed
from blankwright.files.kernel.curves import Spline, Wrapped, line_2d, ruled
from blankwright.files.kernel.places import (
    AXIS_STEPS,
    axes_2,
    axes_3,
    axis_image,
    cylinder_axes,
    image_on_bend,
    is_inner,
    minus,
    rim_plane,
    straight,
    unit_to,
)
from blankwright.geom.edges import Arc, Line
from blankwright.geom.pose import Point3

_TOLERANCE = 1e-7

FACE_NAMES = ("back", "face")

Step = tuple[TopoDS_Edge, bool]
"""An edge of a wire, and whether it is travelled the way it was made."""


@dataclass(slots=True)
class _MadeEdge:
    """An edge shape, the vertex class it begins at, and its parameter span."""

    shape: TopoDS_Edge
    first: int
    span: tuple[float, float]
    closed: bool
    along: bool
    spline: Spline | None = None


@dataclass(frozen=True, slots=True)
class SolidPart:
    """A formed part as a solid.

    Args:
        shape: one closed solid [mm]
        faces: name of each face in the order of the shell, such as ``floor back``
    """

    shape: TopoDS_Solid
    faces: tuple[str, ...]


def solid_of(formed: Formed) -> SolidPart:
    """Return the formed part as one solid, at its state of bending.

    Faces come in the order of the plan: cell by cell the back, the face side, then the rims.

    Raises:
        NotPossible: when the metal is not in one piece
    """
    plan = plan_of(formed)
    parts = pieces(plan)
    if parts > 1:
        raise NotPossible(
            Problem(
                code="KERNEL-002",
                where="formed part",
                got=f"the metal is in {parts} pieces, so it is no single solid",
                allowed="flats and bends that hang together",
                fix="Make the cut-out or relief smaller that parts it",
            )
        )
    maker = _Maker(plan)
    return SolidPart(maker.solid(), tuple(maker.names))


class _Maker:
    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.t = plan.thickness
        self.make = BRep_Builder()
        self.points: dict[int, list[Point3]] = {}
        self.vertices: dict[int, TopoDS_Vertex] = {}
        self.made: dict[int, _MadeEdge] = {}
        self.posts: dict[tuple[int, int], TopoDS_Edge] = {}
        self.shell = TopoDS_Shell()
        self.names: list[str] = []

    def solid(self) -> TopoDS_Solid:
        for cell in self.plan.cells:
            for side in cell.sides:
                for face in (0, 1):
                    p = corner_point(cell, side.edge.start, face * self.t, self.t)
                    self.points.setdefault(self.vertex_class(side.start, face), []).append(p)
        self.make.MakeShell(self.shell)
        for cell in self.plan.cells:
            for face in (0, 1):
                if cell.shape is None:
                    self.plane_face(cell, face)
                elif not (cell.sharp and is_inner(cell.shape, face)):
                    self.bend_face(cell, face)
            for side in cell.sides:
                if side.mate is None:
                    self.rim(cell, side)
        self.shell.Closed(True)
        solid = TopoDS_Solid()
        self.make.MakeSolid(solid)
        self.make.Add(solid, self.shell)
        return solid

    # --- vertices and edges

    def vertex_class(self, corner: int, face: int) -> int:
        return self.plan.vertices.of(2 * corner + face)

    def vertex(self, number: int) -> TopoDS_Vertex:
        """Return the vertex of a class, its tolerance wide enough for every corner in it."""
        if number not in self.vertices:
            p, *others = self.points[number]
            off = max((math.dist(p, q) for q in others), default=0.0)
            vertex = TopoDS_Vertex()
            self.make.MakeVertex(vertex, gp_Pnt(*p), _TOLERANCE + off)
            self.vertices[number] = vertex
        return self.vertices[number]

    def edge(self, cell: Cell, side: Side, face: int) -> _MadeEdge | None:
        """Return the edge of a side on the back (0) or the face side (1); nothing if a point."""
        number = self.plan.edges.of(2 * side.number + face)
        if number not in self.made:
            a, b = self.vertex_class(side.start, face), self.vertex_class(side.end, face)
            if a == b and cell.sharp and is_inner(cell.shape, face):
                return None
            along = not (isinstance(side.edge, Arc) and side.edge.sweep < 0)
            curve, span, spline = self.curve(cell, side, face, along)
            first, last = (a, b) if along else (b, a)
            shape = self.new_edge(curve, span, first, last)
            self.made[number] = _MadeEdge(shape, first, span, a == b, along, spline)
        return self.made[number]

    def new_edge(
        self, curve: Geom_Curve, span: tuple[float, float], first: int, last: int
    ) -> TopoDS_Edge:
        edge = TopoDS_Edge()
        self.make.MakeEdge(edge, curve, _TOLERANCE)
        self.make.Add(edge, self.vertex(first).Oriented(TopAbs_FORWARD))
        self.make.Add(edge, self.vertex(last).Oriented(TopAbs_REVERSED))
        self.make.Range(edge, *span)
        return edge

    def travels(self, made: _MadeEdge, side: Side, face: int) -> bool:
        """Say whether a side travels its edge the way it was made."""
        if made.closed:
            return made.along
        return self.vertex_class(side.start, face) == made.first

    def curve(
        self, cell: Cell, side: Side, face: int, along: bool
    ) -> tuple[Geom_Curve, tuple[float, float], Spline | None]:
        """Return the curve in space of a side, with its parameter span."""
        z = face * self.t
        edge = side.edge if along else side.edge.reversed()
        a = corner_point(cell, edge.start, z, self.t)
        b = corner_point(cell, edge.end, z, self.t)
        shape = cell.shape
        if shape is None:
            if isinstance(edge, Line):
                return (*straight(a, b), None)
            center = cell.pose((*edge.center, z))
            circle = Geom_Circle(axes_2(center, cell.pose.z, unit_to(center, a)), edge.radius)
            return circle, (0.0, edge.sweep), None
        if side.is_along or (cell.sharp and is_inner(shape, face)):
            return (*straight(a, b), None)
        wrapped = Wrapped(shape, self.t, edge)
        if side.is_across:
            height = shape.axis_height(self.t)
            center = cell.pose((edge.start[0], 0.0, height))
            axes = cylinder_axes(shape, self.t, edge.start[0])
            (u0, _), (u1, _) = wrapped.uv(edge.start), wrapped.uv(edge.end)
            if u1 < u0:
                # The circle must run the way the edge goes: turn it over, from the far side.
                axes = gp_Ax2(gp_Pnt(*center), axes.Direction().Reversed(), axes.XDirection())
                u0, u1 = -u0, -u1
            else:
                axes = gp_Ax2(gp_Pnt(*center), axes.Direction(), axes.XDirection())
            return Geom_Circle(axes, abs(height - z)), (u0, u1), None
        spline = wrapped.spline(z)
        return spline.curve(), wrapped.span, spline

    def post(self, corner: int) -> TopoDS_Edge:
        """Return the edge through the thickness at a corner, from the back to the face side."""
        ends = (self.vertex_class(corner, 0), self.vertex_class(corner, 1))
        if ends not in self.posts:
            curve, _ = straight(self.points[ends[0]][0], self.points[ends[1]][0])
            self.posts[ends] = self.new_edge(curve, (0.0, self.t), *ends)
        return self.posts[ends]

    # --- faces

    def wire(self, steps: list[Step], flip: bool) -> TopoDS_Wire:
        wire = TopoDS_Wire()
        self.make.MakeWire(wire)
        for edge, forward in reversed(steps) if flip else steps:
            sense = TopAbs_FORWARD if forward != flip else TopAbs_REVERSED
            self.make.Add(wire, edge.Oriented(sense))
        wire.Closed(True)
        return wire

    def face(
        self, name: str, surface: Geom_Surface, loops: list[list[Step]], outward: bool
    ) -> TopoDS_Face:
        """Add a face. Loops run counter-clockwise seen from outside the metal.

        Args:
            name: its name
            surface: the surface
            loops: outer loop and holes
            outward: whether the surface's own normal points out of the metal
        """
        face = TopoDS_Face()
        self.make.MakeFace(face, surface, _TOLERANCE)
        for steps in loops:
            self.make.Add(face, self.wire(steps, flip=not outward))
        if not outward:
            face.Reverse()
        self.make.Add(self.shell, face)
        self.names.append(name)
        return face

    def loops(self, cell: Cell, face: int) -> list[list[Step]]:
        """Return the loops of a cell's back or face side, seen from outside."""
        result = []
        for loop in cell.loops:
            steps: list[Step] = []
            for side in loop:
                made = self.edge(cell, side, face)
                if made is not None:
                    steps.append((made.shape, self.travels(made, side, face)))
            if face == 0:
                steps = [(shape, not forward) for shape, forward in reversed(steps)]
            result.append(steps)
        return result

    def plane_face(self, cell: Cell, face: int) -> None:
        pose = cell.pose
        normal = pose.z if face else minus(pose.z)
        plane = Geom_Plane(axes_3(pose((0.0, 0.0, face * self.t)), normal, pose.x))
        self.face(f"{cell.name} {FACE_NAMES[face]}", plane, self.loops(cell, face), outward=True)

    def bend_face(self, cell: Cell, face: int) -> None:
        shape = cell.shape
        assert shape is not None
        z = face * self.t
        radius = abs(shape.axis_height(self.t) - z)
        surface = Geom_CylindricalSurface(cylinder_axes(shape, self.t, 0.0), radius)
        loops = self.loops(cell, face)
        shown = self.face(
            f"{cell.name} {FACE_NAMES[face]}", surface, loops, outward=not is_inner(shape, face)
        )
        for side in cell.sides:
            made = self.edge(cell, side, face)
            assert made is not None
            forward = self.travels(made, side, face)
            edge = side.edge if forward else side.edge.reversed()
            self.image(made.shape, image_on_bend(shape, self.t, edge, made.span), shown)

    def image(self, edge: TopoDS_Edge, curve: Geom2d_Curve, face: TopoDS_Face) -> None:
        self.make.UpdateEdge(edge, curve, face, _TOLERANCE)

    def rim(self, cell: Cell, side: Side) -> None:
        """Add the face through the thickness along a side."""
        low, high = self.edge(cell, side, 0), self.edge(cell, side, 1)
        start, end = self.post(side.start), self.post(side.end)
        steps: list[Step] = []
        if low is not None:
            steps.append((low.shape, self.travels(low, side, 0)))
        steps.append((end, True))
        if high is not None:
            steps.append((high.shape, not self.travels(high, side, 1)))
        steps.append((start, False))
        if cell.shape is None and isinstance(side.edge, Arc):
            assert low is not None
            assert high is not None
            self.round_rim(cell, side.edge, low, high, (start, end), steps)
        elif cell.shape is None or low is None or high is None or side.is_along or side.is_across:
            self.face(f"{cell.name} rim", rim_plane(cell, side.edge, self.t), [steps], outward=True)
        else:
            self.ruled_rim(cell, side, low, high, (start, end), steps)

    def round_rim(
        self,
        cell: Cell,
        edge: Arc,
        low: _MadeEdge,
        high: _MadeEdge,
        posts: tuple[TopoDS_Edge, TopoDS_Edge],
        steps: list[Step],
    ) -> None:
        ccw = edge.sweep > 0
        center = cell.pose((*edge.center, 0.0))
        begin = cell.pose((*(edge.start if ccw else edge.end), 0.0))
        axes = axes_3(center, cell.pose.z, unit_to(center, begin))
        face = self.face(
            f"{cell.name} rim", Geom_CylindricalSurface(axes, edge.radius), [steps], outward=ccw
        )
        turn = abs(edge.sweep)
        for made, v in ((low, 0.0), (high, self.t)):
            self.image(made.shape, line_2d((0.0, v), (turn, v), (0.0, turn)), face)
        rise = (0.0, self.t)
        at_begin = line_2d((0.0, 0.0), (0.0, self.t), rise)
        at_end = line_2d((turn, 0.0), (turn, self.t), rise)
        first, last = posts if ccw else posts[::-1]
        if first.IsSame(last):
            self.make.UpdateEdge(first, at_end, at_begin, face, _TOLERANCE)
        else:
            self.image(first, at_begin, face)
            self.image(last, at_end, face)

    def ruled_rim(
        self,
        cell: Cell,
        side: Side,
        low: _MadeEdge,
        high: _MadeEdge,
        posts: tuple[TopoDS_Edge, TopoDS_Edge],
        steps: list[Step],
    ) -> None:
        assert cell.shape is not None
        height = cell.shape.axis_height(self.t)
        along = not (isinstance(side.edge, Arc) and side.edge.sweep < 0)
        edge = side.edge if along else side.edge.reversed()
        first, last = posts if along else posts[::-1]
        splines = [made.spline for made in (low, high)]
        curved = next(s for s in splines if s is not None)
        bottom, top = (s or curved.on_axis(cell.pose, height) for s in splines)
        surface = ruled(bottom, top, self.t)
        face = self.face(f"{cell.name} rim", surface, [steps], outward=along)
        u0, u1 = curved.knots[0], curved.knots[-1]
        for made, v, z in ((low, 0.0, 0), (high, self.t, 1)):
            if made.spline is not None:
                image: Geom2d_Curve = line_2d((u0, v), (u1, v), (u0, u1))
            else:
                forward = self.travels(made, side, z) == along
                image = axis_image(edge, (u0, u1), v, made.span, forward)
            self.image(made.shape, image, face)
            if made.spline is None and isinstance(edge, Arc):
                sag = edge.radius * (edge.sweep / AXIS_STEPS) ** 2
                self.make.UpdateEdge(made.shape, _TOLERANCE + sag)
        for post, u in ((first, u0), (last, u1)):
            self.image(post, line_2d((u, 0.0), (u, self.t), (0.0, self.t)), face)
