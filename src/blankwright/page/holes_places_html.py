"""Matched parts, air, templates and drilling up, as parts of the holes view."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import TYPE_CHECKING
from urllib.parse import quote

from blankwright.base.errors import BlankwrightError
from blankwright.base.units import show_mm
from blankwright.holes.matched import How
from blankwright.jobs.holes_air import AirResult, air_paths
from blankwright.jobs.holes_drilling import asked_hole, shop_drills
from blankwright.jobs.holes_matched import MatchedPair, matched_pairs, pair_result
from blankwright.jobs.holes_templates import (
    read_project_template,
    template_files,
    template_folder,
    template_result,
    template_state,
)
from blankwright.jobs.project import Project
from blankwright.page.holes_rows_html import ladder_html
from blankwright.page.plain import field, findings_html, table, wrong_of

if TYPE_CHECKING:
    pass


def places_html(project: Project, name: str) -> str:
    """Return matched parts and air paths of the places that this part goes into."""
    parts = []
    for path in sorted((project.root / "places").glob("*.toml")):
        text = path.read_text(encoding="utf-8", errors="replace")
        if f'"{name}"' not in text:
            continue
        try:
            if "[matched." in text:
                pairs = matched_pairs(project, path.stem)
                parts += [_pair(path.stem, pair) for pair in pairs]
                parts.append(_put_form(name, path.stem, pairs))
            if "[air." in text:
                parts += [_air(path.stem, result) for result in air_paths(project, path.stem)]
        except BlankwrightError as error:
            parts.append(f"<section><h2>{escape(path.stem)}</h2>{wrong_of(error)}</section>")
    return "".join(parts)


def _put_form(name: str, place: str, pairs: Sequence[MatchedPair]) -> str:
    """Return the form that puts matched holes into the other parts' files, where there are any."""
    files = dict.fromkeys(
        f"{pair.other_file}.toml"
        for pair in pairs
        if any(m.how in (How.ON_THE_FLAT, How.THERE_ALREADY) for m in pair.matches)
    )
    if not files:
        return ""
    return (
        f'<section><form method="post" action="/holes/{quote(name)}">'
        f'<input type="hidden" name="place" value="{escape(place, quote=True)}">'
        f"<button>Put the holes drilled on the flat into {escape(', '.join(files))}</button>"
        "<p>Comments there stay; holes put in before are renewed.</p></form></section>"
    )


def _pair(place: str, pair: MatchedPair) -> str:
    result = pair_result(pair)
    cells = []
    for hole in result["holes"]:
        at = hole["on_blank"]
        cells.append(
            [
                escape(hole["hole"]),
                escape(hole["how"]),
                "–" if at is None else f"{show_mm(at[0])}, {show_mm(at[1])}",
                "–" if hole["error"] is None else f"±{hole['error']:.2f} mm",
                "–" if hole["pilot_order"] is None else str(hole["pilot_order"]),
                "yes" if hole["hole"] in result["temporary_fasteners"] else "",
            ]
        )
    head = ("Hole", "How", "On its blank", "May be off", "Pilot", "Temporary fastener")
    title = f"Matched: {pair.first.name} to {pair.other.name}"
    return (
        f"<section><h2>{escape(title)}</h2><p>Place {escape(place)}. Drilled on the flat when it is"
        f" off by no more than {show_mm(pair.asked.clearance)}.</p>{table(title, head, cells)}"
        f"{findings_html(pair.findings)}</section>"
    )


def _air(place: str, result: AirResult) -> str:
    flows = [
        [
            f"{flow.speed:.1f} m/s" if flow.speed else "–",
            f"{flow.pressure:.0f} Pa",
            f"{flow.open_fraction:.0%}",
            f"{flow.flow * 1000:.1f} l/s",
            f"{flow.effective_area * 1e6:.0f} mm²",
            escape(flow.worst.name),
        ]
        for flow in (*result.flows, *result.partly)
    ]
    head = ("Airspeed", "Pressure", "Open", "Flow", "As good as", "Chokes")
    text = table("Flow", head, flows)
    if result.flows:
        most = max(result.flows, key=lambda flow: flow.pressure)
        shares = [
            [
                escape(s.name),
                f"{s.velocity:.1f} m/s",
                f"{s.coefficient:.2f}",
                f"{s.share:.0%}",
                escape(s.source),
            ]
            for s in most.shares
        ]
        columns = ("Piece", "Velocity", "Loss", "Takes", "Source")
        text += table("Pieces", columns, shares)
    return (
        f"<section><h2>Air path {escape(result.path.name)}</h2><p>Place {escape(place)}."
        f" {result.path.density:.3f} kg/m³: {escape(result.path.density_source)}. Good to a fifth"
        f" at best.</p>{text}{findings_html(result.findings)}</section>"
    )


def templates_html(project: Project) -> str:
    """Return where the drill templates of a project go; empty when it has none."""
    parts = []
    for path in template_files(project):
        try:
            state = template_state(read_project_template(project, path))
        except BlankwrightError as error:
            parts.append(f"<h3>{escape(path.stem)}</h3>{wrong_of(error)}")
            continue
        result = template_result(state)
        cells = [
            [
                escape(size["reference"]),
                escape(size["side"] + (", over it" if size["over"] else "")),
                show_mm(abs(size["low"])),
                show_mm(abs(size["high"])),
            ]
            for size in result["sides"][0]["sizes"]
        ]
        head = ("From", "To side", "At one end", "At the other")
        folder = template_folder(project, path)
        card = f"/out/{quote(folder.name)}/{quote(path.stem)}-card.pdf"
        made = folder / f"{path.stem}-card.pdf"
        link = f'<p><a href="{card}" target="_blank">Placing card</a></p>' if made.exists() else ""
        parts.append(
            f"<h3>{escape(result['title'])}</h3>{table(result['title'], head, cells)}{link}"
            f"{findings_html(state.findings)}"
        )
    if not parts:
        return ""
    make = "<p>Print, DXF and card are made by <code>blankwright template</code>.</p>"
    return f"<section><h2>Drill templates</h2>{''.join(parts)}{make}</section>"


def drill_html(project: Project, name: str, words: dict[str, str]) -> str:
    """Return the form for drilling up one hole, and the passes when it is filled in."""
    final, pilot = words.get("final", ""), words.get("pilot", "")
    stack = words.get("stack", "0.040 in")
    told = ""
    if final.strip():
        try:
            from blankwright.holes.ladder import plan_ladder

            ladder = plan_ladder(asked_hole(final, pilot, stack), shop_drills(project))
            told = ladder_html(ladder)
        except BlankwrightError as error:
            told = wrong_of(error)
    return (
        f'<section><h2>Drill up one hole</h2><form method="get" action="/holes/{quote(name)}">'
        + field("final", "Final hole", final, about="#11, 3/16 in, 4.8 mm")
        + field("pilot", "Pilot", pilot, about="#40, or nothing")
        + field("stack", "Sheets", stack, about="0.032 in + 0.040 in")
        + '<button class="strong">Plan the passes</button></form>'
        f'<div class="bw-lengths">{told}</div></section>'
    )
