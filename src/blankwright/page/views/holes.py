"""The holes view of a part: rivet rows, fields, drilling up, matched parts, air, templates."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from blankwright.base.errors import BlankwrightError
from blankwright.base.units import show_mm
from blankwright.jobs.holes_air import AirResult, air_paths
from blankwright.jobs.holes_drilling import asked_hole, row_ladders, shop_drills
from blankwright.jobs.holes_matched import MatchedPair, matched_pairs, pair_result
from blankwright.jobs.holes_rows import fields_of_part, hole_findings, rows_of
from blankwright.jobs.holes_templates import (
    read_project_template,
    template_files,
    template_folder,
    template_result,
    template_state,
)
from blankwright.jobs.items import chosen
from blankwright.jobs.part_state import PartState, state_of
from blankwright.jobs.project import Project
from blankwright.jobs.shop_coupons import coupons_of
from blankwright.page.desk import Desk
from blankwright.page.plain import (
    answer,
    field,
    findings_html,
    table,
    whole,
    wrong_of,
)

if TYPE_CHECKING:
    from fastapi import FastAPI
    from starlette.requests import Request
    from starlette.responses import Response

    from blankwright.holes.ladder import Ladder

_CAUTION = (
    "Held against the handbook's tables. A check, never an approval: the drawing and its designer"
    " decide."
)


def routes(app: FastAPI, desk: Desk) -> None:
    """Put the holes view on the page."""
    from starlette.routing import Route

    def show_holes(request: Request) -> Response:
        name = request.path_params["part"]
        words = dict(request.query_params.items())
        if name not in desk.names():
            text = "<p>This project has no part of that name.</p>"
            return answer(whole("Holes", "Holes of", name, text), wrong=True)
        return answer(holes_page(desk.project, name, words))

    app.router.routes.append(Route("/holes/{part:str}", show_holes, methods=["GET"]))


def holes_page(project: Project, name: str, words: dict[str, str]) -> str:
    """Return the view as HTML.

    Args:
        project: where the part is
        name: of the part
        words: of the form for drilling up one hole
    """
    boxes = [("Project", project.title)]
    left, right = "", ""
    try:
        item = chosen(project, [name])[0]
        state = state_of(item.read(), coupons_of(project))
    except BlankwrightError as error:
        left = wrong_of(error)
    else:
        left = _picture(state) + _rows(project, state) + _fields(state) + _found(state)
        right = _places(project, name)
    right += _templates(project)
    body = (
        f"<p>{escape(_CAUTION)}</p>{_drill(project, name, words)}"
        f'<div class="bw-two bw-lengths"><div>{left}</div><div>{right}</div></div>'
    )
    return whole("Holes", "Holes of", name, body, boxes, part=name)


def both(length: float) -> str:
    """Return a length [mm]; the page's switch shows it in inches."""
    return show_mm(length)


def _name(text: str) -> str:
    """Return the name of a tool or of hardware: units in it are part of the name."""
    return f'<span class="bw-typed">{escape(text)}</span>'


def _rows(project: Project, state: PartState) -> str:
    rows = rows_of(state)
    if not rows:
        return (
            "<section><h2>Rivet rows</h2><p>The part states none. Add [rivets.NAME] to the part"
            " file.</p></section>"
        )
    cells = []
    for row in rows:
        pitches = [p for line in row["lines"] for p in line["pitches"]]
        joint = row["joint"]
        carries = "–"
        if joint["members"]:
            most = "" if joint["complete"] else "at most "
            carries = f"{most}{int(joint['per_rivet'])} N, {int(joint['per_rivet_lb'])} lb"
        hole = row["hole"]["drill"] if row["hole"] else "no table"
        cells.append(
            [
                f"<b>{escape(row['name'])}</b><br>{escape(row['flat'])}",
                str(row["count"]),
                _name(f"{row['fastener']} {row['size']}, {row['head']}"),
                _name(f"{row['pilot']}, then {hole}" if row["pilot"] else hole),
                both(row["grip"]),
                _name(row["buy"] or "–"),
                _range(pitches),
                carries,
            ]
        )
    head = ("Row, flat", "Count", "What", "Hole", "Grip", "Length", "Pitch", "Carries, each")
    body = table("Rivet rows", head, cells)
    ladders = []
    try:
        for one in row_ladders(state.part, shop_drills(project)):
            title = f"<h3>Drilling up row {escape(one.row.name)}</h3>"
            told = f"<p>{escape(one.problem)}</p>"
            ladders.append(title + (told if one.ladder is None else _ladder(one.ladder)))
    except BlankwrightError as error:
        ladders = [wrong_of(error)]
    return f"<section><h2>Rivet rows</h2>{body}{''.join(ladders)}</section>"


def _range(pitches: Sequence[float]) -> str:
    if not pitches:
        return "–"
    low, high = min(pitches), max(pitches)
    return both(low) if high - low < 0.005 else f"{show_mm(low)} to {show_mm(high)}"


def _ladder(ladder: Ladder) -> str:
    cells = [
        [
            _name(one.tool),
            show_mm(one.diameter, 3),
            show_mm(one.step, 3),
            str(one.strokes * ladder.holes),
        ]
        for one in ladder.passes
    ]
    text = table("Passes", ("Tool", "Hole after it", "Opens by", "Strokes"), cells)
    if ladder.reached is not None:
        low, high = ladder.reached
        likely = f"{show_mm(low, 3)} to {show_mm(high, 3)}"
        text += f"<p>Likely hole {likely}. Part the sheets and deburr.</p>"
    return text + findings_html(ladder.findings)


def _fields(state: PartState) -> str:
    cells = [
        [
            f"<b>{escape(f['name'])}</b>",
            str(f["count"]),
            both(f["diameter"]),
            f"{both(f['pitch'])}, {f['pattern']}",
            f"{f['open_area']:.1%} of {f['area']:.0f} mm²",
        ]
        for f in fields_of_part(state.part)
    ]
    if not cells:
        return ""
    head = ("Field", "Holes", "Diameter", "Pitch", "Open area")
    return f"<section><h2>Fields of holes</h2>{table('Fields of holes', head, cells)}</section>"


def _found(state: PartState) -> str:
    found = hole_findings(state)
    text = findings_html(found) if found else "<p>Nothing to report about its holes.</p>"
    return f"<section><h2>Findings about holes</h2>{text}</section>"


def _picture(state: PartState) -> str:
    """Return the blank with its holes, those of rows marked from the left end."""
    x0, y0, x1, y1 = state.blank.outline.box
    wide, tall = x1 - x0, y1 - y0
    line = max(wide, tall) / 500

    def path(loops: Iterable[Any]) -> str:
        parts = []
        for loop in loops:
            points = " ".join(f"{x - x0:.2f},{y1 - y:.2f}" for x, y in loop.points())
            parts.append(f"M{points}Z")
        return "".join(parts)

    firsts = {row.holes[0]: row.name for row in state.part.rivets if row.holes}
    holes = {hole.name: hole for hole in state.blank.holes}
    size = max(wide, tall) / 34
    texts = "".join(
        f'<text x="{holes[name].center[0] - x0 + size / 3:.2f}"'
        f' y="{y1 - holes[name].center[1] - size / 3:.2f}" font-size="{size:.2f}">'
        f"{escape(label)}</text>"
        for name, label in firsts.items()
        if name in holes
    )
    bends = "".join(
        f'<line x1="{a.start[0] - x0:.2f}" y1="{y1 - a.start[1]:.2f}"'
        f' x2="{a.end[0] - x0:.2f}" y2="{y1 - a.end[1]:.2f}"'
        f' stroke-dasharray="{6 * line:.2f} {3 * line:.2f}"/>'
        for bend in state.blank.bends
        for a in (bend.parent_tangent, bend.leg_tangent)
    )
    label = f"Blank of {state.part.title or state.part.name} with {len(holes)} holes"
    return (
        f'<figure role="img" aria-label="{escape(label, quote=True)}">'
        f'<svg viewBox="{-size:.2f} {-size:.2f} {wide + 2 * size:.2f} {tall + 2 * size:.2f}"'
        f' stroke="var(--ink)" fill="none" stroke-width="{line:.3f}">'
        f'<path d="{path(state.blank.outline.loops)}" fill="var(--metal)" fill-rule="evenodd"/>'
        f"{bends}"
        f'<g fill="var(--ink)" stroke="none">{texts}</g></svg></figure>'
    )


def _places(project: Project, name: str) -> str:
    """Return matched parts and air paths of the places that this part goes into."""
    parts = []
    for path in sorted((project.root / "places").glob("*.toml")):
        text = path.read_text(encoding="utf-8", errors="replace")
        if f'"{name}"' not in text:
            continue
        try:
            if "[matched." in text:
                parts += [_pair(path.stem, pair) for pair in matched_pairs(project, path.stem)]
            if "[air." in text:
                parts += [_air(path.stem, result) for result in air_paths(project, path.stem)]
        except BlankwrightError as error:
            parts.append(f"<section><h2>{escape(path.stem)}</h2>{wrong_of(error)}</section>")
    return "".join(parts)


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


def _templates(project: Project) -> str:
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


def _drill(project: Project, name: str, words: dict[str, str]) -> str:
    final, pilot = words.get("final", ""), words.get("pilot", "")
    stack = words.get("stack", "0.040 in")
    told = ""
    if final.strip():
        try:
            from blankwright.holes.ladder import plan_ladder

            ladder = plan_ladder(asked_hole(final, pilot, stack), shop_drills(project))
            told = _ladder(ladder)
        except BlankwrightError as error:
            told = wrong_of(error)
    return (
        f'<section><h2>Drill up one hole</h2><form method="get" action="/holes/{quote(name)}">'
        + field("final", "Final hole", final, about="#11, 3/16 in, 4.8 mm")
        + field("pilot", "Pilot", pilot, about="#40, or nothing")
        + field("stack", "Sheets", stack, about="0.032 in + 0.040 in")
        + f'<button class="strong">Plan the passes</button></form>{told}</section>'
    )
