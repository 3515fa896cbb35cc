import math
from dataclasses import replace

import pytest

import sample_blanks
from blankwright.base.errors import BadInput, NotPossible
from blankwright.drawing.blank_drawing import blank_drawing
from blankwright.drawing.layers import BLANK_EDGE, HOLES, NOTES
from blankwright.drawing.model import Drawing, Ring, Text
from blankwright.drawing.notes import CARE, SheetNotes
from blankwright.drawing.paper import PAPERS, Paper, PrinterError, PrintSetup, paper_named
from blankwright.drawing.tiling import tile
from blankwright.geom.loop import Loop

NOTE = SheetNotes(title="a part")


def rectangle(width, height):
    ring = Ring(layer=BLANK_EDGE, loop=Loop.rectangle(0, 0, width, height))
    return Drawing(title="rectangle", items=(ring,))


def tiles(pages):
    return [page for page in pages if not page.name.startswith("map")]


def shown(page, p):
    x, y = page.on_page(p)
    x0, y0, x1, y1 = page.window
    return x0 <= x <= x1 and y0 <= y <= y1


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter", "Legal", "Tabloid", "roll 24 in"])
@pytest.mark.parametrize("name", ["tray", "long zed", "clip"])
def test_every_place_of_every_edge_is_on_a_page(paper, name):
    drawing = blank_drawing(sample_blanks.ALL[name](), name)
    pages = tiles(tile(drawing, PrintSetup(paper=paper_named(paper)), NOTE))
    for edge in drawing.edges(BLANK_EDGE, HOLES):
        n = math.ceil(edge.length / 2)
        for i in range(n + 1):
            assert any(shown(page, edge.point(i / n)) for page in pages)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("error", [PrinterError(), PrinterError(across=0.99, along=1.01)])
def test_nothing_is_sent_into_the_margin(paper, error):
    setup = PrintSetup(paper=PAPERS[paper], printer=error)
    for page in tile(rectangle(700.0, 300.0), setup, NOTE):
        corners = [page.window[:2], page.window[2:]]
        for item in page.furniture:
            box = item.box
            corners.extend((box[:2], box[2:]))
        for corner in corners:
            x, y = page.as_sent(corner)
            assert 9.0 <= x <= page.width - 9.0
            assert 9.0 <= y <= page.height - 9.0


def test_neighbours_share_the_overlap_and_its_register_marks():
    setup = PrintSetup(paper=paper_named("A4"), overlap=15.0)
    pages = tiles(tile(rectangle(400.0, 500.0), setup, NOTE))
    by_name = {page.name: page for page in pages}
    first, second = by_name["A1"], by_name["A2"]
    right = first.window[2] - first.shift[0]
    left = second.window[0] - second.shift[0]
    assert right - left == pytest.approx(15.0)
    common = {m.name for m in first.marks} & {m.name for m in second.marks}
    assert len(common) >= 2
    places = [m.at for m in first.marks if m.name in common]
    assert max(math.dist(a, b) for a in places for b in places) > 80.0


def test_every_mark_is_on_two_pages_at_least():
    pages = tiles(tile(rectangle(700.0, 700.0), PrintSetup(paper=paper_named("Letter")), NOTE))
    counts = {}
    for page in pages:
        for mark in page.marks:
            counts[mark.name] = counts.get(mark.name, 0) + 1
    assert min(counts.values()) >= 2


def test_marks_keep_clear_of_lines():
    pages = tiles(tile(rectangle(330.0, 60.0), PrintSetup(paper=paper_named("A4")), NOTE))
    assert all(mark.clear for page in pages for mark in page.marks)


def test_a_long_part_lies_along_the_long_side_of_the_paper():
    pages = tiles(tile(rectangle(2300.0, 66.0), PrintSetup(paper=paper_named("A4")), NOTE))
    assert all(page.width > page.height for page in pages)
    assert len(pages) == 10


def test_pages_without_anything_are_left_out_and_missing_from_the_map():
    # A thin frame whose middle pages would be empty.
    pages = tile(rectangle(900.0, 900.0), PrintSetup(paper=paper_named("A4")), NOTE)
    names = {page.name for page in pages}
    columns = {name[1:] for name in names if name.startswith("A")}
    rows = {name[0] for name in names if name[1:] == "1"}
    assert len(tiles(pages)) < len(columns) * len(rows)


def test_a_roll_is_cut_no_longer_than_needed():
    (page,) = tiles(
        tile(rectangle(2300.0, 66.0), PrintSetup(paper=paper_named("roll 24 in")), NOTE)
    )
    assert 2300.0 < max(page.width, page.height) < 2380.0


def with_note(width, height, words):
    """A rectangle with a note past its right end, as bends have where there is no room inside."""
    note = Text(layer=NOTES, text=words, at=(width + 3.0, height / 2), height=3.0)
    return replace(rectangle(width, height), items=(*rectangle(width, height).items, note))


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter", "Legal", "Tabloid"])
def test_a_note_beside_the_blank_costs_no_page(paper):
    setup = PrintSetup(paper=paper_named(paper))
    room = tile(rectangle(50.0, 40.0), setup, NOTE)[0].window
    width, height = room[2] - room[0] - 22.0, 60.0
    assert len(tile(rectangle(width, height), setup, NOTE)) == 1
    words = "left: UP 90 deg R 3.175 mm (1/8 in), and then some more words that take their room"
    drawing = with_note(width, height, words)
    (page,) = tile(drawing, setup, NOTE)
    texts = [item for item in page.drawing.items if isinstance(item, Text)]
    assert [text.text for text in texts] == ["1"]
    for corner in texts[0].corners:
        assert shown(page, corner)
    said = " ".join(item.text for item in page.furniture if isinstance(item, Text))
    assert "1: left: UP 90 deg" in said


def test_a_note_that_has_room_on_the_page_stays_where_it_is():
    setup = PrintSetup(paper=paper_named("A3"))
    (page,) = tile(with_note(100.0, 60.0, "left: UP"), setup, NOTE)
    assert "left: UP" in [item.text for item in page.drawing.items if isinstance(item, Text)]


def test_a_tiled_blank_gets_no_pages_for_notes_alone():
    setup = PrintSetup(paper=paper_named("A4"))
    alone = tile(rectangle(400.0, 420.0), setup, NOTE)
    noted = tile(
        with_note(400.0, 420.0, "a note as long as a page is wide, and longer" * 3), setup, NOTE
    )
    assert len(tiles(noted)) == len(tiles(alone))


def test_a_small_part_needs_one_page_with_its_notes():
    pages = tile(rectangle(80.0, 50.0), PrintSetup(paper=paper_named("A4")), NOTE)
    assert len(pages) == 1
    words = {item.text for item in pages[0].furniture if isinstance(item, Text)}
    assert set(CARE[:1]) <= words


def test_every_print_carries_the_cautions():
    pages = tile(rectangle(700.0, 300.0), PrintSetup(paper=paper_named("A4")), NOTE)
    words = " ".join(i.text for i in pages[0].furniture if i.layer is NOTES)
    for line in CARE:
        assert line.split(" ")[0] in words
    assert all(len(page.bars) == 2 for page in pages)
    assert all({bar.upright for bar in page.bars} == {True, False} for page in pages)


def test_printer_error_from_two_lengths():
    error = PrinterError.measured(across=(150.0, 150.6), along=(250.0, 249.0))
    assert error.across == pytest.approx(1.004)
    assert error.along == pytest.approx(0.996)
    upright = tile(rectangle(80.0, 50.0), PrintSetup(paper=paper_named("A4"), printer=error), NOTE)
    assert upright[0].stretch == pytest.approx((1 / 1.004, 1 / 0.996))
    setup = PrintSetup(paper=paper_named("A4"), printer=error)
    turned = tiles(tile(rectangle(2300.0, 66.0), setup, NOTE))
    assert turned[0].stretch == pytest.approx((1 / 0.996, 1 / 1.004))


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (lambda: paper_named("B5"), "PRINT-001"),
        (lambda: PrinterError(across=1.08), "PRINT-002"),
        (lambda: PrinterError.measured(across=(150, 0), along=(250, 250)), "PRINT-002"),
        (lambda: PrintSetup(paper=paper_named("A4"), margin=80.0), "PRINT-003"),
        (lambda: PrintSetup(paper=paper_named("A4"), overlap=-1.0), "PRINT-003"),
    ],
)
def test_bad_set_up(make, code):
    with pytest.raises(BadInput) as caught:
        make()
    assert [p.code for p in caught.value.problems] == [code]


def test_too_many_pages():
    with pytest.raises(NotPossible, match="PRINT-004"):
        tile(rectangle(9000.0, 9000.0), PrintSetup(paper=paper_named("A4")), NOTE)


def test_paper_sizes_as_published():
    # ISO 216 and ANSI/ASME Y14.1 sizes.
    sizes = {"a4": (210, 297), "a3": (297, 420), "letter": (215.9, 279.4)}
    sizes |= {"legal": (215.9, 355.6), "tabloid": (279.4, 431.8)}
    for name, (width, length) in sizes.items():
        assert (PAPERS[name].width, PAPERS[name].length) == pytest.approx((width, length))
    assert replace(PAPERS["a4"], name="x") == Paper(name="x", width=210.0, length=297.0)
