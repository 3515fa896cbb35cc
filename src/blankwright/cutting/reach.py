"""Where a router bit's centre may go, and what it leaves in corners."""

from __future__ import annotations

from collections.abc import Sequence

from blankwright.base.tolerance import TOUCH
from blankwright.cutting.work import TIGHT
from blankwright.geom.loop import Loop
from blankwright.geom.offset import grown, left_in_corners, loop_shrunk
from blankwright.geom.region import Region

LEAST_ROOM = 0.05
"""A round opening is milled when the cutter's centre goes round at least this radius [mm]."""

SLOT_AREA = 0.05
"""What a way a little nearer must win before it is taken [mm²]."""


def unreached(region: Region, radius: float) -> list[Region]:
    """Return the metal outside a region that a bit of a radius [mm] leaves in its corners."""
    return [piece for piece in left_in_corners(region, radius) if piece.area > 100 * TOUCH]


def area_of(regions: Sequence[Region]) -> float:
    """Return the area of several regions [mm²]."""
    return sum(region.area for region in regions)


def inside_paths(hole: Loop, radius: float) -> list[Loop]:
    """Return the ways round inside an opening for a bit of a radius [mm]; none without room."""
    circle = hole.as_circle
    if circle is not None:
        around = circle.radius - radius
        return [Loop.circle(circle.center, around)] if around >= LEAST_ROOM else []
    rooms = loop_shrunk(hole, radius)
    closer = loop_shrunk(hole, radius - TIGHT)
    gained = area_of([r for room in closer for r in grown(room, radius - TIGHT)]) - area_of(
        [r for room in rooms for r in grown(room, radius)]
    )
    if gained > SLOT_AREA + 0.005 * len(hole.edges):
        rooms = closer
    return [room.outer for room in rooms if room.outer.length > 4 * LEAST_ROOM]
