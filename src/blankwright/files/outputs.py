"""The outputs of a blank, each proved before it is handed out.

Nothing here writes to disk: the caller does, by `whole.write_whole`, once all proofs are passed.
"""

from __future__ import annotations

from dataclasses import replace

from blankwright.develop.blank import Blank
from blankwright.drawing.blank_drawing import (
    FULL_LOOK,
    BlankLook,
    Marking,
    blank_drawing,
)
from blankwright.drawing.check_sheet import check_sheet
from blankwright.drawing.hole_table import hole_groups
from blankwright.drawing.layers import (
    BEND_TANGENT,
    BLANK_EDGE,
    CENTER_MARKS,
    CENTER_PUNCH,
    FOLD_DOWN,
    FOLD_UP,
    GAUGE,
    HOLES,
    NOTES,
    PAPER_EDGE,
    PAPER_HOLES,
    SIGHT_LINE,
)
from blankwright.drawing.model import Drawing, Text
from blankwright.drawing.notes import SheetNotes
from blankwright.drawing.paper import PrintSetup
from blankwright.drawing.paper_drawing import paper_pages
from blankwright.drawing.paper_model import paper_model
from blankwright.drawing.paper_proof import prove_paper_model
from blankwright.drawing.tiling import tile
from blankwright.drawing.words import bend_words, length_words
from blankwright.files.dxf_out import drawing_dxf
from blankwright.files.dxf_proof import prove_dxf
from blankwright.files.pdf_out import pages_pdf
from blankwright.files.pdf_proof import prove_pages
from blankwright.files.svg_out import drawing_svg
from blankwright.files.svg_proof import prove_svg
from blankwright.part.model import Part

PRINT_LOOK = BlankLook(center_lines=False)
"""Prints leave a centre line out where it would run into the sight line."""

_BLANK_LINES = (BLANK_EDGE, HOLES, CENTER_MARKS, BEND_TANGENT, SIGHT_LINE, CENTER_PUNCH)
_PAPER_LINES = (PAPER_EDGE, PAPER_HOLES, FOLD_UP, FOLD_DOWN, GAUGE)


def blank_dxf(blank: Blank, title: str, look: BlankLook = FULL_LOOK) -> bytes:
    """Return a blank as a DXF file in mm, proved to 0.01 mm.

    Args:
        blank: the blank
        title: what it is called
        look: which lines and notes; the marking is always FULL

    Raises:
        OurBug: when the file fails its proof: nothing must be written then
    """
    look = replace(look, marking=Marking.FULL)
    data = drawing_dxf(noted_blank(blank, title, look))
    prove_dxf(data, blank, look)
    return data


def blank_svg(blank: Blank, title: str, look: BlankLook = FULL_LOOK) -> bytes:
    """Return a blank as an SVG file at full size, proved to 0.01 mm.

    Args:
        blank: the blank
        title: what it is called
        look: which lines and notes; the marking is always FULL

    Raises:
        OurBug: when the file fails its proof: nothing must be written then
    """
    look = replace(look, marking=Marking.FULL)
    data = drawing_svg(noted_blank(blank, title, look))
    prove_svg(data, blank, look)
    return data


def blank_pdf(
    blank: Blank,
    title: str,
    setup: PrintSetup,
    look: BlankLook = PRINT_LOOK,
    lines: tuple[str, ...] = (),
) -> bytes:
    """Return a blank as a print at full size, tiled over pages, proved to 0.1 mm.

    Args:
        blank: the blank
        title: what it is called
        setup: paper, margins, overlap, the printer's own error
        look: which lines and notes
        lines: more lines under the title, such as the drawing number

    Raises:
        NotPossible: when it would take more than 400 pages (PRINT-004)
        OurBug: when the print fails its proof: nothing must be written then
    """
    drawing = blank_drawing(blank, title, look)
    pages = tile(drawing, setup, blank_notes(blank, title, look, lines))
    data = pages_pdf(pages, title)
    prove_pages(data, pages, _BLANK_LINES)
    return data


def paper_model_pdf(part: Part, blank: Blank, setup: PrintSetup) -> bytes:
    """Return the paper model of a part as a print at full size.

    It is proved twice: folded up it must have the formed part's outside, and the print must
    measure 0.1 mm.

    Args:
        part: the part, for its title and drawing number
        blank: its blank
        setup: paper, margins, overlap, the printer's own error

    Raises:
        NotPossible: when it would take more than 400 pages (PRINT-004)
        OurBug: when a proof fails: nothing must be written then
    """
    model = paper_model(blank)
    prove_paper_model(model, blank)
    title = f"Paper model: {part.title or part.name}"
    notes = SheetNotes(title=title, lines=(part.drawing,) if part.drawing else ())
    pages = paper_pages(model, blank, setup, notes)
    data = pages_pdf(pages, title)
    prove_pages(data, pages, _PAPER_LINES)
    return data


def check_sheet_pdf(setup: PrintSetup) -> bytes:
    """Return a sheet with two long lines to measure, from which the printer's error is learned.

    Args:
        setup: paper and margins; the printer's error is left in, unless it is stated, and then
            the sheet shows whether it was taken out well

    Raises:
        OurBug: when the print fails its proof
    """
    pages = check_sheet(setup)
    data = pages_pdf(pages, "Printer check sheet")
    prove_pages(data, pages, ())
    return data


def noted_blank(blank: Blank, title: str, look: BlankLook) -> Drawing:
    """Return the drawing of a blank with title, material, bends and holes written below it."""
    drawing = blank_drawing(blank, title, look)
    notes = blank_notes(blank, title, look)
    lines = [notes.title, *notes.lines]
    for heading, rows in notes.tables:
        lines.extend((f"{heading}:", *rows))
    left, bottom = drawing.box[:2]
    step = 1.8 * look.text
    return drawing.plus(
        Text(layer=NOTES, text=line, at=(left, bottom - 8.0 - i * step), height=look.text)
        for i, line in enumerate(lines)
    )


def blank_notes(
    blank: Blank, title: str, look: BlankLook, lines: tuple[str, ...] = ()
) -> SheetNotes:
    """Return what a print of a blank says beside it."""
    width, height = blank.size
    system = look.system
    size = f"{length_words(width, system, 2)} × {length_words(height, system, 2)}"
    bends = tuple(bend_words(bend, system) for bend in blank.bends)
    holes = tuple(f"{g.letter}: {len(g.holes)} × {g.words}" for g in hole_groups(blank, system))
    words = {
        Marking.FULL: (),
        Marking.OUTLINE: ("Thin outline, to glue on metal and cut to the middle of the line.",),
        Marking.PUNCH: (
            "Crosses only, to tape on metal and centre-punch through: hole centres, ends of bend"
            " tangent lines, corners of the outline.",
        ),
    }[look.marking]
    return SheetNotes(
        title=title,
        lines=(
            *lines,
            f"{blank.alloy}, {length_words(blank.thickness, system)} thick",
            f"Blank {size}, seen from its face side: UP bends come towards you",
        ),
        tables=tuple(
            (heading, rows)
            for heading, rows in (("Bends", bends), ("Holes", holes))
            if rows and look.marking is Marking.FULL
        ),
        notes=words,
    )
