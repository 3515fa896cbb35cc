"""The fit view: a part in its place, the way in step by step, what it meets, what to change."""

from __future__ import annotations

import asyncio
import html
from typing import TYPE_CHECKING, Any

from nicegui import background_tasks, ui

from blankwright.base.errors import BlankwrightError
from blankwright.base.units import show_mm
from blankwright.page.desk import Desk
from blankwright.page.plain import findings_html, problems_html
from blankwright.page.views.common import dress, head

if TYPE_CHECKING:
    from blankwright.jobs.fit_open import Fit
    from blankwright.jobs.fit_report import FitReport

_STYLE = """
<style>
.bw-fit {
  display: grid; grid-template-columns: minmax(400px, 38fr) 62fr; min-height: 100vh;
  grid-template-rows: auto 1fr;
}
.bw-fit > header { grid-column: 1 / -1; }
.bw-fit > section { padding: 14px 18px; min-width: 0; }
.bw-fit > section + section { border-left: 3px solid var(--ink); background: var(--paper); }
.bw-fit table { border-collapse: collapse; width: 100%; font-size: 18px; margin: 8px 0 18px; }
.bw-fit th, .bw-fit td { text-align: left; padding: 5px 8px; border-bottom: 1px solid var(--rule); }
.bw-fit th { border-bottom: 2px solid var(--ink); }
.bw-fit td.figure { font-variant-numeric: tabular-nums; font-weight: 600; }
.bw-fit ol { padding-left: 34px; margin: 6px 0 16px; font-size: 20px; }
.bw-fit ol li { margin-bottom: 8px; }
.bw-fit .bw-row { display: flex; flex-wrap: wrap; gap: 8px; margin: 10px 0; align-items: center; }
.bw-fit .bw-told { font-size: 22px; font-weight: 700; margin: 10px 0; min-height: 30px; }
.bw-fit figure { margin: 0 0 22px; }
.bw-fit figure svg { width: 100%; height: auto; max-height: 78vh; }
.bw-fit figure svg text { fill: var(--ink); font: 4.2px sans-serif; }
.bw-fit figure svg .fit-word { text-anchor: middle; }
.bw-fit figure svg :is(path, line, polyline) { stroke-width: .3; }
.bw-fit .fit-hard { fill: var(--metal); stroke: var(--ink); }
.bw-fit .fit-soft { fill: var(--sheet); stroke: var(--ink); }
.bw-fit .fit-rest { fill: var(--ink); stroke: var(--ink); }
.bw-fit .fit-soft { stroke-dasharray: .6 .6; }
.bw-fit .fit-ghost, .bw-fit .fit-line { fill: none; stroke: var(--ink); }
.bw-fit .fit-axis, .bw-fit .fit-stop { stroke: var(--ink); }
.bw-fit figure svg .fit-stop { stroke-width: .8; }
.bw-fit .fit-grid { stroke: var(--rule); }
.bw-fit .fit-board { border: 2px solid var(--ink); padding: 10px 14px 14px; }
.bw-fit .fit-board { background: var(--card); }
.bw-fit .fit-board svg.fit-scene { width: 100%; max-height: 52vh; background: var(--paper); }
.bw-fit figure svg.fit-scene :is(path, line) { vector-effect: non-scaling-stroke; stroke-width: 1.4px; }
.bw-fit figure svg.fit-scene .fit-goal { fill: none; stroke: var(--ink); stroke-dasharray: 6 5; }
.bw-fit figure svg.fit-scene .fit-soft { stroke-dasharray: 3 3; }
.bw-fit figure svg.fit-scene .fit-now { fill: var(--pick); stroke: var(--ink); stroke-width: 2.6px; }
.bw-fit .fit-drive { display: flex; flex-wrap: wrap; gap: 8px; align-items: center; margin: 8px 0; }
.bw-fit .fit-told { font-size: 22px; min-height: 90px; }
.bw-fit .fit-gap { font-size: 24px; font-weight: 700; font-variant-numeric: tabular-nums; }
.bw-fit .fit-sides, .bw-fit figcaption { font-size: 17px; color: var(--quiet); }
.bw-fit figure svg.fit-plot { width: 100%; height: auto; }
.bw-fit figure svg.fit-plot text { font-size: 20px; }
.bw-fit figure svg.fit-plot :is(line, polyline) { stroke-width: 1px; vector-effect: non-scaling-stroke; }
.bw-fit figure svg.fit-plot .fit-line { stroke-width: 2.6px; }
.bw-fit figure svg.fit-plot .fit-cursor { stroke: var(--ink); stroke-width: 5px; stroke-opacity: .55; }
.bw-fit .fit-print { display: none; }
@media print {
  .bw-fit .bw-row, .bw-fit .fit-board { display: none; }
  .bw-fit .fit-print { display: block; } .bw-fit { display: block; }
}
@media (max-width: 900px) { .bw-fit { display: block; } }
</style>
"""


def register(desk: Desk) -> None:
    """Put the fit view on the page."""

    @ui.page("/fit", title="Fit - Blankwright")
    def fit_page() -> None:
        dress()
        ui.add_head_html(_STYLE)
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
