"""Things put side by side on shelves, like books."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from blankwright.drawing.model import Item
from blankwright.drawing.notes import Row
from blankwright.geom.edges import box_around
from blankwright.geom.move import Move

GAP = 12.0
"""White between things [mm]."""


def shelve(blocks: Iterable[Sequence[Item]], width: float) -> tuple[Row, ...]:
    """Return rows of things, the top left corner of each row at (0, 0).

    Args:
        blocks: the things, each some items
        width: of a row [mm]; one thing that is wider gets a row of its own
    """
    rows: list[Row] = []
    items: list[Item] = []
    x = high = 0.0
    for block in blocks:
        box = box_around([item.box for item in block])
        if items and x + box[2] - box[0] > width:
            rows.append(Row(height=high + GAP, items=tuple(items)))
            items, x, high = [], 0.0, 0.0
        move = Move.shift(x - box[0], -box[3])
        items.extend(item.moved(move) for item in block)
        x += box[2] - box[0] + GAP
        high = max(high, box[3] - box[1])
    if items:
        rows.append(Row(height=high, items=tuple(items)))
    return tuple(rows)
