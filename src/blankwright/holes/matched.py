"""Holes of one part carried to another through their places on the airplane.

The axis of each hole is taken through the other part as formed, on flats and round bends, and the
point where it meets the face that lies against the first part goes back onto the other's blank by
the map. Whether it is drilled there, on the flat, or on assembly hangs on the predicted error of
position: what the bends between, the placing and the measuring let it be off.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from enum import Enum
from typing import Final

from blankwright.develop.checks.holes import is_small_circle
from blankwright.geom import vec
from blankwright.geom.loop import Loop
from blankwright.geom.pose import Point3, dot3
from blankwright.geom.vec import Point
from blankwright.holes.pierce import (
    Pierce,
    hole_axis,
    pierces,
    place_of,
    sub3,
    unit3,
)
from blankwright.holes.position_error import Placed, PositionErrors, Tolerances
from blankwright.part.model import DrawnHole, HoleKind, Part

EXACT: Final = 0.05
"""Centres nearer than this are one [mm]; common practice, no source."""


class How(Enum):
    """How the matched hole is made."""

    ON_THE_FLAT = "drill on the flat"
    ON_ASSEMBLY = "drill on assembly"
    THERE_ALREADY = "there already"
    NO_METAL = "meets no metal"


class Meets(Enum):
    """What a new hole finds in the other part."""

    EXACT = "exact hit"
    CLEANED_UP = "cleaned up by the final drill"
    ELONGATED = "elongated"
    SPOILED_PITCH = "too near a hole"


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedMatch:
    """Holes to be matched.

    Args:
        holes: names of holes of the first part
        final: diameter of the finished hole [mm]
        pilot: diameter of the pilot in both parts [mm]; 0 when both are drilled to final size
        fastener: nominal diameter [mm]
        reach: how far the other part may be from the first along a hole's axis [mm]
        edge_distance: least from a centre to the other part's edge [mm]
        pitch: least from a centre to another hole's centre [mm]
        tolerances: how sure places and bends are
    """

    holes: tuple[str, ...]
    final: float
    pilot: float
    fastener: float
    reach: float
    edge_distance: float
    pitch: float
    tolerances: Tolerances = field(default_factory=Tolerances)

    @property
    def clearance(self) -> float:
        """How far a hole may be off and still come out round [mm].

        With a pilot the final drill must take all of both pilots away: half the difference of
        their diameters. Without, the fastener must still go through both: the difference of hole
        and fastener.
        """
        return (self.final - self.pilot) / 2 if self.pilot else self.final - self.fastener


@dataclass(frozen=True, slots=True, kw_only=True)
class MetHole:
    """A hole that is in the other part already.

    Args:
        name: of it
        off: centre to centre [mm]
        what: what becomes of it
        length: of the slot that the two make [mm]; 0 when they stay apart or round
    """

    name: str
    off: float
    what: Meets
    length: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """One hole carried over.

    Args:
        hole: name of the hole of the first part
        how: how it is made in the other
        point: on the other's blank [mm]; (nan, nan) where it meets no metal
        place: flat's name or bend's label there
        at: on the first part's face that lies against the other, in space [mm]
        met_at: on the other's face, in space [mm]
        gap: between the two faces along the axis [mm]; negative where they run into one another
        tilt: of the other's surface from square to the axis [rad]
        error: predicted error of position [mm]
        clearance: how far off it may be [mm]
        edge: distance to the other's edge [mm]
        spoiled_edge: whether that is under the least edge distance
        meets: holes there already, nearest first
    """

    hole: str
    how: How
    point: Point
    place: str
    at: Point3
    met_at: Point3
    gap: float
    tilt: float
    error: float
    clearance: float
    edge: float
    spoiled_edge: bool
    meets: tuple[MetHole, ...] = ()


def match_holes(first: Placed, other: Placed, asked: AskedMatch) -> tuple[Match, ...]:
    """Carry holes of one part to another.

    Args:
        first: the part that has the holes
        other: the part that gets them
        asked: which, and how

    Raises:
        KeyError: when the first part has no hole of a name
    """
    holes = {hole.name: hole for hole in first.formed.blank.holes}
    # Where a bend is off moves all its leg: worked out once a flat, not once a hole.
    first_errors = PositionErrors(first, asked.tolerances)
    other_errors = PositionErrors(other, asked.tolerances)
    found: list[Match] = []
    for name in asked.holes:
        hole = holes[name]
        place = place_of(first.formed.blank, hole.center, hole.flat)
        low, high = hole_axis(first.formed, first.frame, hole.center, place)
        direction = unit3(sub3(high, low))
        hit = _nearest(first, other, (low, high), direction, asked.reach)
        if hit is None:
            found.append(_no_metal(name, low, asked))
            continue
        start, pierce = hit
        error = math.hypot(
            asked.tolerances.place,
            first_errors.at(hole.center, place, direction),
            other_errors.at(pierce.point, pierce.place, direction),
        )
        found.append(_match(name, other, asked, start, direction, pierce, error))
    return tuple(found)


def _nearest(
    first: Placed, other: Placed, ends: tuple[Point3, Point3], d: Point3, reach: float
) -> tuple[Point3, Pierce] | None:
    """Return the first part's face point and the other's pierced face that are nearest."""
    low, _ = ends
    thickness = first.formed.blank.thickness
    best: tuple[float, Point3, Pierce] | None = None
    for pierce in pierces(other.formed, other.frame, low, d):
        for along, start in ((0.0, ends[0]), (thickness, ends[1])):
            gap = pierce.along - along
            # Faces that look at one another: the first's outward way against the other's normal.
            outward = -1.0 if along == 0.0 else 1.0
            if dot3(pierce.normal, d) * outward >= 0:
                continue
            if abs(gap) <= reach + 1e-9 and (best is None or abs(gap) < best[0] - 1e-12):
                best = (abs(gap), start, pierce)
    return None if best is None else (best[1], best[2])


def _match(
    name: str,
    other: Placed,
    asked: AskedMatch,
    start: Point3,
    d: Point3,
    pierce: Pierce,
    error: float,
) -> Match:
    blank = other.formed.blank
    to_other = sub3(pierce.at, start)
    facing = -1.0 if dot3(pierce.normal, d) > 0 else 1.0
    gap = dot3(to_other, d) * facing
    meets = _meets(other, asked, pierce.point)
    edge = min(
        e.distance(pierce.point)
        for loop in blank.outline.loops
        if not is_small_circle(loop)
        for e in loop.edges
    )
    there = any(m.what is Meets.EXACT for m in meets)
    flat = error <= asked.clearance + 1e-9
    how = How.THERE_ALREADY if there else How.ON_THE_FLAT if flat else How.ON_ASSEMBLY
    return Match(
        hole=name,
        how=how,
        point=pierce.point,
        place=pierce.place,
        at=start,
        met_at=pierce.at,
        gap=gap,
        tilt=math.acos(min(1.0, abs(dot3(pierce.normal, d)))),
        error=error,
        clearance=asked.clearance,
        edge=edge,
        spoiled_edge=edge < asked.edge_distance - 1e-3,
        meets=meets,
    )


def _meets(other: Placed, asked: AskedMatch, p: Point) -> tuple[MetHole, ...]:
    found: list[MetHole] = []
    for hole in other.formed.blank.holes:
        diameter = hole.diameter
        if diameter is None:
            continue
        off = vec.distance(hole.center, p)
        if off <= EXACT:
            found.append(MetHole(name=hole.name, off=off, what=Meets.EXACT))
        elif off + diameter / 2 <= asked.final / 2 + 1e-9:
            found.append(MetHole(name=hole.name, off=off, what=Meets.CLEANED_UP))
        elif off < (asked.final + diameter) / 2:
            length = off + (asked.final + diameter) / 2
            found.append(
                MetHole(
                    name=hole.name,
                    off=off,
                    what=Meets.ELONGATED,
                    length=max(length, asked.final, diameter),
                )
            )
        elif off < asked.pitch - 1e-3:
            found.append(MetHole(name=hole.name, off=off, what=Meets.SPOILED_PITCH))
    return tuple(sorted(found, key=lambda m: m.off))


def _no_metal(name: str, at: Point3, asked: AskedMatch) -> Match:
    return Match(
        hole=name,
        how=How.NO_METAL,
        point=(math.nan, math.nan),
        place="",
        at=at,
        met_at=(math.nan, math.nan, math.nan),
        gap=math.nan,
        tilt=math.nan,
        error=math.nan,
        clearance=asked.clearance,
        edge=math.nan,
        spoiled_edge=False,
    )


def drawn_on(other: Placed, match: Match) -> tuple[str, Point]:
    """Return the flat that a hole carried over is drawn on, and its centre in that flat's frame.

    A hole on a bend is drawn on the flat that the bend grows from.

    Args:
        other: the part that gets it, in its place
        match: the hole, which meets metal
    """
    blank = other.formed.blank
    flat = match.place
    if flat not in blank.flat_by_name:
        flat = next(b.parent for b in blank.bends if b.label == match.place)
    return flat, blank.flat_by_name[flat].place.inverse()(match.point)


def with_matched_holes(
    part: Part,
    other: Placed,
    asked: AskedMatch,
    matches: Sequence[Match],
    note: str,
    drill: str,
) -> Part:
    """Return the other part with the holes that may be drilled on the flat.

    Args:
        part: the other part as stated
        other: the same in its place
        asked: how they are matched
        matches: holes carried over
        note: for the traveler
        drill: what the holes are drilled with, as typed
    """
    size = asked.pilot or asked.final
    new: list[DrawnHole] = []
    for match in matches:
        if match.how is not How.ON_THE_FLAT:
            continue
        flat, center = drawn_on(other, match)
        new.append(
            DrawnHole(
                name=f"matched {match.hole}",
                flat=flat,
                kind=HoleKind.ROUND,
                loop=Loop.circle(center, size / 2),
                center=center,
                drill=drill,
                note=note,
            )
        )
    return replace(part, holes=(*part.holes, *new))
