"""The project view: the parts on the rack, and a new part from a starting shape."""

from __future__ import annotations

import asyncio
import time
from typing import Any

from nicegui import background_tasks, ui

from blankwright.base.errors import BlankwrightError
from blankwright.page import elements
from blankwright.page.desk import Desk
from blankwright.page.problem_json import problem_json
from blankwright.page.views import ways
from blankwright.page.views.common import dress

Json = dict[str, Any]

TELL_EVERY = 0.3
"""How often a rack that is being worked out is sent again [s]."""


def register(desk: Desk) -> None:
    """Put the project view on the page."""

    @ui.page("/", title="Blankwright")
    def project_page() -> None:
        dress()
        ProjectWindow(desk)


class ProjectWindow:
    """One window on the project.

    Args:
        desk: the project
    """

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.mark = desk.rack_mark()
        self.filling = False
        with ui.element("div").classes("bw bw-project"):
            self.link = elements.Link({"project": desk.rack()}, self.heard)
            elements.Head(ways("Parts"), home=True)
            elements.Notices().classes("bw-notices")
            with ui.element("main"):
                elements.Rack()
        elements.DropZone()
        ui.timer(0.05, self.fill, once=True)
        ui.timer(2.0, self.look, immediate=False)

    def show(self, said: str = "") -> None:
        """Send the rack to the window, and what is not worked out yet as soon as it is."""
        self.link.take({"project": self.desk.rack(), "said": said})
        if not self.filling:
            background_tasks.create(self.fill(), name="rack")

    async def fill(self) -> None:
        """Work the slips out one by one, so that the page shows at once, however many parts."""
        self.filling = True
        try:
            told = time.monotonic()
            while names := self.desk.waiting():
                for name in names:
                    await asyncio.to_thread(self.desk.work_out, name)
                    if time.monotonic() - told > TELL_EVERY:
                        self.link.take({"project": self.desk.rack()})
                        told = time.monotonic()
            self.link.take({"project": self.desk.rack()})
        finally:
            self.filling = False

    def look(self) -> None:
        """Notice parts that came, went or changed."""
        mark = self.desk.rack_mark()
        if mark != self.mark:
            self.mark = mark
            self.show()

    def heard(self, said: Json) -> None:
        """Do what the builder did in the window."""
        try:
            match said["what"]:
                case "new":
                    name = self.desk.new_part(
                        str(said["shape"]), str(said["name"]), dict(said["sizes"])
                    )
                    ui.navigate.to(f"/part/{name}")
                case "undo":
                    self._did("Taken back", self.desk.history.undo())
                case "redo":
                    self._did("Done again", self.desk.history.redo())
        except BlankwrightError as error:
            self.link.take({"trouble": [problem_json(p) for p in error.problems]})

    def _did(self, word: str, done: tuple[str, str] | None) -> None:
        self.desk.changed_below(done[0] if done else "")
        self.show(f"{word}: {done[0]}, {done[1]}" if done else "Nothing left")
