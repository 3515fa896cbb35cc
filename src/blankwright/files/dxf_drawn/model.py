"""What a drawing from elsewhere holds: edges, texts, and what was left out and why."""

from __future__ import annotations

from dataclasses import dataclass, field

from blankwright.geom.edges import Edge
from blankwright.geom.vec import Point


@dataclass(frozen=True, slots=True)
class Pen:
    """What a line is drawn with, by which lines are told apart.

    Args:
        layer: name of its layer
        line_type: name of its line type, in capitals: ``CONTINUOUS``, ``CENTER`` …
        colour: number of its colour, 1 to 255
    """

    layer: str
    line_type: str
    colour: int

    def __str__(self) -> str:
        return f"layer {self.layer}, line type {self.line_type}, colour {self.colour}"


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnEdge:
    """A line or arc as drawn.

    Args:
        edge: in mm once units are known; before that in the drawing's own units
        pen: what it is drawn with
        kind: what the drawing calls it, such as ``LWPOLYLINE``
        hidden: why it is not seen in the drawing; empty when it is
    """

    edge: Edge
    pen: Pen
    kind: str
    hidden: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnText:
    """A text as drawn: each line of it apart.

    Args:
        text: without codes
        at: its insertion point, units as of the edges
        height: height of its letters
        angle: direction it runs in [rad]
        pen: what it is drawn with
    """

    text: str
    at: Point
    height: float
    angle: float
    pen: Pen


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """A drawing from elsewhere, in its own units.

    Args:
        units: the unit that it states: ``mm``, ``in`` …; empty when it states none
        metric: whether it says that it is metric; nothing when it does not say
        edges: lines and arcs
        texts: texts
        left_out: what was not read, such as ``12 HATCH``
        fitted: how many ellipses and splines were made arcs
        off_plane: kinds and places of what does not lie flat in the drawing's plane
        layouts: names of the sheets that hold something
    """

    units: str
    metric: bool | None = None
    edges: tuple[DrawnEdge, ...] = ()
    texts: tuple[DrawnText, ...] = ()
    left_out: tuple[str, ...] = ()
    fitted: int = 0
    off_plane: tuple[tuple[str, Point], ...] = ()
    layouts: tuple[str, ...] = field(default=())
