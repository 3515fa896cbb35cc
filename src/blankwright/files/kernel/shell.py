"""Solids from STEP files as triangles, for fitting."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.TopAbs import TopAbs_FACE, TopAbs_REVERSED
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS

from blankwright.base.errors import BadInput, FileProblem, Problem
from blankwright.files.kernel.step import read_shape
from blankwright.geom.pose import Array


def shell_of_step(path: Path, sag: float = 0.01) -> Array:
    """Return the surface of a STEP file's solids as triangles, shape (k, 3, 3) [mm].

    Args:
        path: the file
        sag: how far a triangle may stand off the surface [mm]

    Raises:
        FileProblem: when the file can't be read
        BadInput: when it holds no surface
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise FileProblem(
            Problem(
                code="PLACE-008",
                where=str(path),
                got=f"the STEP file can't be read ({error.strerror})",
                fix="Put the file beside the place file, or mend its name",
            )
        ) from error
    shape = read_shape(data, path.name)
    triangles = []
    if shape is not None:
        BRepMesh_IncrementalMesh(shape, sag, False, 0.2, False)
        explorer = TopExp_Explorer(shape, TopAbs_FACE)
        while explorer.More():
            face = TopoDS.Face(explorer.Current())
            where = TopLoc_Location()
            mesh = BRep_Tool.Triangulation_s(face, where)
            if mesh is not None:
                move = where.Transformation()
                nodes = []
                for i in range(1, mesh.NbNodes() + 1):
                    p = mesh.Node(i).Transformed(move)
                    nodes.append((p.X(), p.Y(), p.Z()))
                corners = np.array(nodes)
                flip = face.Orientation() == TopAbs_REVERSED
                for i in range(1, mesh.NbTriangles() + 1):
                    a, b, c = mesh.Triangle(i).Get()
                    order = (a, c, b) if flip else (a, b, c)
                    triangles.append(corners[[k - 1 for k in order]])
            explorer.Next()
    if not triangles:
        raise BadInput(
            Problem(
                code="PLACE-008",
                where=str(path),
                got="the STEP file holds no surface that can be read",
                fix="Export it again as a solid, in AP214 or AP242",
            )
        )
    shell: Array = np.array(triangles)
    return shell
