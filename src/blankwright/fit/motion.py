"""The part in motion from closed to open: clearance against travel, contact, stops, opening."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from blankwright.fit.contact import HAIR
from blankwright.fit.convolution import Array
from blankwright.fit.place import Motion, Place
from blankwright.fit.room import loosened
from blankwright.fit.solid import Solid
from blankwright.fit.space import FAR, Collider, footprint
from blankwright.geom.pose import Pose

Mask = NDArray[np.bool_]

_FINEST: Final = 0.3
"""No point of the part moves farther between two positions [mm]: less than any sheet is thick."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """Where the part meets something on its way.

    Args:
        wall: what it meets
        feature: the part's flat or bend
        travel: at which travel [mm, rad or steps]
        stops: whether it stops the part there; a soft pair only rubs
    """

    wall: str
    feature: str
    travel: float
    stops: bool


@dataclass(frozen=True, kw_only=True)
class Travel:
    """Clearance against travel.

    Args:
        motion: the motion
        travel: positions, shape (n,) [mm, rad or steps]
        clearances: least distance to each wall, shape (n,) [mm]; those over `FAR` are bounds
        wanted: least clearance wanted of each wall [mm]
        contacts: contacts in the order of travel; at most one stop, the last
        open_area: part of the opening that is clear, shape (n,) [mm²]; empty without an opening
        opening_area: area of the whole opening [mm²]
    """

    motion: Motion
    travel: Array
    clearances: Mapping[str, Array]
    wanted: Mapping[str, float]
    contacts: tuple[Contact, ...]
    open_area: Array
    opening_area: float

    @property
    def stop(self) -> Contact | None:
        """What stops the part, if anything does on the way."""
        return next((c for c in self.contacts if c.stops), None)

    @property
    def end(self) -> float:
        """How far it goes [mm, rad or steps]."""
        return self.motion.length if self.stop is None else self.stop.travel

    @property
    def inside(self) -> Mask:
        """Which positions come before the stop, shape (n,)."""
        return np.abs(self.travel) <= abs(self.end) + 1e-9

    @property
    def first_tight(self) -> tuple[str, float] | None:
        """The wall and travel where a clearance first falls under what is wanted."""
        best: tuple[float, str] | None = None
        inside = self.inside
        for wall, values in self.clearances.items():
            short = np.nonzero((values < self.wanted[wall] - 1e-6) & inside)[0]
            if len(short):
                found = (float(self.travel[short[0]]), wall)
                best = found if best is None else min(best, found, key=_earlier)
        return None if best is None else (best[1], best[0])


def along(
    place: Place, part: Solid, collider: Collider, motion: Motion, positions: int = 200
) -> Travel:
    """Move the part and look.

    Args:
        place: the place
        part: the part at rest
        collider: the solids
        motion: from closed to open
        positions: least number of positions to look at
    """
    whole = _motion_of_points(part, motion)
    n = max(positions, math.ceil(whole / _FINEST) + 1)
    travel = np.linspace(0.0, motion.length, n)
    step = whole / (n - 1)
    clearances: dict[str, Array] = {}
    wanted: dict[str, float] = {}
    contacts: list[Contact] = []
    for wall in place.solids:
        pair = place.pair(place.part.material, wall.material)
        values = _distances(collider, motion, travel, wall.name, step)
        clearances[wall.name] = values
        wanted[wall.name] = max(pair.clearance, 0.0) if not pair.is_soft else -math.inf
        contact = _contact(collider, motion, travel, values, wall.name, not pair.is_soft)
        if contact is not None:
            contacts.append(contact)
    contacts.sort(key=lambda c: (abs(c.travel), c.stops, c.wall))
    kept: list[Contact] = []
    for contact in contacts:
        kept.append(contact)
        if contact.stops:
            break
    area, whole_area = open_area(place, part, motion, travel)
    return Travel(
        motion=motion,
        travel=travel,
        clearances=clearances,
        wanted=wanted,
        contacts=tuple(kept),
        open_area=area,
        opening_area=whole_area,
    )


def _earlier(found: tuple[float, str]) -> tuple[float, str]:
    return (abs(found[0]), found[1])


def _motion_of_points(part: Solid, motion: Motion) -> float:
    """Bound how far any point of the part moves on the whole way [mm]."""
    corners = motion.frame.inverse().points(part.triangles[0])
    reach = float(np.hypot(corners[:, 0], corners[:, 1]).max())
    if motion.path:
        total, last, turn = 0.0, (0.0, 0.0, 0.0), 0.0
        for shift, angle in motion.path:
            far = reach + math.hypot(*shift)
            total += math.dist(last, shift) + far * abs(angle - turn)
            last, turn = shift, angle
        return total
    return motion.travel + (reach + math.hypot(*motion.roll)) * abs(motion.turn)


def _distances(collider: Collider, motion: Motion, travel: Array, wall: str, step: float) -> Array:
    """Return the distance to one wall all along; far away a bound is enough."""
    values = np.empty(len(travel))
    known, k0 = -math.inf, 0
    for k, t in enumerate(travel.tolist()):
        bound = known - step * (k - k0)
        if bound > FAR:
            values[k] = bound
            continue
        known, k0 = collider.near(motion.at(t), wall).distance, k
        values[k] = known
    return values


def _contact(
    collider: Collider, motion: Motion, travel: Array, values: Array, wall: str, hard: bool
) -> Contact | None:
    """Return where the part first meets a wall; not a hard one that it touches at rest and leaves.

    A hard wall that is touched at rest stops the part only where it goes into it.
    """
    shift = loosened(collider, motion.at(0.0), wall) if hard else (0.0, 0.0, 0.0)
    hair = Pose(origin=shift)
    hits = None
    for k in np.nonzero(values <= (HAIR if any(shift) else 1e-9))[0].tolist():
        if collider.hits(motion.at(float(travel[k])).then(hair), wall):
            hits = k
            break
    if hits is None:
        return None
    low, high = (0.0, 0.0) if hits == 0 else (float(travel[hits - 1]), float(travel[hits]))
    for _ in range(40):
        middle = (low + high) / 2
        if collider.hits(motion.at(middle).then(hair), wall):
            high = middle
        else:
            low = middle
    feature = collider.near(motion.at(low), wall).feature
    return Contact(wall=wall, feature=feature, travel=high, stops=hard)


def open_area(place: Place, part: Solid, motion: Motion, travel: Array) -> tuple[Array, float]:
    """Return how much of a motion's opening the part leaves clear, seen square to it.

    Args:
        place: the place
        part: the part at rest
        motion: the motion, with the opening that it uncovers
        travel: positions, shape (n,) [mm, rad or steps]

    Returns:
        Clear area at each position, shape (n,) [mm²], and area of the whole opening [mm²]; nothing
        and 0 for a motion without an opening.
    """
    if not motion.opening:
        return np.zeros(0), 0.0
    opening = place.openings[motion.opening]
    hole = shapely.Polygon(opening.outline)
    rest = footprint(part, Pose(), opening.frame)
    flat = _keeps_flat(motion, opening.frame)
    areas = []
    for t in travel.tolist():
        pose = motion.at(t)
        if flat:
            into = pose.then(opening.frame.inverse())
            back = opening.frame.then(into)
            shadow = shapely.transform(
                rest, lambda p, b=back: b.points(np.column_stack((p, np.zeros(len(p)))))[:, :2]
            )
        else:
            shadow = footprint(part, pose, opening.frame)
        areas.append(hole.area - float(hole.intersection(shadow).area))
    return np.array(areas), float(hole.area)


def _keeps_flat(motion: Motion, frame: Pose) -> bool:
    """Whether the motion keeps the part's shadow on the opening the same shape."""
    if not motion.turn and not motion.path:
        return True
    x, y, z = frame.z
    u, v, w = motion.frame.z
    return abs(x * u + y * v + z * w) > 1 - 1e-12
