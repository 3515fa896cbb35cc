"""The shop's bending tools, by sizes that can be measured with a rule.

The tool frame: x runs along the bend, y forward over the leaf, z up; the sheet lies with its lower
face on z = 0, and the bend tangent line of the side that is held is y = 0.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, field
from functools import cached_property

Corners = tuple[tuple[float, float], ...]
"""Corners of a section [mm]: how far back, and how far up, from the tool's nose."""

STEP = 0.05
"""Lengths of bar closer than this are one length [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Capacity:
    """What a tool is rated for.

    Args:
        thickness: of the sheet [mm]
        length: of the bend [mm]
        ultimate: tensile strength of that sheet [MPa]
    """

    thickness: float
    length: float
    ultimate: float = 414.0

    @property
    def load(self) -> float:
        """Strength times thickness squared times length, to which the bending moment goes [N·mm].

        Source:
            full plastic moment of a strip, M = σ·T²·L/4 (mechanics of materials)
        """
        return self.ultimate * self.thickness**2 * self.length


@dataclass(frozen=True, kw_only=True)
class Tool:
    """What all tools have.

    Args:
        name: as the shop calls it
        radii: nose radii that it offers: the bare nose, and with each radius bar slipped on [mm]
        radius_off: how far the nose's radius may be off the wanted one, as a share of it [-]
        capacity: what it is rated for; nothing when unknown
        widths: widths of fingers, segments or bars that can be set side by side [mm]; none
            for one solid bar
        length: longest bend that it takes [mm]
        short: how far the bar may stop short of either end of a bend [mm]
        side_gap: what must be left between the bar's end and metal beside it [mm]
        most_angle: greatest angle that it bends through, springback counted [rad]
        by_hand: whether the bend is made with a mallet, not with the machine
        cut_to_suit: whether a block is cut to any length that is wanted
        ends_open: whether a part can be slid off the tool's end
        behind_open: whether a part can be put in from behind
    """

    name: str
    radii: tuple[float, ...] = (0.8,)
    radius_off: float = 0.2
    capacity: Capacity | None = None
    widths: tuple[float, ...] = ()
    length: float = 600.0
    short: float = 3.0
    side_gap: float = 0.3
    most_angle: float = math.radians(125)
    by_hand: bool = False
    cut_to_suit: bool = False
    ends_open: bool = True
    behind_open: bool = False

    @cached_property
    def runs(self) -> tuple[float, ...]:
        """Lengths of bar that can be set up, ascending [mm]."""
        return _sums(self.widths, self.length) if self.widths else (self.length,)

    def run_of(self, length: float) -> tuple[float, ...]:
        """Return the fewest widths that together make a length of `runs` [mm]."""
        if self.cut_to_suit:
            return (length,)
        if not self.widths:
            return (self.length,)
        for count in range(1, len(self.widths) + 1):
            for chosen in itertools.combinations(sorted(self.widths, reverse=True), count):
                if abs(sum(chosen) - length) < STEP:
                    return chosen
        raise ValueError(f"{length:g} mm is no sum of the widths of {self.name}")

    def shortest_run(self, least: float) -> float | None:
        """Return the shortest length of bar from a least one [mm], or nothing."""
        if self.cut_to_suit:
            return float(math.ceil(least - 1e-6)) if least <= self.length else None
        return next((run for run in self.runs if run >= least - 1e-6), None)

    def radius_for(self, wanted: float) -> float | None:
        """Return the nose radius nearest to a wanted one [mm], if it is near enough.

        Args:
            wanted: inside radius while held [mm]
        """
        near = min(self.radii, key=lambda r: (abs(r - wanted), r))
        return near if abs(near - wanted) <= max(0.3, self.radius_off * wanted) else None


@dataclass(frozen=True, kw_only=True)
class LeafBrake(Tool):
    """A leaf brake: the sheet is held under a bar, and a leaf swings its free side up.

    Args:
        bar: section of bar or fingers, from the nose's front lower corner: (back, up) pairs [mm],
            the nose (0, 0) first, then along the bottom to the back
        beam: section above them that runs the whole length; measured alike; none when there is
            none
        lift: how far the bar lifts [mm]
        bed_depth: how far the bed reaches back from its front edge [mm]
        bed_height: how far its front goes down [mm]
        leaf_depth: how far the leaf's face reaches out from the hinge line [mm]
        leaf_thickness: [mm]
    """

    bar: Corners = ((0.0, 0.0), (60.0, 0.0), (60.0, 70.0), (49.0, 70.0))
    beam: Corners = ((49.0, 70.0), (120.0, 70.0), (120.0, 140.0), (98.0, 140.0))
    lift: float = 30.0
    bed_depth: float = 90.0
    bed_height: float = 60.0
    leaf_depth: float = 45.0
    leaf_thickness: float = 12.0


@dataclass(frozen=True, kw_only=True)
class Vise(Tool):
    """A bench vise with radius bars: the sheet is held between two bars, and struck over.

    Args:
        bar_thickness: of a radius bar, across the sheet [mm]
        bar_depth: how far the bars reach from the bend into the jaws [mm]
        bar_above: how far the bars stand out of the jaws [mm]
        jaw_width: of the jaws along the bend, whose middle is put at the bend's middle [mm]
        jaw_thickness: of jaw and its casting, across the sheet [mm]
        jaw_depth: from the bend down to the slide [mm]
        face_back: angle by which the bar's front face is planed back, for springback [rad]
    """

    bar_thickness: float = 12.0
    bar_depth: float = 40.0
    bar_above: float = 10.0
    jaw_width: float = 100.0
    jaw_thickness: float = 45.0
    jaw_depth: float = 70.0
    face_back: float = math.radians(12)
    most_angle: float = math.radians(100)
    by_hand: bool = True


@dataclass(frozen=True, kw_only=True)
class HandBlock(Tool):
    """Forming by hand over a hardwood block, a board clamped on the other face.

    Args:
        block_depth: how far the block reaches back from the bend [mm]
        block_height: how far it stands off the sheet [mm]
        board: thickness of the board on the other face [mm]
        thickest: thickest sheet that is formed so [mm]
    """

    block_depth: float = 25.0
    block_height: float = 20.0
    board: float = 18.0
    thickest: float = 1.7
    by_hand: bool = True
    cut_to_suit: bool = True
    most_angle: float = math.radians(195)


@dataclass(frozen=True, kw_only=True)
class PressBrake(Tool):
    """A press brake: the punch pushes the sheet into a V, and both sides swing up.

    Args:
        punch: section from the punch's tip: (across, up) pairs [mm], the tip (0, 0) first, in
            order round it; what is above the segments belongs to `ram`
        ram: section above the segments, that runs the whole length; measured alike
        opening: of the V [mm]
        die_width: of the die's top [mm]
        die_height: down to the bed [mm]
        bed_width: of the bed under the die [mm]
        stroke: how far the punch lifts off the sheet [mm]
        force: that the press gives [N]
    """

    punch: Corners = ((0.0, 0.0), (12.0, 14.0), (12.0, 90.0), (-8.0, 90.0), (-8.0, 14.0))
    ram: Corners = ((25.0, 90.0), (25.0, 160.0), (-25.0, 160.0), (-25.0, 90.0))
    opening: float = 12.0
    die_width: float = 40.0
    die_height: float = 50.0
    bed_width: float = 60.0
    stroke: float = 80.0
    force: float = 200e3


@dataclass(frozen=True, slots=True, kw_only=True)
class Costs:
    """What the search weighs, in seconds at the bench.

    Estimates of ours, not measurements: change them in the shop file to suit. The plan prints them.

    Args:
        bend: place it on the line, hold it, bend it, take it out
        turn_over: other face up
        turn_round: another edge to the back
        change_bar: set other fingers, bars or segments
        change_nose: change the nose's radius
        change_tool: go to another tool
        by_hand: strike a bend over, over a bend by machine
        long_piece: for each metre that the free side reaches out, or the held side back
        from_end: slide the part in or off along the tool
    """

    bend: float = 40.0
    turn_over: float = 8.0
    turn_round: float = 5.0
    change_bar: float = 120.0
    change_nose: float = 180.0
    change_tool: float = 60.0
    by_hand: float = 300.0
    long_piece: float = 30.0
    from_end: float = 15.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Sprung:
    """What a bend of the shop's own sprang back.

    Args:
        alloy: alloy and temper
        thickness: [mm]
        inside_radius: [mm]
        bent_to: angle in the tool [rad]
        sprang_to: angle after release [rad]
    """

    alloy: str
    thickness: float
    inside_radius: float
    bent_to: float
    sprang_to: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Capability:
    """How closely this shop works, plus or minus, at 95 %.

    Args:
        cut: an edge or a hole, from where the blank has it [mm]
        sight: the line under the nose, from where it should be [mm]
        stop: an edge against the stop, from where it should be [mm]
        angle: [rad]
        k: neutral-axis factor when no coupon says better [-]
        thickness: of the sheet as rolled (0.002 in at 0.040 in; from memory, medium) [mm]
    """

    cut: float = 0.25
    sight: float = 0.4
    stop: float = 0.25
    angle: float = math.radians(1.0)
    k: float = 0.05
    thickness: float = 0.05


@dataclass(frozen=True, kw_only=True)
class Shop:
    """The shop as far as bending goes.

    Args:
        tools: the ones to plan for, the handiest first
        costs: what the search weighs
        sprung: bends of the shop's own, measured
        capability: how closely it works
        stated: whether a shop file says so, or it is the shop that we suppose
    """

    tools: tuple[Tool, ...]
    costs: Costs = field(default_factory=Costs)
    sprung: tuple[Sprung, ...] = ()
    capability: Capability = field(default_factory=Capability)
    stated: bool = False


def supposed_shop() -> Shop:
    """Return a small home shop: a leaf brake with fingers, a vise, and a block."""
    return Shop(tools=(SUPPOSED_BRAKE, SUPPOSED_VISE, SUPPOSED_BLOCK))


_RADII = (0.4, 0.8, 1.6, 2.4, 3.2, 4.0, 4.8, 6.4)
"""Bare nose and slipped-on radius bars: sixteenths and thirty-seconds of an inch, rounded [mm]."""

SUPPOSED_BRAKE = LeafBrake(
    name="bench leaf brake",
    radii=_RADII,
    widths=(25.0, 30.0, 35.0, 40.0, 50.0, 50.0, 75.0, 100.0, 100.0, 105.0),
    length=610.0,
    capacity=Capacity(thickness=1.2, length=610.0),
)

SUPPOSED_VISE = Vise(
    name="vise with radius bars",
    radii=_RADII,
    widths=(50.0, 100.0, 150.0),
    length=150.0,
)

SUPPOSED_BLOCK = HandBlock(name="hand block", radii=_RADII, length=1000.0)


def _sums(widths: tuple[float, ...], most: float) -> tuple[float, ...]:
    """Return every sum of some of the widths up to a greatest, those within `STEP` once."""
    sums = {0: 0.0}
    for width in widths:
        for total in list(sums.values()):
            longer = total + width
            if longer <= most + STEP:
                sums.setdefault(round(longer / STEP), longer)
    return tuple(sorted(sums.values()))[1:]
