"""Vertices and edges of the solid, each made once and shared as the plan says."""

from __future__ import annotations

import math
from dataclasses import dataclass

from OCP.BRep import BRep_Builder
from OCP.Geom import Geom_Circle, Geom_Curve
from OCP.gp import gp_Ax2, gp_Pnt
from OCP.TopAbs import TopAbs_FORWARD, TopAbs_REVERSED
from OCP.TopoDS import TopoDS_Edge, TopoDS_Vertex

from blankwright.develop.cells import Cell, Plan, Side, corner_point
from blankwright.files.kernel.curves import Spline, Wrapped
from blankwright.files.kernel.places import axes_2, cylinder_axes, is_inner, straight, unit_to
from blankwright.geom.edges import Arc, Line
from blankwright.geom.pose import Point3

TOLERANCE = 1e-7
"""The kernel's own: ends nearer than this are one [mm]."""


@dataclass(slots=True)
class MadeEdge:
    """An edge shape, the vertex class it begins at, and its parameter span."""

    shape: TopoDS_Edge
    first: int
    span: tuple[float, float]
    closed: bool
    along: bool
    spline: Spline | None = None


class EdgeMaker:
    """Makes each vertex and edge of a plan when it is first asked for."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.t = plan.thickness
        self.make = BRep_Builder()
        self.points: dict[int, list[Point3]] = {}
        self.vertices: dict[int, TopoDS_Vertex] = {}
        self.made: dict[int, MadeEdge] = {}
        self.posts: dict[tuple[int, int], TopoDS_Edge] = {}
        for cell in plan.cells:
            for side in cell.sides:
                for face in (0, 1):
                    p = corner_point(cell, side.edge.start, face * self.t, self.t)
                    self.points.setdefault(self.vertex_class(side.start, face), []).append(p)

    def vertex_class(self, corner: int, face: int) -> int:
        """Return the class of the vertex at a corner, on the back (0) or the face side (1)."""
        return self.plan.vertices.of(2 * corner + face)

    def vertex(self, number: int) -> TopoDS_Vertex:
        """Return the vertex of a class, its tolerance wide enough for every corner in it."""
        if number not in self.vertices:
            p, *others = self.points[number]
            off = max((math.dist(p, q) for q in others), default=0.0)
            vertex = TopoDS_Vertex()
            self.make.MakeVertex(vertex, gp_Pnt(*p), TOLERANCE + off)
            self.vertices[number] = vertex
        return self.vertices[number]

    def edge(self, cell: Cell, side: Side, face: int) -> MadeEdge | None:
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
            self.made[number] = MadeEdge(shape, first, span, a == b, along, spline)
        return self.made[number]

    def new_edge(
        self, curve: Geom_Curve, span: tuple[float, float], first: int, last: int
    ) -> TopoDS_Edge:
        """Return an edge along a curve from one vertex class to another."""
        edge = TopoDS_Edge()
        self.make.MakeEdge(edge, curve, TOLERANCE)
        self.make.Add(edge, self.vertex(first).Oriented(TopAbs_FORWARD))
        self.make.Add(edge, self.vertex(last).Oriented(TopAbs_REVERSED))
        self.make.Range(edge, *span)
        return edge

    def travels(self, made: MadeEdge, side: Side, face: int) -> bool:
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
