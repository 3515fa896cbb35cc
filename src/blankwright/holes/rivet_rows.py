"""Rivet rows laid on a part: where their holes go, in the frame of the flat they are on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from blankwright.develop.blank import Blank
from blankwright.geom import vec
from blankwright.geom.loop import Loop
from blankwright.handbook.drills import find_drill
from blankwright.handbook.screws import plate_nut
from blankwright.holes.asked_row import AskedRow
from blankwright.holes.fasteners import finished_hole, limits_of, nominal_diameter
from blankwright.holes.path import Path, edge_path, straight_path
from blankwright.holes.row_room import (
    nut_pitch,
    obstacles_of,
    off_the_ends,
    passable,
    zones_between,
)
from blankwright.holes.spacing import Spaced, space
from blankwright.holes.zones import Obstacle, Zone
from blankwright.part.model import DrawnFlat, DrawnHole, HoleKind, Part
from blankwright.part.rivets import Fastener, RivetRow, RowLine


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A row with its holes.

    Args:
        row: complete
        holes: its holes, to be added to the part
    """

    row: RivetRow
    holes: tuple[DrawnHole, ...]


def lay_row(part: Part, blank: Blank | None, asked: AskedRow) -> Laid:
    """Lay a row of rivets on a part.

    Args:
        part: as stated, with the rows laid before this one
        blank: of the part as it was before any row was laid; nothing when it can't be developed,
            and then nothing is dodged
        asked: the row

    Returns:
        The row and its holes. Holes are of the pilot's size where one is stated.

    Raises:
        BadText: when the row has no line or no room (ROW-001 to ROW-004, PART-009)
    """
    row = asked.row
    flat = part.flat(row.flat)
    diameter = nominal_diameter(row.fastener, row.size)
    limits = limits_of(diameter, row.head)
    obstacles: Sequence[Obstacle] = ()
    if asked.dodge and blank is not None:
        obstacles = obstacles_of(part, blank, asked, diameter)
    drill = row.pilot or finished_hole(row.fastener, row.size, row.drill).drill.name
    radius = find_drill(drill).diameter / 2

    least = limits.pitch.value
    if asked.nut_rivets:
        least = max(least, nut_pitch(row))
    base = _line(flat, asked, 0, 0.0, None, least, obstacles, blank)
    laid = [base]
    distance = asked.line_distance
    if asked.line_count > 1:
        distance = distance or limits_of(diameter, row.head, _usual_pitch(laid)).line.value
        laid = _lines(flat, asked, distance, base, least, obstacles, blank)
        if not asked.line_distance:
            # A line behind may come out at a greater pitch than the first, and wants more room.
            wanted = limits_of(diameter, row.head, _usual_pitch(laid)).line.value
            if wanted > distance + 1e-9:
                distance = wanted
                laid = _lines(flat, asked, distance, base, least, obstacles, blank)
    lines: list[RowLine] = []
    holes: list[DrawnHole] = []
    nuts: list[DrawnHole] = []
    for k, (spaced, path) in enumerate(laid):
        points = [path.point(s) for s in spaced.at]
        if path.closed and len(points) > 1:
            points = points[:-1]
        names = [f"{row.name}[{len(holes) + i + 1}]" for i in range(len(points))]
        holes += [
            DrawnHole(
                name=name,
                flat=row.flat,
                kind=HoleKind.ROUND,
                loop=Loop.circle(p, radius),
                center=p,
                drill=drill,
                note=_note(row),
            )
            for name, p in zip(names, points, strict=True)
        ]
        if asked.nut_rivets:
            nuts += _nut_holes(row, path, spaced.at[: len(points)], len(nuts))
        after = [*points[1:], *(points[:1] if path.closed and len(points) > 2 else ())]
        lines.append(
            RowLine(
                holes=tuple(names),
                pitches=tuple(vec.distance(a, b) for a, b in zip(points, after, strict=False)),
                dodged=spaced.dodged,
                edge=asked.edge_distance + k * distance if asked.edges else 0.0,
            )
        )
    full = replace(
        row,
        lines=tuple(lines),
        asked_pitch=base[0].asked_pitch,
        asked_count=asked.spacing.count,
        line_distance=distance if asked.line_count > 1 else 0.0,
        nut_holes=tuple(hole.name for hole in nuts),
    )
    return Laid(row=full, holes=(*holes, *nuts))


def _nut_holes(row: RivetRow, path: Path, at: Sequence[float], before: int) -> list[DrawnHole]:
    """Return the holes for the two rivets of each plate nut, along the row on either side."""
    nut = plate_nut(row.size)
    hole = finished_hole(Fastener.SOLID, nut.rivet)
    found: list[DrawnHole] = []
    for s in at:
        middle = path.point(s)
        way = path.direction(s)
        for side in (-0.5, 0.5):
            center = vec.along(middle, way, side * nut.spread)
            found.append(
                DrawnHole(
                    name=f"{row.name}-nut[{before + len(found) + 1}]",
                    flat=row.flat,
                    kind=HoleKind.ROUND,
                    loop=Loop.circle(center, hole.drill.diameter / 2),
                    center=center,
                    drill=hole.drill.name,
                    note=f"{nut.rivet} rivet of the plate nut; hold a nut to it first",
                )
            )
    return found


def _usual_pitch(laid: Sequence[tuple[Spaced, Path]]) -> float:
    """Return the greatest pitch that no detour widened [mm]."""
    asked = laid[0][0].asked_pitch
    gaps = [b - a for spaced, _ in laid for a, b in pairwise(spaced.at)]
    return max((gap for gap in gaps if gap <= asked + 1e-6), default=0.0)


def _lines(
    flat: DrawnFlat,
    asked: AskedRow,
    distance: float,
    base: tuple[Spaced, Path],
    least: float,
    obstacles: Sequence[Obstacle],
    blank: Blank | None,
) -> list[tuple[Spaced, Path]]:
    """Return all lines of a row, the first as it is."""
    behind = (
        _line(flat, asked, k, distance, base[0], least, obstacles, blank)
        for k in range(1, asked.line_count)
    )
    return [base, *behind]


def _line(
    flat: DrawnFlat,
    asked: AskedRow,
    k: int,
    distance: float,
    base: Spaced | None,
    least: float,
    obstacles: Sequence[Obstacle],
    blank: Blank | None,
) -> tuple[Spaced, Path]:
    """Return where the holes of line k are, and its path in the flat's frame."""
    if asked.between is not None:
        path = straight_path(*asked.between, aside=k * distance)
    else:
        path = edge_path(flat.outline, flat.edges, asked.edges, asked.edge_distance + k * distance)
    spacing = asked.spacing
    if k and base is not None:
        spacing = replace(spacing, count=0, pitch=0.0, pitch_at_most=base.asked_pitch)
        if asked.staggered and k % 2 and len(base.at) > 1:
            first = (base.at[1] - base.at[0]) / 2
            last = (base.at[-1] - base.at[-2]) / 2
            spacing = replace(
                spacing,
                left=base.at[0] + first,
                right=max(0.0, path.length - (base.at[-1] - last))
                if len(path.edges) == 1
                else asked.spacing.right + last,
                stations=(),
            )
    if asked.corner_holes:
        spacing = replace(spacing, stations=(*spacing.stations, *path.corners))
    if path.closed:
        spacing = replace(spacing, left=0.0, right=0.0)
        if spacing.count:
            spacing = replace(spacing, count=spacing.count + 1)
    zones: Sequence[Zone] = ()
    if blank is not None and obstacles:
        on_blank = path.moved(blank.flat_by_name[flat.name].place)
        there = passable(on_blank, obstacles)
        spacing = off_the_ends(on_blank, there, asked, spacing)
        zones = zones_between(on_blank, there, spacing)
    return space(path.length, spacing, least, zones), path


def _note(row: RivetRow) -> str:
    what = "screw" if row.fastener is Fastener.SCREW else f"{row.fastener.value} rivet"
    text = f"{row.size} {what}"
    if row.pilot:
        text += (
            f"; pilot, drill up to {finished_hole(row.fastener, row.size, row.drill).drill.name}"
        )
    return f"{text}; {row.note}" if row.note else text
