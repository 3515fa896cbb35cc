"""Writes drawings as SVG in true size: one unit is 1 mm, arcs are arcs, layers are groups.

The page's y axis points down, the drawing's up: every y is written as top − y, so no transform
stands between the file's numbers and the drawing's.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from xml.sax.saxutils import escape, quoteattr

from blankwright.base.units import trimmed
from blankwright.drawing.layers import Layer
from blankwright.drawing.lettering import CAP_HEIGHT
from blankwright.drawing.model import Anchor, Drawing, Fill, Item, Ring, Stroke, Text
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.vec import Point

MARGIN = 5.0
"""White around the drawing [mm]."""

_ANCHORS = {Anchor.LEFT: "start", Anchor.CENTER: "middle", Anchor.RIGHT: "end"}


def drawing_svg(drawing: Drawing) -> bytes:
    """Return a drawing as an SVG file at full size; the same drawing gives the same bytes.

    Args:
        drawing: in mm
    """
    x0, y0, x1, y1 = drawing.box
    x0, y0, x1, y1 = x0 - MARGIN, y0 - MARGIN, x1 + MARGIN, y1 + MARGIN
    width, height = _n(x1 - x0), _n(y1 - y0)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm"'
        f' viewBox="{_n(x0)} 0 {width} {height}" fill="none" stroke="#000"'
        f' stroke-linecap="round" stroke-linejoin="round">',
        f"<title>{escape(drawing.title)}</title>",
        f"<desc>Full size, 1 unit is 1 mm. y on the drawing is {_n(y1)} less y here.</desc>",
    ]
    pen = _Pen(y1)
    for layer in drawing.layers:
        lines.append(_group(layer))
        lines.extend(
            line for i in drawing.items if i.layer.name == layer.name for line in pen.item(i)
        )
        lines.append("</g>")
    lines.append("</svg>")
    return ("\n".join(lines) + "\n").encode()


def _n(value: float) -> str:
    return trimmed(value, 6)


def _group(layer: Layer) -> str:
    dashes = ""
    if layer.dashes:
        dashes = (
            f' stroke-dasharray="{" ".join(_n(d) for d in layer.dashes)}" stroke-linecap="butt"'
        )
    return f'<g id={quoteattr(layer.name)} stroke-width="{_n(layer.weight)}"{dashes}>'


class _Pen:
    """Writes items with y counted down from the top.

    Args:
        top: the y of the drawing that is 0 in the file [mm]
    """

    def __init__(self, top: float) -> None:
        self._top = top

    def _at(self, p: Point) -> str:
        return f"{_n(p[0])} {_n(self._top - p[1])}"

    def item(self, item: Item) -> Iterator[str]:
        match item:
            case Stroke():
                yield self._edge(item.edge)
            case Ring():
                circle = item.loop.as_circle
                yield self._edge(circle) if circle else self._path(item.loop.edges)
            case Fill():
                grey = f"{round(item.shade * 255):02x}" * 3
                points = " ".join(self._at(p) for p in item.corners)
                yield f'<polygon points="{points}" fill="#{grey}" stroke="none"/>'
            case Text():
                yield self._text(item)

    def _edge(self, edge: Edge) -> str:
        if isinstance(edge, Arc) and edge.is_circle:
            x, y = edge.center
            return f'<circle cx="{_n(x)}" cy="{_n(self._top - y)}" r="{_n(edge.radius)}"/>'
        return f'<path d="M {self._at(edge.start)} {self._step(edge)}"/>'

    def _path(self, edges: tuple[Edge, ...]) -> str:
        steps = " ".join(self._step(edge) for edge in edges)
        return f'<path d="M {self._at(edges[0].start)} {steps} Z"/>'

    def _step(self, edge: Edge) -> str:
        if isinstance(edge, Line):
            return f"L {self._at(edge.end)}"
        # An arc near half or all of a turn is badly stated by its ends: write it in pieces.
        count = max(1, math.ceil(abs(edge.sweep) / (0.6 * math.pi)))
        parts = [edge.part(i / count, (i + 1) / count) for i in range(count)]
        sense = 0 if edge.sweep > 0 else 1
        r = _n(edge.radius)
        return " ".join(f"A {r} {r} 0 0 {sense} {self._at(part.end)}" for part in parts)

    def _text(self, item: Text) -> str:
        x, y = item.at[0], self._top - item.at[1]
        turn = ""
        if item.angle:
            turn = f' transform="rotate({_n(-math.degrees(item.angle))} {_n(x)} {_n(y)})"'
        weight = ' font-weight="bold"' if item.bold else ""
        return (
            f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(item.height / CAP_HEIGHT)}"'
            f' text-anchor="{_ANCHORS[item.anchor]}" font-family="DejaVu Sans, Verdana, sans-serif"'
            f'{weight} fill="#000" stroke="none"{turn}>{escape(item.text)}</text>'
        )
