"""The blank: a plane region with bends laid on it, and the flats left between them.

Frame. The blank lies in the frame of the root flat as drawn, seen from its face side. The sheet
fills z from 0 (back) to the thickness (face). *Up* bends towards +z.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from blankwright.base.trail import TrailStep
from blankwright.geom.edges import Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.region import Region
from blankwright.geom.vec import Point
from blankwright.part.model import HoleKind

BEND = "bend "
"""What a bend's label begins with; a leg may have the same name as its bend."""


@dataclass(frozen=True, kw_only=True)
class BlankFlat:
    """A flat on the blank, between bend tangent lines.

    Args:
        name: its name
        region: where it is on the blank, less holes and relief [mm]
        place: carries the flat's own frame, as drawn, onto the blank
        bend: name of the bend that carries it; empty for the root
    """

    name: str
    region: Region
    place: Move
    bend: str = ""


@dataclass(frozen=True, kw_only=True)
class BlankBend:
    """A bend on the blank: a strip between two bend tangent lines.

    The strip's own frame has its origin where the parent's tangent line begins, x along that
    line with the parent to the right of travel (so y, across the strip, runs from the parent's
    tangent line at 0 to the leg's at `allowance`).

    Args:
        name: its name
        parent: name of the flat it starts from
        leg: name of the flat it carries
        angle: angle bent through [rad]
        inside_radius: [mm]
        up: whether the leg goes to the face side
        allowance: width of the strip [mm]
        k: neutral-axis factor that the allowance stands for [-]
        setback: outside mold line to bend tangent line [mm]; infinite at 180°
        width: length of the tangent line [mm]
        place: carries the strip's frame onto the blank
        regions: what is left of the strip after holes and relief, on the blank [mm]; several
            pieces when a cut-out parts it, none when relief ate it all
        last: bend it last, for this written reason
    """

    name: str
    parent: str
    leg: str
    angle: float
    inside_radius: float
    up: bool
    allowance: float
    k: float
    setback: float
    width: float
    place: Move
    regions: tuple[Region, ...]
    last: str = ""

    @property
    def label(self) -> str:
        """What the bend is called among flats and bends: ``bend left`` for the bend ``left``."""
        return f"{BEND}{self.name}"

    def line_at(self, across: float) -> Line:
        """Return the line on the blank at a distance across the strip [mm], full width."""
        return Line(self.place((0.0, across)), self.place((self.width, across)))

    @property
    def parent_tangent(self) -> Line:
        """Bend tangent line on the parent's side, on the blank."""
        return self.line_at(0.0)

    @property
    def leg_tangent(self) -> Line:
        """Bend tangent line on the leg's side, on the blank."""
        return self.line_at(self.allowance)

    @property
    def center_line(self) -> Line:
        """Centre line of the bend, on the blank."""
        return self.line_at(self.allowance / 2)

    def sight_line(self, clamped: str) -> Line:
        """Return the sight line when one side is under the brake's nose, on the blank.

        It lies one inside radius from that side's bend tangent line, in the strip.

        Args:
            clamped: name of the flat under the nose: the parent or the leg

        Source:
            FAA-H-8083-31 vol. 1 ch. 4, step 6; AC 43.13-1B par. 4-56
        """
        if clamped == self.parent:
            return self.line_at(self.inside_radius)
        return self.line_at(self.allowance - self.inside_radius)


@dataclass(frozen=True, kw_only=True)
class BlankHole:
    """An opening in the blank.

    Args:
        name: its name
        kind: what it is
        loop: counter-clockwise outline on the blank [mm]
        center: its centre on the blank [mm]
        flat: name of the flat in whose frame it was drawn
        drill: drill as typed, where it is drilled
        note: what it is for
    """

    name: str
    kind: HoleKind
    loop: Loop
    center: Point
    flat: str
    drill: str = ""
    note: str = ""

    @property
    def diameter(self) -> float | None:
        """Diameter [mm] of a round hole, nothing for another shape."""
        circle = self.loop.as_circle
        return None if circle is None else 2 * circle.radius


@dataclass(frozen=True, slots=True, kw_only=True)
class ReliefSpot:
    """A spot where bends meet, or where a bend ends beside metal: it calls for relief.

    Args:
        name: its name, such as ``relief left/front``
        flat: name of the flat it is on
        point: where, on the blank [mm]
        size: diameter or width of the relief there [mm]; 0 when there is none
        inside_radius: the greater inside radius of the bends there [mm]
    """

    name: str
    flat: str
    point: Point
    size: float
    inside_radius: float


@dataclass(frozen=True, kw_only=True)
class Overlap:
    """A place where two flats or bends claim the same metal.

    Args:
        first: name of a flat or bend
        second: name of another
        regions: where, on the blank [mm]
    """

    first: str
    second: str
    regions: tuple[Region, ...]


@dataclass(frozen=True, kw_only=True)
class Blank:
    """The flat piece as cut, and what is needed to bend it.

    Args:
        thickness: [mm]
        alloy: alloy and temper
        outline: what is cut out of the sheet: outer edge and all openings, exact [mm]
        flats: flats, the root first, each after its parent
        bends: bends, each after the bend that carries its parent
        holes: openings by name; those that the outline swallowed stay listed
        grain: direction of the grain on the blank, from the x axis [rad], or nothing
        trail: where the numbers come from
        overlaps: where two flats or bends claim the same metal; such a blank can't be cut
        loose: pieces that a cut-out parts from the root; such a blank is in two
        reliefs: spots that call for relief
    """

    thickness: float
    alloy: str
    outline: Region
    flats: tuple[BlankFlat, ...]
    bends: tuple[BlankBend, ...]
    holes: tuple[BlankHole, ...] = ()
    grain: float | None = None
    trail: tuple[TrailStep, ...] = ()
    overlaps: tuple[Overlap, ...] = ()
    loose: tuple[Region, ...] = ()
    reliefs: tuple[ReliefSpot, ...] = ()

    @property
    def root(self) -> BlankFlat:
        """The flat that stays put."""
        return self.flats[0]

    @cached_property
    def flat_by_name(self) -> Mapping[str, BlankFlat]:
        """Flats by name."""
        return {flat.name: flat for flat in self.flats}

    @cached_property
    def bend_by_name(self) -> Mapping[str, BlankBend]:
        """Bends by name."""
        return {bend.name: bend for bend in self.bends}

    @property
    def size(self) -> tuple[float, float]:
        """Length along x and y of the box around the blank [mm]."""
        x0, y0, x1, y1 = self.outline.box
        return (x1 - x0, y1 - y0)
