"""The fit view: a part in its place, the way in step by step, what it meets, what to change."""

from __future__ import annotations

import asyncio
import html
from functools import cache
from typing import TYPE_CHECKING, Any

from nicegui import background_tasks, ui

from blankwright.base.errors import BlankwrightError
from blankwright.base.units import show_mm
from blankwright.page.desk import Desk
from blankwright.page.elements import STATIC
from blankwright.page.plain import findings_html, problems_html
from blankwright.page.views.common import dress, head

if TYPE_CHECKING:
    from blankwright.jobs.fit_open import Fit
    from blankwright.jobs.fit_report import FitReport


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
                self.left = ui.html(self._none(), sanitize=False)
            with ui.element("section"):
                self.boards = ui.element("div")
                self.right = ui.html("", sanitize=False)

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
        self.word.set_content(f"Looking at {html.escape(name)}")
        try:
            word, left, right, ways = await asyncio.to_thread(self._look, name)
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

    def _look(self, name: str) -> tuple[str, str, str, list[dict[str, Any]]]:
        from blankwright.jobs.fit_frames import way_frames
        from blankwright.jobs.fit_open import open_fit
        from blankwright.jobs.fit_report import fit_report

        fit = open_fit(self.desk.project, name)
        report = fit_report(fit)
        word = "does not fit as stated" if report.blocked else "fits as stated"
        shown = [frames for way in report.ways if (frames := way_frames(fit, way)) is not None]
        return f"{report.part} {word}", _left(report), _right(fit, report), shown


def _left(report: FitReport) -> str:
    parts = [findings_html(report.findings)]
    for way in report.ways:
        side = html.escape(way.section.way_in or "any side")
        parts.append(
            f"<h2>Way in from {side}: {html.escape(way.verdict.value)}</h2>"
            f"<p>Section {html.escape(way.section.name)}</p>"
        )
        if way.steps:
            steps = "".join(f"<li>{html.escape(step.text)}</li>" for step in way.steps)
            parts.append(f"<ol>{steps}</ol>")
    rows = "".join(
        f"<tr><td>{html.escape(pair.wall)}</td><td>{html.escape(pair.near.feature)}</td>"
        f'<td class="figure">{_gap(pair.gap)}</td>'
        f'<td class="figure">{_gap(pair.pair.clearance)}</td></tr>'
        for pair in report.rest
    )
    head = "<tr><th>Neighbour</th><th>Part's</th><th>Is</th><th>Wanted</th></tr>"
    parts.append(f"<h2>At rest</h2><table>{head}{rows}</table>")
    return "".join(parts)


def _gap(gap: float) -> str:
    # Figure and unit stay together where a narrow table breaks the line.
    figure = show_mm(abs(gap)).replace(" ", "\u00a0")
    return f"{figure} {'clear' if gap >= 0 else 'squeezed'}"


def _right(fit: Fit, report: FitReport) -> str:
    from blankwright.jobs.fit_picture import way_picture
    from blankwright.jobs.fit_plot import travel_plot

    figures = []
    for way in report.ways:
        # Where there is a way it is shown in motion; on paper its steps are drawn over each other.
        look = "" if way.answer.way is None else "fit-print"
        figures.append(_figure(way_picture(fit, way), f"way in, section {way.section.name}", look))
    for travel in report.travels:
        figures.append(_figure(travel_plot(travel), f"motion {travel.motion.name}"))
    return "".join(figures)


def _figure(svg: bytes, label: str, look: str = "") -> str:
    text = svg.decode("utf-8")
    # The page has colours of its own, for light and dark.
    begin, end = text.index("<style>"), text.index("</style>") + len("</style>")
    mark = f'class="{look}" aria-label="{html.escape(label)}"'
    return f"<figure {mark}>{text[:begin]}{text[end:]}</figure>"
