"""The part as the builder states it, all sizes worked out to mm and rad.

Frames. Each flat has a plane frame of its own, in which its outline, holes and neighbours are
drawn *as the drawing shows them*, out to the mold lines. The root flat is seen from its face
side. A leg is seen from the face side too, with its bend at the bottom: x runs along the mold
line of the bend from the bend's left end, y away from the parent flat.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from types import MappingProxyType

from blankwright.geom.loop import Loop
from blankwright.geom.vec import Point
from blankwright.part.rivets import HoleField, RivetRow
from blankwright.part.source import Source


class DrawnTo(Enum):
    """What a dimension that ends at a bend is drawn to."""

    OUTSIDE_MOLD_LINE = "outside mold line"
    INSIDE_MOLD_LINE = "inside mold line"
    TANGENT_LINE = "bend tangent line"
    OUTSIDE_OF_BEND = "outside of bend"
    """The outermost line of a bend of 90° or more, as a rule laid across the bend shows it."""


class AllowanceRule(Enum):
    """How the bend allowance is found."""

    EMPIRICAL = "empirical formula"
    NEUTRAL_AXIS = "neutral-axis factor"
    COUPONS = "coupons"


class ReliefRule(Enum):
    """How the metal is relieved where bends meet or end inside an edge."""

    HANDBOOK = "handbook"
    ROUND = "round"
    SQUARE = "square"
    NONE = "none"


class CornerRule(Enum):
    """How two legs on neighbouring edges of one flat share their corner."""

    OPEN = "open"
    """Each leg ends at the neighbour's bend tangent line."""
    CLOSED = "closed"
    """Both legs reach to the corner; formed, their inside edges stand the gap apart."""
    LAPPED = "lapped"
    """The first leg covers the end of the second, which stops short by the gap."""
    AS_DRAWN = "as drawn"
    """The legs are left as their outlines say."""


class HoleKind(Enum):
    """What an opening is for."""

    ROUND = "round hole"
    SLOT = "slot"
    CUT_OUT = "cut-out"
    LIGHTENING = "lightening hole"
    VENT = "vent hole"
    RELIEF = "relief"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """The sheet a part is cut from.

    Args:
        alloy: alloy and temper, such as ``6061-T6``
        thickness: [mm]
        grain: direction of the grain on the root flat, from its x axis [rad], or nothing
    """

    alloy: str
    thickness: float
    grain: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnFlat:
    """A flat as drawn, out to its mold lines.

    Args:
        name: its name in the part
        outline: counter-clockwise loop in the flat's frame [mm]
        edges: name of each edge of the outline, in order; the bend edge of a leg is ``bend``
        drawn_to: what those edges that carry bends are drawn to
    """

    name: str
    outline: Loop
    edges: tuple[str, ...]
    drawn_to: DrawnTo = DrawnTo.OUTSIDE_MOLD_LINE


@dataclass(frozen=True, slots=True, kw_only=True)
class Relief:
    """A stated relief.

    Args:
        rule: how its size is found
        size: diameter or width [mm], for the rules ROUND and SQUARE
        depth: how far past the bend tangent line a SQUARE relief goes [mm]
    """

    rule: ReliefRule = ReliefRule.HANDBOOK
    size: float = 0.0
    depth: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """How the legs on two neighbouring edges share their corner.

    Args:
        first: name of one bend; with the rule LAPPED, the leg that covers
        second: name of the other bend
        rule: how they share
        gap: clearance between them when formed [mm]
        relief: relief where their bend tangent lines meet
    """

    first: str
    second: str
    rule: CornerRule = CornerRule.OPEN
    gap: float = 0.0
    relief: Relief = field(default_factory=Relief)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnBend:
    """A bend as drawn, with the leg that it carries.

    Args:
        name: its name in the part
        parent: name of the flat it starts from
        edge: name of that flat's edge
        start: where it begins along the edge, from the leg's left end [mm]
        end: where it ends along the edge [mm]
        angle: angle bent through, over 0 to π [rad]
        inside_radius: [mm]
        up: whether the leg goes to the face side
        leg: the flat it carries, named as the bend unless stated otherwise
        drawn_to: what the *parent's* edge is drawn to at this bend
        allowance: stated allowance rule, or nothing to follow the part's
        k: stated neutral-axis factor [-], or nothing
        end_relief: relief at those ends that lie inside the parent's edge
        last: bend it last, for this written reason
        note: as typed
        whole: whether its strip runs from start to end whatever its flats reach, and cut-outs take
            away what is not there; so a blank that came from a drawing is restated exactly
    """

    name: str
    parent: str
    edge: str
    start: float
    end: float
    angle: float
    inside_radius: float
    up: bool
    leg: DrawnFlat
    drawn_to: DrawnTo
    allowance: AllowanceRule | None = None
    k: float | None = None
    end_relief: Relief = field(default_factory=Relief)
    last: str = ""
    note: str = ""
    whole: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnHole:
    """An opening as drawn on a flat. It is cut in the blank and may run on across bends.

    Args:
        name: its name; members of a row, grid or ring are ``row[3]``
        flat: name of the flat in whose frame it is drawn
        kind: what it is
        loop: counter-clockwise outline in the flat's frame [mm]
        center: its centre in the flat's frame [mm]
        drill: drill as typed, such as ``#30``, where it is drilled
        note: what it is for
    """

    name: str
    flat: str
    kind: HoleKind
    loop: Loop
    center: Point
    drill: str = ""
    note: str = ""


class Origin(Enum):
    """Where a size comes from."""

    DRAWN = "drawn"
    MEASURED = "measured"
    FORMULA = "formula"


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """A named size.

    Args:
        name: its name
        text: as typed
        value: [mm], [rad] or [-] by `kind`
        kind: ``length``, ``angle`` or ``number``
        origin: drawn, measured, or by formula
        plus_minus: tolerance in the same unit, or nothing
        note: when and why it was changed, as typed
        uses: names of the sizes in its formula
        line: line of the part file, 1 for the first
        drawn: what the drawing says, as typed, where a measured size stands in its place
    """

    name: str
    text: str
    value: float
    kind: str
    origin: Origin
    plus_minus: float | None = None
    note: str = ""
    uses: tuple[str, ...] = ()
    line: int = 0
    drawn: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """A number in the part file beside a named size: as typed, and worked out.

    Args:
        text: as typed
        value: [mm], [rad] or [-] by `kind`
        kind: ``length``, ``angle`` or ``number``
        uses: names of the sizes in its formula
        line: line of the part file
    """

    text: str
    value: float
    kind: str
    uses: tuple[str, ...] = ()
    line: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part as stated.

    Args:
        name: short name, that of the file
        title: as the drawing's title block has it
        drawing: drawing number and revision
        sheet: what it is cut from
        sizes: named sizes in the order of the file
        root: the flat that stays put
        bends: bends in the order of the file; each bend's parent is the root or an earlier leg
        corners: shared corners
        holes: openings
        allowance: how bend allowances are found
        k: neutral-axis factor for the rule NEUTRAL_AXIS [-]
        overrides: finding code or ``code place`` to the written reason that lets it pass
        stated: every number of the file by its place in it, such as ``bends.left.angle``
        hand: ``""``, ``left`` or ``right``; a mirrored part is the other hand
        place: what the part goes into, as typed, for the job book and the fit
        notes: for the traveler, as typed
        rivets: rows of rivets, their holes among `holes`
        fields: fields of vent holes, their holes among `holes`
        source: the drawing it was brought in from, or nothing
    """

    name: str
    title: str
    drawing: str
    sheet: Sheet
    sizes: tuple[Size, ...]
    root: DrawnFlat
    bends: tuple[DrawnBend, ...]
    corners: tuple[Corner, ...] = ()
    holes: tuple[DrawnHole, ...] = ()
    allowance: AllowanceRule = AllowanceRule.EMPIRICAL
    k: float | None = None
    overrides: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    stated: Mapping[str, Stated] = field(default_factory=lambda: MappingProxyType({}))
    hand: str = ""
    place: str = ""
    notes: tuple[str, ...] = ()
    rivets: tuple[RivetRow, ...] = ()
    fields: tuple[HoleField, ...] = ()
    source: Source | None = None

    def flat(self, name: str) -> DrawnFlat:
        """Return a flat by name. Raises KeyError."""
        if name == self.root.name:
            return self.root
        for bend in self.bends:
            if bend.leg.name == name:
                return bend.leg
        raise KeyError(name)

    def bend(self, name: str) -> DrawnBend:
        """Return a bend by name. Raises KeyError."""
        for bend in self.bends:
            if bend.name == name:
                return bend
        raise KeyError(name)
