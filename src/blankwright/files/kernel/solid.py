"""The formed part as a closed solid of the CAD kernel, its topology built face by face.

Nothing is sewn: vertices and edges are shared as the plan (see `cells`) says, so the shell is
closed by the way it is made. Flats have plane faces, bends cylinders trimmed by exact curves in
(u, v). Rims are planes, cylinders or, where a slanted or round cut crosses a bend, ruled surfaces.
"""

from __future__ import annotations

from dataclasses import dataclass

from OCP.Geom import (
    Geom_CylindricalSurface,
    Geom_Plane,
    Geom_Surface,
)
from OCP.Geom2d import Geom2d_Curve
from OCP.TopAbs import TopAbs_FORWARD, TopAbs_REVERSED
from OCP.TopoDS import (
    TopoDS_Edge,
    TopoDS_Face,
    TopoDS_Shell,
    TopoDS_Solid,
    TopoDS_Wire,
)

from blankwright.base.errors import NotPossible, Problem
from blankwright.develop.cell_plan import plan_of
from blankwright.develop.cells import Cell, Plan, Side, pieces
from blankwright.develop.formed import Formed
from blankwright.files.kernel.curves import line_2d, ruled
from blankwright.files.kernel.edges import TOLERANCE, EdgeMaker, MadeEdge
from blankwright.files.kernel.places import (
    AXIS_STEPS,
    axes_3,
    axis_image,
    cylinder_axes,
    image_on_bend,
    is_inner,
    minus,
    rim_plane,
    unit_to,
)
from blankwright.geom.edges import Arc

FACE_NAMES = ("back", "face")

Step = tuple[TopoDS_Edge, bool]
"""An edge of a wire, and whether it is travelled the way it was made."""


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


class _Maker(EdgeMaker):
    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        self.shell = TopoDS_Shell()
        self.names: list[str] = []

    def solid(self) -> TopoDS_Solid:
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
        self.make.MakeFace(face, surface, TOLERANCE)
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
        self.make.UpdateEdge(edge, curve, face, TOLERANCE)

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
        low: MadeEdge,
        high: MadeEdge,
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
            self.make.UpdateEdge(first, at_end, at_begin, face, TOLERANCE)
        else:
            self.image(first, at_begin, face)
            self.image(last, at_end, face)

    def ruled_rim(
        self,
        cell: Cell,
        side: Side,
        low: MadeEdge,
        high: MadeEdge,
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
                self.make.UpdateEdge(made.shape, TOLERANCE + sag)
        for post, u in ((first, u0), (last, u1)):
            self.image(post, line_2d((u, 0.0), (u, self.t), (0.0, self.t)), face)
