"""Solids made straight with the CAD kernel, not through our own formed parts.

Sections are extruded, plates fused and filleted, holes bored: the way other programs build parts.
"""

from __future__ import annotations

import math

from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakePolygon,
    BRepBuilderAPI_MakeWire,
    BRepBuilderAPI_NurbsConvert,
    BRepBuilderAPI_Transform,
)
from OCP.BRepFilletAPI import BRepFilletAPI_MakeChamfer, BRepFilletAPI_MakeFillet
from OCP.BRepPrimAPI import (
    BRepPrimAPI_MakeBox,
    BRepPrimAPI_MakeCone,
    BRepPrimAPI_MakeCylinder,
    BRepPrimAPI_MakePrism,
    BRepPrimAPI_MakeRevol,
)
from OCP.GC import GC_MakeArcOfCircle
from OCP.gp import gp_Ax1, gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain
from OCP.TopAbs import TopAbs_EDGE, TopAbs_SOLID
from OCP.TopoDS import TopoDS, TopoDS_Shape

from blankwright.files.kernel.proof import shapes


def box(x0, y0, z0, x1, y1, z1) -> TopoDS_Shape:
    return BRepPrimAPI_MakeBox(gp_Pnt(x0, y0, z0), gp_Pnt(x1, y1, z1)).Shape()


def prism(points, height, toward=(0, 0, 1)) -> TopoDS_Shape:
    """Extrude a polygon of space points."""
    polygon = BRepBuilderAPI_MakePolygon()
    for p in points:
        polygon.Add(gp_Pnt(*p))
    polygon.Close()
    face = BRepBuilderAPI_MakeFace(polygon.Wire()).Face()
    return BRepPrimAPI_MakePrism(face, gp_Vec(*[height * v for v in toward])).Shape()


def rod(x, y, z, radius, length, toward=(0, 0, 1)) -> TopoDS_Shape:
    axes = gp_Ax2(gp_Pnt(x, y, z), gp_Dir(*toward))
    return BRepPrimAPI_MakeCylinder(axes, radius, length).Shape()


def cone(x, y, z, r0, r1, length, toward=(0, 0, 1)) -> TopoDS_Shape:
    axes = gp_Ax2(gp_Pnt(x, y, z), gp_Dir(*toward))
    return BRepPrimAPI_MakeCone(axes, r0, r1, length).Shape()


def cut(shape, *tools) -> TopoDS_Shape:
    for tool in tools:
        shape = BRepAlgoAPI_Cut(shape, tool).Shape()
    return one(shape)


def fuse(shape, *others) -> TopoDS_Shape:
    for other in others:
        shape = BRepAlgoAPI_Fuse(shape, other).Shape()
    unify = ShapeUpgrade_UnifySameDomain(shape, True, True, False)
    unify.Build()
    return one(unify.Shape())


def one(shape) -> TopoDS_Shape:
    solids = shapes(shape, TopAbs_SOLID)
    assert len(solids) == 1, len(solids)
    return solids[0]


def edges_where(shape, wanted) -> list:
    """Return edges whose ends and middle all satisfy a test on (x, y, z)."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve

    found = []
    for item in shapes(shape, TopAbs_EDGE):
        edge = TopoDS.Edge(item)
        curve = BRepAdaptor_Curve(edge)
        t0, t1 = curve.FirstParameter(), curve.LastParameter()
        points = [curve.Value(t0 + (t1 - t0) * s) for s in (0, 0.5, 1)]
        if all(wanted(p.X(), p.Y(), p.Z()) for p in points) and not any(
            edge.IsSame(other) for other in found
        ):
            found.append(edge)
    return found


def fillet(shape, radius, wanted) -> TopoDS_Shape:
    maker = BRepFilletAPI_MakeFillet(shape)
    edges = edges_where(shape, wanted)
    assert edges
    for edge in edges:
        maker.Add(radius, edge)
    return one(maker.Shape())


def chamfer(shape, size, wanted) -> TopoDS_Shape:
    maker = BRepFilletAPI_MakeChamfer(shape)
    edges = edges_where(shape, wanted)
    assert edges
    for edge in edges:
        maker.Add(size, edge)
    return one(maker.Shape())


def moved(shape, shift=(0, 0, 0), axis=(0, 0, 1), angle_deg=0.0) -> TopoDS_Shape:
    turn, slide = gp_Trsf(), gp_Trsf()
    turn.SetRotation(gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(*axis)), math.radians(angle_deg))
    slide.SetTranslation(gp_Vec(*shift))
    return BRepBuilderAPI_Transform(shape, slide.Multiplied(turn), True).Shape()


def as_free_form(shape) -> TopoDS_Shape:
    """Return the solid with every surface and curve a rational spline."""
    return one(BRepBuilderAPI_NurbsConvert(shape, True).Shape())


def strip_section(legs, bends, thickness, width) -> TopoDS_Shape:
    """Extrude a section of straight legs and bends along y.

    Args:
        legs: straight lengths, one more than bends
        bends: angle in degrees and inside radius each; a negative angle bends down
    """
    x, z, heading = 0.0, 0.0, 0.0
    back, face = [], []

    def at(offset):
        return (x - offset * math.sin(heading), z + offset * math.cos(heading))

    def line(length):
        nonlocal x, z
        start = at(0.0), at(thickness)
        x, z = x + length * math.cos(heading), z + length * math.sin(heading)
        back.append(("line", start[0], at(0.0)))
        face.append(("line", start[1], at(thickness)))

    line(legs[0])
    for (degrees, inside), length in zip(bends, legs[1:], strict=True):
        angle = math.radians(degrees)
        up = angle > 0
        # Distance of the back face from the axis.
        radius = inside + thickness if up else inside
        side = 1.0 if up else -1.0
        cx, cz = at(side * radius)
        starts = at(0.0), at(thickness)

        def turned(p, share, cx=cx, cz=cz, angle=angle):
            c, s = math.cos(angle * share), math.sin(angle * share)
            dx, dz = p[0] - cx, p[1] - cz
            return (cx + c * dx - s * dz, cz + s * dx + c * dz)

        back.append(("arc", starts[0], turned(starts[0], 0.5), turned(starts[0], 1.0)))
        face.append(("arc", starts[1], turned(starts[1], 0.5), turned(starts[1], 1.0)))
        x, z = turned((x, z), 1.0)
        heading += angle
        if length > 0:
            line(length)
    wire = BRepBuilderAPI_MakeWire()

    def p3(p):
        return gp_Pnt(p[0], 0.0, p[1])

    def add(item):
        kind, *points = item
        if kind == "line":
            wire.Add(BRepBuilderAPI_MakeEdge(p3(points[0]), p3(points[1])).Edge())
        elif math.dist(points[0], points[2]) > 1e-6:
            arc = GC_MakeArcOfCircle(*(p3(p) for p in points)).Value()
            wire.Add(BRepBuilderAPI_MakeEdge(arc).Edge())

    for item in back:
        add(item)
    add(("line", back[-1][-1], face[-1][-1]))
    for kind, *points in reversed(face):
        add((kind, *reversed(points)))
    add(("line", face[0][1], back[0][1]))
    profile = BRepBuilderAPI_MakeFace(wire.Wire()).Face()
    return one(BRepPrimAPI_MakePrism(profile, gp_Vec(0, width, 0)).Shape())


def revolved(points, axis_point, axis, angle_deg=360.0) -> TopoDS_Shape:
    polygon = BRepBuilderAPI_MakePolygon()
    for p in points:
        polygon.Add(gp_Pnt(*p))
    polygon.Close()
    face = BRepBuilderAPI_MakeFace(polygon.Wire()).Face()
    turn = gp_Ax1(gp_Pnt(*axis_point), gp_Dir(*axis))
    return BRepPrimAPI_MakeRevol(face, turn, math.radians(angle_deg)).Shape()


def step_of(*solids) -> bytes:
    """Write solids to STEP as the kernel does it by itself, names and all."""
    import io

    from OCP.BRep import BRep_Builder
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer
    from OCP.TopoDS import TopoDS_Compound

    from blankwright.files.kernel.session import prepare

    prepare()
    compound, make = TopoDS_Compound(), BRep_Builder()
    make.MakeCompound(compound)
    for solid in solids:
        make.Add(compound, solid)
    writer = STEPControl_Writer()
    writer.Transfer(compound if len(solids) > 1 else solids[0], STEPControl_AsIs)
    stream = io.BytesIO()
    writer.WriteStream(stream)
    return stream.getvalue()
