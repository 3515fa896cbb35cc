"""The project view: the parts on the rack, and a new part from a starting shape."""

from __future__ import annotations

from typing import Any

from nicegui import ui

from blankwright.base.errors import BlankwrightError
from blankwright.page import elements
from blankwright.page.desk import Desk
from blankwright.page.part_json import problem_json
from blankwright.page.views.common import dress

Json = dict[str, Any]


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
        with ui.element("div").classes("bw bw-project"):
            self.link = elements.Link({"project": desk.rack()}, self.heard)
            elements.Head(home=True)
            elements.Notices().classes("bw-notices")
            with ui.element("main"):
                elements.Rack()
        elements.DropZone()
        ui.timer(2.0, self.look, immediate=False)

    def look(self) -> None:
        """Notice parts that came, went or changed."""
        mark = self.desk.rack_mark()
        if mark != self.mark:
            self.mark = mark
            self.link.take({"project": self.desk.rack()})

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
        said = f"{word}: {done[0]}, {done[1]}" if done else "Nothing left"
        self.link.take({"project": self.desk.rack(), "said": said})
