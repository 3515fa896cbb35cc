"""What the fit view says and draws: findings, the ways in, what is met at rest, motions.

Without the page's own machinery, so that a process that only works it out starts soon.
"""

from __future__ import annotations

import html
from typing import TYPE_CHECKING, Any

from blankwright.base.units import show_mm
from blankwright.jobs.project import Project
from blankwright.page.plain import findings_html

if TYPE_CHECKING:
    from blankwright.jobs.fit_open import Fit
    from blankwright.jobs.fit_report import FitReport


def look_at_fit(project: Project, name: str) -> tuple[str, str, str, list[dict[str, Any]]]:
    """Work a place out; in a process of its own."""
    from blankwright.jobs.fit_frames import way_frames
    from blankwright.jobs.fit_open import open_fit
    from blankwright.jobs.fit_report import fit_report

    fit = open_fit(project, name)
    report = fit_report(fit)
    word = "does not fit as stated" if report.blocked else "fits as stated"
    shown = [frames for way in report.ways if (frames := way_frames(fit, way)) is not None]
    return f"{report.part} {word}", _left(fit, report), _right(fit, report), shown


def _left(fit: Fit, report: FitReport) -> str:
    from blankwright.jobs.fit_told import state, told_end

    parts = [findings_html(report.findings)]
    for way in report.ways:
        side = html.escape(way.section.way_in or "any side")
        parts.append(
            f"<h2>Way in from {side}: {html.escape(way.verdict.value)}</h2>"
            f"<p>Section {html.escape(way.section.name)}</p>"
        )
        if way.steps:
            steps = "".join(f"<li>{html.escape(step.text)}</li>" for step in way.steps)
            parts.append(f'<ol class="bw-prose">{steps}</ol>')
    rows = "".join(
        f'<tr><td class="bw-typed">{html.escape(pair.wall)}</td>'
        f'<td class="bw-typed">{html.escape(pair.near.feature)}</td>'
        f'<td class="figure">{html.escape(_kept(state(pair)))}</td>'
        f'<td class="figure">{_gap(pair.pair.clearance)}</td></tr>'
        for pair in report.rest
    )
    head = "<tr><th>Neighbour</th><th>Part's</th><th>Is</th><th>Wanted</th></tr>"
    parts.append(f"<h2>At rest</h2><table>{head}{rows}</table>")
    for end in report.ends:
        lines = [html.escape(line.strip()) for line in told_end(fit.place, end)][1:]
        parts.append(f"<h2>What holds it {html.escape(end.name)}</h2>")
        parts.append('<ul class="bw-prose">' + "".join(f"<li>{s}</li>" for s in lines) + "</ul>")
    return "".join(parts)


def _gap(gap: float) -> str:
    return _kept(f"{show_mm(abs(gap))} {'clear' if gap >= 0 else 'squeezed'}")


def _kept(text: str) -> str:
    # Figure and unit stay together where a narrow table breaks the line.
    return text.replace(" mm", "\u00a0mm")


def _right(fit: Fit, report: FitReport) -> str:
    from blankwright.jobs.fit_picture import way_picture
    from blankwright.jobs.fit_plot import travel_plot
    from blankwright.jobs.fit_rest_picture import rest_picture

    figures = []
    for way in report.ways:
        # Where there is a way it is shown in motion; on paper its steps are drawn over each other.
        look = "" if way.answer.way is None else "fit-print"
        figures.append(_figure(way_picture(fit, way), f"way in, section {way.section.name}", look))
    figures.append("<h2>At rest, cut where they are nearest</h2>")
    figures.append(_figure(rest_picture(fit, report.rest), "at rest, cut by cut", "fit-whole"))
    for travel in report.travels:
        figures.append(f"<h2>Motion {html.escape(travel.motion.name)}</h2>")
        figures.append(_figure(travel_plot(travel), f"motion {travel.motion.name}"))
    return "".join(figures)


def _figure(svg: bytes, label: str, look: str = "") -> str:
    text = svg.decode("utf-8")
    # The page has colours of its own, for light and dark.
    begin, end = text.index("<style>"), text.index("</style>") + len("</style>")
    mark = f'class="{look}" aria-label="{html.escape(label)}"'
    return f"<figure {mark}>{text[:begin]}{text[end:]}</figure>"
