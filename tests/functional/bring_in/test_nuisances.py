"""More drawings of the corpus: what is proposed where one shows less, or more, than it should."""

import math
from dataclasses import replace

import pytest

from blankwright.jobs.bring_in_asked import Asked, BendAsked
from drawn_corpus import HOLE, PLATE, STATED, codes, look, made


def test_a_hole_drawn_as_short_lines_is_round_and_it_is_said():
    blank, _ = made("round-by-lines")
    (hole,) = blank.outline.holes
    circle = hole.as_circle
    assert circle is not None
    assert circle.radius == pytest.approx(5, abs=1e-4)
    assert circle.center == pytest.approx((30, 30), abs=1e-4)
    candidate, _ = look("round-by-lines")
    assert any("circle drawn as short lines" in line for line in candidate.told)
    assert any("circle drawn as short lines" in f.got for f in candidate.findings)


def test_it_stays_as_drawn_when_that_is_stated():
    blank, _ = made("round-by-lines", replace(STATED, no_rounds=True))
    (hole,) = blank.outline.holes
    assert len(hole.edges) == 48
    assert abs(hole.area) == pytest.approx(24 * 25 * math.sin(math.tau / 48), rel=1e-4)


def test_a_hexagon_is_a_hexagon():
    blank, _ = made("hexagon")
    (hole,) = blank.outline.holes
    assert len(hole.edges) == 6


def test_rounded_corners_drawn_as_short_lines_are_arcs():
    blank, _ = made("corners-by-lines")
    assert sorted(type(e).__name__ for e in blank.outline.outer.edges) == ["Arc"] * 4 + ["Line"] * 4
    assert blank.outline.area == pytest.approx(PLATE - HOLE - (4 - math.pi) * 64, abs=0.01)


def test_two_bend_lines_through_the_same_two_openings():
    blank, _ = made("two-through-openings")
    assert len(blank.outline.holes) == 2
    assert blank.outline.area == pytest.approx(PLATE - 400)
    # Beside, between and beside the openings the metal is bent along both lines.
    heights = sorted(round(bend.center_line.point(0.5)[1], 6) for bend in blank.bends)
    assert heights == [25, 25, 25, 35, 35, 35]
    # Twice up by 90°: all of what is beyond the second line lies over the root, facing it.
    from blankwright.develop.formed import form

    formed = form(blank)
    root = blank.flat_by_name["root"]
    assert root.region.box[1] in (0.0, pytest.approx(35 + blank.bends[0].allowance / 2))
    far = next(f for f in blank.flats if f.region.area > 1000 and f.name != "root")
    p = formed.point((50.0, 2.0), 0.0, on=far.name if far.region.box[1] < 1 else "root")
    assert all(math.isfinite(x) for x in p)


def test_tangent_lines_alone_are_paired():
    asked = replace(STATED, every_bend=BendAsked(up=True, angle="90 deg", radius="2 mm"))
    blank, _ = made("tangents-alone", asked)
    (bend,) = blank.bends
    assert bend.center_line.distance((60.0, 30.0)) < 1e-9
    assert bend.allowance == pytest.approx(4.0)
    candidate, _ = look("tangents-alone", asked)
    assert 'tangent_lines = ["layer TANGENT"]' in candidate.text.replace("  ", " ")
    assert "bend_lines" not in candidate.text


def test_lines_of_symmetry_are_no_bends_where_bend_lines_are_named():
    blank, _ = made("symmetry")
    (bend,) = blank.bends
    assert bend.center_line.distance((60.0, 30.0)) < 1e-6
    candidate, _ = look("symmetry")
    assert any(
        "left out, being none of these: 3 of layer CENTER" in line for line in candidate.told
    )


def test_a_note_without_a_sign_for_degrees_is_proposed_and_named():
    asked = Asked(alloy="6061-T6", thickness="0.04 in")
    blank, _ = made("bare-note", asked)
    (bend,) = blank.bends
    assert (bend.up, math.degrees(bend.angle)) == (True, pytest.approx(90))
    assert bend.inside_radius == pytest.approx(3.175)
    candidate, _ = look("bare-note", asked)
    assert "# note `UP 90 R.125`" in candidate.text


def test_a_line_named_as_bend_line_may_end_far_short():
    blank, _ = made("far-short")
    (bend,) = blank.bends
    assert bend.width == pytest.approx(60)
    candidate, _ = look("far-short")
    assert any("end up to 6.00 mm short" in line for line in candidate.told)


def test_bends_that_meet_without_relief_are_told_or_relieved():
    assert codes("tray-without-relief") == {"FLAT-017"}
    blank, _ = made("tray-without-relief", replace(STATED, relieve=True))
    half = blank.bends[0].allowance / 2
    assert len(blank.bends) == 4
    # At each corner of the floor a square of half a strip goes.
    assert blank.outline.area == pytest.approx(PLATE - 4 * 225 - 4 * half**2)
    candidate, _ = look("tray-without-relief", replace(STATED, relieve=True))
    assert sum(finding.code == "SOURCE-021" for finding in candidate.findings) == 4


def test_engraved_letters_are_no_openings():
    blank, _ = made("engraved")
    assert blank.outline.area == pytest.approx(PLATE - HOLE)


def test_a_window_across_a_bend_is_one_note_and_no_torn_hole():
    candidate, _ = look("one-layer-hole-on-bend")
    assert "HOLE-005" not in {finding.code for finding in candidate.findings}


def test_centre_marks_in_the_layer_of_the_holes_are_told_once():
    blank, _ = made("centre-marks")
    assert len(blank.outline.holes) == 2
    assert blank.outline.area == pytest.approx(PLATE - 2 * HOLE)
    assert len(blank.bends) == 1
    candidate, _ = look("centre-marks")
    assert sum("4 lines that mark centres of holes" in line for line in candidate.told) == 1
    assert "SOURCE-009" not in {finding.code for finding in candidate.findings}
