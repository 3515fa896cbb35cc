"""The cutting view: the rack, parts laid on its sheets, machine files with their proofs."""

from __future__ import annotations

import asyncio
import html
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from nicegui import background_tasks, ui

from blankwright.base.errors import BlankwrightError
from blankwright.page import cut_html
from blankwright.page.busy import Busy, Cancelled
from blankwright.page.desk import Desk
from blankwright.page.elements import STATIC
from blankwright.page.machine_html import make_machine_files
from blankwright.page.plain import findings_html, problems_html
from blankwright.page.views.common import dress, head

if TYPE_CHECKING:
    from blankwright.jobs.cutting_pack import PackResult

_CUT_WORDS = (
    "Tick what has been cut. It goes off the rack and out of this layout, and offcuts worth "
    "keeping go on the rack. Undo does not bring it back."
)


def register(desk: Desk) -> None:
    """Put the cutting view on the page."""

    @ui.page("/cutting", title="Sheets - Blankwright")
    def cutting_page() -> None:
        dress()
        ui.add_head_html(f"<style>{(STATIC / 'cut.css').read_text(encoding='utf-8')}</style>")
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
                    self.order_key = _key("Make files for a service", self.order)
                self.word = ui.html("", sanitize=False).classes("bw-told")
                self.word.props('role="status" aria-live="polite"')
                self.bar = ui.element("progress").props('aria-label="Laying parts on sheets"')
                self.work = Busy()
                self.findings = ui.html("", sanitize=False)
                self._ask()
                self.rack = ui.html("", sanitize=False)
            with ui.element("section"):
                self.sheets = ui.html("", sanitize=False)
                with ui.element("div").classes("bw-ask") as self.cutting:
                    _title("When they have been cut")
                    ui.html(_CUT_WORDS, sanitize=False, tag="p")
                    self.ticks = ui.html("", sanitize=False)
                    with ui.element("div").classes("bw-row"):
                        self.cut_key = _key("Take cut sheets off the rack", self.cut)
        self.show()
        ui.timer(0.3, self.tick)

    def _ask(self) -> None:
        from blankwright.jobs.cutting_typed import cuttable

        _title("Parts to cut")
        with ui.element("div").classes("bw-ask"):
            try:
                counts = cut_html.counts_html(cuttable(self.desk.project))
            except BlankwrightError as error:
                counts = problems_html(error.problems)
            with ui.element("div").classes("bw-row"):
                for text, which in (("One of each", "one"), ("None of them", "none")):
                    _key(text).on("click", js_handler=cut_html.SET_COUNTS % which)
            ui.html(counts, sanitize=False)
            self.stock = ui.html("", sanitize=False)

    # --- showing --------------------------------------------------------------------------------

    def show(self) -> None:
        """Show the rack and the pictures of the layout as they are on the disk."""
        from blankwright.jobs.cutting_pack import sheets_folder
        from blankwright.jobs.cutting_rack import rack_rows
        from blankwright.jobs.cutting_typed import laid_titles

        wrong = ""
        rows: tuple[tuple[str, ...], ...] = ()
        titles: tuple[str, ...] = ()
        try:
            rows = rack_rows(self.desk.project)
        except BlankwrightError as error:
            self.rack.set_content(problems_html(error.problems))
        else:
            self.rack.set_content(cut_html.rack_html(rows))
        try:
            titles = laid_titles(self.desk.project)
        except BlankwrightError as error:
            wrong = problems_html(error.problems)
        self.stock.set_content(cut_html.stock_html(row[0] for row in rows))
        pictures = cut_html.pictures_html(sheets_folder(self.desk.project), titles)
        self.sheets.set_content(wrong or pictures)
        self.ticks.set_content(cut_html.cut_html(titles))
        self.cutting.set_visibility(bool(titles))
        self._keys()

    def _keys(self) -> None:
        self.bar.set_visibility(self.busy)
        for key, off in (
            (self.pack_key, self.busy),
            (self.machine_key, self.busy),
            (self.order_key, self.busy),
            (self.cut_key, self.busy),
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

    def stop(self, form: Form) -> None:
        """Let the packing stop with the best so far."""
        self.stopped = True
        self.told = "Stopping"

    def pack(self, form: Form) -> None:
        """Begin to pack."""
        if not self.busy:
            background_tasks.create(self._pack(form), name="pack")

    def machine(self, form: Form) -> None:
        """Begin to make machine files."""
        if not self.busy:
            background_tasks.create(self._machine(), name="machine files")

    def order(self, form: Form) -> None:
        """Begin to make files for a service."""
        if not self.busy:
            background_tasks.create(self._order(form), name="order")

    def cut(self, form: Form) -> None:
        """Begin to take sheets that were cut off the rack."""
        if not self.busy:
            background_tasks.create(self._cut(form.cut), name="cut")

    async def _pack(self, form: Form) -> None:
        from blankwright.jobs.cutting_pack import pack_project
        from blankwright.jobs.cutting_typed import pack_ask

        self._begin("Laying parts on sheets")

        def tell(gone: float, packing: Any, what: str) -> None:
            titles = ", ".join(packed.title for packed in packing.sheets)
            self.told = f"{gone:.0f} s: {titles}: {100 * packing.use:.0f} % used, {what}"

        try:
            ask = pack_ask(self.desk.project, form.copies, **form.asked)
            result = await asyncio.to_thread(
                pack_project,
                self.desk.project,
                ask,
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

    async def _order(self, form: Form) -> None:
        self._begin("")
        self.bar.set_visibility(False)
        try:
            word, below = await self.work.run(
                "Writing files for a service and measuring them",
                cut_html.make_order,
                self.desk.project,
                form.copies,
            )
        except Cancelled:
            word, below = "Cancelled: the order is not whole, make it again", ""
        except BlankwrightError as error:
            word, below = "No order was made", problems_html(error.problems)
        self._end(word, below)

    async def _cut(self, titles: Sequence[str]) -> None:
        from blankwright.jobs.cutting_typed import take_cut

        self._begin("Taking cut sheets off the rack")
        try:
            offcuts = await asyncio.to_thread(take_cut, self.desk.project, titles)
        except BlankwrightError as error:
            self._end("The rack stays as it was", problems_html(error.problems))
            return
        kept = f" Back on it: {', '.join(offcuts)}." if offcuts else " No offcut is worth keeping."
        self._end(f"Off the rack: {', '.join(titles)}.{kept}", "")

    def _begin(self, word: str) -> None:
        self.busy, self.stopped, self.told = True, False, word
        self.findings.set_content("")
        self._keys()

    def _end(self, word: str, below: str) -> None:
        self.busy = False
        self.show()
        self.say(word)
        self.findings.set_content(below)


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """What the fields had when a key was pressed.

    Args:
        copies: how many of each part, as typed
        asked: ``on``, ``seconds`` and ``seed``, as typed
        cut: titles of the sheets that are ticked as cut
    """

    copies: dict[str, str]
    asked: dict[str, str]
    cut: tuple[str, ...]

    @classmethod
    def sent(cls, sent: Mapping[str, Any]) -> Form:
        """Read what the browser sent; fields that are none of ours are left out."""
        fields = {str(key): str(value) for key, value in sent["asked"].items()}
        return cls(
            copies={str(name): str(count) for name, count in sent["copies"].items()},
            asked={name: fields[name] for name in ("on", "seconds", "seed") if name in fields},
            cut=tuple(str(title) for title in sent["cut"]),
        )


def _key(
    text: str, pressed: Callable[[Form], None] | None = None, *, strong: bool = False
) -> ui.element:
    key = ui.element("button").props('type="button"')
    with key:
        ui.html(html.escape(text), sanitize=False, tag="span")
    if strong:
        key.classes("strong")
    if pressed is not None:
        key.on("click", lambda e: pressed(Form.sent(e.args)), js_handler=cut_html.READ_FORM)
    return key


def _title(text: str) -> None:
    ui.html(html.escape(text), sanitize=False, tag="h2")


def _pack_word(result: PackResult) -> str:
    count = sum(len(packed.placements) for packed in result.sheets)
    left = f", {len(result.left)} without room" if result.left else ""
    return f"{count} parts on {len(result.sheets)} sheets{left}. Layout kept in out/sheets."
