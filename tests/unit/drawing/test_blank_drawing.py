import itertools
import math

import pytest

import sample_blanks
from blankwright.base.units import System
from blankwright.drawing.blank_drawing import BlankLook, Marking, blank_drawing
from blankwright.drawing.layers import (
    BEND_CENTER,
    BEND_NOTES,
    BEND_TANGENT,
    BLANK_EDGE,
    CENTER_PUNCH,
    HOLE_NOTES,
    HOLES,
    NAMES,
    SIGHT_LINE,
)
from blankwright.drawing.model import Ring, Text
from blankwright.drawing.room import Room
from blankwright.geom import vec
from blankwright.geom.loop import Loop


@pytest.mark.parametrize("name", sample_blanks.ALL)
def test_edges_are_the_blanks_own(name):
    blank = sample_blanks.ALL[name]()
    drawing = blank_drawing(blank, name)
    rings = [item for item in drawing.items if isinstance(item, Ring)]
    assert [r.loop for r in rings if r.layer is BLANK_EDGE] == [blank.outline.outer]
    assert [r.loop for r in rings if r.layer is HOLES] == list(blank.outline.holes)


def overlaps(drawing):
    """Pairs of texts that overlap, and texts that cross an edge."""
    texts = [item for item in drawing.items if isinstance(item, Text)]
    bad = []
    for i, text in enumerate(texts):
        room = Room()
        for other in texts[:i]:
            room.add_text(other)
        for other in texts[:i]:
            only = Room()
            only.add_text(other)
            if not only.is_free(text):
                bad.append((text.text, other.text))
        edges = Room(drawing.edges(BLANK_EDGE, HOLES, BEND_TANGENT, SIGHT_LINE))
        if not edges.is_free(text):
            bad.append((text.text, "an edge"))
    return bad


@pytest.mark.parametrize("name", [n for n in sample_blanks.ALL if n != "long zed"])
def test_no_note_covers_another_or_an_edge(name):
    assert overlaps(blank_drawing(sample_blanks.ALL[name](), name)) == []


def test_bend_lines_of_an_angle_by_closed_form():
    blank = sample_blanks.angle()
    allowance = math.pi / 2 * (3.175 + sample_blanks.K * 1.016)
    drawing = blank_drawing(blank, "angle")

    def heights(layer):
        return sorted({round(edge.start[1], 9) for edge in drawing.edges(layer)})

    assert heights(BEND_TANGENT) == pytest.approx([20.0, 20.0 + allowance])
    assert heights(BEND_CENTER) == pytest.approx([20.0 + allowance / 2])
    # One inside radius from the clamped flat's tangent line (FAA-H-8083-31 vol. 1 ch. 4, step 6).
    assert heights(SIGHT_LINE) == pytest.approx([20.0 + 3.175])
    other = blank_drawing(blank, "angle", BlankLook(clamped=(("bend 1", "web"),)))
    (height,) = {round(edge.start[1], 9) for edge in other.edges(SIGHT_LINE)}
    assert height == pytest.approx(20.0 + allowance - 3.175)


def test_bend_lines_stop_at_a_cut_out():
    drawing = blank_drawing(sample_blanks.channel(), "channel")
    low = [e for e in drawing.edges(BEND_TANGENT) if abs(e.start[1] - 30.0) < 1e-9]
    ends = sorted((e.start[0], e.end[0]) for e in low)
    assert [v for pair in ends for v in pair] == pytest.approx([0.0, 50.0, 62.0, 120.0])


def test_bend_notes_name_direction_angle_and_radius():
    drawing = blank_drawing(sample_blanks.channel(), "channel")
    notes = {item.text for item in drawing.items if item.layer is BEND_NOTES}
    assert notes == {"bend 1: UP 90° R 4 mm (0.157 in)", "bend 2: DOWN 90° R 4 mm (0.157 in)"}
    inch = blank_drawing(sample_blanks.angle(), "angle", BlankLook(system=System.INCH))
    assert [i.text for i in inch.items if i.layer is BEND_NOTES] == ["bend 1: UP 90° R 1/8 in"]


def test_a_long_bend_has_a_note_on_every_page():
    drawing = blank_drawing(sample_blanks.long_zed(), "zed")
    notes = sorted(
        i.at[0] for i in drawing.items if isinstance(i, Text) and i.text.startswith("bend 1")
    )
    gaps = [b - a for a, b in itertools.pairwise(notes)]
    assert max(gaps) < 255.0
    assert notes[0] < 200.0
    assert notes[-1] > 2100.0


def test_every_hole_of_a_row_has_its_letter():
    drawing = blank_drawing(sample_blanks.long_zed(), "zed")
    letters = [item for item in drawing.items if item.layer is HOLE_NOTES]
    assert len(letters) == 180
    assert {item.text for item in letters} == {"A"}


def test_names_lie_inside_their_flats():
    for make in (sample_blanks.tray, sample_blanks.channel, sample_blanks.hem):
        blank = make()
        for item in blank_drawing(blank, "x").items:
            if item.layer is NAMES:
                region = blank.flat_by_name[item.text].region
                assert all(region.contains(corner) for corner in item.corners)


def test_punch_print_has_a_cross_at_every_hole_and_bend_end():
    blank = sample_blanks.angle()
    drawing = blank_drawing(blank, "angle", BlankLook(marking=Marking.PUNCH))
    assert {layer.name for layer in drawing.layers} == {"CENTER-PUNCH"}
    middles = {
        (round((e.start[0] + e.end[0]) / 2, 6), round((e.start[1] + e.end[1]) / 2, 6))
        for e in drawing.edges(CENTER_PUNCH)
    }
    bend = blank.bends[0]
    ends = [p for line in (bend.parent_tangent, bend.leg_tangent) for p in (line.start, line.end)]
    corners = [edge.start for edge in blank.outline.outer.edges]
    wanted = [hole.center for hole in blank.holes] + ends + corners
    assert middles == {(round(x, 6), round(y, 6)) for x, y in wanted}


def test_outline_print_is_thin_and_has_no_words():
    drawing = blank_drawing(sample_blanks.tray(), "x", BlankLook(marking=Marking.OUTLINE))
    assert {x.weight for x in drawing.layers if x.name in ("BLANK-EDGE", "HOLES")} == {0.18}
    assert not any(isinstance(item, Text) for item in drawing.items)


def test_a_scaled_drawing_keeps_arcs_true():
    drawing = blank_drawing(sample_blanks.tray(), "x").scaled(0.5)
    whole = blank_drawing(sample_blanks.tray(), "x")
    area = sum(abs(i.loop.area) for i in drawing.items if isinstance(i, Ring))
    full = sum(abs(i.loop.area) for i in whole.items if isinstance(i, Ring))
    assert area == pytest.approx(full / 4, rel=1e-12)


def test_room_sees_a_text_inside_a_text():
    room = Room()
    text = Text(layer=NAMES, text="large", at=(0, 0), height=20.0)
    room.add_text(text)
    assert not room.is_free(Text(layer=NAMES, text="i", at=(20, 5), height=1.0))
    assert room.is_free(Text(layer=NAMES, text="i", at=(20, 25), height=1.0))


def test_room_sees_an_edge_through_a_text_and_not_one_beside_it():
    text = Text(layer=NAMES, text="flange", at=(0, 0), height=3.0, angle=0.7)
    x, y = vec.middle(*text.corners[::2])
    assert not Room(Loop.circle((x, y), 0.5).edges).is_free(text)
    assert Room(Loop.circle((x, y), 40.0).edges).is_free(text)
