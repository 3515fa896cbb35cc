"""The paper model against the formed part, whose mold lines are found here from its planes."""

import math
from dataclasses import replace

import pytest

import sample_blanks
import samples
from blankwright.base.errors import OurBug
from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import form
from blankwright.drawing.layers import FOLD_DOWN, FOLD_UP, GAUGE, PAPER_EDGE
from blankwright.drawing.model import Text
from blankwright.drawing.notes import SheetNotes
from blankwright.drawing.paper import PrintSetup, paper_named
from blankwright.drawing.paper_drawing import angle_gauges, paper_drawing, paper_notes, paper_pages
from blankwright.drawing.paper_model import paper_model, score_count
from blankwright.drawing.paper_proof import prove_paper_model
from blankwright.geom.edges import Line
from blankwright.geom.pose import cross3, dot3


def mold_line(formed, bend):
    """A point and the direction of the line where the outside planes of two flats meet."""
    outside = 0.0 if bend.up else formed.blank.thickness
    planes = []
    for flat in (bend.parent, bend.leg):
        pose = formed.flats[flat]
        normal = pose.vector((0.0, 0.0, 1.0))
        planes.append((normal, dot3(normal, pose((0.0, 0.0, outside)))))
    (n1, d1), (n2, d2) = planes
    along = cross3(n1, n2)
    size = dot3(along, along)
    a, b = cross3(n2, along), cross3(along, n1)
    point = tuple((d1 * a[i] + d2 * b[i]) / size for i in range(3))
    return point, along


def on_paper(formed, model, flat, point):
    x, y, _ = formed.flats[flat].inverse()(point)
    return model.places[flat]((x, y))


def _blanks():
    for name, make in sample_blanks.ALL.items():
        yield pytest.param(make, id=name)
    yield pytest.param(lambda: develop_blank(samples.tray()), id="developed tray")
    yield pytest.param(lambda: develop_blank(samples.channel(up=(True, False))), id="developed zed")
    for seed in range(12):
        yield pytest.param(
            lambda seed=seed: develop_blank(samples.random_part(seed)), id=f"random {seed}"
        )


BLANKS = list(_blanks())


@pytest.mark.parametrize("make", BLANKS)
def test_folds_lie_on_the_formed_parts_mold_lines_from_both_sides(make):
    blank = make()
    model, formed = paper_model(blank), form(blank)
    prove_paper_model(model, blank)
    for fold in model.folds.values():
        if fold.scores > 1 or not fold.lines:
            continue
        point, along = mold_line(formed, fold.bend)
        other = tuple(p + d for p, d in zip(point, along, strict=True))
        for flat in (fold.bend.parent, fold.bend.leg):
            line = Line(*(on_paper(formed, model, flat, p) for p in (point, other)))
            for piece in fold.lines:
                for end in (piece.start, piece.end):
                    assert abs(_off(line, end)) < 1e-7


def _off(line, p):
    d = line.direction()
    return (p[0] - line.start[0]) * d[1] - (p[1] - line.start[1]) * d[0]


@pytest.mark.parametrize("make", BLANKS)
def test_flats_keep_their_shape_on_paper(make):
    blank = make()
    model = paper_model(blank)
    for flat in blank.flats:
        moved = flat.region.moved(model.places[flat.name])
        assert moved.area == pytest.approx(flat.region.area, rel=1e-12)
        assert not model.places[flat.name].flip


@pytest.mark.parametrize("make", BLANKS)
def test_paper_area_is_flats_and_strips(make):
    blank = make()
    model = paper_model(blank)
    wanted = sum(flat.region.area for flat in blank.flats)
    for bend in blank.bends:
        factor = model.folds[bend.name].width / bend.allowance
        wanted += factor * sum(region.area for region in bend.regions)
    area = sum(region.area for sheet in model.sheets for region in sheet.outline)
    assert area == pytest.approx(wanted, rel=1e-3)


def test_legs_of_a_channel_are_the_drawn_outside_sizes():
    # Drawn: web 50.8 and flanges 25.4 to the outside mold lines, so paper has just these.
    blank = develop_blank(samples.channel(web=50.8, height=25.4))
    model = paper_model(blank)
    heights = sorted(fold.lines[0].start[1] for fold in model.folds.values())
    assert heights[1] - heights[0] == pytest.approx(50.8, abs=1e-9)
    _, y0, _, y1 = model.sheets[0].outline[0].box
    assert heights[0] - y0 == pytest.approx(25.4, abs=1e-9)
    assert y1 - heights[1] == pytest.approx(25.4, abs=1e-9)
    # The blank is shorter by the handbook's bend deductions.
    assert blank.size[1] < y1 - y0


def test_a_hem_is_as_thick_as_two_sheets_and_its_gap():
    blank = sample_blanks.hem()
    fold = paper_model(blank).folds["bend 1"]
    assert fold.scores == 2
    assert 2 * fold.setback == pytest.approx(2 * (0.5 + 0.8))


def test_scores_stay_near_the_metal():
    for angle in (30.0, 75.0, 90.0, 120.0, 150.0, 179.0, 180.0):
        for radius in (0.5, 3.0, 8.0, 20.0, 60.0):
            n = score_count(math.radians(angle), radius, 1.0)
            stand_off = (radius + 1.0) * (1 / math.cos(math.radians(angle) / n / 2) - 1)
            assert math.degrees(math.radians(angle) / n) <= 135.0 + 1e-9
            assert stand_off <= 5.0
    assert score_count(math.pi / 2, 3.175, 1.016) == 1
    assert score_count(math.pi, 0.5, 0.8) == 2


def test_a_wrong_setback_is_caught():
    blank = sample_blanks.channel()
    model = paper_model(blank)
    fold = model.folds["bend 1"]
    wrong = {**model.folds, "bend 1": replace(fold, setback=fold.setback + 0.001)}
    with pytest.raises(OurBug, match=r"PAPER-001 .* bend 1.* 0\.00141"):
        prove_paper_model(replace(model, folds=wrong), blank)
    wrong = {**model.folds, "bend 1": replace(fold, bend=replace(fold.bend, angle=1.0))}
    with pytest.raises(OurBug, match="PAPER-001"):
        prove_paper_model(replace(model, folds=wrong), blank)


def test_a_tab_out_of_a_tight_window_is_drawn_apart():
    blank = sample_blanks.tab()
    model = paper_model(blank)
    assert [sheet.flats for sheet in model.sheets] == [("frame",), ("tab",)]
    drawing = paper_drawing(model, blank, "tab")
    words = [item.text for item in drawing.items if isinstance(item, Text)]
    assert "Tape to frame along bend tab bend" in words
    boxes = [item.box for item in drawing.items if item.layer is PAPER_EDGE]
    assert boxes[1][0] > boxes[0][2]
    assert any("drawn apart" in note for note in paper_notes(model))


def test_fold_up_and_down_differ_without_colour():
    drawing = paper_drawing(paper_model(sample_blanks.channel()), sample_blanks.channel(), "x")
    up, down = drawing.edges(FOLD_UP), drawing.edges(FOLD_DOWN)
    assert len(up) == 2  # parted by the cut-out
    assert len(down) == 1
    assert FOLD_UP.dashes != FOLD_DOWN.dashes


def test_one_gauge_for_each_different_angle():
    gauges = angle_gauges(sample_blanks.clip())
    openings = []
    for gauge in gauges:
        first, arc, last = gauge[0].loop.edges
        openings.append(math.degrees(arc.sweep))
        assert first.length == pytest.approx(last.length)
    assert openings == pytest.approx([180.0 - 150.0, 180.0 - 90.0, 180.0 - 45.0])
    # Nothing can be held in a closed hem.
    assert len(angle_gauges(sample_blanks.hem())) == 1


def test_gauges_take_no_page_of_their_own_where_there_is_a_cover():
    blank = develop_blank(samples.tray(width=228.0, depth=120.0))
    pages = paper_pages(
        paper_model(blank), blank, PrintSetup(paper=paper_named("A4")), SheetNotes(title="tray")
    )
    assert [page.name for page in pages] == ["map", "A1", "A2"]
    cover, *rest = pages
    assert {layer.name for layer in cover.drawing.layers} >= {"ANGLE-GAUGE"}
    assert all(not page.drawing.edges(GAUGE) for page in rest)
