"""The card of a bend plan: what to set, the section at the tool, the part before and after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from blankwright.base.findings import Finding, alike, places_words
from blankwright.bending.marks_picture import marks_picture
from blankwright.bending.measures import Expected
from blankwright.bending.part_pictures import part_picture
from blankwright.bending.plan import BendPlan
from blankwright.bending.section_picture import section_picture
from blankwright.bending.settings import SIGHT_SOURCE
from blankwright.bending.state_names import states_of
from blankwright.bending.step_panel import step_panel
from blankwright.bending.words import (
    EXPECTED_HEAD,
    both,
    expected_rows,
    minutes,
    names,
    steps_words,
)
from blankwright.develop.view import View
from blankwright.drawing.cards.sheet import BODY, HEADING, CardSheet
from blankwright.drawing.pages import Page
from blankwright.drawing.paper import PrintSetup
from blankwright.part.model import Part

CAUTIONS = (
    "Keep fingers out from under bar, leaf and punch; clear the swing of long legs before pulling."
    " Gloves for carrying sheet, not at moving tools. Eye protection with the mallet.",
    "Pencil or marker only on bends: a scribed line is where a crack begins.",
    "Bend a strip of the same sheet first. The drawing, the designer and the local airworthiness"
    " authority decide; this card computes, it does not approve.",
)

_SMALL, _SOURCE = 2.0, 1.7
_PICTURE, _PICTURE_OF_MANY, _BLANK = 38.0, 31.0, 30.0
"""Height of the pictures of a step, and of that of the blank [mm]."""


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
    states = states_of(plan)
    tall = _PICTURE if len(plan.steps) < 3 else _PICTURE_OF_MANY
    for number, step in enumerate(plan.steps, 1):
        parts = [part_picture(plan, states[n], views[n], step.bends) for n in (number - 1, number)]
        pictures = (section_picture(plan, step), *parts)
        sheet.place(step_panel(plan, step, number, pictures, sheet.width, tall))
    _marks(sheet, plan)
    _expected(sheet, expected)
    for finding, places in alike(findings):
        sheet.text(str(replace(finding, place=places_words(places))), _SMALL)
    _sources(sheet, plan)
    sheet.gap(1.0)
    for caution in CAUTIONS:
        sheet.text(f"– {caution}", _SOURCE)
    return sheet.pages()


def _head(sheet: CardSheet, part: Part, plan: BendPlan) -> None:
    sheet.need(24.0)
    sheet.text(f"Bend plan: {part.title or part.name}", HEADING, bold=True)
    blank = plan.blank
    word = "best for its cost, proved" if plan.proved else "not proved best"
    tools = names(tuple(dict.fromkeys(step.tool.name for step in plan.steps)))
    bends = "1 bend" if len(blank.bends) == 1 else f"{len(blank.bends)} bends"
    sheet.text(
        f"{blank.alloy}, {both(blank.thickness)} thick. {bends} in"
        f" {steps_words(plan)} on {tools}. Reckoned {minutes(plan.cost)} at the bench; {word}.",
        BODY,
    )
    sheet.gap(2.6)


def _marks(sheet: CardSheet, plan: BendPlan) -> None:
    """Show the sight lines on the flat blank, numbered by their steps."""
    sheet.heading("Before the first bend: sight lines on the flat blank", room=_BLANK + 8.0)
    sheet.place(marks_picture(plan, sheet.width, _BLANK))


def _sources(sheet: CardSheet, plan: BendPlan) -> None:
    sheet.gap(1.0)
    sheet.text(f"Sight line: {SIGHT_SOURCE}.", _SOURCE)
    sources = dict.fromkeys(plan.aims[name].source for step in plan.steps for name in step.bends)
    for source in sources:
        # The lettering has no Greek.
        plain = source.replace("αi", "angle in tool").replace("αf", "angle left")
        sheet.text(f"Springback: {plain}.", _SOURCE)


def _expected(sheet: CardSheet, expected: Sequence[Expected]) -> None:
    rows = expected_rows(expected)
    if not rows:
        return
    sheet.heading("What it will measure (95 % of parts), in mm", room=20.0)
    sheet.table(EXPECTED_HEAD, rows, (6, 2, 2, 2, 4), _SMALL)
