"""The files of a template: print at full size, DXF and placing card, each proved."""

from __future__ import annotations

from collections.abc import Sequence

from blankwright.base.errors import OurBug
from blankwright.base.findings import Finding
from blankwright.base.units import System
from blankwright.develop.blank import Blank
from blankwright.drawing.hole_table import hole_groups
from blankwright.drawing.layers import BLANK_EDGE, HOLES, LINE_UP, OPENING_EDGE
from blankwright.drawing.notes import SheetNotes
from blankwright.drawing.paper import PrintSetup
from blankwright.drawing.tiling import tile
from blankwright.drawing.words import length_words
from blankwright.files.dxf_out import drawing_dxf
from blankwright.files.dxf_proof import prove_dxf
from blankwright.files.dxf_read import read_dxf
from blankwright.files.edge_proof import edge_problems
from blankwright.files.pdf_out import pages_pdf
from blankwright.files.pdf_proof import prove_pages
from blankwright.files.traveler import prove_card
from blankwright.holes.template import PlacedTemplate
from blankwright.holes.template_card import placing_card
from blankwright.holes.template_drawing import TEMPLATE_LOOK, template_drawing

_LINES = (BLANK_EDGE, HOLES, LINE_UP, OPENING_EDGE)


def template_pdf(placed: PlacedTemplate, blank: Blank, title: str, setup: PrintSetup) -> bytes:
    """Return a template as a print at full size, proved to 0.1 mm.

    Raises:
        NotPossible: when it would take more than 400 pages (PRINT-004)
        OurBug: when the print fails its proof
    """
    drawing = template_drawing(placed, blank, title)
    pages = tile(drawing, setup, _notes(placed, blank, title))
    data = pages_pdf(pages, title)
    prove_pages(data, pages, _LINES)
    return data


def _notes(placed: PlacedTemplate, blank: Blank, title: str) -> SheetNotes:
    """Return what the print of a template says beside it."""
    template = placed.template
    plate = template.plate
    width, height = blank.size
    size = f"{length_words(width, System.BOTH, 2)} × {length_words(height, System.BOTH, 2)}"
    made = (
        "on paper: this print is the template"
        if template.paper
        else (f"{plate.sheet.alloy}, {length_words(plate.sheet.thickness, System.BOTH)} thick")
    )
    lines = (*((plate.drawing,) if plate.drawing else ()), made, f"{size}; this side lies up")
    holes = tuple(
        f"{group.letter}: {len(group.holes)} × {group.words}"
        for group in hole_groups(blank, System.BOTH)
    )
    return SheetNotes(
        title=title,
        lines=lines,
        tables=(("Holes", holes),) if holes else (),
        notes=("Place it by its placing card.",),
    )


def template_dxf(placed: PlacedTemplate, blank: Blank, title: str) -> bytes:
    """Return a template as a DXF file in mm, its plate and its marks proved to 0.01 mm.

    Raises:
        OurBug: when the file fails its proof
    """
    drawing = template_drawing(placed, blank, title)
    data = drawing_dxf(drawing)
    prove_dxf(data, blank, TEMPLATE_LOOK)
    file = read_dxf(data)
    problems = [
        problem
        for layer in (LINE_UP, OPENING_EDGE)
        for problem in edge_problems(
            "DXF-003",
            f"DXF file, layer {layer.name}",
            file.all_edges(layer.name),
            drawing.edges(layer),
        )
    ]
    if problems:
        raise OurBug(*problems)
    return data


def placing_card_pdf(
    placed: PlacedTemplate, findings: Sequence[Finding], setup: PrintSetup
) -> bytes:
    """Return the placing card as a PDF file, read back before it is handed out.

    Raises:
        OurBug: when the file, read back, lacks any of its words or runs off the paper
    """
    pages = placing_card(placed, findings, setup)
    data = pages_pdf(pages, f"Placing card {placed.template.plate.title}")
    prove_card(data, pages, f"placing card of {placed.template.name}")
    return data
