"""Sections: where a plane cuts solids, as polygons with a stated error bound.

The frame of a section is a placement: its x and y lie in the plane, its z is the plane's normal.
Flats cut square are exact; curved edges and bends are chords within the error of the solid.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import shapely

from blankwright.fit.convolution import polygons_of
from blankwright.fit.solid import Solid
from blankwright.geom.pose import Array, Pose

_OFF: Final = 1.37e-6
"""The plane is cut this far off [mm], so that it does not run along a face by accident."""

_SEAM: Final = 1e-5
"""Gaps between pieces of one solid under this are seams [mm]; counted in the error."""


@dataclass(frozen=True, kw_only=True)
class Section:
    """A solid in section.

    Args:
        name: name of the solid
        material: what it is made of
        shape: shapely polygon or multipolygon [mm]; empty where the plane misses it
        features: shapely shapes by feature
        error: how far the shape may stand off the true one, either way [mm]
    """

    name: str
    material: str
    shape: Any
    features: Mapping[str, Any]
    error: float

    @property
    def is_empty(self) -> bool:
        """Whether the plane misses the solid."""
        return bool(self.shape.is_empty)


def section_of(solid: Solid, plane: Pose) -> Section:
    """Cut a solid by a plane.

    Args:
        solid: what to cut
        plane: frame of the section in space
    """
    into = plane.inverse()
    features: dict[str, Any] = {}
    for piece in solid.pieces:
        hulls = _hulls(into.points(piece.wedges.reshape(-1, 3)).reshape(-1, 6, 3))
        if hulls:
            joined = _joined(hulls)
            old = features.get(piece.feature)
            features[piece.feature] = joined if old is None else _joined([old, joined])
    if len(solid.shell):
        shape = _shell_section(into.points(solid.shell.reshape(-1, 3)).reshape(-1, 3, 3))
        if not shape.is_empty:
            features[solid.name] = shape
    whole = _joined(list(features.values())) if features else shapely.Polygon()
    return Section(
        name=solid.name,
        material=solid.material,
        shape=whole,
        features=features,
        error=solid.error + 2 * _SEAM,
    )


def sections_of(solids: Iterable[Solid], plane: Pose) -> tuple[Section, ...]:
    """Cut several solids, those that the plane misses left out."""
    found = (section_of(solid, plane) for solid in solids)
    return tuple(section for section in found if not section.is_empty)


def _hulls(wedges: Array) -> list[Any]:
    """Return the sections of convex pieces by z = 0: shape (k, 6, 3) [mm]."""
    z = wedges[:, :, 2] - _OFF
    cut = (z.min(axis=1) < 0) & (z.max(axis=1) > 0)
    hulls = []
    for points, height in zip(wedges[cut], z[cut], strict=True):
        under, over = np.nonzero(height < 0)[0], np.nonzero(height >= 0)[0]
        i, j = np.repeat(under, len(over)), np.tile(over, len(under))
        share = (height[i] / (height[i] - height[j]))[:, None]
        crossing = points[i, :2] + (points[j, :2] - points[i, :2]) * share
        hull = shapely.MultiPoint(crossing).convex_hull
        if hull.geom_type == "Polygon":
            hulls.append(hull)
    return hulls


def _joined(shapes: list[Any]) -> Any:
    """Join polygons, seams of rounding closed."""
    grown = [shape.buffer(_SEAM, join_style="mitre") for shape in shapes]
    shape = shapely.union_all(grown).buffer(-_SEAM, join_style="mitre")
    kept = [p.simplify(_SEAM / 10) for p in polygons_of(shape) if p.area > _SEAM]
    return kept[0] if len(kept) == 1 else shapely.MultiPolygon(kept)


def _shell_section(triangles: Array) -> Any:
    """Return the section of a closed shell of triangles by z = 0: shape (k, 3, 3) [mm]."""
    z = triangles[:, :, 2] - _OFF
    cut = (z.min(axis=1) < 0) & (z.max(axis=1) >= 0)
    lines = []
    for points, height in zip(triangles[cut], z[cut], strict=True):
        ends = []
        for i, j in ((0, 1), (1, 2), (2, 0)):
            if (height[i] < 0) != (height[j] < 0):
                # From below to above whichever way the edge runs, so that neighbours agree.
                a, b = (i, j) if height[i] < 0 else (j, i)
                share = height[a] / (height[a] - height[b])
                ends.append(points[a, :2] + (points[b, :2] - points[a, :2]) * share)
        if len(ends) == 2 and float(np.hypot(*(ends[0] - ends[1]))) > 0:
            lines.append(shapely.LineString(ends))
    if not lines:
        return shapely.Polygon()
    rings = shapely.polygonize(
        [shapely.node(shapely.set_precision(shapely.union_all(lines), 1e-6))]
    )
    # Even and odd: a polygon in the solid lies inside an odd number of rings.
    outline = shapely.union_all(lines)
    kept = []
    for face in shapely.get_parts(rings):
        at = face.representative_point()
        ray = shapely.LineString((at, (face.bounds[2] + 1e4, at.y + 1.234)))
        if len(shapely.get_parts(ray.intersection(outline))) % 2 == 1:
            kept.append(face)
    return _joined(kept) if kept else shapely.Polygon()
