"""Area moments of regions with line and arc edges, by Green's theorem along the edges.

Each integral over the region becomes one along its edges: ∫f dA = ∮G dy with ∂G/∂x = f. The edge
integrals are taken with Gauss–Legendre points: exact for the polynomials on lines, and to rounding
on stretches of arc of at most a quarter turn. (Common mathematics; no single source.)
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

import numpy as np

from blankwright.geom.edges import Arc, Edge
from blankwright.geom.pose import Array
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

_NODES = 16


@dataclass(frozen=True, slots=True)
class EdgeNodes:
    """Points along the edges of a region, and what each counts for in ∮G dy.

    Args:
        x: shape (n,) [mm]
        y: shape (n,) [mm]
        dy: shape (n,), weight times dy [mm]
    """

    x: Array
    y: Array
    dy: Array

    def integral(self, g: Array) -> float:
        """Return ∮G dy for the values of G at the nodes, shape (n,)."""
        return float(np.dot(g, self.dy))


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaMoments:
    """Area and area moments about the axes of the frame.

    Args:
        area: [mm²]
        x: ∫x dA [mm³]
        y: ∫y dA [mm³]
        xx: ∫x² dA [mm⁴]
        xy: ∫xy dA [mm⁴]
        yy: ∫y² dA [mm⁴]
    """

    area: float
    x: float
    y: float
    xx: float
    xy: float
    yy: float

    @property
    def centroid(self) -> Point:
        """Centre of the area [mm]."""
        return (self.x / self.area, self.y / self.area)


@cache
def _gauss() -> tuple[Array, Array]:
    """Return Gauss–Legendre points and weights on 0…1."""
    t, w = np.polynomial.legendre.leggauss(_NODES)
    return (t + 1) / 2, w / 2


def edge_nodes(edges: Iterable[Edge], longest: float = math.inf) -> EdgeNodes:
    """Return the integration points along closed chains of edges.

    Args:
        edges: edges of a region, the region to the left of each
        longest: greatest length in y of one stretch [mm], for integrands that swing in y
    """
    t, w = _gauss()
    lines: list[tuple[float, float, float, float]] = []
    arcs: list[tuple[float, float, float, float, float]] = []
    for edge in edges:
        box = edge.box
        n = 1 if math.isinf(longest) else max(1, math.ceil((box[3] - box[1]) / longest))
        if isinstance(edge, Arc):
            n *= max(1, math.ceil(abs(edge.sweep) / (math.pi / 2) - 1e-9))
            step = edge.sweep / n
            arcs += [(*edge.center, edge.radius, edge.begin + i * step, step) for i in range(n)]
        else:
            for i in range(n):
                lines.append((*edge.point(i / n), *edge.point((i + 1) / n)))
    xs, ys, ds = [], [], []
    if lines:
        a = np.array(lines)
        xs.append(a[:, :1] + (a[:, 2:3] - a[:, :1]) * t)
        ys.append(a[:, 1:2] + (a[:, 3:4] - a[:, 1:2]) * t)
        ds.append((a[:, 3:4] - a[:, 1:2]) * w)
    if arcs:
        b = np.array(arcs)
        angle = b[:, 3:4] + b[:, 4:5] * t
        cos = b[:, 2:3] * np.cos(angle)
        xs.append(b[:, :1] + cos)
        ys.append(b[:, 1:2] + b[:, 2:3] * np.sin(angle))
        ds.append(cos * b[:, 4:5] * w)
    return EdgeNodes(*(np.concatenate(v).ravel() for v in (xs, ys, ds)))


def area_moments(region: Region) -> AreaMoments:
    """Return area, first and second moments of a region."""
    # About a point in the middle, so that far-off frames cost no digits.
    x0, y0, x1, y1 = region.box
    cx, cy = (x0 + x1) / 2, (y0 + y1) / 2
    nodes = edge_nodes(region.edges)
    u, v = nodes.x - cx, nodes.y - cy
    area = nodes.integral(u)
    su = nodes.integral(u * u) / 2
    sv = nodes.integral(u * v)
    uu = nodes.integral(u**3) / 3
    uv = nodes.integral(u * u * v) / 2
    vv = nodes.integral(u * v * v)
    return AreaMoments(
        area=area,
        x=su + cx * area,
        y=sv + cy * area,
        xx=uu + 2 * cx * su + cx * cx * area,
        xy=uv + cx * sv + cy * su + cx * cy * area,
        yy=vv + 2 * cy * sv + cy * cy * area,
    )
