"""Views of the formed part with hidden lines sorted out by the kernel, exactly, not by facets."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepLib import BRepLib
from OCP.GCPnts import GCPnts_TangentialDeflection
from OCP.GeomAbs import GeomAbs_Circle, GeomAbs_Line
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.HLRAlgo import HLRAlgo_Projector
from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape
from OCP.TopAbs import TopAbs_EDGE
from OCP.TopoDS import TopoDS, TopoDS_Shape

from blankwright.develop.formed import Formed
from blankwright.develop.view import Shown, View
from blankwright.files.kernel.proof import shapes
from blankwright.files.kernel.solid import solid_of
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.pose import Point3
from blankwright.geom.vec import Point

_SAG = 0.05
_TURN = 0.3
_SHORT = 1e-4
_SMOOTH = math.radians(0.5)


@dataclass(frozen=True, slots=True)
class _Eye:
    """Where a view is seen from: direction to the eye, and what points right."""

    name: str
    toward: Point3
    right: Point3


_EYES = (
    _Eye("front", (0.0, -1.0, 0.0), (1.0, 0.0, 0.0)),
    _Eye("top", (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)),
    _Eye("side", (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
    _Eye("oblique", (1.0, -1.0, 1.0), (1.0, 1.0, 0.0)),
)


def views_of(formed: Formed) -> tuple[View, ...]:
    """Return front, top, right side and oblique view of a formed part.

    The frame is the part's: the front is seen along +y, the top against z, the side against x.
    """
    solid = solid_of(formed).shape
    # So that edges where a flat runs into a bend count as smooth.
    BRepLib.EncodeRegularity_s(solid, _SMOOTH)
    return tuple(_view(solid, eye) for eye in _EYES)


def _view(solid: TopoDS_Shape, eye: _Eye) -> View:
    algo = HLRBRep_Algo()
    algo.Add(solid)
    axes = gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(*eye.toward), gp_Dir(*eye.right))
    algo.Projector(HLRAlgo_Projector(axes))
    algo.Update()
    algo.Hide()
    found = HLRBRep_HLRToShape(algo)
    edges: list[tuple[Shown, Edge]] = []
    for shown, compound in (
        (Shown.EDGE, found.VCompound()),
        (Shown.EDGE, found.OutLineVCompound()),
        (Shown.TANGENT, found.Rg1LineVCompound()),
        (Shown.HIDDEN, found.HCompound()),
        (Shown.HIDDEN, found.OutLineHCompound()),
    ):
        if compound is None or compound.IsNull():
            continue
        BRepLib.BuildCurves3d_s(compound)
        for shape in shapes(compound, TopAbs_EDGE):
            edges += [(shown, edge) for edge in _edges(shape)]
    # Hidden lines first, so that what is in sight is drawn over them.
    return View(name=eye.name, edges=tuple(reversed(_without_covered(edges))))


def _edges(shape: TopoDS_Shape) -> list[Edge]:
    """Return a projected edge as geometry of our own."""
    curve = BRepAdaptor_Curve(TopoDS.Edge(shape))
    t0, t1 = curve.FirstParameter(), curve.LastParameter()
    start, end = _flat(curve.Value(t0)), _flat(curve.Value(t1))
    kind = curve.GetType()
    if kind == GeomAbs_Line:
        return [Line(start, end)] if vec.distance(start, end) > _SHORT else []
    if kind == GeomAbs_Circle:
        circle = curve.Circle()
        center = _flat(circle.Location())
        up = circle.Axis().Direction().Z() > 0
        if t1 - t0 > math.tau - 1e-9:
            return [Arc.circle(center, circle.Radius())]
        if (t1 - t0) * circle.Radius() > _SHORT:
            return [Arc.through(start, end, center, up)]
        return []
    chain = GCPnts_TangentialDeflection(curve, _TURN, _SAG)
    points = [_flat(chain.Value(i)) for i in range(1, chain.NbPoints() + 1)]
    return [Line(a, b) for a, b in itertools.pairwise(points) if vec.distance(a, b) > _SHORT]


def _flat(p: gp_Pnt) -> Point:
    return (float(p.X()), float(p.Y()))


def _without_covered(edges: list[tuple[Shown, Edge]]) -> list[tuple[Shown, Edge]]:
    """Leave out stretches drawn twice, in their order of importance: both faces of a sheet seen
    edge on give the same lines."""
    seen: set[tuple[int, ...]] = set()
    result = []
    for shown, edge in edges:
        ends = sorted((_rounded(edge.start), _rounded(edge.end)))
        key = (*ends[0], *_rounded(edge.point(0.5)), *ends[1])
        if key not in seen:
            seen.add(key)
            result.append((shown, edge))
    return result


def _rounded(p: Point) -> tuple[int, int]:
    return (round(p[0] * 1e3), round(p[1] * 1e3))
