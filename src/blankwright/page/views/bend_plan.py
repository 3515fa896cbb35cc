"""The bend plan view of a part: the order, what to set, the section at the tool in motion."""

from __future__ import annotations

import html
from functools import cache
from typing import TYPE_CHECKING, Any

from nicegui import background_tasks, ui

from blankwright.base.errors import BlankwrightError
from blankwright.page.bend_html import look_at_bends
from blankwright.page.busy import Busy, Cancelled
from blankwright.page.desk import Desk
from blankwright.page.elements import STATIC
from blankwright.page.lost import lost
from blankwright.page.plain import head_html, problems_html
from blankwright.page.views.common import dress

if TYPE_CHECKING:
    from starlette.responses import Response


@cache
def _style() -> str:
    return f"<style>{(STATIC / 'bend.css').read_text(encoding='utf-8')}</style>"


def register(desk: Desk) -> None:
    """Put the bend plan view on the page."""

    @ui.page("/bend-plan/{part}", title="Bend plan - Blankwright")
    def bend_page(part: str) -> Response | None:
        if part not in desk.names():
            return lost("No such part", f"This project has no part named {part}.")
        dress()
        ui.add_head_html(_style())
        BendWindow(desk, part)
        return None


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
                self.work = Busy()
                self.left = ui.html("", sanitize=False).classes("bw-lengths")
                self.keys = ui.element("div").classes("bw-row")
                with self.keys:
                    self._key("Plan again", remedies=False)
                    self._key("Try what to change", remedies=True)
                    self._key("Make the card", keep=True)
            with ui.element("section"):
                self.board = ui.element("div")
        self.ask()

    def _key(self, words: str, *, remedies: bool = False, keep: bool = False) -> None:
        key = ui.element("button").props('type="button"')
        with key:
            ui.html(html.escape(words), sanitize=False, tag="span")
        key.on("click", lambda: self.ask(remedies=remedies, keep=keep))

    def ask(self, *, remedies: bool = False, keep: bool = False) -> None:
        """Begin to plan; `remedies` tries what to change, `keep` makes the card."""
        if not self.busy:
            background_tasks.create(self._ask(remedies, keep), name=f"bend plan {self.part}")

    async def _ask(self, remedies: bool, keep: bool) -> None:
        self.busy = True
        self.word.set_content("")
        scenes: list[dict[str, Any]] = []
        try:
            word, left, scenes = await self.work.run(
                "Planning the bends", look_at_bends, self.desk.project, self.part, remedies, keep
            )
        except Cancelled:
            word, left = "Cancelled: nothing is planned", ""
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
