"""Rivet rows, fields and the blank with its holes, as parts of the holes view."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import TYPE_CHECKING, Any

from blankwright.base.errors import BlankwrightError
from blankwright.base.units import show_mm
from blankwright.jobs.holes_drilling import row_ladders, shop_drills
from blankwright.jobs.holes_rows import fields_of_part, hole_findings, rows_of
from blankwright.jobs.part_state import PartState
from blankwright.jobs.project import Project
from blankwright.page.plain import findings_html, table, wrong_of

if TYPE_CHECKING:
    from blankwright.holes.ladder import Ladder


def both(length: float) -> str:
    """Return a length [mm]; the page's switch shows it in inches."""
    return show_mm(length)


def _name(text: str) -> str:
    """Return the name of a tool or of hardware: units in it are part of the name."""
    return f'<span class="bw-typed">{escape(text)}</span>'


def rows_html(project: Project, state: PartState) -> str:
    """Return the rivet rows of a part, with how each is drilled up."""
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
            ladders.append(title + (told if one.ladder is None else ladder_html(one.ladder)))
    except BlankwrightError as error:
        ladders = [wrong_of(error)]
    return f"<section><h2>Rivet rows</h2>{body}{''.join(ladders)}</section>"


def _range(pitches: Sequence[float]) -> str:
    if not pitches:
        return "–"
    low, high = min(pitches), max(pitches)
    return both(low) if high - low < 0.005 else f"{show_mm(low)} to {show_mm(high)}"


def ladder_html(ladder: Ladder) -> str:
    """Return the passes of a ladder."""
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


def fields_html(state: PartState) -> str:
    """Return the fields of holes of a part; empty when it has none."""
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


def found_html(state: PartState) -> str:
    """Return what the checks found about the holes of a part."""
    found = hole_findings(state)
    text = findings_html(found) if found else "<p>Nothing to report about its holes.</p>"
    return f"<section><h2>Findings about holes</h2>{text}</section>"


def picture_html(state: PartState) -> str:
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
