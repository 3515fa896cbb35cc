"""Solids of a STEP file as plain faces and edges for `develop.unfold`."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepGProp import BRepGProp
from OCP.BRepTools import BRepTools_WireExplorer
from OCP.GeomAbs import (
    GeomAbs_Circle,
    GeomAbs_Cone,
    GeomAbs_Cylinder,
    GeomAbs_Line,
    GeomAbs_Plane,
    GeomAbs_Sphere,
    GeomAbs_Torus,
)
from OCP.gp import gp_Ax3, gp_Circ, gp_Cylinder, gp_Pln, gp_Pnt, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.ShapeAnalysis import ShapeAnalysis_CanonicalRecognition, ShapeAnalysis_Surface
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_REVERSED, TopAbs_WIRE
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Shape

from blankwright.develop.unfold.model import (
    CurveKind,
    SolidEdge,
    SolidFace,
    SolidModel,
    SurfaceKind,
)
from blankwright.files.kernel.plain_curves import circle_of, is_straight
from blankwright.files.kernel.proof import shapes, volume_in
from blankwright.geom.pose import Array

_RECOGNISED = (1e-4, 1e-3, 5e-3)
"""A free-form face within one of these of a plane or cylinder is one, by the least [mm]."""

_QUICK = 0.002
"""How exact the volume of a solid need be, as a share of it [-]."""

_STEP = 0.2
"""Greatest turn between points taken on a circle [rad]; gaps in a bend are wider than that."""

_OTHER_KINDS = {
    GeomAbs_Cone: SurfaceKind.CONE,
    GeomAbs_Sphere: SurfaceKind.SPHERE,
    GeomAbs_Torus: SurfaceKind.TORUS,
}


def model_of(solid: TopoDS_Shape, name: str) -> SolidModel:
    """Return the faces and edges of a solid."""
    return _Reader(name).model(solid)


class _Reader:
    def __init__(self, name: str) -> None:
        self.name = name
        self.edges: list[SolidEdge] = []
        self.by_hash: dict[int, list[tuple[TopoDS_Shape, SolidEdge]]] = {}
        self.vertices: dict[int, list[tuple[TopoDS_Shape, int]]] = {}
        self.vertex_count = 0
        self.centers: list[Array] = []

    def model(self, solid: TopoDS_Shape) -> SolidModel:
        faces = [
            self.face(i, TopoDS.Face(shape)) for i, shape in enumerate(shapes(solid, TopAbs_FACE))
        ]
        volume = _volume(faces, self.centers)
        if volume is None:
            volume = volume_in(solid, _QUICK)
        return SolidModel(self.name, faces, self.edges, volume)

    def face(self, number: int, shape: TopoDS_Face) -> SolidFace:
        surface = BRepAdaptor_Surface(shape)
        back = shape.Orientation() == TopAbs_REVERSED
        loops = []
        for wire in shapes(shape, TopAbs_WIRE):
            loop = [self.edge(e) for e in _ordered(wire, shape)]
            edges = [edge for edge in loop if edge is not None]
            for edge in edges:
                edge.faces.append(number)
            if edges:
                loops.append(edges)
        properties = GProp_GProps()
        BRepGProp.SurfaceProperties_s(shape, properties)
        area = abs(float(properties.Mass()))
        self.centers.append(_vector(properties.CentreOfMass()))
        kind = surface.GetType()
        plane = surface.Plane() if kind == GeomAbs_Plane else None
        cylinder = surface.Cylinder() if kind == GeomAbs_Cylinder else None
        if plane is None and cylinder is None and kind not in _OTHER_KINDS:
            plane, cylinder = _recognised(shape)
        normal = _normal_by_surface(shape, back)
        if plane is not None:
            axis = _vector(plane.Axis().Direction())
            recognised = kind != GeomAbs_Plane
            if recognised:
                p = loops[0][0].middle
                axis = axis if float(axis @ normal(p)) > 0 else -axis
            elif plane.Position().Direct() == back:
                axis = -axis
            origin = _vector(plane.Location())
            return SolidFace(number, SurfaceKind.PLANE, loops, area, origin, axis, _constant(axis))
        if cylinder is not None:
            axis, origin = _vector(cylinder.Axis().Direction()), _vector(cylinder.Location())
            p = loops[0][0].middle
            if kind == GeomAbs_Cylinder:
                outward = 1 if cylinder.Position().Direct() != back else -1
            else:
                outward = 1 if float(_radial(origin, axis, p) @ normal(p)) > 0 else -1
            return SolidFace(
                number,
                SurfaceKind.CYLINDER,
                loops,
                area,
                origin,
                axis,
                _radial_normal(origin, axis, outward),
                radius=float(cylinder.Radius()),
                outward=outward,
            )
        axis, origin, half = np.array((0.0, 0.0, 1.0)), np.zeros(3), 0.0
        if kind in _OTHER_KINDS:
            axes, half = _axes_of(surface, kind)
            axis, origin = _vector(axes.Direction()), _vector(axes.Location())
        return SolidFace(
            number,
            _OTHER_KINDS.get(kind, SurfaceKind.OTHER),
            loops,
            area,
            origin,
            axis,
            normal,
            half_angle=half,
        )

    def edge(self, shape: TopoDS_Edge) -> SolidEdge | None:
        if BRep_Tool.Degenerated_s(shape):
            return None
        for known, edge in self.by_hash.get(hash(shape), ()):
            if known.IsSame(shape):
                return edge
        made = self.new_edge(shape)
        self.by_hash.setdefault(hash(shape), []).append((shape, made))
        self.edges.append(made)
        return made

    def new_edge(self, shape: TopoDS_Edge) -> SolidEdge:
        curve = BRepAdaptor_Curve(shape)
        t0, t1 = float(curve.FirstParameter()), float(curve.LastParameter())

        at = _along(curve, t0, t1)
        start = self.vertex(TopExp.FirstVertex_s(shape))
        end = self.vertex(TopExp.LastVertex_s(shape))
        kind = curve.GetType()
        number = len(self.edges)
        if kind == GeomAbs_Line:
            return SolidEdge(number, CurveKind.LINE, at(np.array((0.0, 1.0))), at, start, end)
        if kind == GeomAbs_Circle:
            circle = curve.Circle()
            at = _round(circle, t0, t1)
            axis = _vector(circle.Axis().Direction())
            if not circle.Position().Direction().IsEqual(circle.Axis().Direction(), 1e-9):
                axis = -axis
            return SolidEdge(
                number,
                CurveKind.CIRCLE,
                at(np.linspace(0, 1, max(5, math.ceil((t1 - t0) / _STEP) + 1))),
                at,
                start,
                end,
                _vector(circle.Location()),
                axis,
                float(circle.Radius()),
            )
        points = at(np.linspace(0, 1, 33))
        if is_straight(points):
            return SolidEdge(number, CurveKind.LINE, points[[0, -1]], at, start, end)
        round_one = circle_of(points)
        if round_one is not None:
            center, axis, radius = round_one
            return SolidEdge(number, CurveKind.CIRCLE, points, at, start, end, center, axis, radius)
        return SolidEdge(number, CurveKind.OTHER, points, at, start, end)

    def vertex(self, shape: TopoDS_Shape) -> int:
        for known, number in self.vertices.get(hash(shape), ()):
            if known.IsSame(shape):
                return number
        self.vertices.setdefault(hash(shape), []).append((shape, self.vertex_count))
        self.vertex_count += 1
        return self.vertex_count - 1


def _volume(faces: list[SolidFace], centers: list[Array]) -> float | None:
    """Return the volume within plane and cylinder faces, nothing when there are others [mm³].

    By the divergence theorem it is a third of the sum of ∫ r · n dA: for a plane r · n is the same
    all over; for a cylinder of radius ρ about a point o it is o · n + ρ, and the mean of n is where
    the face's centroid lies off the axis, over ρ.
    """
    base, total = centers[0] if centers else np.zeros(3), 0.0
    for face, center in zip(faces, centers, strict=True):
        off = face.origin - base
        if face.kind is SurfaceKind.PLANE:
            total += float(off @ face.axis) * face.area
        elif face.kind is SurfaceKind.CYLINDER:
            side = center - face.origin
            side = side - float(side @ face.axis) * face.axis
            share = float(off @ side) / face.radius + face.radius
            total += face.outward * share * face.area
        else:
            return None
    return total / 3


def _ordered(wire: TopoDS_Shape, face: TopoDS_Face) -> list[TopoDS_Edge]:
    """Return the edges of a wire in order; as they come when the kernel can't walk it."""
    explorer = BRepTools_WireExplorer(TopoDS.Wire(wire), face)
    found = []
    while explorer.More():
        found.append(TopoDS.Edge(explorer.Current()))
        explorer.Next()
    everything = [TopoDS.Edge(e) for e in shapes(wire, TopAbs_EDGE)]
    return found if len(found) == len(everything) else everything


def _recognised(shape: TopoDS_Face) -> tuple[gp_Pln | None, gp_Cylinder | None]:
    """Return the plane or cylinder that a free-form face is, to within `_RECOGNISED`."""
    recognition = ShapeAnalysis_CanonicalRecognition(shape)
    for within in _RECOGNISED:
        plane = gp_Pln()
        if recognition.IsPlane(within, plane):
            return plane, None
        cylinder = gp_Cylinder(gp_Ax3(), 1.0)
        if recognition.IsCylinder(within, cylinder):
            return None, cylinder
    return None, None


def _axes_of(surface: BRepAdaptor_Surface, kind: object) -> tuple[gp_Ax3, float]:
    if kind == GeomAbs_Cone:
        cone = surface.Cone()
        return cone.Position(), float(cone.SemiAngle())
    if kind == GeomAbs_Sphere:
        return surface.Sphere().Position(), 0.0
    return surface.Torus().Position(), 0.0


def _normal_by_surface(shape: TopoDS_Face, back: bool) -> Callable[[Array], Array]:
    surface = BRep_Tool.Surface_s(shape)

    def normal(p: Array) -> Array:
        analysis = ShapeAnalysis_Surface(surface)
        uv = analysis.ValueOfUV(gp_Pnt(float(p[0]), float(p[1]), float(p[2])), 1e-6)
        at, du, dv = gp_Pnt(), gp_Vec(), gp_Vec()
        surface.D1(uv.X(), uv.Y(), at, du, dv)
        n = np.cross(_vector(du), _vector(dv))
        size = float(np.linalg.norm(n))
        if size < 1e-12:
            return np.zeros(3)
        result: Array = n / size * (-1.0 if back else 1.0)
        return result

    return normal


def _along(curve: BRepAdaptor_Curve, t0: float, t1: float) -> Callable[[Array], Array]:
    def at(shares: Array) -> Array:
        points = [curve.Value(t0 + (t1 - t0) * float(share)) for share in shares]
        return np.array([(p.X(), p.Y(), p.Z()) for p in points], dtype=float)

    return at


def _round(circle: gp_Circ, t0: float, t1: float) -> Callable[[Array], Array]:
    place, radius = circle.Position(), circle.Radius()
    center, x, y = (_vector(v) for v in (place.Location(), place.XDirection(), place.YDirection()))

    def at(shares: Array) -> Array:
        t = t0 + (t1 - t0) * shares
        result: Array = center + radius * (np.outer(np.cos(t), x) + np.outer(np.sin(t), y))
        return result

    return at


def _constant(axis: Array) -> Callable[[Array], Array]:
    return lambda p: axis


def _radial(origin: Array, axis: Array, p: Array) -> Array:
    d = p - origin
    d = d - (d @ axis) * axis
    result: Array = d / max(float(np.linalg.norm(d)), math.ulp(1.0))
    return result


def _radial_normal(origin: Array, axis: Array, outward: int) -> Callable[[Array], Array]:
    return lambda p: _radial(origin, axis, p) * outward


def _vector(v: Any) -> Array:
    return np.array((v.X(), v.Y(), v.Z()), dtype=np.float64)
