"""The place that a part goes into: the structure round it, and what is asked of the fit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from blankwright.fit.solid import Solid
from blankwright.fit.steps import Words
from blankwright.geom.pose import Pose
from blankwright.geom.vec import Point
from blankwright.part.model import Size


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """What is wanted where two materials come near each other.

    Args:
        name: its name in the place
        between: the two materials
        clearance: least clearance wanted [mm]; below zero the greatest squeeze allowed
        most: greatest clearance wanted [mm], so that soft pairs do touch; infinite for no limit
    """

    name: str
    between: tuple[str, str]
    clearance: float
    most: float = float("inf")

    @property
    def is_soft(self) -> bool:
        """Whether the pair may touch."""
        return self.clearance < 0


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaneOfFit:
    """A plane in which the fit is decided.

    Args:
        name: its name in the place
        frame: its frame in space: x and y in the plane
        words: what its directions are called
        way_in: name of the side that the part comes in from
        side: that side's direction; (0, 0) for any side
        window: least x, least y, greatest x, greatest y [mm]; walls that reach its edge run on
        most_turn: greatest turn either way [rad]
    """

    name: str
    frame: Pose
    words: Words
    way_in: str
    side: Point
    window: tuple[float, float, float, float] | None
    most_turn: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """A motion from closed to open.

    Args:
        name: its name in the place
        frame: its reference
        slide: direction in that reference [-], or (0, 0, 0)
        travel: how far it slides [mm]
        turn: how far it turns about the reference's z axis [rad]
        roll: how far the axis goes while the part turns on an edge that rolls, in the reference
            [mm/rad]; zeros for a hinge
        path: placements on the way, each a shift [mm] and a turn about z [rad]; empty for the
            motions above
        opening: name of the sheet and opening that it uncovers, such as ``web.gate``; may be empty
    """

    name: str
    frame: Pose
    slide: tuple[float, float, float] = (0.0, 0.0, 0.0)
    travel: float = 0.0
    turn: float = 0.0
    roll: tuple[float, float, float] = (0.0, 0.0, 0.0)
    path: tuple[tuple[tuple[float, float, float], float], ...] = ()
    opening: str = ""

    @property
    def length(self) -> float:
        """Whole travel: [mm] for a slide, [rad] for a turn, bare for a path."""
        if self.path:
            return float(len(self.path))
        return self.travel if self.travel else self.turn

    @property
    def unit(self) -> str:
        """Kind of the travel: ``length``, ``angle`` or ``number``."""
        if self.path:
            return "number"
        return "length" if self.travel else "angle"

    def at(self, travel: float) -> Pose:
        """Return how the part is moved from rest at a travel [mm, rad or steps]."""
        if self.path:
            shift, turn = _between(((0.0, 0.0, 0.0), 0.0), self.path, travel)
        elif self.travel:
            x, y, z = self.slide
            shift = (x * travel, y * travel, z * travel)
            turn = self.turn * travel / self.travel
        else:
            x, y, z = self.roll
            shift, turn = (x * travel, y * travel, z * travel), travel
        local = Pose.turn((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), turn).then(Pose(origin=shift))
        return self.frame.inverse().then(local).then(self.frame)


Stage = tuple[tuple[float, float, float], float]


def _between(start: Stage, path: tuple[Stage, ...], travel: float) -> Stage:
    stages = (start, *path)
    k = min(max(int(travel), 0), len(stages) - 2)
    t = travel - k
    (a, turn_a), (b, turn_b) = stages[k], stages[k + 1]
    shift = (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t, a[2] + (b[2] - a[2]) * t)
    return shift, turn_a + (turn_b - turn_a) * t


@dataclass(frozen=True, slots=True, kw_only=True)
class Force:
    """A force that may move the part by itself.

    Args:
        name: its name in the place
        section: name of the section it acts in
        toward: its direction in the section's frame [-]
        lift: how far shaking may move the part against it [mm]
    """

    name: str
    section: str
    toward: Point
    lift: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Spring:
    """What of the part may be sprung, and how far.

    Args:
        bend: name of the bend whose leg gives way, with all beyond it
        squeeze: how far the leg's farthest point may be moved [mm]
        length: free length that bends [mm]
        modulus: [MPa]; nothing while it is not looked up by the part's alloy
        yield_stress: [MPa]; likewise
        source: where modulus and yield come from
    """

    bend: str
    squeeze: float
    length: float
    modulus: float | None
    yield_stress: float | None
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartOfPlace:
    """The part that goes into the place.

    Args:
        file: name of the part file, without its ending
        variant: name of the variant; may be empty
        material: in the words of the place
        frame: where the part's own frame is at rest
    """

    file: str
    variant: str
    material: str
    frame: Pose


@dataclass(frozen=True, kw_only=True)
class Opening:
    """An opening of a sheet, for the air path.

    Args:
        name: sheet and opening, such as ``web.gate``
        frame: the sheet's frame, the opening in its x-y plane
        outline: corners of the opening in that frame, shape (n, 2) [mm]
    """

    name: str
    frame: Pose
    outline: tuple[Point, ...]


@dataclass(frozen=True, kw_only=True)
class Place:
    """A place, all sizes worked out.

    Args:
        name: short name, that of the file
        title: as typed
        sizes: named sizes in the order of the file
        part: what goes in
        solids: the structure
        pairs: what is wanted between materials; pairs not named must keep off by `keep_off`
        keep_off: clearance wanted between materials without a pair [mm]
        sections: planes in which the fit is decided
        motions: motions from closed to open
        forces: what may move the part by itself
        spring: how far the part may be sprung, or nothing
        openings: openings by name
        others: other parts of the structure, by their names in the place
    """

    name: str
    title: str
    sizes: tuple[Size, ...]
    part: PartOfPlace
    solids: tuple[Solid, ...]
    pairs: tuple[Pair, ...]
    keep_off: float
    sections: tuple[PlaneOfFit, ...] = ()
    motions: tuple[Motion, ...] = ()
    forces: tuple[Force, ...] = ()
    spring: Spring | None = None
    openings: Mapping[str, Opening] = field(default_factory=dict)
    others: Mapping[str, PartOfPlace] = field(default_factory=dict)

    def pair(self, a: str, b: str) -> Pair:
        """Return what is wanted between two materials."""
        for pair in self.pairs:
            if set(pair.between) == {a, b}:
                return pair
        return Pair(name="keep_off", between=(a, b), clearance=self.keep_off)
