"""Triangles that fill polygons with holes, for pictures. shapely does the work."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from blankwright.geom.pose import Array
from blankwright.geom.vec import Point

Triangles = NDArray[np.int32]


def triangulate(
    outer: Sequence[Point],
    holes: Sequence[Sequence[Point]] = (),
    cuts: Sequence[float] = (),
) -> tuple[Array, Triangles]:
    """Fill a polygon less its holes with triangles.

    Args:
        outer: corners of the outer polygon [mm]
        holes: corners of each hole [mm]
        cuts: heights y at which to cut first, ascending, so that no triangle crosses one [mm]

    Returns:
        Corners, shape (n, 2) [mm], and triangles, shape (m, 3), each counter-clockwise.
    """
    import shapely

    area = shapely.Polygon(outer, holes)
    if not area.is_valid:
        area = shapely.make_valid(area)
    x0, y0, x1, y1 = area.bounds
    inner = [y for y in cuts if y0 < y < y1]
    bands = [area]
    if inner:
        stops = [y0 - 1.0, *inner, y1 + 1.0]
        boxes = [
            shapely.box(x0 - 1.0, low, x1 + 1.0, high) for low, high in itertools.pairwise(stops)
        ]
        bands = list(shapely.intersection(area, boxes))
    pieces = [
        shapely.constrained_delaunay_triangles(part)
        for band in bands
        for part in shapely.get_parts(band)
        if part.geom_type == "Polygon"
    ]
    rings = shapely.get_coordinates(pieces).reshape(-1, 4, 2)[:, :3]
    a, b, c = rings[:, 0], rings[:, 1], rings[:, 2]
    turn = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    rings[turn < 0] = rings[turn < 0][:, ::-1]
    corners, index = np.unique(rings.reshape(-1, 2), axis=0, return_inverse=True)
    return corners, index.reshape(-1, 3).astype(np.int32)
