"""A rivet row as it is asked for, before its holes are laid."""

from __future__ import annotations

from dataclasses import dataclass

from blankwright.geom.vec import Point
from blankwright.holes.spacing import Spacing
from blankwright.part.rivets import RivetRow


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedRow:
    """A rivet row as asked for.

    Args:
        row: what is known before its holes are laid
        edges: names of the edges it follows; none for a row from point to point
        between: first and last point of such a row, in the flat's frame [mm]
        edge_distance: of its first line from the edges [mm]
        spacing: end distances, count or pitch, frames
        corner_holes: whether each sharp corner gets a hole
        line_count: lines of holes [-]
        line_distance: from line to line [mm]; 0 takes the handbook's
        staggered: whether every second line stands half a pitch aside
        dodge: whether it keeps off bends, openings and other holes
        nut_rivets: whether the plate nuts of its screws are riveted to this part
    """

    row: RivetRow
    edges: tuple[str, ...]
    between: tuple[Point, Point] | None
    edge_distance: float
    spacing: Spacing
    corner_holes: bool = False
    line_count: int = 1
    line_distance: float = 0.0
    staggered: bool = True
    dodge: bool = True
    nut_rivets: bool = False
