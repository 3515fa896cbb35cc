"""The traveler: the card that goes round the shop with a part."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from blankwright.base.findings import Finding, Level, alike, places_words
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
from blankwright.drawing.words import length_words
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
    sections: Sequence[Callable[[CardSheet], None]] = (),
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
        sections: fill more of the card, after the holes: rivet rows, drilling up and the like
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
    _blank(sheet, blank, title)
    _bends(sheet, blank)
    _holes(sheet, blank)
    for fill in sections:
        fill(sheet)
    _trail(sheet, trail)
    return sheet.pages()


def both(length: float) -> str:
    """Return a length [mm] in mm and inch."""
    return length_words(length, System.BOTH, 2).replace(" ", "\u00a0").replace("\u00a0(", " (")


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
    sheet.table((), rows, (1.0, 4.0))


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
    for f, places in alike(findings):
        text = f.got + (f"; limit {f.limit}" if f.limit else "")
        text += f" ({f.source})." if f.source else "."
        if f.overridden:
            text += f" LET PASS: {f.overridden}."
        where = places_words(places, most=len(places))
        rows.append((f"{words[f.level]} {f.code}", where, text, f.fix))
    sheet.table(("level, code", "place", "found", "what to do"), rows, (1.3, 2.0, 4.4, 3.6), 2.0)


def _blank(sheet: CardSheet, blank: Blank, title: str) -> None:
    tall = sheet.setup.paper.length - 2 * sheet.setup.margin - 40.0
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
    rows: list[tuple[str, ...]] = [
        (
            bend.name,
            f"{bend.parent} to {bend.leg}",
            ("UP" if bend.up else "DOWN") + f" {show_angle(bend.angle)}",
            both(bend.inside_radius),
            both(bend.allowance),
            both(bend.setback) if math.isfinite(bend.setback) else "none at 180°",
            f"{bend.k:.4f}",
        )
        for bend in blank.bends
    ]
    head: tuple[str, ...] = (
        "bend",
        "from, to",
        "direction, angle",
        "inside radius",
        "allowance",
        "setback",
        "k",
    )
    sheet.table(head, rows, (1.6, 2.2, 1.5, 2.0, 2.0, 2.0, 0.9), 2.0)
    sheet.need(32.0)  # the words stay with the head of their table
    sheet.text(
        "Lines of each bend on the blank, measured from the blank's left or bottom edge; the sight"
        " line is the one that goes under the brake's nose with that flat clamped:"
    )
    sheet.gap(1.0)
    square = [bend for bend in blank.bends if _side(bend)]
    head = ("bend", "from", *(name for name, _ in _lines(blank.bends[0])))
    rows = [
        (bend.name, _side(bend), *(_off(blank, line) for _, line in _lines(bend)))
        for bend in square
    ]
    if rows:
        sheet.table(head, rows, (1.5, 1.1, *([1.3] * (len(head) - 2))), 1.8)
    rows = [
        (bend.name, name, _ends(blank, line))
        for bend in blank.bends
        if bend not in square
        for name, line in _lines(bend)
    ]
    if rows:
        sheet.table(("bend", "line", "from, to (right, up)"), rows, (1.6, 2.6, 6.0), 1.8)


def _lines(bend: BlankBend) -> list[tuple[str, Line | None]]:
    mold = math.isfinite(bend.setback)
    return [
        ("mold line, leg", bend.line_at(bend.allowance - bend.setback) if mold else None),
        ("tangent, flat", bend.parent_tangent),
        ("sight, flat clamped", bend.sight_line(bend.parent)),
        ("centre", bend.center_line),
        ("sight, leg clamped", bend.sight_line(bend.leg)),
        ("tangent, leg", bend.leg_tangent),
        ("mold line, flat", bend.line_at(bend.setback) if mold else None),
    ]


def _side(bend: BlankBend) -> str:
    """Say from which edge of the blank a bend's lines are measured; nothing when it is askew."""
    x, y = bend.center_line.direction()
    if abs(x) < 1e-9:
        return "left"
    return "bottom" if abs(y) < 1e-9 else ""


def _off(blank: Blank, line: Line | None) -> str:
    if line is None:
        return "–"
    x0, y0, x1, y1 = blank.outline.box
    (x, y), (_, other) = line.start, line.end
    off, size = (y - y0, y1 - y0) if abs(y - other) < 1e-6 else (x - x0, x1 - x0)
    # The mold line of a bend well over 90° may lie beyond the blank: nothing to mark.
    return both(off) if -1e-6 <= off <= size + 1e-6 else "off the blank"


def _ends(blank: Blank, line: Line | None) -> str:
    if line is None:
        return "–"
    x0, y0, _, _ = blank.outline.box
    words = [f"{both(p[0] - x0)}, {both(p[1] - y0)}" for p in (line.start, line.end)]
    return f"({words[0]}) to ({words[1]})"


def _holes(sheet: CardSheet, blank: Blank) -> None:
    groups = hole_groups(blank, System.BOTH)
    if not groups:
        return
    sheet.heading("Holes", room=36.0)
    sheet.text("Centres, measured from the blank's lower left corner.")
    sheet.gap(1.0)
    x0, y0, _, _ = blank.outline.box
    noted = any(hole.note for group in groups for hole in group.holes)
    rows = [
        (
            group.letter,
            hole.name,
            group.words,
            both(hole.center[0] - x0),
            both(hole.center[1] - y0),
            *((hole.note,) if noted else ()),
        )
        for group in groups
        for hole in group.holes
    ]
    head = ("", "hole", "size", "right", "up", *(("note",) if noted else ()))
    sheet.table(head, rows, (0.5, 1.7, 2.6, 2.5, 2.5, *((2.2,) if noted else ())), 2.0)


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
