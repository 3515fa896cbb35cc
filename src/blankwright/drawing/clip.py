"""What of a drawing lies in a box, for views with their middle broken out."""

from __future__ import annotations

import itertools
from collections.abc import Iterable

from blankwright.drawing.model import Drawing, Fill, Item, Stroke, Text, edges_of
from blankwright.geom.edges import Box, Edge, Line, boxes_touch
from blankwright.geom.meet import meetings


def clipped(drawing: Drawing, box: Box) -> tuple[Item, ...]:
    """Return what of a drawing lies in a box [mm]: texts and fills whole or not at all."""
    items: list[Item] = []
    for item in drawing.items:
        if isinstance(item, Text | Fill):
            if _inside(item.box, box):
                items.append(item)
        elif _inside(item.box, box):
            items.append(item)
        elif boxes_touch(item.box, box):
            for edge in edges_of(item):
                items.extend(Stroke(layer=item.layer, edge=e) for e in _parts(edge, box))
    return tuple(items)


def _inside(a: Box, b: Box) -> bool:
    return a[0] >= b[0] and a[1] >= b[1] and a[2] <= b[2] and a[3] <= b[3]


def _parts(edge: Edge, box: Box) -> Iterable[Edge]:
    x0, y0, x1, y1 = box
    sides = (
        Line((x0, y0), (x1, y0)),
        Line((x1, y0), (x1, y1)),
        Line((x1, y1), (x0, y1)),
        Line((x0, y1), (x0, y0)),
    )
    marks = {0.0, 1.0}
    for side in sides:
        marks.update(min(1.0, max(0.0, edge.share(p))) for p in meetings(edge, side))
    for t0, t1 in itertools.pairwise(sorted(marks)):
        if (t1 - t0) * edge.length > 1e-6:
            x, y = edge.point((t0 + t1) / 2)
            if x0 <= x <= x1 and y0 <= y <= y1:
                yield edge.part(t0, t1)
