"""Work of a view that may take a while: said as it goes, with a key that ends it."""

from __future__ import annotations

import asyncio
import html
from collections.abc import Callable
from typing import Any

from nicegui import ui

from blankwright.page.work import Cancelled, Work

__all__ = ["Busy", "Cancelled"]

SHOWN_AFTER = 0.6
"""What is done sooner needs no progress shown [s]: it would only flicker by."""


class Busy:
    """Stands where it is made, and shows while something is worked out."""

    def __init__(self) -> None:
        self._work: Work | None = None
        with ui.element("div").classes("bw-work") as self._box:
            self._word = ui.html("", sanitize=False)
            self._word.props('role="status" aria-live="polite"')
            ui.element("progress").props('aria-label="Working"')
            key = ui.element("button").props('type="button"').on("click", self.cancel)
            with key:
                ui.html("Cancel", sanitize=False, tag="span")
        self._box.set_visibility(False)
        ui.context.client.on_delete(self.cancel)

    async def run(self, words: str, function: Callable[..., Any], *arguments: Any) -> Any:
        """Do something in a process of its own.

        Args:
            words: what is done, such as ``Planning the bends``
            function: does it; it, what it takes and what it returns must be picklable
            arguments: what it takes

        Returns:
            What the function returns.

        Raises:
            Cancelled: when the builder ended it, or closed the window
            BlankwrightError: what the function raised
        """
        self._work = work = Work(function, *arguments)
        self._word.set_content(f"<b>{html.escape(words)} …</b>")
        timer = asyncio.get_running_loop().call_later(SHOWN_AFTER, self._show, True)
        try:
            return await work.result()
        finally:
            timer.cancel()
            self._work = None
            self._show(False)

    def cancel(self) -> None:
        """End what is being worked out."""
        if self._work is not None:
            self._work.cancel()

    def _show(self, on: bool) -> None:
        if not self._box.is_deleted:
            self._box.set_visibility(on)
