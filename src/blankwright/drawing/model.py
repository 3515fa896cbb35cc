"""The neutral drawing that DXF, SVG and PDF all draw: edges, loops, text and fills on layers."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum
from functools import cached_property

from blankwright.drawing.layers import ALL_LAYERS, Layer
from blankwright.drawing.lettering import text_width
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Box, Edge, Line, box_around
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.vec import Point


class Anchor(Enum):
    """Which point of a text's baseline it is placed by."""

    LEFT = "left"
    CENTER = "center"
    RIGHT = "right"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """One edge.

    Args:
        layer: what it shows
        edge: line, arc or circle [mm]
    """

    layer: Layer
    edge: Edge

    @property
    def box(self) -> Box:
        """Least x, least y, greatest x, greatest y [mm]."""
        return self.edge.box

    def moved(self, move: Move) -> Stroke:
        """Return it after a rigid move."""
        return replace(self, edge=self.edge.moved(move))

    def scaled(self, factor: float) -> Stroke:
        """Return it `factor` [-] times as large about (0, 0)."""
        return replace(self, edge=scaled_edge(self.edge, factor))


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """A closed loop, kept whole so that files can write it as one closed line.

    Args:
        layer: what it shows
        loop: the loop [mm]
    """

    layer: Layer
    loop: Loop

    @property
    def box(self) -> Box:
        """Least x, least y, greatest x, greatest y [mm]."""
        return self.loop.box

    def moved(self, move: Move) -> Ring:
        """Return it after a rigid move."""
        return replace(self, loop=self.loop.moved(move))

    def scaled(self, factor: float) -> Ring:
        """Return it `factor` [-] times as large about (0, 0)."""
        return replace(self, loop=Loop(tuple(scaled_edge(e, factor) for e in self.loop.edges)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """A filled polygon: an arrowhead, a shaded page of the map.

    Args:
        layer: what it shows
        corners: its corners [mm]
        shade: 0 black to 1 white [-]
    """

    layer: Layer
    corners: tuple[Point, ...]
    shade: float = 0.0

    @property
    def box(self) -> Box:
        """Least x, least y, greatest x, greatest y [mm]."""
        xs, ys = [p[0] for p in self.corners], [p[1] for p in self.corners]
        return (min(xs), min(ys), max(xs), max(ys))

    def moved(self, move: Move) -> Fill:
        """Return it after a rigid move."""
        return replace(self, corners=tuple(move(p) for p in self.corners))

    def scaled(self, factor: float) -> Fill:
        """Return it `factor` [-] times as large about (0, 0)."""
        return replace(self, corners=tuple(vec.scale(p, factor) for p in self.corners))


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """One line of text.

    Args:
        layer: what it belongs to
        text: what it says
        at: point of its baseline [mm]
        height: height of a capital letter [mm]
        angle: direction of the baseline, from the x axis [rad]
        anchor: which point of the baseline `at` is
        bold: whether it is lettered heavy
    """

    layer: Layer
    text: str
    at: Point
    height: float
    angle: float = 0.0
    anchor: Anchor = Anchor.LEFT
    bold: bool = False

    @property
    def width(self) -> float:
        """Length of the line of text [mm], as near as the lettering is known."""
        return text_width(self.text, self.height, bold=self.bold)

    @property
    def frame(self) -> Move:
        """Carries a frame with its origin at the left end of the baseline onto the drawing."""
        share = {Anchor.LEFT: 0.0, Anchor.CENTER: 0.5, Anchor.RIGHT: 1.0}[self.anchor]
        along = (math.cos(self.angle), math.sin(self.angle))
        return Move.onto(vec.along(self.at, along, -share * self.width), along)

    @property
    def corners(self) -> tuple[Point, ...]:
        """Corners of the box around it, tails of letters included [mm]."""
        w, low, top = self.width, -0.3 * self.height, 1.1 * self.height
        place = self.frame
        return tuple(place(p) for p in ((0.0, low), (w, low), (w, top), (0.0, top)))

    @property
    def box(self) -> Box:
        """Least x, least y, greatest x, greatest y [mm]."""
        xs, ys = [p[0] for p in self.corners], [p[1] for p in self.corners]
        return (min(xs), min(ys), max(xs), max(ys))

    def moved(self, move: Move) -> Text:
        """Return it after a rigid move; a flip moves the place and leaves the letters readable."""
        if move.flip:
            return replace(self, at=move(self.at), angle=move.angle - self.angle)
        return replace(self, at=move(self.at), angle=self.angle + move.angle)

    def scaled(self, factor: float) -> Text:
        """Return it `factor` [-] times as large about (0, 0)."""
        return replace(self, at=vec.scale(self.at, factor), height=self.height * factor)


Item = Stroke | Ring | Fill | Text


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """Items on layers, in mm.

    Args:
        title: what it is, for the file's own title
        items: what is drawn, first underneath
    """

    title: str
    items: tuple[Item, ...]

    @cached_property
    def box(self) -> Box:
        """Box around all items, text included [mm]. Raises ValueError for an empty drawing."""
        return box_around([item.box for item in self.items])

    @property
    def layers(self) -> tuple[Layer, ...]:
        """Layers that are used, in the order of `ALL_LAYERS`."""
        used = {item.layer.name: item.layer for item in self.items}
        return tuple(used[layer.name] for layer in ALL_LAYERS if layer.name in used)

    def only(self, *layers: Layer) -> Drawing:
        """Return the drawing with some layers only."""
        names = {layer.name for layer in layers}
        return replace(self, items=tuple(i for i in self.items if i.layer.name in names))

    def edges(self, *layers: Layer) -> tuple[Edge, ...]:
        """Return the edges on some layers, those of loops included."""
        names = {layer.name for layer in layers}
        return tuple(e for i in self.items if i.layer.name in names for e in edges_of(i))

    def moved(self, move: Move) -> Drawing:
        """Return the drawing after a rigid move."""
        return replace(self, items=tuple(item.moved(move) for item in self.items))

    def scaled(self, factor: float) -> Drawing:
        """Return the drawing `factor` [-] times as large; line weights and dashes stay."""
        return replace(self, items=tuple(item.scaled(factor) for item in self.items))

    def plus(self, items: Iterable[Item]) -> Drawing:
        """Return the drawing with more items on top."""
        return replace(self, items=(*self.items, *items))


def edges_of(item: Item) -> tuple[Edge, ...]:
    """Return the edges of an item; none for text and fills."""
    match item:
        case Stroke():
            return (item.edge,)
        case Ring():
            return item.loop.edges
        case _:
            return ()


def scaled_edge(edge: Edge, factor: float) -> Edge:
    """Return an edge `factor` [-] times as large about (0, 0)."""
    if isinstance(edge, Line):
        return Line(vec.scale(edge.start, factor), vec.scale(edge.end, factor))
    return Arc(vec.scale(edge.center, factor), edge.radius * factor, edge.begin, edge.sweep)
