"""One step of a plan as a panel of its card: what to do, pictures, and the figures to set."""

from __future__ import annotations

from collections.abc import Sequence

from blankwright.base.units import System, fixed, show_angle
from blankwright.bending.plan import BendPlan, Step
from blankwright.bending.settings import Against, Setting, setting_of
from blankwright.bending.tools import HandBlock, Vise
from blankwright.bending.words import (
    HEM,
    bar_name,
    bar_place,
    held_words,
    names,
    nose_words,
    sight_words,
    turn_words,
    way_words,
)
from blankwright.drawing.cards.sheet import wrapped
from blankwright.drawing.layers import FRAME, NOTES
from blankwright.drawing.model import Anchor, Drawing, Fill, Item, Ring, Text
from blankwright.drawing.words import length_words
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move

_BAND = 7.5
_SAY, _SMALL, _FIGURE = 2.7, 1.8, 4.4
_COLUMN = 46.0
"""Heights of lettering and sizes of the panel [mm]."""


def step_panel(
    plan: BendPlan,
    step: Step,
    number: int,
    pictures: Sequence[Drawing],
    width: float,
    tall: float,
) -> Drawing:
    """Lay out a step, its top at y = 0, at full size [mm].

    Args:
        plan: the plan
        step: the step
        number: of the step, from 1
        pictures: section at the tool, part before, part after
        width: of the panel [mm]
        tall: height of the pictures [mm]
    """
    setting = setting_of(plan, step)
    items: list[Item] = list(_band(step, number, width))
    y = -_BAND - 1.2
    for line in wrapped(_instruction(plan, step, number), width - 4.0, _SAY, bold=True):
        y -= _SAY
        items.append(Text(layer=NOTES, text=line, at=(2.0, y), height=_SAY, bold=True))
        y -= 0.6 * _SAY
    top = y - 0.6
    free = width - _COLUMN - 6.0
    shares = (0.44, 0.28, 0.28)
    captions = ("grey before, black bent", "before", "after")
    x = 2.0
    for picture, share, caption in zip(pictures, shares, captions, strict=True):
        room = free * share
        items += _in_box(picture, x, top - tall, x + room - 2.0, top)
        at = (x + (room - 2.0) / 2, top - tall - 1.3 * _SMALL - 0.4)
        items.append(Text(layer=NOTES, text=caption, at=at, height=_SMALL, anchor=Anchor.CENTER))
        x += room
    bottom = top - tall - 2.2 * _SMALL - 0.6
    low = _figures(items, _blocks(plan, step, setting), x + 2.0, top, width - 2.0)
    y = min(bottom, low) - 0.4
    for line in wrapped(f"Sight line {sight_words(step, setting)}.", width - 4.0, 2.1):
        y -= 2.1
        items.append(Text(layer=NOTES, text=line, at=(2.0, y), height=2.1))
        y -= 1.3
    frame = Loop.rectangle(0.0, y - 0.6, width, 0.0)
    return Drawing(title=f"step {number}", items=(*items, Ring(layer=NOTES, loop=frame)))


def _band(step: Step, number: int, width: float) -> list[Item]:
    box = ((0.0, -_BAND), (width, -_BAND), (width, 0.0), (0.0, 0.0))
    return [
        Fill(layer=FRAME, corners=box, shade=0.86),
        Text(layer=NOTES, text=str(number), at=(2.5, -5.9), height=4.6, bold=True),
        Text(layer=NOTES, text=names(step.bends), at=(12.0, -5.6), height=3.8, bold=True),
        Text(
            layer=NOTES,
            text=step.tool.name,
            at=(width - 2.5, -5.4),
            height=3.0,
            anchor=Anchor.RIGHT,
        ),
    ]


def _instruction(plan: BendPlan, step: Step, number: int) -> str:
    """Say in sentences what to do before the stroke."""
    said = [turn_words(step, number == 1), held_words(step), way_words(step)]
    reasons = [plan.blank.bend_by_name[name].last for name in step.bends]
    said += [f"bend it last: {reason}" for reason in dict.fromkeys(reasons) if reason]
    return " ".join(f"{text[0].upper()}{text[1:]}." for text in said if text)


Block = tuple[str, str, str]
"""A figure to set: what it is, the figure, more about it."""


def _blocks(plan: BendPlan, step: Step, setting: Setting) -> list[Block]:
    angle = (
        "bend to",
        show_angle(setting.angle_in_tool, 1),
        f"springs back to {show_angle(setting.angle, 1)}",
    )
    if setting.angle > HEM:
        plate = f"on a plate {2 * bend_radius(plan, step):.1f} mm thick, or on itself"
        angle = ("fold over, then squeeze to", show_angle(setting.angle, 1), plate)
    stop = setting.stop
    if stop.against is Against.NOTHING:
        gauge = ("stop", "none", "no edge for a stop: set it by the sight line")
    else:
        what = "edge of" if stop.against is Against.EDGE else "outside of the bend"
        gauge = (
            f"stop behind the {nose_words(step)}",
            f"{fixed(stop.distance, 1)} mm",
            f"{length_words(stop.distance, System.INCH)}, against the {what} {stop.name}",
        )
    more = [bar_place(step)]
    if setting.load_share is not None:
        more.append(f"{100 * setting.load_share:.0f} % of the tool's rating")
    if setting.force:
        more.append(f"{setting.force:.0f} kN")
    if isinstance(step.tool, HandBlock):
        more.append("a board clamped on the other face")
    if isinstance(step.tool, Vise):
        more.append("the bend's middle in the middle of the jaws")
    nose = f"nose radius {fixed(step.nose, 1)} mm"
    return [angle, gauge, (nose, bar_name(step), "; ".join(text for text in more if text))]


def bend_radius(plan: BendPlan, step: Step) -> float:
    """Return the inside radius that a step's bends are drawn with [mm]."""
    return plan.blank.bend_by_name[step.bends[0]].inside_radius


def _figures(
    items: list[Item], blocks: Sequence[Block], left: float, top: float, right: float
) -> float:
    """Put the figures under one another; return how far down they go [mm]."""
    y = top
    for label, figure, more in blocks:
        y -= _SMALL
        items.append(Text(layer=NOTES, text=label, at=(left, y), height=_SMALL))
        height = _FIGURE
        while height > 2.4 and len(wrapped(figure, right - left, height, bold=True)) > 1:
            height -= 0.4
        for line in wrapped(figure, right - left, height, bold=True):
            y -= height + 1.2
            items.append(Text(layer=NOTES, text=line, at=(left, y), height=height, bold=True))
        for line in wrapped(more, right - left, _SMALL) if more else ():
            y -= 1.6 * _SMALL
            items.append(Text(layer=NOTES, text=line, at=(left, y), height=_SMALL))
        y -= 1.6
    return y


def _in_box(drawing: Drawing, x0: float, y0: float, x1: float, y1: float) -> tuple[Item, ...]:
    """Return a drawing as large as a box lets it, in its middle."""
    a0, b0, a1, b1 = drawing.box
    scale = min((x1 - x0) / max(a1 - a0, 1e-9), (y1 - y0) / max(b1 - b0, 1e-9))
    dx = (x0 + x1) / 2 - scale * (a0 + a1) / 2
    dy = (y0 + y1) / 2 - scale * (b0 + b1) / 2
    return drawing.scaled(scale).moved(Move.shift(dx, dy)).items
