"""The flat blank with the sight lines to mark on it, numbered by the steps that use them."""

from __future__ import annotations

import math

from blankwright.bending.plan import BendPlan
from blankwright.bending.settings import setting_of
from blankwright.bending.words import names
from blankwright.drawing.cards.sheet import wrapped
from blankwright.drawing.layers import BLANK_EDGE, HOLES, NOTES, SIGHT_LINE
from blankwright.drawing.model import Anchor, Drawing, Fill, Item, Ring, Stroke, Text
from blankwright.geom.edges import Arc, box_around
from blankwright.geom.move import Move

_LETTERS, _SAY = 2.6, 2.1
_TEXT_COLUMN = 58.0


def marks_picture(plan: BendPlan, width: float, tall: float) -> Drawing:
    """Lay out blank and words side by side, at full size [mm].

    Args:
        plan: the plan
        width: of both [mm]
        tall: height of the picture [mm]
    """
    outline = plan.blank.outline
    room = width - _TEXT_COLUMN - 6.0
    x0, y0, x1, y1 = outline.box
    # A slender blank lies down.
    turn = Move.turn(math.pi / 2) if y1 - y0 > x1 - x0 else Move()
    x0, y0, x1, y1 = box_around([edge.moved(turn).box for edge in outline.outer.edges])
    scale = min(room / (x1 - x0), tall / (y1 - y0), 1.0)
    move = Move.shift(-x0 * scale, -y1 * scale)
    items: list[Item] = [
        Ring(layer=BLANK_EDGE if loop is outline.outer else HOLES, loop=loop)
        for loop in (outline.outer, *outline.holes)
    ]
    drawn = Drawing(title="marks", items=tuple(items))
    lines: list[Item] = []
    spots: list[tuple[str, tuple[float, float]]] = []
    for number, step in enumerate(plan.steps, 1):
        for sight in setting_of(plan, step).sight:
            lines.append(Stroke(layer=SIGHT_LINE, edge=sight))
            spots.append((str(number), sight.point(0.5)))
    whole = (
        Drawing(title="marks", items=(*drawn.items, *lines)).moved(turn).scaled(scale).moved(move)
    )
    labels: list[Item] = []
    for text, spot in spots:
        spot = turn(spot)
        x, y = (spot[0] - x0) * scale, (spot[1] - y1) * scale
        labels += _label(text, x, y)
    return Drawing(
        title="marks on the blank",
        items=(*whole.items, *labels, *_said(plan, width)),
    )


def _label(text: str, x: float, y: float) -> list[Item]:
    """Return a number in a white disc."""
    radius = 0.95 * _LETTERS
    disc = tuple(
        (x + radius * math.cos(a * math.tau / 24), y + radius * math.sin(a * math.tau / 24))
        for a in range(24)
    )
    at = (x, y - _LETTERS / 2)
    return [
        Fill(layer=NOTES, corners=disc, shade=1.0),
        Stroke(layer=NOTES, edge=Arc.circle((x, y), radius)),
        Text(layer=NOTES, text=text, at=at, height=_LETTERS, anchor=Anchor.CENTER, bold=True),
    ]


def _said(plan: BendPlan, width: float) -> list[Item]:
    """Say on which face each is marked; at the right of the picture."""
    left = width - _TEXT_COLUMN
    texts = []
    for up in (True, False):
        some = [
            f"{number} {name}"
            for number, step in enumerate(plan.steps, 1)
            if step.face_up == up
            for name in step.bends
        ]
        if some:
            face = "On the face side" if up else "On the back"
            texts.append(f"{face}: {names(some)}.")
    texts.append("Seen on the face side. Numbers are the steps; mark all before the first bend.")
    y = 0.0
    items: list[Item] = []
    for text in texts:
        for line in wrapped(text, _TEXT_COLUMN, _SAY):
            y -= _SAY
            items.append(Text(layer=NOTES, text=line, at=(left, y), height=_SAY))
            y -= 1.4
        y -= 1.2
    return items
