"""The placing card of a template: what to measure from what, and how to check it lies right."""

from __future__ import annotations

from collections.abc import Sequence

from blankwright.base.findings import Finding, Level
from blankwright.base.units import System, fixed, show, show_angle
from blankwright.drawing.cards.sheet import TITLE, CardSheet
from blankwright.drawing.dimensions import linear
from blankwright.drawing.layers import BLANK_EDGE, HOLES, LINE_UP, NAMES, OPENING_EDGE
from blankwright.drawing.model import Anchor, Drawing, Item, Ring, Stroke, Text, scaled_edge
from blankwright.drawing.pages import Page
from blankwright.drawing.paper import PrintSetup
from blankwright.drawing.words import length_words
from blankwright.geom.edges import Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.holes.placing import USUAL, Way
from blankwright.holes.template import PlacedTemplate
from blankwright.holes.template_sizes import (
    SizeFrom,
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

_WIDE, _TALL = 110.0, 62.0
"""Room for the picture's template on paper [mm]."""

_PAPER, _NAME, _LEAST = 180.0, 6.0, 30.0
"""Width of the paper, of a name beside a line, and of the smallest template drawn [mm]."""

_BESIDE = 16.0
"""How far a reference is drawn beside the template on paper [mm]; the picture is not to scale."""


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
    sheet.place(_picture(placed))
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


def _picture(placed: PlacedTemplate) -> Drawing:
    """Draw the template with its references beside it and the sizes between, not to scale."""
    template = placed.template
    x0, y0, x1, y1 = template.box
    sizes = sizes_from(placed)
    beside = [size.side for size in sizes if not size.over]
    left, right = beside.count("left"), beside.count("right")
    # As wide as the references beside it leave room for, the one with more of them counting twice.
    room = min(_WIDE, _PAPER - 2 * _BESIDE * max(left, right) - 2 * _NAME)
    scale = min(max(room, _LEAST) / (x1 - x0), _TALL / (y1 - y0))
    shift = Move.shift(-x0 * scale, -y0 * scale)

    def loop(one: Loop) -> Loop:
        return Loop(tuple(scaled_edge(e, scale) for e in one.edges)).moved(shift)

    wide, tall = (x1 - x0) * scale, (y1 - y0) * scale
    items: list[Item] = [Ring(layer=BLANK_EDGE, loop=loop(template.plate.root.outline))]
    items += [Ring(layer=HOLES, loop=loop(hole.loop)) for hole in template.plate.holes]
    if template.opening is not None and not template.paper:
        items.append(Ring(layer=OPENING_EDGE, loop=loop(template.opening.loop)))
    counts = dict.fromkeys(("front", "right", "back", "left"), 0)
    told: set[str] = set()
    # The nearest reference is drawn nearest.
    for size in sorted(sizes, key=lambda one: one.low + one.high):
        reference = template.references[size.reference]
        if size.over:
            if size.reference not in told:
                told.add(size.reference)
                items += _over(size, len(told) - 1, reference.way, scale, wide, tall)
            continue
        k = counts[size.side]
        counts[size.side] += 1
        items += _beside(size, k, wide, tall)
    word = template.word
    for text, at, angle in (
        (word("front"), (wide / 2, 1.2), 0.0),
        (word("back"), (wide / 2, tall - 3.6), 0.0),
        (word("left"), (3.6, tall / 2), 1.5707963267948966),
        (word("right"), (wide - 1.2, tall / 2), 1.5707963267948966),
    ):
        items.append(
            Text(layer=NAMES, text=text, at=at, height=2.2, angle=angle, anchor=Anchor.CENTER)
        )
    return Drawing(title="placing", items=tuple(items))


def _beside(size: SizeFrom, k: int, wide: float, tall: float) -> list[Item]:
    """Draw a reference beside a side, with the size at both its ends."""
    out = _BESIDE * (k + 1)
    items: list[Item] = []
    upright = size.side in ("left", "right")
    at = {"left": -out, "right": wide + out, "front": -out, "back": tall + out}[size.side]
    edge = {"left": 0.0, "right": wide, "front": 0.0, "back": tall}[size.side]
    length = tall if upright else wide
    line = Line((at, -4.0), (at, length + 4.0)) if upright else Line((-4.0, at), (length + 4.0, at))
    items.append(Stroke(layer=LINE_UP, edge=line))
    ends = ((0.12, size.low),) if size.same else ((0.12, size.low), (0.88, size.high))
    for share, value in ends:
        # Each farther reference has its figure farther along, so that none lies on another.
        p = share * length + (4.5 * k if share < 0.5 else -4.5 * k)
        a, b = ((edge, p), (at, p)) if upright else ((p, edge), (p, at))
        items += linear(a, b, 0.0, fixed(value, 1), along=(1.0, 0.0) if upright else (0.0, 1.0))
    name_at = (at + 3.4, length * 0.45) if upright else (length * 0.45, at + 1.0)
    items.append(
        Text(
            layer=LINE_UP,
            text=size.reference,
            at=name_at,
            height=2.2,
            angle=1.5707963267948966 if upright else 0.0,
            anchor=Anchor.CENTER,
        )
    )
    return items


def _over(size: SizeFrom, k: int, way: Way, scale: float, wide: float, tall: float) -> list[Item]:
    """Draw a reference that runs across the template, the k-th that does."""
    low, high = -size.low * scale, -size.high * scale
    if size.side in ("right", "back"):  # told from the far side
        far = wide if way is Way.UP else tall
        low, high = far - low, far - high
    if way is Way.UP:
        a, b = (low, -4.0), (high, tall + 4.0 + 2.8 * k)
        at = (high + 1.0, tall + 2.8 * k + 1.6)
    else:
        a, b = (-4.0, low), (wide + 4.0, high)
        at = (wide + 5.0, high - 1.0)
    return [
        Stroke(layer=LINE_UP, edge=Line(a, b)),
        Text(layer=LINE_UP, text=size.reference, at=at, height=2.2),
    ]
