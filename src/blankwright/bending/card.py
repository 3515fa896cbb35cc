"""The card of a bend plan: what to set, the section at the tool, the part before and after."""

from __future__ import annotations

import math
from collections.abc import Sequence

from blankwright.base.findings import Finding
from blankwright.base.units import fixed, show_angle
from blankwright.bending.accuracy import Expected
from blankwright.bending.plan import BendPlan, Step
from blankwright.bending.section_picture import section_picture
from blankwright.bending.settings import SIGHT_SOURCE, setting_of
from blankwright.bending.words import (
    angle_words,
    bar_words,
    both,
    held_words,
    minutes,
    names,
    sight_words,
    stop_words,
    turn_words,
    way_words,
)
from blankwright.develop.view import View
from blankwright.drawing.cards.sheet import BODY, HEADING, CardSheet
from blankwright.drawing.model import Drawing
from blankwright.drawing.pages import Page
from blankwright.drawing.paper import PrintSetup
from blankwright.drawing.view_drawing import view_drawing
from blankwright.part.model import Part

CAUTIONS = (
    "Keep fingers out from under bar, leaf and punch; clear the swing of long legs before pulling."
    " Gloves for carrying sheet, not at moving tools. Eye protection with the mallet.",
    "Pencil or marker only on bends: a scribed line is where a crack begins.",
    "Bend a strip of the same sheet first. The drawing, the designer and the local airworthiness"
    " authority decide; this card computes, it does not approve.",
)

_SMALL = 2.0
_PICTURE = 29.0


def bend_card(
    part: Part,
    plan: BendPlan,
    views: Sequence[View],
    expected: Sequence[Expected],
    findings: Sequence[Finding],
    setup: PrintSetup,
) -> tuple[Page, ...]:
    """Lay out the card of a plan.

    Args:
        part: as stated
        plan: its plan, with steps
        views: the part seen obliquely: flat, after the first step, after the second, and so on
        expected: what the finished part will measure
        findings: about the plan
        setup: paper and margins
    """
    title = part.title or part.name
    sheet = CardSheet(setup, (f"BEND PLAN  {title}", part.drawing))
    _head(sheet, part, plan)
    for number, step in enumerate(plan.steps, 1):
        _step(sheet, plan, step, number, (views[number - 1], views[number]))
    for finding in findings:
        sheet.text(str(finding), _SMALL)
    _marks(sheet, plan)
    _expected(sheet, expected)
    sheet.gap(1.0)
    for caution in CAUTIONS:
        sheet.text(f"– {caution}", _SMALL)
    return sheet.pages()


def _head(sheet: CardSheet, part: Part, plan: BendPlan) -> None:
    sheet.need(24.0)
    sheet.text(f"Bend plan: {part.title or part.name}", HEADING, bold=True)
    blank = plan.blank
    word = "best for its cost, proved" if plan.proved else "not proved best"
    tools = names(tuple(dict.fromkeys(step.tool.name for step in plan.steps)))
    sheet.text(
        f"{blank.alloy}, {both(blank.thickness)} thick. {len(blank.bends)} bends in"
        f" {len(plan.steps)} steps on {tools}. Reckoned {minutes(plan.cost)} at the bench; {word}.",
        BODY,
    )
    sheet.gap(1.0)


def _step(
    sheet: CardSheet, plan: BendPlan, step: Step, number: int, views: tuple[View, View]
) -> None:
    setting = setting_of(plan, step)
    sheet.need(_PICTURE + 26.0)
    sheet.text(f"{number}  {names(step.bends)}: {step.tool.name}", 3.0, bold=True)
    sheet.gap(0.6)
    load = "" if setting.load_share is None else f", {100 * setting.load_share:.0f} % of its rating"
    if setting.force:
        load += f", {setting.force:.0f} kN"
    rows = [
        (
            f"{turn_words(step, number == 1)}: {held_words(step)}",
            f"{angle_words(setting)}; nose {fixed(step.nose, 1)} mm, {bar_words(step)}{load}",
        ),
        (f"sight line {sight_words(step, setting)}", f"stop: {stop_words(setting)}"),
    ]
    extra = [way_words(step), *_last(plan, step)]
    if any(extra):
        rows.append(("; ".join(text for text in extra if text), ""))
    sheet.table((), rows, (1.0, 1.0), _SMALL)
    width = sheet.width / 3 - 4.0
    pictures = [section_picture(plan, step), *(view_drawing(v, hidden=False) for v in views)]
    sheet.pictures(
        [(_fitted(picture, width, _PICTURE), "") for picture in pictures], _PICTURE + 0.2, 3
    )


def _last(plan: BendPlan, step: Step) -> list[str]:
    reasons = [plan.blank.bend_by_name[name].last for name in step.bends]
    return [f"bend it last: {reason}" for reason in dict.fromkeys(reasons) if reason]


def _fitted(drawing: Drawing, width: float, height: float) -> Drawing:
    """Return a drawing as large as a box lets it."""
    x0, y0, x1, y1 = drawing.box
    return drawing.scaled(min(width / max(x1 - x0, 1e-9), height / max(y1 - y0, 1e-9)))


def _marks(sheet: CardSheet, plan: BendPlan) -> None:
    sheet.heading("Before the first bend: marks on the flat blank", room=14.0)
    for up in (True, False):
        some = [
            f"{name} ({show_angle(_square(plan, name), 0)} from the blank's x)"
            for step in plan.steps
            if step.face_up == up
            for name in step.bends
        ]
        if some:
            face = "face side" if up else "back"
            sheet.text(f"On the {face}, in this order: sight lines of {names(some)}.", _SMALL)
    sheet.text(f"Sight line: {SIGHT_SOURCE}.", _SMALL)
    sources = dict.fromkeys(plan.aims[name].source for step in plan.steps for name in step.bends)
    for source in sources:
        # The lettering has no Greek.
        plain = source.replace("αi", "angle in tool").replace("αf", "angle left")
        sheet.text(f"Springback: {plain}.", _SMALL)


def _square(plan: BendPlan, name: str) -> float:
    x, y = plan.blank.bend_by_name[name].place.vector((1.0, 0.0))
    return math.atan2(y, x) % math.pi


def _expected(sheet: CardSheet, expected: Sequence[Expected]) -> None:
    rows = []
    for item in expected:
        if item.kind == "angle":
            figure = f"{show_angle(item.value, 1)} ± {show_angle(item.plus_minus, 1)}"
        else:
            figure = f"{fixed(item.value, 2)} ± {fixed(item.plus_minus, 2)} mm"
        rows.append((item.name, figure, item.most))
    if rows:
        sheet.heading("What it will measure (95 % of parts)", room=20.0)
        sheet.table(("dimension", "expected", "most of it comes from"), rows, (3, 2, 3), _SMALL)
