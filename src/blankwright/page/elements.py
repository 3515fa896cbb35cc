"""Our own components, as NiceGUI elements. Their JavaScript is in `static`.

Three.js comes with NiceGUI; importing its scene package puts it on the page's import map, and
nothing is fetched from elsewhere.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import nicegui.elements.scene  # noqa: F401 - registers the bundled three.js
from nicegui import events, ui
from nicegui.dependencies import register_esm

STATIC = Path(__file__).parent / "static"

# The key of the folder's address follows the newest file, so that a browser never keeps old code.
register_esm(
    "blankwright-page",
    STATIC,
    max_time=max(path.stat().st_mtime for path in STATIC.iterdir()),
)

Json = dict[str, Any]


class Link(ui.element, component="static/link.js"):
    """The wire between a window and the server.

    Args:
        first: the state to show at once
        on_say: called with what the builder does in the window
    """

    def __init__(self, first: Json, on_say: Callable[[Json], Any]) -> None:
        super().__init__()
        self._props["first"] = first

        def heard(event: events.GenericEventArguments) -> None:
            on_say(event.args)

        self.on("say", heard)

    def take(self, state: Json) -> None:
        """Send a new state to the window."""
        self.run_method("take", state)

    def clash(self, place: str, theirs: str, mine: str) -> None:
        """Tell the window that another has written in the same place."""
        self.run_method("clash", {"place": place, "theirs": theirs, "mine": mine})


class Head(ui.element, component="static/head.js"):
    """The head of the card.

    Args:
        ways: the way round the page, as `views.ways` gives it
        home: whether it heads the project instead of a part
    """

    def __init__(self, ways: list[Json], *, home: bool = False) -> None:
        super().__init__()
        self._props["ways"] = ways
        self._props["home"] = home


class Notices(ui.element, component="static/notices.js"):
    """What the builder should know at once."""


class Card(ui.element, component="static/card.js"):
    """Sizes, findings, the part file and the trail."""


class FormedView(ui.element, component="static/formed_view.js"):
    """The formed part in space."""


class FoldRule(ui.element, component="static/fold_rule.js"):
    """The slide that folds."""


class BlankView(ui.element, component="static/blank_view.js"):
    """The blank in plan."""


class ReadOut(ui.element, component="static/read_out.js"):
    """What is pointed at, in large figures."""


class Rack(ui.element, component="static/rack.js"):
    """The parts of the project."""


class DropZone(ui.element, component="static/drop_zone.js"):
    """Takes files dropped anywhere on the page."""
