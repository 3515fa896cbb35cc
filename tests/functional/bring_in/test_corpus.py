"""Small drawings written by hand, a nuisance of real life in each: what must become of them."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from blankwright.base.errors import BlankwrightError
from blankwright.geom.edges import Arc
from blankwright.jobs.bring_in_asked import Asked, BendAsked
from drawn_corpus import CORPUS, HOLE, PLATE, STATED, codes, look, made

PLAIN = (
    *("plain", "gaps", "overshoot", "doubled", "one-layer", "colours", "line-types", "blocks"),
    *("height", "hidden", "paper-space", "annotated", "ticks", "round-blocks"),
)
"""Each is the plate with its hole and one bend at x = 60, whatever is wrong with the drawing."""


@pytest.mark.parametrize("name", PLAIN)
def test_the_plate_comes_in_whatever_is_wrong_with_its_drawing(name):
    blank, _ = made(name)
    # Gaps of a hundredth at most were closed; all else is exact.
    within = 0.02 if name == "gaps" else 1e-6
    assert blank.outline.box == pytest.approx((0, 0, 100, 60), abs=within)
    assert blank.outline.area == pytest.approx(PLATE - HOLE, abs=100 * within)
    (hole,) = blank.outline.holes
    assert hole.as_circle is not None
    assert hole.as_circle.radius == pytest.approx(5, abs=1e-9)
    (bend,) = blank.bends
    assert bend.center_line.distance((60.0, 30.0)) < 1e-6
    assert bend.width == pytest.approx(60, abs=within)
    assert [flat.name for flat in blank.flats] == ["root", "bend-1"]


@pytest.mark.parametrize("name", ["no-units", "unitless", "no-header"])
def test_a_unit_is_asked_for_and_never_guessed(name):
    candidate, _ = look(name)
    assert [question.key for question in candidate.questions] == ["units"]
    assert '"60 ?"' in candidate.text
    in_mm, _ = made(name, replace(STATED, units="mm"))
    assert in_mm.outline.area == pytest.approx(PLATE - HOLE)
    in_inches, _ = made(name, replace(STATED, units="in"))
    assert in_inches.outline.box[2] == pytest.approx(100 * 25.4)


def test_inches():
    blank, _ = made("inches")
    assert blank.outline.area == pytest.approx((8 - math.pi / 16) * 25.4**2)
    assert blank.bends[0].center_line.distance((63.5, 10.0)) < 1e-9


def test_inches_read_as_mm_are_said_and_not_scaled():
    candidate, _ = look("inches-as-mm")
    assert any("SOURCE-020" in line for line in candidate.told)
    assert '"2.5 mm"' in candidate.text
    blank, part = made("inches-as-mm", replace(STATED, units="in"))
    assert blank.size == pytest.approx((101.6, 50.8))
    assert [f.code for f in part.source.findings if f.level.value == "ask"] == ["SOURCE-020"]


def test_rounded_corners_by_bulges_and_from_below():
    area = PLATE - (4 - math.pi) * 100
    for name in ("bulges", "bulges-below"):
        blank, _ = made(name)
        assert blank.outline.area == pytest.approx(area - HOLE, abs=1e-6), name
        arcs = [edge for edge in blank.outline.outer.edges if isinstance(edge, Arc)]
        assert [arc.radius for arc in arcs] == pytest.approx([10] * 4, abs=1e-9)
    blank, _ = made("arc-below")
    assert blank.outline.area == pytest.approx(PLATE - (1 - math.pi / 4) * 100 - HOLE, abs=1e-6)


def test_an_array_of_blocks():
    blank, _ = made("array")
    centers = sorted(
        (round(h.as_circle.center[0], 6), round(h.as_circle.center[1], 6))
        for h in blank.outline.holes
    )
    assert centers == [(x, y) for x in (10, 25, 40) for y in (10, 50)]


def test_ellipses_are_arcs_within_the_tolerance():
    squeezed, _ = made("squeezed")
    assert squeezed.outline.area == pytest.approx(PLATE - math.pi * 8 * 5, abs=0.05)
    for p in squeezed.outline.holes[0].points(0.01):
        off = abs(math.hypot((p[0] - 25) / 8, (p[1] - 30) / 5) - 1) * 5
        assert off < 0.006
    blank, _ = made("ellipse")
    assert blank.outline.area == pytest.approx(
        PLATE + math.pi * 30 * 15 / 2 - math.pi * 8 * 5, abs=0.2
    )
    finer, _ = made("ellipse", replace(STATED, fit="0.0005 mm"))
    assert len(finer.outline.edges) > len(blank.outline.edges)


def test_splines():
    blank, _ = made("spline")
    (hole,) = blank.outline.holes
    assert all(isinstance(edge, Arc) for edge in hole.edges)
    assert abs(hole.area) == pytest.approx(HOLE, abs=1e-4)  # a rational spline that is a circle
    # The cubic adds no area: it is odd about y = 30. Its x is a Bernstein polynomial.
    assert blank.outline.area == pytest.approx(PLATE - HOLE, abs=0.05)
    t = 0.5 - math.sqrt(3) / 6
    far = 100 + 60 * t * (1 - t) ** 2 - 60 * t**2 * (1 - t)
    assert blank.outline.box[2] == pytest.approx(far, abs=0.005)


def test_a_bend_line_broken_by_openings_is_one_bend():
    for name in ("dashes", "one-layer-hole-on-bend"):
        blank, _ = made(name)
        (bend,) = blank.bends
        assert bend.width == pytest.approx(60, abs=1e-6), name
        assert len(bend.regions) == 2


def test_two_tabs_beside_a_slit_are_two_bends():
    blank, _ = made("tabs")
    assert len(blank.bends) == 2
    assert [bend.width for bend in blank.bends] == pytest.approx([49.9, 49.9], abs=1e-6)
    assert {bend.parent for bend in blank.bends} == {"root"}


def test_a_narrow_flange_without_relief_calls_for_it():
    blank, _ = made("narrow-flange")
    assert blank.bends[0].width == pytest.approx(60, abs=1e-6)
    candidate, _ = look("narrow-flange")
    assert [f.code for f in candidate.findings].count("RELIEF-001") == 2


def test_notes_and_layer_names_are_proposed():
    candidate, _ = look("notes", Asked())
    assert [question.key for question in candidate.questions] == []
    blank, part = made("notes", Asked())
    first, second = blank.bends
    assert (first.up, second.up) == (True, False)
    assert math.degrees(first.angle) == pytest.approx(90)
    assert math.degrees(second.angle) == pytest.approx(45)
    assert [b.inside_radius for b in blank.bends] == pytest.approx([3.175, 3.175])
    assert part.sheet.alloy == "2024-T3"
    assert blank.thickness == pytest.approx(0.032 * 25.4)


def test_tangent_lines_give_the_allowance():
    asked = replace(STATED, every_bend=BendAsked(up=True, angle="90 deg", radius="3 mm"))
    blank, _ = made("tangents", asked)
    (bend,) = blank.bends
    assert bend.allowance == pytest.approx(5.6, abs=1e-9)
    assert bend.k == pytest.approx(5.6 / (math.pi / 2) - 3, abs=1e-9)
    assert codes("tangents") == {"SOURCE-015"}


def test_several_parts_and_frames_ask_for_a_point():
    assert codes("two-parts") == {"DRAWN-022"}
    blank, _ = made("two-parts", replace(STATED, part_at="150 mm, 50 mm"))
    assert blank.outline.box == pytest.approx((120, 0, 180, 60))
    assert not blank.bends
    for name in ("frame", "island"):
        assert codes(name) == {"DRAWN-023"}
    blank, _ = made("frame", replace(STATED, part_at="80 mm, 30 mm"))
    assert blank.outline.area == pytest.approx(PLATE - HOLE, abs=1e-6)
    assert len(blank.bends) == 1


@pytest.mark.parametrize(
    ("name", "code", "words"),
    [
        ("wide-gap", "DRAWN-020", "(100.000, 59.600) and (100.000, 60.000), 0.400 mm apart"),
        ("slope", "DRAWN-025", "(100.00, 0.00)"),
        ("bent-arc", "DRAWN-024", "(76.000, 30.000)"),
        ("bend-stops", "FLAT-012", "(60.000, 45.000)"),
        ("crossed-bends", "FLAT-011", "runs into"),
    ],
)
def test_what_can_not_be_made_is_told_with_its_place(name, code, words):
    candidate, _ = look(name)
    told = [problem for problem in candidate.problems if problem.code == code]
    assert told, candidate.problems
    assert any(words in problem.got for problem in told), told


def test_a_wide_gap_is_closed_when_that_is_stated():
    blank, part = made("wide-gap", replace(STATED, closes="0.5 mm"))
    assert blank.outline.area == pytest.approx(PLATE - HOLE, abs=1e-6)
    (gap,) = [f for f in part.source.findings if f.code == "SOURCE-003"]
    assert "0.4000 mm" in gap.got
    assert "59.6" in gap.got


def test_a_stray_line_on_the_metal_is_asked_about():
    candidate, _ = look("tee")
    assert any(f.code == "SOURCE-009" and f.at == (40.0, 11.0) for f in candidate.findings)
    # Where all lines of the layer are meant it can't be left out.
    assert codes("tee", replace(STATED, outline=("layer CUT",))) == {"DRAWN-020"}
    blank, _ = made("tee", replace(STATED, outline=("layer CUT",), leave_out=("40 mm, 11 mm",)))
    assert blank.outline.area == pytest.approx(PLATE - HOLE, abs=1e-6)


def test_a_branch_is_told_where_all_lines_are_meant():
    assert codes("branch", replace(STATED, outline=("layer CUT",))) == {"DRAWN-020"}
    # Also where only those that close are meant: a line across an opening may be an edge of it.
    candidate, _ = look("branch")
    assert {problem.code for problem in candidate.problems} == {"DRAWN-021"}
    told = candidate.problems[0].got
    assert "(10.000, 20.000)" in told or "(40.000, 40.000)" in told


def test_hidden_lines_are_taken_when_their_layer_is_named():
    blank, _ = made("hidden", replace(STATED, openings=("layer HOLE", "layer ICE")))
    assert len(blank.outline.holes) == 2  # one made invisible by itself stays so


def test_no_layer_of_that_name():
    assert codes("plain", replace(STATED, outline=("layer CUTS",))) == {"DRAWN-011"}


@pytest.mark.parametrize("name", ["empty", "no-lines", "cut-off"])
def test_nothing_comes_of_nothing(name):
    with pytest.raises(BlankwrightError) as error:
        look(name)
    assert len(error.value.problems) == 1


def test_a_damaged_circle_is_asked_about():
    candidate, _ = look("nan")
    assert any(f.code == "SOURCE-006" and f.level.value == "ask" for f in candidate.findings)


def test_a_ring_of_bends_without_relief_is_refused():
    assert codes("ring-of-bends") == {"FLAT-017"}


def test_every_file_is_spoken_of():
    here = "".join(p.read_text(encoding="utf-8") for p in Path(__file__).parent.glob("test_*.py"))
    silent = [path.stem for path in CORPUS.glob("*.dxf") if f'"{path.stem}"' not in here]
    assert silent == []


def test_reading_twice_gives_the_same_text():
    for path in sorted(CORPUS.glob("*.dxf")):
        try:
            first = look(path.stem)[0].text
        except BlankwrightError:
            continue
        assert look(path.stem)[0].text == first
