"""Angle gauges to cut out of paper: a corner that fits into a finished bend."""

from __future__ import annotations

import math

from blankwright.base.units import show_angle
from blankwright.drawing.layers import GAUGE, NOTES
from blankwright.drawing.model import Anchor, Item, Ring, Text
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop


def angle_gauge(angle: float, bends: tuple[str, ...]) -> tuple[Item, ...]:
    """Return a gauge: a sector as wide as the opening that a bend leaves between its flats.

    Its point is at (0, 0), its middle along the y axis.

    Args:
        angle: angle bent through, over 0 to less than π [rad]
        bends: names of the bends it is for
    """
    opening = math.pi - angle
    # A slim gauge is long, so that its words fit; a wide one need not be.
    radius = 90.0 if opening < math.radians(25) else 60.0 if opening < math.radians(60) else 40.0
    begin = (math.pi - opening) / 2
    arc = Arc((0.0, 0.0), radius, begin, opening)
    loop = Loop((Line((0.0, 0.0), arc.start), arc, Line(arc.end, (0.0, 0.0))))
    words = (f"bend {show_angle(angle)}", f"gauge {show_angle(opening)}")
    items: list[Item] = [Ring(layer=GAUGE, loop=loop)]
    y = radius - 8.0
    for word in words:
        text = Text(layer=NOTES, text=word, at=(0.0, y), height=2.6, anchor=Anchor.CENTER)
        if _fits(text, opening, radius):
            items.append(text)
            y -= 4.6
        else:
            at = vec.polar((0.0, 0.0), radius, begin)
            side = (at[0] + 2.0, at[1] - 3.0 - (radius - 8.0 - y))
            items.append(Text(layer=NOTES, text=word, at=side, height=2.6))
            y -= 4.6
    names = ", ".join(bends)
    if len(names) > 40:
        names = f"{len(bends)} bends"
    items.append(
        Text(layer=NOTES, text=f"for {names}", at=(0.0, -5.0), height=2.2, anchor=Anchor.CENTER)
    )
    return tuple(items)


def _fits(text: Text, opening: float, radius: float) -> bool:
    for x, y in text.corners:
        r = math.hypot(x, y)
        if r > radius - 1.0 or abs(math.atan2(x, y)) > opening / 2 - 0.5 / max(r, 1.0):
            return False
    return True
