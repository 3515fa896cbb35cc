"""The bend plan view of a part: the order, what to set, the section at the tool in motion."""

from __future__ import annotations

import asyncio
import html
from functools import cache
from typing import TYPE_CHECKING, Any

from nicegui import background_tasks, ui

from blankwright.base.errors import BlankwrightError
from blankwright.base.units import fixed, show_angle
from blankwright.page.desk import Desk
from blankwright.page.elements import STATIC
from blankwright.page.plain import findings_html, head_html, problems_html
from blankwright.page.views.common import dress

if TYPE_CHECKING:
    from blankwright.jobs.bending_plan import PlannedPart

_CAUTION = (
    "Fingers out from under bar and leaf; pencil only on bends; bend a strip first. The drawing and"
    " the designer decide; this computes, it does not approve."
)


@cache
def _style() -> str:
    return f"<style>{(STATIC / 'bend.css').read_text(encoding='utf-8')}</style>"


def register(desk: Desk) -> None:
    """Put the bend plan view on the page."""

    @ui.page("/bend-plan/{part}", title="Bend plan - Blankwright")
    def bend_page(part: str) -> None:
        dress()
        ui.add_head_html(_style())
        BendWindow(desk, part)


class StepsBoard(ui.element, component="../static/bend_steps.js"):
    """The steps of a plan, each in motion.

    Args:
        steps: as `jobs.bending_scene.step_scenes` gives them
    """

    def __init__(self, steps: list[dict[str, Any]]) -> None:
        super().__init__()
        self._props["steps"] = steps


class BendWindow:
    """One window on the bend plan of a part.

    Args:
        desk: the project
        part: name of the part
    """

    def __init__(self, desk: Desk, part: str) -> None:
        self.desk = desk
        self.part = part
        self.busy = False
        with ui.element("main").classes("bw bw-bend"):
            with ui.element("header").classes("bw-head"):
                text = head_html("Bend plan", "Bend plan of", part, part=part)
                ui.html(text, sanitize=False).style("display: contents")
            with ui.element("section"):
                self.word = ui.html("", sanitize=False).classes("bw-told")
                self.word.props('role="status" aria-live="polite"')
                self.left = ui.html("", sanitize=False)
                self.keys = ui.element("div").classes("bw-row")
                with self.keys:
                    self._key("Plan again", remedies=False)
                    self._key("Try what to change", remedies=True)
            with ui.element("section"):
                self.board = ui.element("div")
        if part in desk.names():
            self.ask(remedies=False)
        else:
            self.word.set_content("This project has no part of that name.")

    def _key(self, words: str, *, remedies: bool) -> None:
        key = ui.element("button").props('type="button"')
        with key:
            ui.html(html.escape(words), sanitize=False, tag="span")
        key.on("click", lambda: self.ask(remedies=remedies))

    def ask(self, *, remedies: bool) -> None:
        """Begin to plan."""
        if not self.busy:
            background_tasks.create(self._ask(remedies), name=f"bend plan {self.part}")

    async def _ask(self, remedies: bool) -> None:
        self.busy = True
        self.word.set_content("Planning")
        scenes: list[dict[str, Any]] = []
        try:
            word, left, scenes = await asyncio.to_thread(self._look, remedies)
        except BlankwrightError as error:
            word, left = "The bends can't be planned", problems_html(error.problems)
        finally:
            self.busy = False
        self.word.set_content(html.escape(word))
        self.left.set_content(left)
        self.board.clear()
        if scenes:
            with self.board:
                StepsBoard(scenes)

    def _look(self, remedies: bool) -> tuple[str, str, list[dict[str, Any]]]:
        from blankwright.bending.words import minutes
        from blankwright.jobs.bending_plan import plan_item
        from blankwright.jobs.bending_scene import step_scenes
        from blankwright.jobs.items import chosen

        item = chosen(self.desk.project, [self.part])[0]
        planned = plan_item(self.desk.project, item, remedies=remedies)
        plan = planned.plan
        if plan.found and not plan.steps:
            word = "It has no bends"
        elif plan.found:
            proved = "proved best" if plan.proved else "not proved best"
            word = f"{len(plan.steps)} steps, {minutes(plan.cost)} reckoned, {proved}"
        else:
            word = "No order works on these tools"
        return word, _left(planned), step_scenes(plan)


def _left(planned: PlannedPart) -> str:
    parts = [findings_html(planned.findings), _tried(planned), _expected(planned)]
    return "".join((*parts, f"<p>{html.escape(_CAUTION)}</p>"))


def _tried(planned: PlannedPart) -> str:
    if not planned.tried:
        return ""
    rows = "".join(
        f"<tr><td>{html.escape(t.remedy.value)}</td><td>{html.escape(t.text)}</td>"
        f"<td><b>{'works' if t.works else 'does not help'}</b></td></tr>"
        for t in planned.tried
    )
    return f"<h2>Tried, each by the same search</h2><table>{rows}</table>"


def _expected(planned: PlannedPart) -> str:
    if not planned.expected:
        return ""
    rows = []
    for e in planned.expected:
        if e.kind == "angle":
            figure = f"{show_angle(e.value, 1)} ± {show_angle(e.plus_minus, 1)}"
        else:
            figure = f"{fixed(e.value, 2)} ± {fixed(e.plus_minus, 2)} mm"
        rows.append(
            f'<tr><td>{html.escape(e.name)}</td><td class="figure">{html.escape(figure)}</td>'
            f"<td>{html.escape(e.most)}</td></tr>"
        )
    head = "<tr><th>Dimension</th><th>Expected</th><th>Most of it comes from</th></tr>"
    return f"<h2>What it will measure</h2><table>{head}{''.join(rows)}</table>"
