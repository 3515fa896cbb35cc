"""The part view: state the part, see it fold, see what is wrong."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from nicegui import background_tasks, ui

from blankwright.base.errors import BlankwrightError
from blankwright.page import elements
from blankwright.page.desk import Desk
from blankwright.page.lost import lost
from blankwright.page.problem_json import problem_json
from blankwright.page.views import ways
from blankwright.page.views.common import dress

if TYPE_CHECKING:
    from starlette.responses import Response

    from blankwright.page.sheet import PartSheet

Json = dict[str, Any]

LOOK_EVERY = 1.0
"""How often an open part's file is compared with the disk [s]."""


def register(desk: Desk) -> None:
    """Put the part view on the page."""

    @ui.page("/part/{name}", title="Blankwright")
    def part_page(name: str) -> Response | None:
        sheet = desk.sheet(name)
        if sheet is None:
            return lost("No such part", f"This project has no part named {name}.")
        dress()
        ui.page_title(f"{sheet.name} - Blankwright")
        PartWindow(sheet)
        return None


class PartWindow:
    """One window on a part.

    Args:
        sheet: the part
    """

    def __init__(self, sheet: PartSheet) -> None:
        self.sheet = sheet
        sheet.look()
        with ui.element("div").classes("bw bw-part"):
            self.link = elements.Link(sheet.json(), self.heard)
            elements.Head(ways("Part", sheet.name))
            elements.Notices().classes("bw-notices")
            elements.Card()
            with ui.element("main").classes("bw-bench"):
                elements.FormedView()
                elements.FoldRule()
                elements.BlankView()
            elements.ReadOut()
        elements.DropZone()
        sheet.said = ""
        sheet.listeners.append(self.link.take)
        ui.timer(LOOK_EVERY, self.look, immediate=False)
        ui.context.client.on_delete(self.leave)

    def leave(self) -> None:
        """The window is closed for good."""
        if self.link.take in self.sheet.listeners:
            self.sheet.listeners.remove(self.link.take)

    def look(self) -> None:
        """Compare the file with the disk."""
        self._try(self.sheet.look)

    def heard(self, said: Json) -> None:
        """Do what the builder did in the window."""
        sheet = self.sheet
        group = str(said.get("group", ""))
        match said["what"]:
            case "set":
                place, typed, seen = (str(said[key]) for key in ("place", "typed", "seen"))
                if said.get("flag"):
                    typed = {"yes": "true", "no": "false"}.get(typed, typed)
                self._try(lambda: sheet.set(place, typed, seen, group))
            case "text":
                self._try(lambda: sheet.put_text(str(said["text"]), str(said["base"]), group))
            case "add_size":
                self._try(lambda: sheet.add_size(str(said["name"]), str(said["typed"]), group))
            case "add" | "add_line" | "take_out" | "rename" as what:
                self._try(lambda: sheet.change(what, said, group))
            case "remove":
                self._try(sheet.remove)
                ui.navigate.to("/")
            case "pass":
                code, place, reason = (str(said[key]) for key in ("code", "place", "reason"))
                self._try(lambda: sheet.let_pass(code, place, reason, group))
            case "hold":
                self._try(lambda: sheet.hold_up(str(said["code"]), str(said["place"]), group))
            case "undo":
                self._try(sheet.undo)
            case "redo":
                self._try(sheet.redo)
            case "make":
                background_tasks.create(self.make(), name=f"make {sheet.name}")
            case "cancel":
                sheet.cancel()
            case "renew":
                self.link.take(sheet.json())

    async def make(self) -> None:
        """Make the files and tell what kept them from being made."""
        try:
            await self.sheet.make()
        except BlankwrightError as error:
            self.link.take({"trouble": [problem_json(problem) for problem in error.problems]})

    def _try(self, action: Any) -> None:
        from blankwright.page.sheet import Clash

        try:
            action()
        except Clash as clash:
            self.link.clash(clash.place, clash.theirs, clash.mine)
        except BlankwrightError as error:
            self.link.take({"trouble": [problem_json(problem) for problem in error.problems]})
