"""Proof of a STEP file: read it with the kernel and hold it against the formed part."""

from __future__ import annotations

import math

from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Tool
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepGProp import BRepGProp
from OCP.gp import gp_Pnt
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_SHELL, TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS_Shape

from blankwright.base.errors import OurBug, Problem
from blankwright.base.tolerance import CHORD, PROOF
from blankwright.develop.formed import Formed, places, regions_on
from blankwright.develop.mass import volume_of
from blankwright.files.kernel.step import read_shape
from blankwright.geom.edges import Arc
from blankwright.geom.pose import Point3

VOLUME_SHARE = 1e-6
"""How far the volume read back may be off the analytic one, as a share of it [-]."""


def prove_step(data: bytes, formed: Formed, name: str) -> None:
    """Read a STEP file and check that it is the formed part.

    It must hold one closed, valid solid whose volume is the analytic volume within
    `VOLUME_SHARE`, whose box is the part's box, and on whose faces the map's points lie within
    `PROOF`.

    Raises:
        OurBug: when it does not
    """
    shape = read_shape(data, f"{name}.step")
    if shape is None:
        raise _failed(name, "the kernel can't read it")
    solids = shapes(shape, TopAbs_SOLID)
    if len(solids) != 1 or len(shapes(shape, TopAbs_SHELL)) != 1:
        raise _failed(name, f"it holds {len(solids)} solids instead of one")
    if not is_sound(solids[0]):
        raise _failed(name, "the solid is not closed and valid")
    got, wanted = volume_in(solids[0]), volume_of(formed)
    if abs(got - wanted) > VOLUME_SHARE * wanted:
        raise _failed(name, f"its volume is {got:.6f} mm³ instead of {wanted:.6f} mm³")
    for mine, theirs in zip(formed.box, box_in(solids[0]), strict=True):
        if math.dist(mine, theirs) > PROOF + 2 * CHORD:
            raise _failed(name, f"its box ends at {_xyz(theirs)} instead of {_xyz(mine)}")
    far, where = farthest(solids[0], sample_points(formed))
    if far > PROOF:
        raise _failed(name, f"a point of the part at {_xyz(where)} is {far:.4f} mm off its faces")


def shapes(shape: TopoDS_Shape, kind: object) -> list[TopoDS_Shape]:
    """Return the shapes of a kind in a shape, in its order."""
    found = []
    explorer = TopExp_Explorer(shape, kind)
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found


def is_sound(solid: TopoDS_Shape) -> bool:
    """Say whether a solid is valid for the kernel and all its shells are closed."""
    closed = all(BRep_Tool.IsClosed_s(shell) for shell in shapes(solid, TopAbs_SHELL))
    return closed and bool(BRepCheck_Analyzer(solid).IsValid())


def volume_in(solid: TopoDS_Shape, share: float = 1e-8) -> float:
    """Return the volume of a solid by the kernel's own integration [mm³].

    Args:
        solid: the solid
        share: how exact, as a share of the volume [-]; over 0.001 is quick
    """
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, properties, share)
    return float(properties.Mass())


def box_in(solid: TopoDS_Shape) -> tuple[Point3, Point3]:
    """Return the corners of the least box around a solid [mm]."""
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(solid, box, False, False)
    low, high = box.CornerMin(), box.CornerMax()
    return (low.X(), low.Y(), low.Z()), (high.X(), high.Y(), high.Z())


def farthest(solid: TopoDS_Shape, points: list[Point3]) -> tuple[float, Point3]:
    """Return how far the worst of some points is off a solid's faces [mm], and that point."""
    faces = []
    # Faces with few edges first: measuring to a plate with hundreds of holes is slow, and points
    # on its edge are on a rim just as well.
    simplest = sorted(shapes(solid, TopAbs_FACE), key=lambda f: len(shapes(f, TopAbs_EDGE)))
    for face in simplest:
        box = Bnd_Box()
        BRepBndLib.Add_s(face, box, False)
        box.Enlarge(PROOF)
        faces.append((face, box))
    worst, where = 0.0, (0.0, 0.0, 0.0)
    for point in points:
        p = gp_Pnt(*point)
        vertex = BRepBuilderAPI_MakeVertex(p).Vertex()
        off = math.inf
        for face, box in faces:
            if not box.IsOut(p):
                off = min(off, float(BRepExtrema_DistShapeShape(vertex, face).Value()))
                if off < PROOF / 100:
                    break
        if off > worst:
            worst, where = off, point
    return worst, where


def sample_points(formed: Formed) -> list[Point3]:
    """Return points of the map on both faces of the metal, all round each flat and bend [mm]."""
    samples = []
    for place in places(formed.blank):
        for region in regions_on(formed.blank, place):
            for edge in region.edges:
                whole = isinstance(edge, Arc) and abs(edge.sweep) > math.pi / 2
                shares = (0.12, 0.37, 0.62, 0.87) if whole else (0.37,)
                samples += [(edge.point(t), place) for t in shares]
    heights = (0.0, formed.blank.thickness)
    return [formed.point(p, heights[i % 2], place) for i, (p, place) in enumerate(samples)]


def _xyz(p: Point3) -> str:
    return f"({p[0]:.3f}, {p[1]:.3f}, {p[2]:.3f})"


def _failed(name: str, got: str) -> OurBug:
    return OurBug(
        Problem(
            code="KERNEL-003",
            where=f"{name}.step",
            got=f"the file written does not hold the part: {got}",
            fix="Nothing was kept. Report this with the part file: it is our bug",
        )
    )
