"""The picture on a placing card: the template among its references, not to scale."""

from __future__ import annotations

from blankwright.base.units import fixed
from blankwright.drawing.dimensions import linear
from blankwright.drawing.layers import BLANK_EDGE, HOLES, LINE_UP, NAMES, OPENING_EDGE
from blankwright.drawing.model import Anchor, Drawing, Item, Ring, Stroke, Text, scaled_edge
from blankwright.geom.edges import Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.holes.placing import Way
from blankwright.holes.template import PlacedTemplate
from blankwright.holes.template_sizes import (
    SizeFrom,
    sizes_from,
)

_WIDE, _TALL = 110.0, 62.0
"""Room for the picture's template on paper [mm]."""

_PAPER, _NAME, _LEAST = 180.0, 6.0, 30.0
"""Width of the paper, of a name beside a line, and of the smallest template drawn [mm]."""

_BESIDE = 16.0
"""How far a reference is drawn beside the template on paper [mm]; the picture is not to scale."""


def placing_picture(placed: PlacedTemplate) -> Drawing:
    """Draw the template with its references beside it and the sizes between, not to scale."""
    template = placed.template
    x0, y0, x1, y1 = template.box
    sizes = sizes_from(placed)
    beside = [size.side for size in sizes if not size.over]
    left, right = beside.count("left"), beside.count("right")
    # As wide as the references beside it leave room for, the one with more of them counting twice.
    room = min(_WIDE, _PAPER - 2 * _BESIDE * max(left, right) - 2 * _NAME)
    scale = min(max(room, _LEAST) / (x1 - x0), _TALL / (y1 - y0))
    shift = Move.shift(-x0 * scale, -y0 * scale)

    def loop(one: Loop) -> Loop:
        return Loop(tuple(scaled_edge(e, scale) for e in one.edges)).moved(shift)

    wide, tall = (x1 - x0) * scale, (y1 - y0) * scale
    items: list[Item] = [Ring(layer=BLANK_EDGE, loop=loop(template.plate.root.outline))]
    items += [Ring(layer=HOLES, loop=loop(hole.loop)) for hole in template.plate.holes]
    if template.opening is not None and not template.paper:
        items.append(Ring(layer=OPENING_EDGE, loop=loop(template.opening.loop)))
    counts = dict.fromkeys(("front", "right", "back", "left"), 0)
    told: set[str] = set()
    # The nearest reference is drawn nearest.
    for size in sorted(sizes, key=lambda one: one.low + one.high):
        reference = template.references[size.reference]
        if size.over:
            if size.reference not in told:
                told.add(size.reference)
                items += _over(size, len(told) - 1, reference.way, scale, wide, tall)
            continue
        k = counts[size.side]
        counts[size.side] += 1
        items += _beside(size, k, wide, tall)
    word = template.word
    for text, at, angle in (
        (word("front"), (wide / 2, 1.2), 0.0),
        (word("back"), (wide / 2, tall - 3.6), 0.0),
        (word("left"), (3.6, tall / 2), 1.5707963267948966),
        (word("right"), (wide - 1.2, tall / 2), 1.5707963267948966),
    ):
        items.append(
            Text(layer=NAMES, text=text, at=at, height=2.2, angle=angle, anchor=Anchor.CENTER)
        )
    return Drawing(title="placing", items=tuple(items))


def _beside(size: SizeFrom, k: int, wide: float, tall: float) -> list[Item]:
    """Draw a reference beside a side, with the size at both its ends."""
    out = _BESIDE * (k + 1)
    items: list[Item] = []
    upright = size.side in ("left", "right")
    at = {"left": -out, "right": wide + out, "front": -out, "back": tall + out}[size.side]
    edge = {"left": 0.0, "right": wide, "front": 0.0, "back": tall}[size.side]
    length = tall if upright else wide
    line = Line((at, -4.0), (at, length + 4.0)) if upright else Line((-4.0, at), (length + 4.0, at))
    items.append(Stroke(layer=LINE_UP, edge=line))
    ends = ((0.12, size.low),) if size.same else ((0.12, size.low), (0.88, size.high))
    for share, value in ends:
        # Each farther reference has its figure farther along, so that none lies on another.
        p = share * length + (4.5 * k if share < 0.5 else -4.5 * k)
        a, b = ((edge, p), (at, p)) if upright else ((p, edge), (p, at))
        items += linear(a, b, 0.0, fixed(value, 1), along=(1.0, 0.0) if upright else (0.0, 1.0))
    name_at = (at + 3.4, length * 0.45) if upright else (length * 0.45, at + 1.0)
    items.append(
        Text(
            layer=LINE_UP,
            text=size.reference,
            at=name_at,
            height=2.2,
            angle=1.5707963267948966 if upright else 0.0,
            anchor=Anchor.CENTER,
        )
    )
    return items


def _over(size: SizeFrom, k: int, way: Way, scale: float, wide: float, tall: float) -> list[Item]:
    """Draw a reference that runs across the template, the k-th that does."""
    low, high = -size.low * scale, -size.high * scale
    if size.side in ("right", "back"):  # told from the far side
        far = wide if way is Way.UP else tall
        low, high = far - low, far - high
    if way is Way.UP:
        a, b = (low, -4.0), (high, tall + 4.0 + 2.8 * k)
        at = (high + 1.0, tall + 2.8 * k + 1.6)
    else:
        a, b = (-4.0, low), (wide + 4.0, high)
        at = (wide + 5.0, high - 1.0)
    return [
        Stroke(layer=LINE_UP, edge=Line(a, b)),
        Text(layer=LINE_UP, text=size.reference, at=at, height=2.2),
    ]
