"""What a view of the formed part consists of: plain lines and arcs, sorted by how they show."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from blankwright.geom.edges import Box, Edge, box_around


class Shown(Enum):
    """How a stretch of a view shows."""

    EDGE = "edge"
    """A sharp edge or the outline of a bend, in sight."""
    TANGENT = "tangent"
    """Where a flat runs into a bend, in sight."""
    HIDDEN = "hidden"
    """A sharp edge or outline behind the metal."""


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """One view of a formed part.

    Args:
        name: ``front``, ``top``, ``side`` or ``oblique``
        edges: lines and arcs in the plane of the view, x to the right and y up [mm], each with how
            it shows; curves that are neither are broken into lines
    """

    name: str
    edges: tuple[tuple[Shown, Edge], ...]

    @property
    def box(self) -> Box:
        """Least x, least y, greatest x, greatest y [mm]."""
        return box_around([edge.box for _, edge in self.edges])
