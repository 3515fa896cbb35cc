"""The placing card of a template: what to measure from what, and how to check it lies right."""

from __future__ import annotations

from collections.abc import Sequence

from blankwright.base.findings import Finding, Level
from blankwright.base.units import System, fixed, show, show_angle
from blankwright.drawing.cards.sheet import TITLE, CardSheet
from blankwright.drawing.pages import Page
from blankwright.drawing.paper import PrintSetup
from blankwright.drawing.words import length_words
from blankwright.holes.placing import USUAL, Way
from blankwright.holes.template import PlacedTemplate
from blankwright.holes.template_picture import placing_picture
from blankwright.holes.template_sizes import (
    diagonals_of,
    from_point,
    nearest_of_each_kind,
    sizes_from,
)

CAUTIONS = (
    "Eye protection at every hole. Look behind before you drill: wires, lines, cables, a tank.",
    "Clamp or tape the template down so that it can't walk; drill two holes far apart first, put"
    " temporary fasteners in, measure again, then drill the rest.",
    "Chips and burrs between sheets keep them apart: part them, deburr, clean.",
    "The drawing and its designer decide where holes go. This card computes; it does not approve.",
)


def placing_card(
    placed: PlacedTemplate, findings: Sequence[Finding], setup: PrintSetup
) -> tuple[Page, ...]:
    """Lay out the placing card of a template.

    Args:
        placed: the template among its references
        findings: what the checks found
        setup: paper and margins
    """
    template = placed.template
    title = template.plate.title + (", other side" if placed.other_side else "")
    sheet = CardSheet(setup, (f"PLACING CARD  {title}", template.plate.drawing))
    sheet.need(40.0)
    sheet.text(title, TITLE, bold=True)
    sheet.gap()
    x0, y0, x1, y1 = template.box
    rows = [
        ("Template", template.name),
        ("Drawing", template.plate.drawing or "none stated"),
        ("Plate", "none: the print itself, on paper" if template.paper else _plate(placed)),
        ("Size", f"{both(x1 - x0)} × {both(y1 - y0)}"),
        ("Holes", str(len(template.plate.holes))),
        ("Side up", "the printed side" + (", mirrored" if placed.other_side else "")),
    ]
    if template.tape.edges:
        sides = ", ".join(template.word(side) for side in template.tape.edges)
        rows.append(("Tape", f"{sides}, {both(template.tape.width)} wide"))
    sheet.table((), rows, (1.0, 4.0))
    _problems(sheet, findings)
    sheet.heading("Where it goes", room=90.0)
    sheet.place(placing_picture(placed))
    sheet.text(
        "Not to scale. Differences are halved already: measure and set, nothing to work out."
    )
    sheet.gap()
    _sizes(sheet, placed)
    _diagonals(sheet, placed)
    _opening(sheet, placed)
    _measured(sheet, placed)
    if template.notes:
        sheet.heading("Notes")
        for note in template.notes:
            sheet.text(f"– {note}")
    sheet.heading("Cautions")
    for caution in CAUTIONS:
        sheet.text(f"– {caution}")
    sheet.gap(4.0)
    sheet.boxes(("placed", "checked", "drilled", "parted, deburred"))
    return sheet.pages()


def both(length: float) -> str:
    """Return a length [mm] in mm, one decimal, and inch."""
    return show(length, "length", System.BOTH)


def _plate(placed: PlacedTemplate) -> str:
    sheet = placed.template.plate.sheet
    return f"{sheet.alloy}, {length_words(sheet.thickness, System.BOTH, 2)} thick"


def _problems(sheet: CardSheet, findings: Sequence[Finding]) -> None:
    if not findings:
        return
    sheet.heading("Before you drill")
    words = {Level.STOP: "STOP", Level.ASK: "ask", Level.NOTE: "note"}
    rows = [
        (
            f"{words[f.level]} {f.code}",
            f.place,
            f.got + (f"; limit {f.limit}" if f.limit else "") + ".",
            f.fix,
        )
        for f in findings
    ]
    sheet.table(("level, code", "place", "found", "what to do"), rows, (1.9, 1.8, 4.1, 3.3), 2.0)


def _sizes(sheet: CardSheet, placed: PlacedTemplate) -> None:
    sizes = sizes_from(placed)
    if not sizes:
        return
    sheet.heading("Sizes to set")
    template = placed.template
    rows = []
    for size in sizes:
        reference = template.references[size.reference]
        low, high = _end_words(placed, reference.way)
        at = (
            both(abs(size.low))
            if size.same
            else f"{both(abs(size.low))} at the {low} end, {both(abs(size.high))} at the {high} end"
        )
        where = (
            f"{size.reference} ({reference.kind}{', ' + reference.note if reference.note else ''})"
        )
        edge = f"{template.word(size.side)} edge"
        if size.over:
            edge += ", in from it to the line"
        rows.append((where, edge, at))
    sheet.table(("from", "to the template's", "size"), rows, (3.4, 2.4, 4.2))


def _end_words(placed: PlacedTemplate, way: Way) -> tuple[str, str]:
    word = placed.template.word
    return (word("front"), word("back")) if way is Way.UP else (word("left"), word("right"))


def _diagonals(sheet: CardSheet, placed: PlacedTemplate) -> None:
    found = diagonals_of(placed)
    sheet.heading("Diagonals, to check for square")
    rows = [(d.start, d.end, both(d.length)) for d in found]
    sheet.table(("from", "to", "length"), rows, (3.4, 3.4, 3.2))
    lean = placed.network.lean
    if lean is not None:
        sheet.text(
            f"By the measured diagonals the references cross {show_angle(abs(lean))} from square;"
            " sizes and diagonals here take that into account."
        )
    elif len(found) > 2:
        sheet.text(
            "Lengths from crossings of references hold where those cross at right angles. When they"
            " do not come out, turn the template until both are off by the same amount."
        )


def _opening(sheet: CardSheet, placed: PlacedTemplate) -> None:
    opening = placed.template.opening
    if opening is None:
        return
    sheet.heading("Opening to be cut")
    x0, y0, x1, y1 = opening.loop.box
    radii = sorted({round(radius, 6) for _, radius in opening.corners})
    rows = [
        ("size", f"{both(x1 - x0)} × {both(y1 - y0)}"),
        ("corner radius", ", ".join(both(r) for r in radii) or "none: sharp, or round all over"),
        ("witness hole", f"{opening.witness_drill}, drill it first and look from the other side"),
    ]
    rows += [
        (
            f"nearest {kind}",
            f"{name}, {both(gap)} from its edge" if gap > 0 else f"{name}: cut into",
        )
        for kind, name, gap in nearest_of_each_kind(placed)
    ]
    rows += [
        (f"witness hole to {name}", f"{both(gap)}: measure it on the other side too")
        for name, gap in from_point(placed, opening.witness)
    ]
    sheet.table((), rows, (2.4, 5.0))
    sheet.text(
        "Cut only when the witness hole comes out where the card says. Leave the edge 1 mm proud,"
        " file to the line, round and polish every edge. Doubler and edge treatment: by the drawing"
        " or the designer's word, not by this card."
    )


def _measured(sheet: CardSheet, placed: PlacedTemplate) -> None:
    rows = []
    for way in Way:
        for one in placed.template.measured.get(way, ()):
            ends = _end_words(placed, way)
            where = "" if len(one.ends) == 2 else ends[0 if one.ends[0] == "low" else 1]
            residuals = placed.network.adjusted[way].residuals
            off = max(abs(residuals.get((one.name, e), 0.0)) for e in one.ends)
            rows.append(
                (
                    one.name + (f", at the {where} end" if where else ""),
                    f"{one.first} to {one.second}",
                    f"{both(one.distance)} ± {fixed(one.plus_minus, 2)} mm",
                    f"{fixed(off, 2)} mm",
                )
            )
    for diagonal in placed.template.diagonals:
        rows.append(
            (
                f"{diagonal.name}, diagonal",
                f"{' at '.join(diagonal.start)} to {' at '.join(diagonal.end)}",
                f"{both(diagonal.distance)} ± {fixed(diagonal.plus_minus, 2)} mm",
                f"{fixed(abs(placed.network.residuals[diagonal.name]), 2)} mm",
            )
        )
    if not rows:
        return
    sheet.heading("What was measured")
    sheet.table(("name", "from, to", "measured", "moved by"), rows, (2.0, 3.0, 3.4, 1.6))
    sheet.text(
        f"Plus/minus {USUAL:g} mm is taken where none is stated (common practice, no source). Where"
        " more is measured than needed, all are moved as little as may be so that they agree (least"
        " squares, weighed by plus/minus); how far each was moved is in the last column."
    )
