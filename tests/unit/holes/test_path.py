"""The line that a row lies on."""

from __future__ import annotations

import math

import pytest

from blankwright.base.quantities import BadText
from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop
from blankwright.holes.path import edge_path, straight_path

NAMES = ("front", "right", "back", "left")
PLATE = Loop.rectangle(0, 0, 100, 60)


def test_left_end_is_at_the_left_hand_of_who_looks_out():
    # Over the back edge left is at x = 0; over the front edge at the greatest x.
    back = edge_path(PLATE, NAMES, ["back"], 8)
    assert back.point(0) == pytest.approx((0, 52))
    assert back.point(back.length) == pytest.approx((100, 52))
    front = edge_path(PLATE, NAMES, ["front"], 8)
    assert front.point(0) == pytest.approx((100, 8))


def test_round_an_outward_corner_the_lines_meet():
    path = edge_path(PLATE, NAMES, ["back", "left"], 8)
    assert path.point(0) == pytest.approx((8, 0))
    assert path.corners == pytest.approx((52,))
    assert path.point(52) == pytest.approx((8, 52))
    assert path.length == pytest.approx(52 + 92)


def test_order_of_names_does_not_matter():
    assert edge_path(PLATE, NAMES, ["left", "back"], 8) == edge_path(
        PLATE, NAMES, ["back", "left"], 8
    )


def test_all_round_closes_and_begins_at_the_left_end_of_the_first_edge():
    path = edge_path(PLATE, NAMES, ["back", "left", "front", "right"], 10)
    assert path.closed
    assert path.length == pytest.approx(2 * 80 + 2 * 40)
    assert path.point(0) == pytest.approx((10, 50))
    assert path.point(80) == pytest.approx((90, 50))
    assert len(path.corners) == 4


def test_round_an_inward_corner_it_is_an_arc_at_the_same_distance():
    notch = [(0, 0), (60, 0), (60, 30), (100, 30), (100, 60), (0, 60)]
    names = ("a", "b", "c", "d", "e", "f")
    path = edge_path(Loop.polygon(notch), names, ["b", "c"], 8)
    assert [type(edge) for edge in path.edges].count(Arc) == 1
    for i in range(101):
        p = path.point(path.length * i / 100)
        assert Loop.polygon(notch).distance(p) <= 8 + 1e-9
        assert min(math.dist(p, (60, 30)), abs(p[0] - 60), abs(p[1] - 30)) <= 8 + 1e-9
    assert path.corners == ()


def test_round_corners_stay_round():
    disc = Loop.circle((0, 0), 50)
    path = edge_path(disc, ("rim",), ["rim"], 8)
    assert path.closed
    assert path.length == pytest.approx(2 * math.pi * 42)


ROUNDED = Loop(
    tuple(
        edge
        for i, (a, b, center) in enumerate(
            (
                ((10, 0), (90, 0), (90, 10)),
                ((100, 10), (100, 50), (90, 50)),
                ((90, 60), (10, 60), (10, 50)),
                ((0, 50), (0, 10), (10, 10)),
            )
        )
        for edge in (
            Line(a, b),
            Arc(center, 10, -math.pi / 2 + i * math.pi / 2, math.pi / 2),
        )
    )
)
ROUND_NAMES = ("front", "corner_2", "right", "corner_3", "back", "corner_4", "left", "corner_1")


def test_the_rounding_of_a_corner_need_not_be_named():
    path = edge_path(ROUNDED, ROUND_NAMES, ["front", "right"], 4)
    assert path == edge_path(ROUNDED, ROUND_NAMES, ["front", "corner_2", "right"], 4)
    assert path.length == pytest.approx(80 + 40 + math.pi / 2 * 6)
    assert path.corners == ()


def test_all_round_follows_rounded_corners():
    path = edge_path(ROUNDED, ROUND_NAMES, ["all round"], 4)
    assert path.closed
    assert path.length == pytest.approx(2 * 80 + 2 * 40 + 2 * math.pi * 6)


def test_a_rounding_smaller_than_the_inset_becomes_a_corner():
    path = edge_path(ROUNDED, ROUND_NAMES, ["all round"], 14)
    assert path.length == pytest.approx(2 * 72 + 2 * 32)
    assert len(path.corners) == 4
    for i in range(200):
        assert ROUNDED.distance(path.point(path.length * i / 200)) >= 14 - 1e-9


@pytest.mark.parametrize(
    ("edges", "inset", "code"),
    [
        (["front", "back"], 8, "ROW-001"),
        (["front", "front"], 8, "PART-009"),
        (["nose"], 8, "PART-009"),
        (["back", "left", "front"], 31, "ROW-002"),
    ],
)
def test_no_such_line(edges, inset, code):
    with pytest.raises(BadText) as caught:
        edge_path(PLATE, NAMES, edges, inset)
    assert caught.value.code == code


def test_from_point_to_point_and_aside_to_the_left():
    path = straight_path((0, 0), (10, 0), aside=3)
    assert path.point(0) == pytest.approx((0, 3))
    with pytest.raises(BadText):
        straight_path((1, 1), (1, 1))
