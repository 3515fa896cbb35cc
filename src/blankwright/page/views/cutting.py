"""The cutting view: the rack, parts laid on its sheets, machine files with their proofs."""

from __future__ import annotations

import asyncio
import html
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from nicegui import background_tasks, ui

from blankwright.base.errors import BlankwrightError
from blankwright.page.busy import Busy, Cancelled
from blankwright.page.desk import Desk
from blankwright.page.machine_html import make_machine_files
from blankwright.page.plain import findings_html, problems_html
from blankwright.page.views.common import dress, head

if TYPE_CHECKING:
    from blankwright.jobs.cutting_pack import PackResult

_STYLE = """
<style>
.bw-cut {
  display: grid; grid-template-columns: minmax(440px, 34fr) 66fr; min-height: 100vh;
  grid-template-rows: auto 1fr;
}
.bw-cut > header { grid-column: 1 / -1; }
.bw-cut > section { padding: 14px 18px; }
.bw-cut > section { background: var(--card); }
.bw-cut > section + section { border-left: 3px solid var(--ink); background: var(--paper); }
.bw-cut table { border-collapse: collapse; width: 100%; font-size: 18px; margin: 10px 0 18px; }
.bw-cut th, .bw-cut td { text-align: left; padding: 5px 8px; border-bottom: 1px solid var(--rule); }
.bw-cut td span { white-space: nowrap; }
.bw-cut tr:has(+ .bw-more) td { border-bottom: 0; padding-bottom: 0; }
.bw-cut .bw-more td { font-size: 16px; padding-top: 0; }
.bw-cut ul { padding-left: 24px; margin: 4px 0 8px; }
.bw-cut th { border-bottom: 2px solid var(--ink); }
.bw-cut .bw-row { display: flex; flex-wrap: wrap; gap: 8px; margin: 10px 0; }
.bw-cut .bw-told { font-size: 20px; font-weight: 600; margin: 10px 0; min-height: 28px; }
.bw-cut .bw-row button { padding: 4px 9px; }
.bw-cut progress { width: 100%; height: 22px; accent-color: var(--up); }
.bw-cut figure { margin: 0 0 22px; }
.bw-cut figure svg { width: 100%; height: auto; max-height: 70vh; stroke: var(--ink); }
.bw-cut figure svg :is(path, circle, line) {
  vector-effect: non-scaling-stroke; stroke-width: 1.6px;
}
.bw-cut figure svg text { fill: var(--ink); stroke: none; }
@media print { .bw-cut .bw-row { display: none; } .bw-cut { display: block; } }
@media (max-width: 900px) {
  .bw-cut { display: block; }
  .bw-cut > section + section { border-left: 0; border-top: 3px solid var(--ink); }
}
</style>
"""


def register(desk: Desk) -> None:
    """Put the cutting view on the page."""

    @ui.page("/cutting", title="Sheets - Blankwright")
    def cutting_page() -> None:
        dress()
        ui.add_head_html(_STYLE)
        CuttingWindow(desk)


class CuttingWindow:
    """One window on rack, layout and machine files.

    Args:
        desk: the project
    """

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.stopped = False
        self.busy = False
        self.told = ""
        with ui.element("main").classes("bw bw-cut"):
            head("Sheets", "Sheets of", desk.project.title)
            with ui.element("section"):
                with ui.element("div").classes("bw-row"):
                    self.pack_key = _key("Lay parts on sheets", self.pack, strong=True)
                    self.stop_key = _key("Stop, keep the best", self.stop)
                    self.machine_key = _key("Make machine files", self.machine)
                self.word = ui.html("", sanitize=False).classes("bw-told")
                self.word.props('role="status" aria-live="polite"')
                self.bar = ui.element("progress").props('aria-label="Laying parts on sheets"')
                self.work = Busy()
                self.findings = ui.html("", sanitize=False)
                self.rack = ui.html("", sanitize=False)
            with ui.element("section"):
                self.sheets = ui.html("", sanitize=False)
        self.show()
        ui.timer(0.3, self.tick)

    # --- showing --------------------------------------------------------------------------------

    def show(self) -> None:
        """Show the rack and the pictures of the layout as they are on the disk."""
        from blankwright.jobs.cutting_pack import sheets_folder
        from blankwright.jobs.cutting_rack import rack_rows

        try:
            rows = rack_rows(self.desk.project)
        except BlankwrightError as error:
            self.rack.set_content(problems_html(error.problems))
            rows = ()
        else:
            self.rack.set_content(_rack_table(rows))
        self.sheets.set_content(_pictures(sheets_folder(self.desk.project)))
        self._keys()

    def _keys(self) -> None:
        self.bar.set_visibility(self.busy)
        for key, off in (
            (self.pack_key, self.busy),
            (self.machine_key, self.busy),
            (self.stop_key, not self.busy),
        ):
            key.props("disabled" if off else "", remove="" if off else "disabled")

    def tick(self) -> None:
        """Say how the packing gets on; it tells from a thread of its own."""
        if self.busy:
            self.say(self.told)

    def say(self, text: str) -> None:
        """Show a line about what is going on."""
        self.word.set_content(html.escape(text))

    # --- doing ----------------------------------------------------------------------------------

    def stop(self) -> None:
        """Let the packing stop with the best so far."""
        self.stopped = True
        self.told = "Stopping"

    def pack(self) -> None:
        """Begin to pack."""
        if not self.busy:
            background_tasks.create(self._pack(), name="pack")

    def machine(self) -> None:
        """Begin to make machine files."""
        if not self.busy:
            background_tasks.create(self._machine(), name="machine files")

    async def _pack(self) -> None:
        from blankwright.jobs.cutting_pack import PackAsk, pack_project

        self._begin("Laying parts on sheets")

        def tell(gone: float, packing: Any, what: str) -> None:
            titles = ", ".join(packed.title for packed in packing.sheets)
            self.told = f"{gone:.0f} s: {titles}: {100 * packing.use:.0f} % used, {what}"

        try:
            result = await asyncio.to_thread(
                pack_project,
                self.desk.project,
                PackAsk(copies={}),
                tell=tell,
                stopped=lambda: self.stopped,
            )
        except BlankwrightError as error:
            self._end("Nothing was laid out", problems_html(error.problems))
            return
        self._end(_pack_word(result), findings_html(result.findings))

    async def _machine(self) -> None:
        self._begin("")
        self.bar.set_visibility(False)
        try:
            word, below = await self.work.run(
                "Writing machine files and replaying them", make_machine_files, self.desk.project
            )
        except Cancelled:
            word, below = "Cancelled: the machine files are not whole, make them again", ""
        except BlankwrightError as error:
            word, below = "No machine file was made", problems_html(error.problems)
        self._end(word, below)

    def _begin(self, word: str) -> None:
        self.busy, self.stopped, self.told = True, False, word
        self.findings.set_content("")
        self._keys()

    def _end(self, word: str, below: str) -> None:
        self.busy = False
        self.show()
        self.say(word)
        self.findings.set_content(below)


def _key(text: str, pressed: Callable[[], None], *, strong: bool = False) -> ui.element:
    key = ui.element("button").props('type="button"')
    with key:
        ui.html(html.escape(text), sanitize=False, tag="span")
    if strong:
        key.classes("strong")
    return key.on("click", pressed)


def _rack_table(rows: tuple[tuple[str, ...], ...]) -> str:
    if not rows:
        return "<h2>Rack</h2><p>Nothing is on the rack yet. Enter sheets in rack.toml.</p>"
    body = "".join(
        f'<tr><td class="bw-typed">{html.escape(name)}</td>'
        f"<td>{html.escape(alloy)}</td>"
        f"<td>{' × '.join(f'<span>{side} mm</span>' for side in size.split(' × '))}</td>"
        f"<td>{html.escape(count)}</td></tr>{_more_row(more)}"
        for name, alloy, size, count, more in rows
    )
    head = "<tr><th>Sheet</th><th>Alloy</th><th>Size</th><th>Count</th></tr>"
    return f'<h2>Rack</h2><table class="bw-lengths">{head}{body}</table>'


def _more_row(words: str) -> str:
    return f'<tr class="bw-more"><td colspan="4">{html.escape(words)}</td></tr>' if words else ""


def _pictures(folder: Path) -> str:
    pictures: list[str] = []
    for path in sorted(folder.glob("*.svg")):
        try:
            text = path.read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError):
            continue
        drawn = text[text.index("<svg") :] if "<svg" in text else ""
        pictures.append(f'<figure aria-label="{html.escape(path.stem)}">{drawn}</figure>')
    return "".join(pictures) or (
        '<p class="bw-none">No parts have been laid on sheets yet. The sheets are drawn here.</p>'
    )


def _pack_word(result: PackResult) -> str:
    count = sum(len(packed.placements) for packed in result.sheets)
    left = f", {len(result.left)} without room" if result.left else ""
    return f"{count} parts on {len(result.sheets)} sheets{left}. Layout kept in out/sheets."
