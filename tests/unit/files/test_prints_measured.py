"""Prints rendered and measured with a rule of our own: 250 mm, at three places, on every paper.

The pages are rendered by a PDF library, and the ink is looked for in small windows of the picture;
nothing of the project's own reading of PDF files is used. A bad printer is played by stretching
what it is sent, about the middle of the sheet.
"""

import numpy as np
import pypdfium2 as pdfium
import pytest

from blankwright.drawing.layers import BLANK_EDGE
from blankwright.drawing.model import Drawing, Stroke
from blankwright.drawing.notes import SheetNotes
from blankwright.drawing.paper import PrinterError, PrintSetup, paper_named
from blankwright.drawing.tiling import tile
from blankwright.files.pdf_out import pages_pdf
from blankwright.geom.edges import Line

POINT = 25.4 / 72
SCALE = 24.0  # pixels a point: 0.0147 mm each
PAPERS = ["A4", "A3", "Letter", "Legal", "Tabloid", "roll 24 in", "roll 610 mm"]
LONG = 250.0
PLACES = (0.0, 47.5, 95.0)


def ladder(upright):
    """Three pairs of ticks 250 mm apart, each tick 6 mm long."""
    lines = []
    for place in PLACES:
        for at in (0.0, LONG):
            a, b = (place - 3.0, at), (place + 3.0, at)
            lines.append(Line(a, b) if upright else Line(a[::-1], b[::-1]))
    strokes = tuple(Stroke(layer=BLANK_EDGE, edge=line) for line in lines)
    return Drawing(title="ladder", items=strokes)


class Ruler:
    """A printed page under a rule."""

    def __init__(self, page, error, paper):
        self.page = page
        self.width, self.height = (side * POINT for side in page.get_size())
        across, along = error.across, error.along
        if abs(self.width - paper.width) > 0.01:  # the sheet is turned
            across, along = along, across
        self.stretch = (across, along)

    def ink(self, sent, along, reach=1.2):
        """Return where the middle of a line is that crosses a place, as printed [mm]."""
        x, y = sent
        wide, high = (reach, 0.4) if along == 0 else (0.4, reach)
        crop = (x - wide, y - high, self.width - x - wide, self.height - y - high)
        bitmap = self.page.render(scale=SCALE, crop=tuple(c / POINT for c in crop), grayscale=True)
        dark = 255.0 - bitmap.to_numpy().astype(float).reshape(bitmap.height, bitmap.width)
        line = dark.mean(axis=0) if along == 0 else dark.mean(axis=1)[::-1]
        assert line.max() > 100, f"no ink at {sent}"
        pixel = 2 * reach / len(line)
        places = (np.arange(len(line)) + 0.5) * pixel - reach
        found = sent[along] + float((line * places).sum() / line.sum())
        middle = (self.width, self.height)[along] / 2
        return middle + (found - middle) * self.stretch[along]


def measured(pages, file, error, upright, paper):
    """Return the three lengths, joined from page to page by the register marks."""
    along = 1 if upright else 0
    lengths = []
    for place in PLACES:
        ends = []
        for at in (0.0, LONG):
            p = (place, at) if upright else (at, place)
            number = next(
                n
                for n, page in enumerate(pages)
                if page.drawing is not None
                and page.window[0] + 1 < page.on_page(p)[0] < page.window[2] - 1
                and page.window[1] + 1 < page.on_page(p)[1] < page.window[3] - 1
            )
            page, ruler = pages[number], Ruler(file[number], error, paper)
            tick = ruler.ink(page.as_sent(page.on_page(p)), along)
            ends.append((number, tick))
        if ends[0][0] == ends[1][0]:
            lengths.append(ends[1][1] - ends[0][1])
            continue
        # Lay the pages mark on mark: the marks' own places are measured too.
        one, two = (pages[number] for number, _ in ends)
        (name, at) = next(
            (m.name, m.at) for m in one.marks if m.name in [o.name for o in two.marks]
        )
        joint = []
        for number, page in ((ends[0][0], one), (ends[1][0], two)):
            x, y = page.as_sent(page.on_page(at))
            off = (0.0, 3.2) if along == 0 else (3.2, 0.0)
            ruler = Ruler(file[number], error, paper)
            joint.append(ruler.ink((x + off[0], y + off[1]), along, 0.8))
        assert name
        lengths.append((ends[1][1] - joint[1]) + (joint[0] - ends[0][1]))
    return lengths


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("upright", [False, True])
@pytest.mark.parametrize(
    "error", [PrinterError(), PrinterError(across=1.008, along=0.991)], ids=["true", "bad"]
)
def test_250_mm_at_three_places(paper, upright, error):
    setup = PrintSetup(paper=paper_named(paper), printer=error)
    pages = tile(ladder(upright), setup, SheetNotes(title="ladder"))
    file = pdfium.PdfDocument(pages_pdf(pages, "ladder"))
    lengths = measured(pages, file, error, upright, setup.paper)
    assert len(lengths) == 3
    for length in lengths:
        assert length == pytest.approx(LONG, abs=0.1)
        assert length == pytest.approx(LONG, abs=0.03)  # what rounding and pixels leave


@pytest.mark.parametrize("upright", [False, True])
def test_the_rule_sees_an_error_that_is_not_taken_out(upright):
    error = PrinterError(across=1.002, along=1.002)
    pages = tile(ladder(upright), PrintSetup(paper=paper_named("A3")), SheetNotes(title="ladder"))
    file = pdfium.PdfDocument(pages_pdf(pages, "ladder"))
    for length in measured(pages, file, error, upright, paper_named("A3")):
        assert length == pytest.approx(LONG + 0.5, abs=0.03)
