"""The bodies of a file: its solids, each kind once, and surfaces sewn together where they close."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from OCP.BRep import BRep_Tool
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeSolid, BRepBuilderAPI_Sewing
from OCP.BRepLib import BRepLib
from OCP.TopAbs import TopAbs_FACE, TopAbs_SHELL, TopAbs_SOLID
from OCP.TopoDS import TopoDS, TopoDS_Shape

from blankwright.files.kernel.proof import shapes
from blankwright.geom.pose import Point3

SEWN = 0.01
"""Edges of neighbouring faces that are this near are sewn together [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A solid of a file.

    Args:
        shape: the solid where it first stands
        copies: how many of it there are
        sewn: whether it was sewn together from surfaces
    """

    shape: TopoDS_Shape
    copies: int = 1
    sewn: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Bodies:
    """What a file holds.

    Args:
        solids: its solids, each kind once; a mirrored one is another kind
        loose: how many faces are of no solid and close none
        open_at: a point on an edge at which these are open [mm]
    """

    solids: tuple[Body, ...]
    loose: int = 0
    open_at: Point3 | None = None


def bodies_of(shape: TopoDS_Shape) -> Bodies:
    """Sort what a file holds into solids and surfaces, and sew the surfaces."""
    solids = _each_once(shapes(shape, TopAbs_SOLID))
    faces = _loose_faces(shape)
    if not faces:
        return Bodies(solids=tuple(solids))
    sewn, open_at = sewn_up(faces)
    used = sum(len(shapes(solid, TopAbs_FACE)) for solid in sewn)
    solids += [Body(shape=solid, sewn=True) for solid in sewn]
    return Bodies(
        solids=tuple(solids),
        loose=max(0, len(faces) - used),
        open_at=open_at,
    )


def sewn_up(faces: Sequence[TopoDS_Shape]) -> tuple[list[TopoDS_Shape], Point3 | None]:
    """Sew faces together.

    Returns:
        The solids that they close, and a point on an edge that stays open, if one does [mm].
    """
    sewing = BRepBuilderAPI_Sewing(SEWN)
    for face in faces:
        sewing.Add(face)
    sewing.Perform()
    result = sewing.SewedShape()
    solids = []
    if not result.IsNull():
        for shell in shapes(result, TopAbs_SHELL):
            if BRep_Tool.IsClosed_s(shell):
                solid = BRepBuilderAPI_MakeSolid(TopoDS.Shell(shell)).Solid()
                BRepLib.OrientClosedSolid_s(solid)
                solids.append(solid)
    open_at: Point3 | None = None
    if sewing.NbFreeEdges() > 0:
        from OCP.BRepAdaptor import BRepAdaptor_Curve

        curve = BRepAdaptor_Curve(TopoDS.Edge(sewing.FreeEdge(1)))
        p = curve.Value((curve.FirstParameter() + curve.LastParameter()) / 2)
        open_at = (p.X(), p.Y(), p.Z())
    return solids, open_at


def _each_once(solids: Sequence[TopoDS_Shape]) -> list[Body]:
    found: list[tuple[TopoDS_Shape, bool, int]] = []
    for solid in solids:
        mirrored = _mirrored(solid)
        for i, (known, other, n) in enumerate(found):
            if known.IsPartner(solid) and mirrored == other:
                found[i] = (known, other, n + 1)
                break
        else:
            found.append((solid, mirrored, 1))
    return [Body(shape=solid, copies=n) for solid, _, n in found]


def _mirrored(solid: TopoDS_Shape) -> bool:
    return bool(solid.Location().Transformation().IsNegative())


def _loose_faces(shape: TopoDS_Shape) -> list[TopoDS_Shape]:
    """Return the faces that belong to no solid."""
    owned = {hash(f) for solid in shapes(shape, TopAbs_SOLID) for f in shapes(solid, TopAbs_FACE)}
    return [face for face in shapes(shape, TopAbs_FACE) if hash(face) not in owned]
