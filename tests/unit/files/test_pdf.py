"""Prints are rendered and measured; prints spoiled on purpose are caught."""

import math
from dataclasses import replace

import pytest

import sample_blanks
import samples
from blankwright.base.errors import OurBug
from blankwright.develop.develop import develop_blank
from blankwright.drawing.blank_drawing import BlankLook, Marking, blank_drawing
from blankwright.drawing.layers import BEND_TANGENT, BLANK_EDGE, FOLD_UP, HOLES, NOTES
from blankwright.drawing.model import Drawing, Ring, Stroke, Text
from blankwright.drawing.notes import SheetNotes
from blankwright.drawing.paper import PAPERS, PrinterError, PrintSetup, paper_named
from blankwright.drawing.tiling import tile
from blankwright.files.outputs import blank_pdf, check_sheet_pdf, paper_model_pdf
from blankwright.files.pdf_out import pages_pdf
from blankwright.files.pdf_proof import bar_error, prove_pages
from blankwright.files.pdf_read import PdfPages
from blankwright.geom.edges import Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move

LINES = (BLANK_EDGE, HOLES, BEND_TANGENT)
A4 = PrintSetup(paper=paper_named("A4"))


def pages_of(blank, setup=A4):
    drawing = blank_drawing(blank, "part", BlankLook(center_lines=False))
    return tile(drawing, setup, SheetNotes(title="part"))


@pytest.fixture(scope="module")
def angle():
    pages = pages_of(sample_blanks.angle())
    return pages, pages_pdf(pages, "angle")


@pytest.fixture(scope="module")
def tray():
    pages = pages_of(sample_blanks.tray())
    return pages, pages_pdf(pages, "tray")


def caught(pages, sent, match):
    """Prove a print of `sent` against `pages`."""
    with pytest.raises(OurBug, match=match):
        prove_pages(pages_pdf(sent, "spoiled"), pages, LINES)


def with_page(pages, i, **change):
    return (*pages[:i], replace(pages[i], **change), *pages[i + 1 :])


def test_a_good_print_is_measured_at_many_places(tray):
    pages, data = tray
    report = prove_pages(data, pages, LINES)
    assert report.pages == 3
    assert report.places > 300
    assert report.joints > 10
    assert report.worst < 0.03
    assert report.worst_bar < 0.01
    assert report.worst_joint < 0.03


@pytest.mark.parametrize("paper", ["A4", "Letter", "Legal", "A3", "Tabloid", "roll 24 in"])
def test_blank_on_every_paper(paper):
    data = blank_pdf(sample_blanks.channel(), "channel", PrintSetup(paper=paper_named(paper)))
    assert data.startswith(b"%PDF")


@pytest.mark.parametrize("marking", Marking)
def test_every_marking(marking):
    look = BlankLook(marking=marking, center_lines=False)
    blank_pdf(sample_blanks.tray(), "tray", A4, look)


def test_the_same_print_gives_the_same_bytes():
    one = blank_pdf(sample_blanks.clip(), "clip", A4)
    assert one == blank_pdf(sample_blanks.clip(), "clip", A4)


@pytest.mark.slow
def test_a_blank_of_more_than_two_metres_on_a4():
    pages = pages_of(sample_blanks.long_zed())
    report = prove_pages(pages_pdf(pages, "zed"), pages, LINES)
    assert report.pages == 11
    assert report.joints > 100
    assert report.worst < 0.03


def test_paper_models():
    part = samples.tray()
    paper_model_pdf(part, develop_blank(part), A4)
    for name in ("hem", "clip", "tab", "plain"):
        paper_model_pdf(part, sample_blanks.ALL[name](), A4)


def test_long_lines_at_three_places_over_250_mm():
    # 250 mm level and upright, measured on the ink at three places each, A3 and A4.
    lines = [Line((0.0, y), (250.0, y)) for y in (0.0, 70.0, 140.0)]
    ends = [Line((x, -3.0), (x, 143.0)) for x in (0.0, 125.0, 250.0)]
    drawing = Drawing(
        title="bars", items=tuple(Stroke(layer=BLANK_EDGE, edge=e) for e in (*lines, *ends))
    )
    for paper in ("A4", "A3"):
        pages = tile(drawing, PrintSetup(paper=paper_named(paper)), SheetNotes(title="bars"))
        page = next(p for p in pages if p.drawing)
        with PdfPages(pages_pdf(pages, "bars")) as file:
            ink = file.page(pages.index(page))
            for y in (20.0, 60.0, 120.0):
                offs = [
                    ink.line_offset(page.on_page((x, y)), (0.0, 1.0), 0.8, 0.6)
                    for x in (0.0, 250.0)
                ]
                assert abs(offs[1] - offs[0]) < 0.02
            for x in (20.0, 100.0, 240.0):
                offs = [
                    ink.line_offset(page.on_page((x, y)), (1.0, 0.0), 0.8, 0.6)
                    for y in (0.0, 140.0)
                ]
                assert abs(offs[1] - offs[0]) < 0.02


def test_what_a_bad_printer_prints_of_a_compensated_print_is_right():
    error = PrinterError(across=1.006, along=0.993)
    pages = pages_of(sample_blanks.angle(), PrintSetup(paper=paper_named("A4"), printer=error))
    data = pages_pdf(pages, "angle")
    prove_pages(data, pages, LINES)
    (page,) = pages
    with PdfPages(data) as file:
        ink = file.page(0)
        for bar in page.bars:
            along = (0.0, 1.0) if bar.upright else (1.0, 0.0)
            side = (-along[1], along[0])
            asked = bar.length / (error.along if bar.upright else error.across)
            middle = (page.width / 2, page.height / 2)
            ends = []
            for at in (0.0, bar.length):
                p = [bar.start[i] + along[i] * at + side[i] * 3.6 for i in (0, 1)]
                factor = (1 / error.across, 1 / error.along)
                sent = tuple(middle[i] + (p[i] - middle[i]) * factor[i] for i in (0, 1))
                off = ink.line_offset(sent, (-side[0], -side[1]), 0.8, 0.6)
                ends.append(sent[1 if bar.upright else 0] + off)
            # The file holds the bar shorter or longer; the printer's error makes it right.
            assert ends[1] - ends[0] == pytest.approx(asked, abs=0.02)
            printed = (ends[1] - ends[0]) * (error.along if bar.upright else error.across)
            assert printed == pytest.approx(bar.length, abs=0.02)


@pytest.mark.parametrize("stretch", [(1.001, 1.0), (1.0, 1.001), (0.999, 0.999)])
def test_scaled_by_a_thousandth(angle, stretch):
    pages, _ = angle
    caught(pages, with_page(pages, 0, stretch=stretch), r"PDF-003 .*off by -?0\.[12]")


def test_drawing_off_by_two_tenths(angle):
    pages, _ = angle
    x, y = pages[0].shift
    caught(pages, with_page(pages, 0, shift=(x + 0.2, y)), r"PDF-005 .* off by 0\.[12]")
    caught(pages, with_page(pages, 0, shift=(x, y - 0.2)), r"PDF-005 .* off by 0\.[12]")


def test_one_tile_off_by_two_tenths(tray):
    pages, _ = tray
    x, y = pages[2].shift
    caught(pages, with_page(pages, 2, shift=(x + 0.2, y)), r"PDF-004 .* register mark")
    caught(pages, with_page(pages, 2, shift=(x + 0.2, y)), r"PDF-008 .* steps by 0\.1")


def without(page, gone):
    return replace(page.drawing, items=tuple(i for i in page.drawing.items if not gone(i)))


def test_a_missing_hole(angle):
    pages, _ = angle
    hole = next(i for i in pages[0].drawing.items if i.layer is HOLES)
    less = without(pages[0], lambda item: item is hole)
    caught(pages, with_page(pages, 0, drawing=less), "PDF-006 .*no ink on HOLES")


def test_a_missing_bend_line(angle):
    pages, _ = angle
    less = without(pages[0], lambda item: item.layer is BEND_TANGENT)
    caught(pages, with_page(pages, 0, drawing=less), "PDF-006 .*no ink on BEND-TANGENT")


def test_one_hole_moved_by_three_tenths(angle):
    pages, _ = angle
    hole = next(i for i in pages[0].drawing.items if i.layer is HOLES)
    items = tuple(i.moved(Move.shift(0.3, 0.0)) if i is hole else i for i in pages[0].drawing.items)
    moved = replace(pages[0].drawing, items=items)
    caught(pages, with_page(pages, 0, drawing=moved), r"PDF-00[56] ")


def test_a_line_that_does_not_belong(angle):
    pages, _ = angle
    stray = Stroke(layer=HOLES, edge=Line((10.0, 20.0), (30.0, 47.0)))
    more = pages[0].drawing.plus((stray,))
    caught(pages, with_page(pages, 0, drawing=more), "PDF-007 .*ink where none belongs")


def test_a_hole_that_does_not_belong(angle):
    pages, _ = angle
    stray = Ring(layer=HOLES, loop=Loop.circle((27.5, 40.0), 1.6))
    more = pages[0].drawing.plus((stray,))
    caught(pages, with_page(pages, 0, drawing=more), "PDF-007")


def test_a_missing_page_and_a_page_of_another_size(tray):
    pages, _ = tray
    caught(pages, pages[:2], "PDF-002 .*2 pages. Allowed: 3")
    letter = with_page(pages, 1, width=215.9, height=279.4)
    caught(pages, letter, r"PDF-002 .*215\.900 × 279\.400")


def test_a_missing_scale_bar(angle):
    pages, _ = angle
    kept = tuple(i for i in pages[0].furniture if i.layer is NOTES)
    caught(pages, with_page(pages, 0, furniture=kept), "PDF-003 .*not found")


def test_no_pdf_at_all(angle):
    with pytest.raises(OurBug, match="PDF-001"):
        prove_pages(b"%PDF-1.4 nothing", angle[0], LINES)


def test_signs_print_and_are_read_back():
    words = "#30 Ø 3.26 mm (1/8 in) ± 0.1 × 4 at 22.5° – ½ ¼ ¾"
    text = Text(layer=NOTES, text=words, at=(0.0, 0.0), height=3.0)
    drawing = Drawing(title="signs", items=(text, *ring_around()))
    pages = tile(drawing, A4, SheetNotes(title="signs"))
    with PdfPages(pages_pdf(pages, "signs")) as file:
        assert words in file.words(0)


def test_lettering_is_no_longer_than_it_is_taken_for():
    # Notes are placed by estimated widths: the ink must stay within them.
    from blankwright.drawing.lettering import text_width

    letters = "".join(chr(c) for c in range(33, 127)) + "°Ø±×ÄÖÜäöüßéñ"
    for word in (*letters, "bend 1: DOWN 90° R 3.175 mm (1/8 in)", "WWWMMM", "guide-left"):
        for face, bold in (("Vera", False), ("VeraBd", True)):
            assert printed_width(word, 5.0, face) <= text_width(word, 5.0, bold=bold) * 1.001, word


def printed_width(word, height, face):
    from reportlab.pdfbase import pdfmetrics

    from blankwright.drawing.lettering import CAP_HEIGHT
    from blankwright.files.pdf_out import _register_faces

    _register_faces()
    return pdfmetrics.stringWidth(word, face, height / CAP_HEIGHT)


def ring_around():
    return (Ring(layer=BLANK_EDGE, loop=Loop.rectangle(-5.0, -5.0, 150.0, 10.0)),)


@pytest.mark.parametrize("paper", ["A4", "Legal", "roll 36 in"])
def test_check_sheet(paper):
    plain = PrintSetup(paper=PAPERS[paper.lower()])
    with PdfPages(check_sheet_pdf(plain)) as file:
        assert "1. Measure the level bar" in file.words(0)
    check_sheet_pdf(replace(plain, printer=PrinterError(across=1.01, along=0.99)))


def test_bar_error_tells_by_how_much(angle):
    pages, _ = angle
    longer = with_page(pages, 0, stretch=(1.002, 1.0))
    with PdfPages(pages_pdf(longer, "x")) as file:
        level = next(bar for bar in pages[0].bars if not bar.upright)
        assert bar_error(file.page(0), pages[0], level) == pytest.approx(
            0.002 * level.length, abs=0.01
        )


def test_folds_of_the_paper_model_are_measured():
    from blankwright.drawing.paper_drawing import paper_pages
    from blankwright.drawing.paper_model import paper_model

    blank = sample_blanks.angle()
    pages = paper_pages(paper_model(blank), blank, A4, SheetNotes(title="angle"))
    i = next(i for i, page in enumerate(pages) if page.drawing and page.drawing.edges(FOLD_UP))
    items = tuple(
        item.moved(Move.shift(0.0, 0.3)) if item.layer is FOLD_UP else item
        for item in pages[i].drawing.items
    )
    moved = with_page(pages, i, drawing=replace(pages[i].drawing, items=items))
    with pytest.raises(OurBug, match=r"PDF-005 .*FOLD-UP is off by 0\.[23]"):
        prove_pages(pages_pdf(moved, "x"), pages, (FOLD_UP,))
    assert math.isfinite(prove_pages(pages_pdf(pages, "x"), pages, (FOLD_UP,)).worst)
