"""What the bend plan view says: its findings, what was tried, what it will measure.

Without the page's own machinery, so that a process that only works it out starts soon.
"""

from __future__ import annotations

import html
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from blankwright.jobs.project import Project
from blankwright.page.plain import findings_html

if TYPE_CHECKING:
    from blankwright.jobs.bending_plan import PlannedPart

_CAUTION = (
    "Fingers out from under bar and leaf; pencil only on bends; bend a strip first. The drawing and"
    " the designer decide; this computes, it does not approve."
)


def look_at_bends(
    project: Project, part: str, remedies: bool, keep: bool = False
) -> tuple[str, str, list[dict[str, Any]]]:
    """Plan the bends of a part, and keep its card if asked; in a process of its own."""
    from blankwright.bending.words import minutes, steps_words
    from blankwright.jobs.bending_plan import keep_plan, plan_item
    from blankwright.jobs.bending_scene import refusal_scenes, step_scenes
    from blankwright.jobs.items import chosen

    planned = plan_item(project, chosen(project, [part])[0], remedies=remedies)
    plan = planned.plan
    if plan.found and not plan.steps:
        word = "It has no bends"
    elif plan.found:
        proved = "proved best" if plan.proved else "not proved best"
        word = f"{steps_words(plan)}, {minutes(plan.cost)} reckoned, {proved}"
    else:
        word = "No order works on these tools"
    made = _made(project, keep_plan(project, planned)) if keep else ""
    return word, made + _left(planned), step_scenes(plan) or refusal_scenes(plan)


def _made(project: Project, files: Sequence[Path]) -> str:
    """Offer the files that were made."""
    links = ", ".join(
        f'<a href="/out/{quote(path.relative_to(project.out).as_posix())}" target="_blank">'
        f"{html.escape(path.name)}</a>"
        for path in files
    )
    return f'<p class="bw-good">Made: {links}.</p>'


def _left(planned: PlannedPart) -> str:
    parts = [findings_html(planned.findings), _tried(planned), _expected(planned)]
    return "".join((*parts, f"<p>{html.escape(_CAUTION)}</p>"))


def _tried(planned: PlannedPart) -> str:
    if not planned.tried:
        return ""
    rows = "".join(
        f"<tr><td>{html.escape(t.remedy.value)}</td><td>{html.escape(t.text)}</td>"
        f"<td><b>{html.escape(t.verdict)}</b></td></tr>"
        for t in planned.tried
    )
    return f"<h2>Tried, each by the same search</h2><table>{rows}</table>"


def _expected(planned: PlannedPart) -> str:
    from blankwright.bending.words import EXPECTED_HEAD, expected_rows

    if not planned.expected:
        return ""
    rows = []
    for row in expected_rows(planned.expected):
        name, value, line, stop, most = (html.escape(text) for text in row)
        figures = "".join(f'<td class="figure">{text}</td>' for text in (value, line, stop))
        rows.append(f"<tr><td>{name}<br>mostly {most}</td>{figures}</tr>")
    head = "".join(f"<th>{html.escape(text.capitalize())}</th>" for text in EXPECTED_HEAD[:4])
    return f"<h2>What it will measure</h2><table><tr>{head}</tr>{''.join(rows)}</table>"
