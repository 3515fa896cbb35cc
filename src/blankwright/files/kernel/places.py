"""Axes, planes and images that the faces of the solid are made from."""

from __future__ import annotations

import math

from OCP.Geom import Geom_Line, Geom_Plane
from OCP.Geom2d import Geom2d_Curve
from OCP.gp import gp_Ax2, gp_Ax3, gp_Dir, gp_Pnt

from blankwright.develop.cells import Cell, corner_point
from blankwright.develop.formed import BendShape
from blankwright.files.kernel.curves import Wrapped, line_2d, polyline_2d
from blankwright.geom.edges import Edge, Line
from blankwright.geom.pose import Point3, Pose, cross3, dot3

AXIS_STEPS = 2000
"""Chords of the image of an edge on a sharp bend's axis."""


def axis_image(
    edge: Edge, us: tuple[float, float], v: float, span: tuple[float, float], forward: bool
) -> Geom2d_Curve:
    """Return the image on a ruled rim of an edge on the axis, whose parameter is length in x."""
    n = 1 if isinstance(edge, Line) else AXIS_STEPS
    x0 = edge.start[0]
    shares = [i / n for i in range(n + 1)]
    pairs = [(abs(edge.point(t)[0] - x0), (us[0] + (us[1] - us[0]) * t, v)) for t in shares]
    if not forward:
        pairs = [(span[1] - x, p) for x, p in reversed(pairs)]
    pairs[0] = (span[0], pairs[0][1])
    pairs[-1] = (span[1], pairs[-1][1])
    return polyline_2d([p for _, p in pairs], [x for x, _ in pairs])


def image_on_bend(
    shape: BendShape, thickness: float, edge: Edge, span: tuple[float, float]
) -> Geom2d_Curve:
    """Return the image in (u, v) of a strip edge on a bend's cylinder, with a stated span."""
    wrapped = Wrapped(shape, thickness, edge)
    if isinstance(edge, Line):
        return line_2d(wrapped.uv(edge.start), wrapped.uv(edge.end), span)
    return wrapped.image()


def rim_plane(cell: Cell, edge: Edge, thickness: float) -> Geom_Plane:
    """Return the plane through the thickness along a straight side, its normal out of the metal."""
    d = edge.direction()
    middle = edge.point(0.5)
    origin = corner_point(cell, middle, 0.0, thickness)
    if cell.shape is None:
        return Geom_Plane(
            axes_3(origin, cell.pose.vector((d[1], -d[0], 0.0)), cell.pose.vector((*d, 0.0)))
        )
    up = unit_to(origin, corner_point(cell, middle, thickness, thickness))
    if abs(d[0]) > 0.5:
        # Along the bend line: the normal is square to it and to the way through the thickness.
        x = cell.pose.vector((math.copysign(1.0, d[0]), 0.0, 0.0))
        return Geom_Plane(axes_3(origin, cross3(x, up), x))
    return Geom_Plane(axes_3(origin, cell.pose.vector((math.copysign(1.0, d[1]), 0.0, 0.0)), up))


def cylinder_axes(shape: BendShape, thickness: float, x: float) -> gp_Ax3:
    """Return the axes of a bend's cylinder: u from the parent's tangent line, v along ±x."""
    sign = 1.0 if shape.bend.up else -1.0
    pose: Pose = shape.place
    return axes_3(
        pose((x, 0.0, shape.axis_height(thickness))),
        pose.vector((sign, 0.0, 0.0)),
        pose.vector((0.0, 0.0, -sign)),
    )


def is_inner(shape: BendShape | None, face: int) -> bool:
    """Say whether the back (0) or the face side (1) is inside the bend."""
    return shape is not None and shape.bend.up == (face == 1)


def straight(a: Point3, b: Point3) -> tuple[Geom_Line, tuple[float, float]]:
    """Return the straight curve between two points [mm], with its span."""
    return Geom_Line(gp_Pnt(*a), gp_Dir(*unit_to(a, b))), (0.0, math.dist(a, b))


def axes_2(origin: Point3, z: Point3, x: Point3) -> gp_Ax2:
    """Return axes from an origin [mm], main direction and x direction [-]."""
    return gp_Ax2(gp_Pnt(*origin), gp_Dir(*z), gp_Dir(*x))


def axes_3(origin: Point3, z: Point3, x: Point3) -> gp_Ax3:
    """Return axes of a surface from an origin [mm], main direction and x direction [-]."""
    return gp_Ax3(gp_Pnt(*origin), gp_Dir(*z), gp_Dir(*x))


def unit_to(a: Point3, b: Point3) -> Point3:
    """Return the unit direction [-] from a to b [mm]."""
    d = (b[0] - a[0], b[1] - a[1], b[2] - a[2])
    n = math.sqrt(dot3(d, d))
    return (d[0] / n, d[1] / n, d[2] / n)


def minus(v: Point3) -> Point3:
    """Return the vector turned round."""
    return (-v[0], -v[1], -v[2])
