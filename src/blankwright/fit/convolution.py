"""Configuration-space slices: where a turned part meets the structure, at one angle.

The part's reference point at q touches the structure iff q lies in S ⊕ (−P), the Minkowski sum of
the structure and the part turned about that point and mirrored in it. Its outline is a piece of
the *convolution* of the two outlines: every edge of the one at every corner of the other whose
turn takes in the edge's direction, with a sign. The winding number of the convolution at q is the
number of pieces in which part and structure overlap there, so a nonzero winding means contact.

Source: L. Guibas, L. Ramshaw, J. Stolfi, A kinetic framework for computational geometry, FOCS
1983 (convolution of tracings); the rule on winding numbers holds for outlines without holes, so
polygons with holes are cut open first (`simple_pieces`). Cited from memory.
"""

from __future__ import annotations

import contextlib
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from blankwright.base.errors import OurBug, Problem

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

GRID = 1e-6
"""Step of the whole-number grid that outlines are cut on [mm]."""

ROUNDING = 50 * GRID
"""Far more than cutting on the grid can shift an outline [mm]; added to every bound."""


@dataclass(frozen=True, slots=True)
class Tracing:
    """A simple polygon, counter-clockwise, with the directions of its edges.

    Args:
        points: corners, shape (n, 2) [mm]
        angles: direction of each edge, turning on from one to the next without jumps of 2π: shape
            (n,) [rad]
    """

    points: Array
    angles: Array

    @classmethod
    def of(cls, points: Array) -> Tracing:
        """Trace corners given in either sense, shape (n, 2) [mm]; points in line may repeat."""
        points = _without_repeats(points)
        x, y = points[:, 0], points[:, 1]
        if float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) < 0:
            points = points[::-1]
        step = np.roll(points, -1, axis=0) - points
        heading = np.arctan2(step[:, 1], step[:, 0])
        turn = np.roll(heading, -1) - heading
        turn = (turn + math.pi) % math.tau - math.pi
        lifted = heading[0] + np.concatenate(([0.0], np.cumsum(turn[:-1])))
        return cls(np.ascontiguousarray(points), lifted)

    def turned(self, angle: float) -> Tracing:
        """Turn about the origin by an angle [rad]."""
        c, s = math.cos(angle), math.sin(angle)
        return Tracing(self.points @ np.array(((c, s), (-s, c))), self.angles + angle)


def convolution(a: Tracing, b: Tracing) -> list[Array]:
    """Return the closed chains of the convolution of two tracings, each of shape (k, 2) [mm].

    The signed counts below come from one table of whole turns, so they balance exactly at every
    corner pair, parallel edges or not: the chains always close.
    """
    n, m = len(a.points), len(b.points)
    turns = np.empty((n + 1, m + 1), dtype=np.int64)
    turns[1:, 1:] = np.floor((b.angles[None, :] - a.angles[:, None]) / math.tau)
    # Edge −1 is the last edge a whole turn back: counted on, since rounding could miss it.
    turns[0, 1:] = turns[-1, 1:] + 1
    turns[:, 0] = turns[:, -1] - 1
    on_a = turns[1:, 1:] - turns[1:, :-1]  # edge i of a at corner j of b
    on_b = turns[:-1, 1:] - turns[1:, 1:]  # edge j of b at corner i of a
    i, j = np.nonzero(on_a)
    sign = on_a[i, j] > 0
    here, there = i * m + j, (i + 1) % n * m + j
    begin_a, end_a = np.where(sign, here, there), np.where(sign, there, here)
    i, j = np.nonzero(on_b)
    sign = on_b[i, j] > 0
    here, there = i * m + j, i * m + (j + 1) % m
    begin = np.concatenate((begin_a, np.where(sign, here, there)))
    end = np.concatenate((end_a, np.where(sign, there, here)))
    # At each corner pair the k-th way in goes on by the k-th way out.
    by_end, by_begin = np.argsort(end, kind="stable"), np.argsort(begin, kind="stable")
    if not np.array_equal(end[by_end], begin[by_begin]):
        raise OurBug(Problem(code="FIT-902", where="convolution", got="the chains do not close"))
    following = np.empty_like(begin)
    following[by_end] = by_begin
    points = a.points[begin // m] + b.points[begin % m]
    return [points[chain] for chain in _cycles(following.tolist())]


def _cycles(following: list[int]) -> Iterable[list[int]]:
    seen = bytearray(len(following))
    for first in range(len(following)):
        if seen[first]:
            continue
        chain = []
        at = first
        while not seen[at]:
            seen[at] = 1
            chain.append(at)
            at = following[at]
        if len(chain) > 2:
            yield chain


def _without_repeats(points: Array) -> Array:
    step = np.roll(points, -1, axis=0) - points
    kept: Array = points[np.hypot(step[:, 0], step[:, 1]) > GRID]
    return kept


def simple_pieces(polygon: Any) -> list[Array]:
    """Return a shapely polygon as outlines without holes, shape (n, 2) each [mm].

    A polygon with holes is cut along a line through each hole; the pieces share their cut.
    """
    if not polygon.interiors:
        return [np.asarray(polygon.exterior.coords)[:-1]]
    x0, y0, x1, y1 = polygon.bounds
    x = _hole_middle(polygon)
    pieces = []
    for box in (shapely.box(x0 - 1, y0 - 1, x, y1 + 1), shapely.box(x, y0 - 1, x1 + 1, y1 + 1)):
        pieces.extend(polygons_of(polygon.intersection(box)))
    return [outline for piece in pieces for outline in simple_pieces(piece)]


def _hole_middle(polygon: Any) -> float:
    x0, _, x1, _ = polygon.interiors[0].bounds
    return float((x0 + x1) / 2)


def polygons_of(geometry: Any) -> list[Any]:
    """Return the polygons in a shapely geometry, lines and points left out."""
    return [p for p in shapely.get_parts(geometry) if p.geom_type == "Polygon" and p.area > 0]


def free_regions(domain: Array, structure: Sequence[Tracing], part: Sequence[Tracing]) -> list[Any]:
    """Return where in the domain the reference point may be: shapely polygons [mm].

    Args:
        domain: corners of the domain, shape (n, 2) [mm]
        structure: outlines of the structure
        part: outlines of the part, turned, seen from its reference point
    """
    import pyclipper

    clipper = pyclipper.Pyclipper()
    clipper.AddPath(_whole(domain), pyclipper.PT_SUBJECT, True)
    for piece in part:
        mirrored = piece.turned(math.pi)
        for wall in structure:
            for chain in convolution(mirrored, wall):
                # A chain that runs there and back on one line has no inside; it is refused.
                with contextlib.suppress(pyclipper.ClipperException):
                    clipper.AddPath(_whole(chain), pyclipper.PT_CLIP, True)
    tree = clipper.Execute2(pyclipper.CT_DIFFERENCE, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    return _regions(tree)


def _whole(points: Array) -> list[list[int]]:
    whole: list[list[int]] = np.rint(points / GRID).astype(np.int64).tolist()
    return whole


def _regions(tree: Any) -> list[Any]:
    regions = []
    stack = list(tree.Childs)
    while stack:
        outer = stack.pop()
        holes = [np.array(hole.Contour) * GRID for hole in outer.Childs if len(hole.Contour) > 2]
        if len(outer.Contour) > 2:
            polygon = shapely.Polygon(np.array(outer.Contour) * GRID, holes)
            if polygon.area > GRID:
                regions.append(polygon)
        for hole in outer.Childs:
            stack.extend(hole.Childs)
    return regions
