"""Laws of drawings and files over random parts."""

import math

import pytest

import samples
from blankwright.develop.develop import develop_blank
from blankwright.drawing.blank_drawing import blank_drawing
from blankwright.drawing.layers import BLANK_EDGE, HOLES, PAPER_EDGE, PAPER_HOLES
from blankwright.drawing.notes import SheetNotes
from blankwright.drawing.paper import PrintSetup, paper_named
from blankwright.drawing.paper_drawing import paper_drawing
from blankwright.drawing.paper_model import paper_model
from blankwright.drawing.paper_proof import prove_paper_model
from blankwright.drawing.tiling import tile
from blankwright.files.outputs import blank_dxf, blank_pdf, blank_svg, paper_model_pdf
from blankwright.geom.move import Move

SEEDS = range(1000, 1040)
A4 = PrintSetup(paper=paper_named("A4"))


@pytest.mark.parametrize("seed", SEEDS)
def test_files_and_paper_model_pass_their_proofs(seed):
    blank = develop_blank(samples.random_part(seed))
    assert blank_dxf(blank, "random") == blank_dxf(blank, "random")
    blank_svg(blank, "random")
    model = paper_model(blank)
    prove_paper_model(model, blank)
    drawing = paper_drawing(model, blank, "random")
    assert all(edge.length > 0 for edge in drawing.edges(PAPER_EDGE, PAPER_HOLES))


@pytest.mark.parametrize("seed", SEEDS[:10])
def test_a_moved_drawing_has_the_same_sizes(seed):
    drawing = blank_drawing(develop_blank(samples.random_part(seed)), "random")
    move = Move.turn(0.7).then(Move.shift(100.0, -30.0))
    there = drawing.moved(move)
    back = there.moved(move.inverse())
    for a, b in zip(drawing.edges(BLANK_EDGE, HOLES), back.edges(BLANK_EDGE, HOLES), strict=True):
        assert math.dist(a.start, b.start) < 1e-9
        assert a.length == pytest.approx(b.length, abs=1e-9)


@pytest.mark.parametrize("seed", SEEDS[:10])
def test_every_place_is_on_some_page(seed):
    drawing = blank_drawing(develop_blank(samples.random_part(seed)), "random")
    pages = [p for p in tile(drawing, A4, SheetNotes(title="random")) if p.drawing]
    for edge in drawing.edges(BLANK_EDGE, HOLES):
        for i in range(11):
            x, y = edge.point(i / 10)
            assert any(
                p.window[0] <= x + p.shift[0] <= p.window[2]
                and p.window[1] <= y + p.shift[1] <= p.window[3]
                for p in pages
            )


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS[:6])
def test_prints_pass_their_proofs(seed):
    part = samples.random_part(seed)
    blank = develop_blank(part)
    blank_pdf(blank, "random", A4)
    paper_model_pdf(part, blank, A4)
