"""What a rivet row makes room for: the sheet's edge, bends, openings, holes, other rows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from blankwright.develop.blank import Blank
from blankwright.develop.checks.holes import is_fastener
from blankwright.geom.loop import Loop
from blankwright.handbook.edge import least_pitch
from blankwright.handbook.rivets import diameter_of
from blankwright.handbook.screws import plate_nut
from blankwright.holes.asked_row import AskedRow
from blankwright.holes.fasteners import limits_of, nominal_diameter
from blankwright.holes.path import Path
from blankwright.holes.spacing import Spacing
from blankwright.holes.zones import Obstacle, Zone, joined, point_obstacle, zones_on
from blankwright.part.model import HoleKind, Part
from blankwright.part.rivets import RivetRow


def nut_pitch(row: RivetRow) -> float:
    """Return the least pitch of screws whose plate nuts lie in line [mm]: rivet to rivet 3 D."""
    nut = plate_nut(row.size)
    return nut.spread + least_pitch(diameter_of(nut.rivet)).value


def off_the_ends(
    path: Path, obstacles: Sequence[Obstacle], asked: AskedRow, spacing: Spacing
) -> Spacing:
    """Return the spacing with end distances where none are stated and something is there: the
    sheet's edge, a bend, another row.

    End distances as stated stand, and so do the points of a row from point to point: the checks
    speak of those that are too short.
    """
    if path.closed or asked.between is not None:
        return spacing
    left, right = spacing.left, spacing.right
    for zone in zones_on(path, obstacles):
        if zone.start == -math.inf and zone.end == math.inf:
            return spacing
        if zone.start == -math.inf and not left:
            left = zone.end
        if zone.end == math.inf and not right:
            right = path.length - zone.start
    return replace(spacing, left=left, right=right)


def passable(path: Path, obstacles: Sequence[Obstacle]) -> list[Obstacle]:
    """Return the obstacles without those that forbid the whole line.

    A line that runs too near a bend from end to end can't dodge it: it stays where it is stated
    and the checks speak of it.
    """
    return [
        one
        for one in obstacles
        if not any(
            zone.start == -math.inf and zone.end == math.inf for zone in zones_on(path, (one,))
        )
    ]


def zones_between(path: Path, obstacles: Sequence[Obstacle], spacing: Spacing) -> tuple[Zone, ...]:
    """Return the forbidden stretches between the ends of a row."""
    low, high = spacing.left, path.length - spacing.right
    kept: list[Obstacle] = []
    edges: list[Zone] = []
    for obstacle in obstacles:
        zones = zones_on(path, (obstacle,))
        if obstacle.keep_in:
            # The holes at the row's own ends stand, as stated or as set; all between stay off.
            edges += [
                Zone(max(z.start, low), min(z.end, high), z.names)
                for z in zones
                if z.end > low + 1e-6 and z.start < high - 1e-6
            ]
        elif not any(z.start <= low + 1e-6 and z.end >= high - 1e-6 for z in zones):
            kept.append(obstacle)
    return joined((*zones_on(path, kept), *edges))


def obstacles_of(part: Part, blank: Blank, asked: AskedRow, diameter: float) -> list[Obstacle]:
    """Return what a row keeps off: the sheet's edge, bends, openings, holes and rows before it.

    Args:
        part: as stated, with the rows laid before this one
        blank: of the part as it was before any row was laid
        asked: the row
        diameter: of its fastener [mm]
    """
    row = asked.row
    limits = limits_of(diameter, row.head)
    # Never more than the row stays off the edges that it follows, or it would dodge those.
    off = min(limits.edge.value, asked.edge_distance) if asked.edges else limits.edge.value
    found = [Obstacle("the sheet's edge", blank.outline.outer, off, keep_in=True)]
    found += [
        Obstacle(
            bend.label,
            Loop.rectangle(0.0, 0.0, bend.width, bend.allowance).moved(bend.place),
            limits.bend.value,
        )
        for bend in blank.bends
    ]
    in_rows = {name: other for other in part.rivets for name in other.holes}
    in_fields = {name: field.name for field in part.fields for name in field.holes}
    for hole in blank.holes:
        if hole.name in in_rows:
            continue
        name = hole.name if hole.kind is HoleKind.RELIEF else f"hole {hole.name}"
        if hole.name in in_fields:
            name = f"field {in_fields[hole.name]}"
        if is_fastener(hole):
            reach = _reach(asked, diameter, hole.diameter or 0.0)
            found.append(point_obstacle(name, hole.center, reach))
        else:
            found.append(Obstacle(name, hole.loop, limits.edge.value))
    nuts = {name: other for other in part.rivets for name in other.nut_holes}
    for drawn in part.holes:
        other = in_rows.get(drawn.name) or nuts.get(drawn.name)
        if other is None:
            continue
        theirs = (
            diameter_of(plate_nut(other.size).rivet)
            if drawn.name in nuts
            else nominal_diameter(other.fastener, other.size)
        )
        reach = _reach(asked, diameter, theirs)
        center = blank.flat_by_name[drawn.flat].place(drawn.center)
        found.append(point_obstacle(f"row {other.name}", center, reach))
    return found


def _reach(asked: AskedRow, mine: float, theirs: float) -> float:
    """Return how far a hole of the row stays off another fastener, both diameters given [mm].

    A plate nut reaches out along the row: its own rivets stay off too.
    """
    reach = least_pitch(max(mine, theirs)).value
    if asked.nut_rivets:
        nut = plate_nut(asked.row.size)
        reach = max(reach, nut.spread / 2 + least_pitch(max(diameter_of(nut.rivet), theirs)).value)
    return reach
