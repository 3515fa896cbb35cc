"""Every way to make every bend: on which tool, which side held, which face up.

Face: the leaf swings up, so the inside of a bend is up: the face side for a bend up, the back for
a bend down. Which side is held leaves no more choice of how the part lies.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from blankwright.bending.convex import clip, piece_area
from blankwright.bending.motion import Stroke
from blankwright.bending.pieces import Piece, Tree
from blankwright.bending.sections import Bodies, bodies_of
from blankwright.bending.tools import Capacity, HandBlock, PressBrake, Tool
from blankwright.develop.blank import BlankBend
from blankwright.develop.formed import as_pose
from blankwright.geom.pose import Array, Pose

_LINE = 0.05
"""Bends whose tangent lines differ by less than this are on one line [mm]."""

_EAR = 0.5
"""Beside a bend, metal of its two flats may stand out over the tangent line by this share of
radius and thickness more than the setback: in the bend's own zone the sheet is still forming, and
the law of bending says too little of it to call a touch there a clash [-]."""

_BANDS = (6.0, 20.0, 60.0)
"""Flats at the bend are cut at these distances from its zone [mm]."""

_SCRAP = 0.5
"""Smaller pieces are left out [mm²]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """What one bend is to be bent to in a tool.

    Args:
        angle: in the tool, before springback [rad]
        radius: inside radius while held [mm]
        source: where springback comes from
    """

    angle: float
    radius: float
    source: str


Aims = Mapping[str, Aim]
"""Aims by the bend's name."""


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


@dataclass(frozen=True, eq=False, kw_only=True)
class Way:
    """A way to make some bends on one line.

    Args:
        number: its number
        lay: how the part lies
        tool: number of the tool
        nose: nose radius to set [mm]
        need: shortest length of bar that will do [mm]
        stroke: the bend's numbers
        set_up: the tool set up for it
        base: what it costs whatever came before [s]
    """

    number: int
    lay: Lay
    tool: int
    nose: float
    need: float
    stroke: Stroke
    set_up: Bodies
    base: float

    @property
    def mask(self) -> int:
        """Bits of its bends."""
        return self.lay.mask


def groups_of(tree: Tree) -> tuple[tuple[int, ...], ...]:
    """Return single bends, and sets of bends of one flat that lie on one line and are alike."""
    singles = [(j,) for j in range(len(tree.bends))]
    lines: list[list[int]] = []
    for j, bend in enumerate(tree.bends):
        for line in lines:
            if _on_line(tree.bends[line[0]], bend):
                line.append(j)
                break
        else:
            lines.append([j])
    return (*singles, *(tuple(line) for line in lines if len(line) > 1))


def _on_line(a: BlankBend, b: BlankBend) -> bool:
    if a.parent != b.parent or a.up != b.up or bool(a.last) != bool(b.last):
        return False
    if abs(a.angle - b.angle) > 1e-6 or abs(a.inside_radius - b.inside_radius) > 1e-6:
        return False
    if abs(a.allowance - b.allowance) > 1e-6:
        return False
    into = a.place.inverse()
    ends = [into(b.place(p)) for p in ((0.0, 0.0), (b.width, 0.0))]
    return ends[1][0] > ends[0][0] and all(abs(y) < _LINE for _, y in ends)


Refused = Callable[[int, int, str], None]
"""Told bend, tool, and why that tool can't make that bend in any state."""


def ways_of(
    tree: Tree,
    tools: tuple[Tool, ...],
    aims: Aims,
    base_cost: Callable[[Lay, Tool], float],
    ultimate: float,
    refused: Refused | None = None,
) -> tuple[Way, ...]:
    """Return every way that angle, radius, length and capacity of the tools allow.

    Args:
        tree: the part
        tools: the shop's
        aims: what to bend to
        base_cost: cost of a bend in a lay on a tool [s]
        ultimate: tensile strength of the sheet [MPa]
        refused: told what is ruled out
    """
    found: list[Way] = []
    lays = [Lay(tree, group, held) for group in groups_of(tree) for held in (True, False)]
    kept: dict[tuple[int, float, float, float], Bodies] = {}
    for t, tool in enumerate(tools):
        for lay in lays:
            bend = lay.first
            aim = aims[bend.name]
            why = unfit(lay, tool, aim, ultimate)
            if why:
                if refused is not None and lay.parent_held and len(lay.group) == 1:
                    refused(lay.group[0], t, why)
                continue
            nose = tool.radius_for(aim.radius)
            assert nose is not None
            key = (t, tree.blank.thickness, aim.radius, aim.angle)
            if key not in kept:
                kept[key] = bodies_of(tool, tree.blank.thickness, aim.radius, aim.angle)
            set_up = kept[key]
            x0, x1 = lay.stretch
            found.append(
                Way(
                    number=len(found),
                    lay=lay,
                    tool=t,
                    nose=nose,
                    need=max(0.0, x1 - x0 - 2 * tool.short),
                    stroke=Stroke(
                        angle=aim.angle,
                        allowance=bend.allowance,
                        k=bend.k,
                        thickness=tree.blank.thickness,
                        hinge=set_up.hinge,
                        share=set_up.share,
                        opening=set_up.opening,
                    ),
                    set_up=set_up,
                    base=base_cost(lay, tool),
                )
            )
    return tuple(found)


def unfit(lay: Lay, tool: Tool, aim: Aim, ultimate: float) -> str:
    """Say why a tool can't make a bend whatever the part's state; empty when it can."""
    x0, x1 = lay.stretch
    length = x1 - x0
    thickness = lay.tree.blank.thickness
    if aim.angle > tool.most_angle + 1e-9:
        return (
            f"it bends to {math.degrees(tool.most_angle):.0f}° at most, and"
            f" {math.degrees(aim.angle):.1f}° is needed with springback"
        )
    if length - 2 * tool.short > tool.length:
        return f"the bend is {length:.0f} mm long, the tool takes {tool.length:.0f} mm"
    if tool.radius_for(aim.radius) is None:
        near = min(tool.radii, key=lambda r: abs(r - aim.radius))
        return f"no nose of {aim.radius:.2f} mm; the nearest is {near:.2f} mm"
    if isinstance(tool, HandBlock) and thickness > tool.thickest:
        return f"the sheet is {thickness:.2f} mm, {tool.thickest:.2f} mm is the most by hand"
    if tool.capacity is not None:
        load = Capacity(thickness=thickness, length=length, ultimate=ultimate).load
        if load > tool.capacity.load * (1 + 1e-9):
            return (
                f"it needs {load / tool.capacity.load:.2f} times what the tool is rated for"
                " (strength × thickness² × length)"
            )
    if isinstance(tool, PressBrake):
        least = shortest_flange(tool)
        shortest = min(_leg_depth(lay.tree, j) for j in lay.group)
        if shortest < least:
            return (
                f"a leg of {shortest:.1f} mm does not reach the shoulders of the V, {least:.1f} mm"
            )
    return ""


def shortest_flange(tool: PressBrake) -> float:
    """Return the shortest leg, from the bend's middle, that still rests on a V's shoulder [mm].

    Bent to a right angle a leg leaves the shoulder at half the opening, seen at 45°. (Geometry.)
    """
    return tool.opening / 2 * math.sqrt(2)


def _leg_depth(tree: Tree, bend: int) -> float:
    """Return the lesser reach of the flats at a bend from its centre line [mm]."""
    b = tree.bends[bend]
    back = b.place.inverse()
    found = []
    for flat in tree.ends[bend]:
        ys = [back(p)[1] - b.allowance / 2 for p in tree.blank.flats[flat].region.outer.points()]
        found.append(max(abs(min(ys)), abs(max(ys))))
    return min(found)
