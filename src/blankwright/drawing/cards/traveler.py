"""The traveler: the card that goes round the shop with a part."""

from __future__ import annotations

import math
from collections.abc import Sequence

from blankwright.base.findings import Finding, Level
from blankwright.base.trail import TrailStep
from blankwright.base.units import System, show, show_angle
from blankwright.develop.blank import Blank, BlankBend
from blankwright.develop.formed import Formed
from blankwright.develop.mass import mass_of
from blankwright.develop.view import View
from blankwright.drawing.cards.sheet import TITLE, CardSheet
from blankwright.drawing.dimensioned import dimensioned_blank
from blankwright.drawing.hole_table import hole_groups
from blankwright.drawing.pages import Page
from blankwright.drawing.paper import PrintSetup
from blankwright.drawing.view_drawing import view_drawing
from blankwright.geom.edges import Line
from blankwright.handbook.materials import density
from blankwright.part.model import Part

CAUTIONS = (
    "Sheared and filed edges cut: deburr first, wear gloves to carry sheet, never near a running"
    " drill.",
    "Eye protection at every cut, drill and rivet; ear protection at router, shear and rivet gun.",
    "Clamp the work. A sheet that catches on a drill spins.",
    "Dust and chips of metal and primer: mask and vacuum. Solvents and conversion coatings: gloves,"
    " fresh air, and the maker's data sheet.",
    "The drawing, the designer and the local airworthiness authority decide. Primary structure"
    " and any deviation from the drawing need the designer's or an inspector's word. This card"
    " computes; it does not approve.",
)

_STAGES = ("cut", "holes", "deburred", "bent", "trial fit", "treated", "installed", "inspected")


def traveler(
    part: Part,
    blank: Blank,
    formed: Formed,
    findings: Sequence[Finding],
    trail: Sequence[TrailStep],
    views: Sequence[View],
    setup: PrintSetup,
) -> tuple[Page, ...]:
    """Lay out the traveler of a part.

    Args:
        part: as stated
        blank: its blank
        formed: finished
        findings: what the checks found, the worst first
        trail: where every number comes from
        views: of the formed part; the last one the oblique
        setup: paper and margins
    """
    title = part.title or part.name
    sheet = CardSheet(setup, (f"TRAVELER  {title}", part.drawing))
    _head(sheet, part, blank, formed)
    _formed(sheet, views)
    sheet.boxes(_STAGES[:4])
    sheet.boxes(_STAGES[4:])
    _findings(sheet, findings)
    sheet.heading("Cautions")
    for caution in CAUTIONS:
        sheet.text(f"– {caution}")
    _blank(sheet, blank, title, setup)
    _bends(sheet, blank)
    _holes(sheet, blank)
    _trail(sheet, trail)
    return sheet.pages()


def both(length: float) -> str:
    """Return a length [mm] in mm and inch."""
    return show(length, "length", System.BOTH)


def _head(sheet: CardSheet, part: Part, blank: Blank, formed: Formed) -> None:
    sheet.need(40.0)
    sheet.text(part.title or part.name, TITLE, bold=True)
    sheet.gap()
    known = density(part.sheet.alloy)
    mass = mass_of(formed, known.value if known else 0.0)
    least, most = formed.box
    width, depth = blank.size
    rows = [
        ("Part", part.name + (f", {part.hand} hand" if part.hand else "")),
        ("Drawing", part.drawing or "none stated"),
        ("Goes into", part.place or "not stated"),
        ("Sheet", f"{part.sheet.alloy}, {both(part.sheet.thickness)} thick"),
        ("Blank", f"{both(width)} × {both(depth)}"),
        ("Formed", " × ".join(both(high - low) for low, high in zip(least, most, strict=True))),
        ("Mass", "density not known" if known is None else show(mass.mass, "mass", System.BOTH)),
        (
            "Centre of gravity",
            ", ".join(f"{axis} {both(x)}" for axis, x in zip("xyz", mass.center, strict=True)),
        ),
        ("Bends, holes", f"{len(blank.bends)} bends, {len(blank.holes)} holes and reliefs"),
        ("Allowance by", part.allowance.value),
    ]
    sheet.table(("", ""), rows, (1.0, 4.0))


def _formed(sheet: CardSheet, views: Sequence[View]) -> None:
    sheet.heading("Formed part", room=60.0)
    flat = [(view_drawing(view), view.name) for view in views[:-1]]
    oblique = [(view_drawing(view, hidden=False), view.name) for view in views[-1:]]
    sheet.pictures([*flat, *oblique], 48.0, 2)


def _findings(sheet: CardSheet, findings: Sequence[Finding]) -> None:
    sheet.heading("Findings")
    if not findings:
        sheet.text("The checks found nothing to report.")
        return
    words = {Level.STOP: "STOP", Level.ASK: "ask", Level.NOTE: "note"}
    rows = []
    for (code, level, got, limit, fix, overridden), places in _grouped(findings).items():
        text = got + (f"; limit {limit}" if limit else "") + "."
        if overridden:
            text += f" LET PASS: {overridden}."
        rows.append((f"{words[level]} {code}", ", ".join(places), text, fix))
    sheet.table(("level, code", "place", "found", "what to do"), rows, (1.3, 2.0, 4.4, 3.6), 2.0)


def _grouped(
    findings: Sequence[Finding],
) -> dict[tuple[str, Level, str, str, str, str], list[str]]:
    """Findings that say the same of several places, under one another."""
    groups: dict[tuple[str, Level, str, str, str, str], list[str]] = {}
    for f in findings:
        limit = f.limit + (f" ({f.source})" if f.source else "")
        key = (f.code, f.level, f.got, limit, f.fix, f.overridden)
        groups.setdefault(key, []).append(f.place)
    return groups


def _blank(sheet: CardSheet, blank: Blank, title: str, setup: PrintSetup) -> None:
    tall = setup.paper.length - 2 * setup.margin - 40.0
    view = dimensioned_blank(blank, title, (sheet.width, min(tall, 1.2 * sheet.width)))
    _, y0, _, y1 = view.drawing.box
    sheet.heading("Blank, seen from the face side", room=y1 - y0 + 10.0)
    sheet.place(view.drawing)
    broken = " The middle is left out." if view.broken else ""
    sheet.text(
        f"Scale {view.scale_words}, mm.{broken} Not for measuring: the full-size print is in a"
        " file of its own."
    )


def _bends(sheet: CardSheet, blank: Blank) -> None:
    if not blank.bends:
        return
    sheet.heading("Bends")
    rows = []
    for bend in blank.bends:
        rows.append(
            (
                bend.name,
                f"{bend.parent} to {bend.leg}",
                ("UP" if bend.up else "DOWN") + f" {show_angle(bend.angle)}",
                both(bend.inside_radius),
                both(bend.allowance),
                both(bend.setback) if math.isfinite(bend.setback) else "none at 180°",
                f"{bend.k:.4f}",
            )
        )
    head = ("bend", "from, to", "direction, angle", "inside radius", "allowance", "setback", "k")
    sheet.table(head, rows, (1.6, 2.2, 1.5, 1.8, 1.8, 1.8, 0.9), 2.0)
    sheet.text("Lines of each bend on the blank, measured from the blank's lower left corner:")
    sheet.gap(1.0)
    places = [
        (bend.name, name, _place(blank, line)) for bend in blank.bends for name, line in _lines(bend)
    ]
    sheet.table(("bend", "line", "where"), places, (1.6, 3.4, 6.0), 2.0)


def _lines(bend: BlankBend) -> list[tuple[str, Line]]:
    lines = [
        (f"bend tangent line at {bend.parent}", bend.parent_tangent),
        ("centre line", bend.center_line),
        (f"bend tangent line at {bend.leg}", bend.leg_tangent),
        (f"sight line, {bend.parent} clamped", bend.sight_line(bend.parent)),
        (f"sight line, {bend.leg} clamped", bend.sight_line(bend.leg)),
    ]
    if math.isfinite(bend.setback):
        lines.append((f"mold line of {bend.parent}", bend.line_at(bend.setback)))
        lines.append((f"mold line of {bend.leg}", bend.line_at(bend.allowance - bend.setback)))
    return lines


def _place(blank: Blank, line: Line) -> str:
    """Say where a line is: one distance when it lies square, else its two ends."""
    x0, y0, _, _ = blank.outline.box
    (ax, ay), (bx, by) = line.start, line.end
    if abs(ax - bx) < 1e-6:
        return f"{both(ax - x0)} from the left"
    if abs(ay - by) < 1e-6:
        return f"{both(ay - y0)} from the bottom"
    return (
        f"from ({both(ax - x0)} right, {both(ay - y0)} up)"
        f" to ({both(bx - x0)} right, {both(by - y0)} up)"
    )


def _holes(sheet: CardSheet, blank: Blank) -> None:
    groups = hole_groups(blank, System.BOTH)
    if not groups:
        return
    sheet.heading("Holes")
    sheet.text("Centres, measured from the blank's lower left corner.")
    sheet.gap(1.0)
    x0, y0, _, _ = blank.outline.box
    rows = []
    for group in groups:
        for hole in group.holes:
            rows.append(
                (
                    group.letter,
                    hole.name,
                    group.words,
                    both(hole.center[0] - x0),
                    both(hole.center[1] - y0),
                    hole.note,
                )
            )
    head = ("", "hole", "size", "right", "up", "note")
    sheet.table(head, rows, (0.6, 2.0, 3.0, 2.0, 2.0, 2.4), 2.0)


def _trail(sheet: CardSheet, trail: Sequence[TrailStep]) -> None:
    sheet.heading("Where the numbers come from")
    rows = []
    for step in trail:
        inputs = ", ".join(
            f"{name} = {show(value, kind, System.MM)}" for name, value, kind in step.inputs
        )
        formula = step.formula + (f"; {inputs}" if inputs else "")
        rows.append((step.name, show(step.value, step.kind, System.BOTH), formula, step.source))
    head = ("number", "value", "formula and inputs", "source")
    sheet.table(head, rows, (2.6, 2.2, 3.4, 3.2), 1.8)
