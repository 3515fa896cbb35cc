import itertools
import math

import pytest

import sample_blanks
from blankwright.base.units import System, inches
from blankwright.drawing.clip import clipped
from blankwright.drawing.dimensioned import SCALES, dimensioned_blank
from blankwright.drawing.dimensions import _spread, angular, diameter, linear, radius, running
from blankwright.drawing.layers import BEND_NOTES, BLANK_EDGE, DIMENSIONS
from blankwright.drawing.model import Drawing, Fill, Ring, Stroke, Text
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop


def tips(items):
    return [item.corners[0] for item in items if isinstance(item, Fill)]


def figures(items):
    return [item for item in items if isinstance(item, Text)]


def test_linear_arrowheads_are_as_far_apart_as_what_is_measured():
    a, b = (3.0, 4.0), (43.0, 34.0)
    assert math.dist(*tips(linear(a, b, 8.0, "50"))) == pytest.approx(50.0)
    assert math.dist(*tips(linear(a, b, 8.0, "40", (1.0, 0.0)))) == pytest.approx(40.0)
    assert math.dist(*tips(linear(a, b, -8.0, "30", (0.0, 1.0)))) == pytest.approx(30.0)


def test_linear_stands_on_the_side_it_is_told():
    items = linear((0, 0), (40, 0), 8.0, "40")
    assert [tip[1] for tip in tips(items)] == pytest.approx([8.0, 8.0])
    items = linear((40, 0), (0, 0), 8.0, "40")
    assert [tip[1] for tip in tips(items)] == pytest.approx([-8.0, -8.0])


def test_a_short_dimension_has_its_arrowheads_and_figure_outside():
    items = linear((0, 0), (3, 0), 8.0, "3.00")
    (text,) = figures(items)
    assert text.box[0] > 3.0
    for fill in (item for item in items if isinstance(item, Fill)):
        assert not 0.1 < sum(x for x, _ in fill.corners[1:]) / 2 < 2.9


def test_figures_are_read_from_below_or_from_the_right():
    for turn in range(16):
        angle = turn * math.pi / 8
        b = vec.polar((0, 0), 50.0, angle)
        (text,) = figures(linear((0.0, 0.0), b, 8.0, "50"))
        assert -math.pi / 2 - 1e-6 < text.angle <= math.pi / 2 + 1e-6


def test_diameter_and_radius_touch_the_circle():
    (a, b) = tips(diameter((5, 5), 40.0, 0.3, "Ø 40"))
    assert math.dist(a, b) == pytest.approx(40.0)
    assert math.dist(a, (5, 5)) == pytest.approx(20.0)
    (tip,) = tips(diameter((5, 5), 4.0, 0.3, "Ø 4"))
    assert math.dist(tip, (5, 5)) == pytest.approx(2.0)
    (tip,) = tips(radius(Arc((1, 2), 7.0, 0.0, 2.0), 1.0, "R 7"))
    assert math.dist(tip, (1, 2)) == pytest.approx(7.0)


def test_angle_sweeps_what_it_says():
    items = angular((0, 0), 0.2, 1.1, 20.0, "63°")
    (arc,) = (i.edge for i in items if isinstance(i, Stroke) and isinstance(i.edge, Arc))
    assert (arc.begin, arc.sweep, arc.radius) == pytest.approx((0.2, 1.1, 20.0))
    assert tips(items) == [pytest.approx(arc.start), pytest.approx(arc.end)]


def test_running_figures_never_overlap_and_stay_in_order():
    places = tuple((t, 0.0, f"{t:.2f}") for t in (0.0, 1.0, 1.5, 2.0, 30.0, 30.1, 80.0))
    items = running(places, (1.0, 0.0), (0.0, 0.0), -8.0)
    texts = figures(items)
    assert [text.text for text in texts] == [words for _, _, words in places]
    xs = [text.at[0] for text in texts]
    assert all(b - a > 3.6 for a, b in itertools.pairwise(xs))
    assert sorted(tip[0] for tip in tips(items)) == pytest.approx([p[0] for p in places[1:]])


def test_spread_moves_labels_as_little_as_can_be():
    assert _spread([0.0, 10.0], 2.0) == [0.0, 10.0]
    assert _spread([5.0, 5.0], 2.0) == pytest.approx([4.0, 6.0])
    assert _spread([0.0, 1.0, 2.0], 2.0) == pytest.approx([-1.0, 1.0, 3.0])
    spread = _spread([0.0, 0.1, 0.2, 5.0, 5.1], 2.0)
    assert all(b - a >= 2.0 - 1e-9 for a, b in itertools.pairwise(spread))


def test_channel_figures_by_closed_form():
    # Flats 30, 60, 30 and two strips of π/2·(4 + 0.44·2) = 7.665 mm.
    view = dimensioned_blank(sample_blanks.channel(), "channel", (180.0, 130.0))
    words = {
        item.text for item in view.drawing.items if item.layer is DIMENSIONS and figures([item])
    }
    strip = math.pi / 2 * (4.0 + 0.44 * 2.0)
    wanted = [0.0, 30.0, 30 + strip, 90 + strip, 90 + 2 * strip, 120 + 2 * strip, 120.0]
    assert words == {f"{v:.2f}" for v in wanted}
    inch = dimensioned_blank(sample_blanks.channel(), "channel", (180.0, 130.0), System.INCH)
    words = {
        item.text for item in inch.drawing.items if item.layer is DIMENSIONS and figures([item])
    }
    assert words == {f"{inches(v):.3f}" for v in wanted}


@pytest.mark.parametrize("name", sample_blanks.ALL)
def test_view_fits_its_room_and_is_to_scale(name):
    blank = sample_blanks.ALL[name]()
    view = dimensioned_blank(blank, name, (180.0, 150.0))
    x0, y0, x1, y1 = view.drawing.box
    assert x1 - x0 <= 180.0
    assert y1 - y0 <= 150.0
    assert view.scale in SCALES
    if not view.broken:
        (ring,) = (i for i in view.drawing.items if i.layer is BLANK_EDGE and isinstance(i, Ring))
        assert ring.loop.area == pytest.approx(blank.outline.outer.area * view.scale**2, rel=1e-9)


def test_a_long_blank_is_broken_and_keeps_its_true_figures():
    view = dimensioned_blank(sample_blanks.long_zed(), "zed", (180.0, 130.0))
    assert view.broken
    assert view.scale_words == "1 : 1.5"
    words = [item.text for item in view.drawing.items if isinstance(item, Text)]
    assert "2300.00" in words
    notes = [item.text for item in view.drawing.items if item.layer is BEND_NOTES]
    assert notes == ["bend 1: UP 90° R 2.4 mm", "bend 2: DOWN 90° R 2.4 mm"]


def test_clipping_keeps_what_is_inside():
    circle = Ring(layer=BLANK_EDGE, loop=Loop.circle((0, 0), 10.0))
    line = Stroke(layer=BLANK_EDGE, edge=Line((-20, 5), (20, 5)))
    drawing = Drawing(title="", items=(circle, line))
    pieces = [item.edge for item in clipped(drawing, (0.0, 0.0, 30.0, 30.0))]
    lengths = sorted(edge.length for edge in pieces)
    assert lengths == pytest.approx([10.0 * math.pi / 2, 20.0])
