"""The part as convex solids, each with the bends that its place in space hangs on.

Whether a piece is met while a bend is made hangs only on the bends that lie between the two on
the tree of flats and bends, not on the rest of the part. So each piece has a table of its own,
with one row for each state of those bends.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from blankwright.bending.convex import clip, convex_pieces, piece_area
from blankwright.bending.motion import Bools, Ints
from blankwright.develop.blank import Blank, BlankBend
from blankwright.develop.formed import as_pose, form, leg_turn
from blankwright.geom.pose import Array
from blankwright.geom.region import Region

SAG = 0.25
"""How far a chord may stand off an arc of an outline when the part is held against tools [mm]."""

_FACET = math.radians(46)
"""A made bend is taken as the hulls of stretches no wider than this [rad]."""

_LEAST = 0.5
"""Scraps smaller than this are left out [mm²]."""


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Piece:
    """A convex piece of the part.

    Args:
        place: the flat's name or the bend's label
        flat: number of the flat in whose blank frame the points are
        bend: number of the bend that it is a piece of, -1 for a piece of a flat
        made: for a piece of a bend, whether it is that bend made or unmade
        points: corners: the first half one face, the other half the other face, in the same
            order; shape (2n, 3) [mm]
    """

    place: str
    flat: int
    bend: int
    made: bool
    points: Array

    @property
    def sides(self) -> int:
        """Number of corners of a face [-]."""
        return len(self.points) // 2


@dataclass(frozen=True, eq=False)
class Tree:
    """Flats and bends of a blank by number, with what joins them.

    Args:
        blank: the blank
    """

    blank: Blank

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Names of flats by number."""
        return tuple(flat.name for flat in self.blank.flats)

    @cached_property
    def number(self) -> Mapping[str, int]:
        """Numbers of flats by name."""
        return {name: i for i, name in enumerate(self.names)}

    @cached_property
    def bends(self) -> tuple[BlankBend, ...]:
        """Bends by number."""
        return self.blank.bends

    @cached_property
    def ends(self) -> tuple[tuple[int, int], ...]:
        """For each bend the numbers of its parent and its leg."""
        return tuple((self.number[b.parent], self.number[b.leg]) for b in self.bends)

    @cached_property
    def joined(self) -> tuple[tuple[tuple[int, int], ...], ...]:
        """For each flat its (bend, flat beyond it)."""
        found: list[list[tuple[int, int]]] = [[] for _ in self.names]
        for j, (parent, leg) in enumerate(self.ends):
            found[parent].append((j, leg))
            found[leg].append((j, parent))
        return tuple(tuple(f) for f in found)

    def paths(self, start: int, cut: frozenset[int]) -> dict[int, tuple[int, ...]]:
        """Return each flat that is reached without crossing the bends `cut`, with the bends to it.

        Args:
            start: number of a flat
            cut: numbers of bends
        """
        found: dict[int, tuple[int, ...]] = {start: ()}
        todo = [start]
        while todo:
            flat = todo.pop()
            for j, beyond in self.joined[flat]:
                if j not in cut and beyond not in found:
                    found[beyond] = (*found[flat], j)
                    todo.append(beyond)
        return found

    @cached_property
    def legs_turn(self) -> Array:
        """For each bend, made: carries its leg's blank frame into its parent's; (n, 4, 4)."""
        thickness = self.blank.thickness
        result = np.empty((len(self.bends), 4, 4))
        for j, bend in enumerate(self.bends):
            axis = thickness + bend.inside_radius if bend.up else -bend.inside_radius
            turn = leg_turn(bend.allowance, bend.angle, axis, bend.up)
            strip = as_pose(bend.place)
            result[j] = strip.inverse().then(turn).then(strip).matrix()
        return result

    @cached_property
    def legs_back(self) -> Array:
        """For each bend, made: carries its parent's blank frame into its leg's; (n, 4, 4)."""
        if not self.bends:
            return np.empty((0, 4, 4))
        return np.asarray(np.linalg.inv(self.legs_turn), dtype=np.float64)

    def placings(self, start: int, path: tuple[int, ...], codes: Ints) -> Array:
        """Return how a flat's blank frame is placed in another's, for many states.

        Args:
            start: number of the flat that stays put
            path: bends from there to the flat, as `paths` gives them
            codes: states, bit i telling whether bend path[i] is made; shape (n,)

        Returns:
            Shape (n, 4, 4).
        """
        result = np.broadcast_to(np.eye(4), (len(codes), 4, 4)).copy()
        flat = start
        for i, j in enumerate(path):
            parent, leg = self.ends[j]
            step = self.legs_turn[j] if flat == parent else self.legs_back[j]
            made = ((codes >> i) & 1).astype(bool)
            result[made] = result[made] @ step
            flat = leg if flat == parent else parent
        return result

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """All convex pieces: of flats, of unmade bends, of made bends. Holes count as filled."""
        found: list[Piece] = []
        for i, flat in enumerate(self.blank.flats):
            found += [
                Piece(place=flat.name, flat=i, bend=-1, made=False, points=self._slab(convex))
                for convex in outline_pieces(flat.region)
            ]
        for j, bend in enumerate(self.bends):
            for region in bend.regions:
                for convex in outline_pieces(region):
                    found += self._strip_pieces(j, bend, convex)
        return tuple(found)

    def _slab(self, convex: Array) -> Array:
        low = np.column_stack((convex, np.zeros(len(convex))))
        return np.concatenate((low, low + np.array((0.0, 0.0, self.blank.thickness))))

    def _strip_pieces(self, j: int, bend: BlankBend, convex: Array) -> list[Piece]:
        parent = self.ends[j][0]
        found = [
            Piece(place=bend.label, flat=parent, bend=j, made=False, points=self._slab(convex))
        ]
        shape = form(self.blank).bends[bend.name]
        to_strip = as_pose(bend.place.inverse())
        from_strip = as_pose(bend.place)
        local = to_strip.points(np.column_stack((convex, np.zeros(len(convex)))))[:, :2]
        thickness = self.blank.thickness
        axis = shape.axis_height(thickness)
        # Outside the arc runs a polygon that touches it at both ends and at even steps between;
        # pieces meet at its corners.
        count = max(1, math.ceil(bend.angle / _FACET))
        step = bend.allowance / count
        stops = [0.0, *((i + 0.5) * step for i in range(count)), bend.allowance]
        for low, high in itertools.pairwise(stops):
            band = clip(local, (0.0, 1.0), high)
            if len(band):
                band = clip(band, (0.0, -1.0), -low)
            if len(band) < 3:
                continue
            slab = shape.locals(self._slab(band), thickness)
            grow = 1 / math.cos(bend.angle / count / 2)
            corner = [
                (low < y - 1e-9 and high < bend.allowance) or (low > 0 and y < high - 1e-9)
                for y in band[:, 1]
            ]
            points = from_strip.points(_stood_off(slab, axis, np.array(corner), grow))
            found.append(Piece(place=bend.label, flat=parent, bend=j, made=True, points=points))
        return found


def _stood_off(slab: Array, axis: float, corner: Bools, grow: float) -> Array:
    """Move outer points at the corners of the outside polygon out onto it."""
    half = len(slab) // 2
    radii = np.hypot(slab[:, 1], slab[:, 2] - axis)
    outer = 0 if radii[0] > radii[half] else half
    which = outer + np.flatnonzero(corner)
    result = slab.copy()
    result[which, 1] *= grow
    result[which, 2] = axis + (slab[which, 2] - axis) * grow
    return result


def outline_pieces(region: Region) -> list[Array]:
    """Cut the outside of a region into convex pieces, its holes filled; each (n, 2) [mm]."""
    return [
        piece for piece in convex_pieces(region.outer.points(SAG)) if piece_area(piece) > _LEAST
    ]
