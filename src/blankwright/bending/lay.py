"""How a part lies in a tool, whichever tool: which bends are made, and which side is held."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from blankwright.bending.convex import clip, piece_area
from blankwright.bending.pieces import Piece, Tree
from blankwright.develop.blank import BlankBend
from blankwright.develop.formed import as_pose
from blankwright.geom.pose import Array, Pose

_EAR = 0.5
"""Beside a bend, metal of its two flats may stand out over the tangent line by this share of
radius and thickness more than the setback: in the bend's own zone the sheet is still forming, and
the law of bending says too little of it to call a touch there a clash [-]."""

_BANDS = (6.0, 20.0, 60.0)
"""Flats at the bend are cut at these distances from its zone [mm]."""

_SCRAP = 0.5
"""Smaller pieces are left out [mm²]."""


@dataclass(frozen=True, eq=False)
class Lay:
    """A part laid in a tool, whichever tool: some bends on one line, one side held.

    Args:
        tree: the part
        group: numbers of the bends that are made together
        held: whether the parent is held (else the legs)
    """

    tree: Tree
    group: tuple[int, ...]
    parent_held: bool

    @cached_property
    def first(self) -> BlankBend:
        """The first bend of the group."""
        return self.tree.bends[self.group[0]]

    @cached_property
    def mask(self) -> int:
        """Bits of its bends."""
        return sum(1 << j for j in self.group)

    @cached_property
    def frame(self) -> Pose:
        """Carries the blank's frame of the flats at the bend, unbent, into the tool frame."""
        bend = self.first
        thickness = self.tree.blank.thickness
        to_strip = as_pose(bend.place.inverse())
        if self.parent_held and bend.up:
            lay = Pose()
        elif bend.up:
            lay = Pose(
                (-1.0, 0.0, 0.0),
                (0.0, -1.0, 0.0),
                (0.0, 0.0, 1.0),
                (bend.width, bend.allowance, 0.0),
            )
        elif self.parent_held:
            lay = Pose(
                (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, -1.0), (bend.width, 0.0, thickness)
            )
        else:
            lay = Pose(
                (1.0, 0.0, 0.0),
                (0.0, -1.0, 0.0),
                (0.0, 0.0, -1.0),
                (0.0, bend.allowance, thickness),
            )
        return to_strip.then(lay)

    @property
    def face_up(self) -> bool:
        """Whether the face side is up."""
        return self.first.up

    @cached_property
    def heading(self) -> int:
        """Where the blank's x axis points in the tool, from the tool's x [whole degrees]."""
        x, y, _ = self.frame.vector((1.0, 0.0, 0.0))
        return round(math.degrees(math.atan2(y, x))) % 360

    @cached_property
    def sides(self) -> tuple[tuple[int, bool], ...]:
        """Flats at the bends, and whether each is on the held side."""
        parent = self.tree.ends[self.group[0]][0]
        legs = tuple((self.tree.ends[j][1], not self.parent_held) for j in self.group)
        return ((parent, self.parent_held), *legs)

    @cached_property
    def paths(self) -> dict[int, tuple[int, bool, tuple[int, ...]]]:
        """For each flat: the flat at the bend on its side, whether held, and bends in between."""
        found: dict[int, tuple[int, bool, tuple[int, ...]]] = {}
        cut = frozenset(self.group)
        for start, held in self.sides:
            for flat, path in self.tree.paths(start, cut).items():
                found[flat] = (start, held, path)
        return found

    @cached_property
    def stretch(self) -> tuple[float, float]:
        """From where to where along the tool there is metal to bend [mm]."""
        xs = [
            self.frame((x, y, 0.0))[0]
            for j in self.group
            for region in self.tree.bends[j].regions
            for x, y in region.outer.points()
        ]
        if not xs:
            bend = self.first
            return (0.0, bend.width)
        return (min(xs), max(xs))

    @property
    def middle(self) -> float:
        """Middle of that stretch [mm]."""
        return sum(self.stretch) / 2

    @cached_property
    def reach(self) -> tuple[float, float]:
        """How far the unbent part reaches behind and before the bend [mm]."""
        ys = [
            self.frame((x, y, 0.0))[1]
            for flat in self.tree.blank.flats
            for x, y in flat.region.outer.points()
        ]
        return (max(0.0, -min(ys)), max(0.0, max(ys) - self.first.allowance))

    def near_pieces(self, piece: Piece) -> list[Array]:
        """Return a piece of a flat at the bend without what lies in the bend's own zone."""
        bend = self.first
        thickness = self.tree.blank.thickness
        wide = bend.inside_radius + thickness
        ear = (bend.setback if math.isfinite(bend.setback) else wide) + _EAR * wide
        edge = self.frame.points(piece.points)[:, 1]
        half = piece.sides
        plane = self.frame.points(piece.points)[:half, :2]
        held = dict(self.sides)[piece.flat]
        if held:
            cuts = [((0.0, 1.0), 0.0), ((0.0, -1.0), -ear)]
        else:
            far = bend.allowance
            cuts = [((0.0, -1.0), -far), ((0.0, 1.0), far - ear)]
        heights = self.frame.points(piece.points)[[0, half], 2]
        found: list[Array] = []
        for normal, most in cuts:
            whole = (edge * normal[1] <= most + 1e-9).all()
            kept = plane if whole else clip(plane, normal, most)
            found += [
                np.concatenate([np.column_stack((band, np.full(len(band), z))) for z in heights])
                for band in _banded(kept, most * normal[1], normal[1])
            ]
            if whole:
                break
        return found


def _banded(plane: Array, start: float, outward: float) -> list[Array]:
    """Cut a piece at the bend into bands, narrow near it and wider farther off.

    Far points move fast and near ones are close to the tool: held together they would need many
    small steps.
    """
    found: list[Array] = []
    rest = plane
    for far in _BANDS:
        if len(rest) < 3:
            break
        limit = start * outward - far
        found.append(clip(rest, (0.0, -outward), -limit))
        rest = clip(rest, (0.0, outward), limit)
    found.append(rest)
    return [band for band in found if piece_area_abs(band) > _SCRAP]


def piece_area_abs(piece: Array) -> float:
    """Return the area of a polygon either way round [mm²]."""
    return abs(piece_area(piece))
