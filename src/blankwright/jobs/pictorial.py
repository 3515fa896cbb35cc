"""Small pictures of formed parts, in isometric projection, for lists."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from blankwright.develop.blank import Blank
from blankwright.develop.formed import Formed
from blankwright.geom.vec import Point


@dataclass(frozen=True, slots=True)
class Facet:
    """One filled polygon of a small picture.

    Args:
        d: SVG path [mm], y down
        tone: how lit it is, 0 dark to 1 light [-]
        bend: whether it is a strip of a bend, which has no outline of its own
    """

    d: str
    tone: float
    bend: bool = False


def pictorial(formed: Formed, chords: int = 5) -> tuple[tuple[Facet, ...], list[float]]:
    """Return the formed part in isometric projection, far facets first, and its box.

    The faces at mid-thickness are drawn; a list of parts needs no more.

    Args:
        formed: the part
        chords: strips that each bend is drawn with

    Returns:
        Facets, and least x, least y, width, height of the picture [mm], y down.
    """
    right = np.array([1.0, 1.0, 0.0]) / np.sqrt(2)
    up = np.array([-1.0, 1.0, 2.0]) / np.sqrt(6)
    toward = np.array([1.0, -1.0, 1.0]) / np.sqrt(3)
    light = np.array([0.35, -0.2, 0.915])
    half = formed.blank.thickness / 2
    shapes: list[tuple[float, Facet, np.ndarray[Any, Any]]] = []
    for name, regions in _pieces(formed.blank, chords):
        rings = [np.array(ring) for region in regions for ring in region]
        if not rings:
            continue
        placed = [
            formed.points(np.column_stack((ring, np.full(len(ring), half))), name) for ring in rings
        ]
        outer = placed[0]
        normal = _newell(outer)
        tone = float(abs(normal @ light))
        flat = [np.column_stack((ring @ right, -(ring @ up))) for ring in placed]
        path = " ".join(
            "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in ring.tolist()) + "Z" for ring in flat
        )
        depth = float((outer @ toward).mean())
        shapes.append((depth, Facet(path, round(tone, 3), name not in formed.flats), flat[0]))
    shapes.sort(key=lambda shape: shape[0])
    corners = np.concatenate([shape[2] for shape in shapes])
    least, most = corners.min(axis=0), corners.max(axis=0)
    box = [round(float(v), 2) for v in (*least, *(most - least))]
    return tuple(shape[1] for shape in shapes), box


def _pieces(blank: Blank, chords: int) -> Iterable[tuple[str, list[list[list[Point]]]]]:
    for flat in blank.flats:
        outer, holes = flat.region.polygon(0.2)
        yield flat.name, [[outer, *holes]]
    for bend in blank.bends:
        for i in range(chords):
            y0, y1 = bend.allowance * i / chords, bend.allowance * (i + 1) / chords
            strip = [(0.0, y0), (bend.width, y0), (bend.width, y1), (0.0, y1)]
            yield bend.label, [[[bend.place(p) for p in strip]]]


def _newell(points: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
    """Return the unit normal of a polygon in space by Newell's sum."""
    after = np.roll(points, -1, axis=0)
    normal = np.cross(points, after).sum(axis=0)
    size = float(np.linalg.norm(normal))
    return np.asarray(normal / size) if size > 0 else np.array([0.0, 0.0, 1.0])
