"""The fit view: a part in its place, the way in step by step, what it meets, what to change."""

from __future__ import annotations

import html
from functools import cache
from typing import Any

from nicegui import background_tasks, ui

from blankwright.base.errors import BlankwrightError
from blankwright.page.busy import Busy, Cancelled
from blankwright.page.desk import Desk
from blankwright.page.elements import STATIC
from blankwright.page.fit_html import look_at_fit
from blankwright.page.plain import problems_html
from blankwright.page.views.common import dress, head

_BLANK = '<p class="bw-none">The way in, the part at rest and its motions are drawn here.</p>'


@cache
def _style() -> str:
    return f"<style>{(STATIC / 'fit.css').read_text(encoding='utf-8')}</style>"


def register(desk: Desk) -> None:
    """Put the fit view on the page."""

    @ui.page("/fit", title="Fit - Blankwright")
    def fit_page() -> None:
        dress()
        ui.add_head_html(_style())
        FitWindow(desk)


class WayBoard(ui.element, component="../static/fit_way.js"):
    """The way in, shown one moment after another.

    Args:
        way: as `jobs.fit_frames.way_frames` gives it
    """

    def __init__(self, way: dict[str, Any]) -> None:
        super().__init__()
        self._props["way"] = way


class FitWindow:
    """One window on the places of a project.

    Args:
        desk: the project
    """

    def __init__(self, desk: Desk) -> None:
        from blankwright.jobs.fit_open import places_of

        self.desk = desk
        self.places = places_of(desk.project)
        self.busy = False
        with ui.element("main").classes("bw bw-fit"):
            head("Fit", "Places of", desk.project.title)
            with ui.element("section"):
                with ui.element("div").classes("bw-row"):
                    self.keys = [self._key(name) for name in self.places]
                self.word = ui.html("", sanitize=False).classes("bw-told")
                self.word.props('role="status" aria-live="polite"')
                self.work = Busy()
                self.left = ui.html(self._none(), sanitize=False).classes("bw-lengths")
            with ui.element("section"):
                self.boards = ui.element("div")
                self.right = ui.html(_BLANK, sanitize=False)

    def _none(self) -> str:
        if self.places:
            return "<p>Choose a place to see whether its part fits.</p>"
        return "<p>No place is stated yet. Places are files in the folder places/.</p>"

    def _key(self, name: str) -> ui.element:
        key = ui.element("button").props('type="button"')
        with key:
            ui.html(html.escape(name), sanitize=False, tag="span")
        return key.on("click", lambda: self.ask(name))

    def ask(self, name: str) -> None:
        """Begin to work a place out."""
        if not self.busy:
            background_tasks.create(self._ask(name), name=f"fit {name}")

    async def _ask(self, name: str) -> None:
        self.busy = True
        for key in self.keys:
            key.props("disabled")
        self.word.set_content("")
        try:
            word, left, right, ways = await self.work.run(
                f"Looking at {name}", look_at_fit, self.desk.project, name
            )
        except Cancelled:
            word, left, right, ways = "Cancelled", self._none(), _BLANK, []
        except BlankwrightError as error:
            word, left, right = "The fit can't be worked out", problems_html(error.problems), ""
            ways = []
        finally:
            self.busy = False
            for key in self.keys:
                key.props(remove="disabled")
        self.word.set_content(html.escape(word))
        self.left.set_content(left)
        self.right.set_content(right)
        self.boards.clear()
        with self.boards:
            for way in ways:
                WayBoard(way)
