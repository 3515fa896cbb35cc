"""Outlines: areas against closed forms, names, and what is refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from blankwright.base.quantities import BadText
from blankwright.geom.edges import Arc, Line
from blankwright.part.notches import Notch, notched
from blankwright.part.outlines import (
    LEG_EDGES,
    RECTANGLE_EDGES,
    Outline,
    Step,
    Trim,
    Vertex,
    as_leg,
    disc,
    leg,
    path,
    polygon,
    rectangle,
)


def test_rectangle() -> None:
    outline = rectangle(30.0, 20.0)
    assert outline.edges == RECTANGLE_EDGES
    assert outline.loop.area == pytest.approx(600.0)
    front, right, back, left = outline.loop.edges
    assert (front.start, front.end) == ((0.0, 0.0), (30.0, 0.0))
    assert right.start == (30.0, 0.0)
    assert back.start == (30.0, 20.0)
    assert left.end == (0.0, 0.0)


def test_rounded_rectangle_loses_the_corners() -> None:
    r = 4.0
    outline = rectangle(30.0, 20.0, [Trim("radius", r)] * 4)
    assert outline.loop.area == pytest.approx(600.0 - (4 - math.pi) * r * r)
    assert outline.loop.length == pytest.approx(100.0 - 8 * r + 2 * math.pi * r)
    assert outline.edges[0] == "front"
    assert [name for name in outline.edges if not name.startswith("corner")] == list(
        RECTANGLE_EDGES
    )


def test_chamfered_corner() -> None:
    outline = rectangle(30.0, 20.0, [None, Trim("chamfer", 5.0), None, None])
    assert outline.loop.area == pytest.approx(600.0 - 12.5)
    assert outline.edges == ("front", "corner_2", "right", "back", "left")


def test_a_corner_may_take_an_edge_whole() -> None:
    outline = rectangle(30.0, 20.0, [Trim("radius", 10.0), None, None, Trim("radius", 10.0)])
    assert "left" not in outline.edges
    assert outline.loop.area == pytest.approx(600.0 - (4 - math.pi) * 100.0 / 2)


def test_inner_corner_is_filled() -> None:
    # An L of 30 × 30 with a 20 × 20 bite; the fillet in the inner corner adds metal.
    points = [(0, 0), (30, 0), (30, 10), (10, 10), (10, 30), (0, 30)]
    r = 3.0
    vertices = [Vertex((float(x), float(y))) for x, y in points]
    vertices[3] = Vertex(vertices[3].point, Trim("radius", r))
    outline = polygon(vertices)
    assert outline.loop.area == pytest.approx(500.0 + (1 - math.pi / 4) * r * r)


def test_a_polygon_drawn_clockwise_keeps_names_on_their_edges() -> None:
    points = [(0.0, 0.0), (0.0, 20.0), (30.0, 20.0), (30.0, 0.0)]
    outline = polygon([Vertex(p) for p in points], ["west", "north", "east", "south"])
    assert outline.loop.area == pytest.approx(600.0)
    named = dict(zip(outline.edges, outline.loop.edges, strict=True))
    assert named["west"].point(0.5) == (0.0, 10.0)
    assert named["north"].point(0.5) == (15.0, 20.0)
    assert named["east"].point(0.5) == (30.0, 10.0)
    assert named["south"].point(0.5) == (15.0, 0.0)


def test_path_with_a_half_round_end() -> None:
    outline = path(
        (0.0, 0.0),
        [
            Step(to=(30.0, 0.0), name="front"),
            Step(to=(30.0, 20.0), radius=10.0, left=True, name="nose"),
            Step(to=(0.0, 20.0)),
        ],
    )
    assert outline.edges == ("front", "nose", "edge_3", "edge_4")
    assert outline.loop.area == pytest.approx(600.0 + math.pi * 50.0)


def test_path_arcs_short_and_long_both_ways() -> None:
    def area(left: bool, long: bool) -> float:
        steps = [Step(to=(10.0, 0.0), radius=10.0, left=left, long=long), Step(to=(0.0, 0.0))]
        return path((0.0, 0.0), steps).loop.area

    # Segment of a circle of radius 10 on a chord of 10: 60° of arc.
    small = 0.5 * 100 * (math.pi / 3 - math.sin(math.pi / 3))
    for left in (True, False):
        assert area(left, False) == pytest.approx(small)
        assert area(left, True) == pytest.approx(math.pi * 100 - small)


def test_path_by_center() -> None:
    steps = [
        Step(to=(10.0, 0.0)),
        Step(to=(0.0, 10.0), center=(0.0, 0.0), left=True),
    ]
    assert path((0.0, 0.0), steps).loop.area == pytest.approx(math.pi * 25.0)


def test_disc() -> None:
    outline = disc(10.0)
    assert outline.edges == ("rim",)
    assert outline.loop.area == pytest.approx(math.pi * 25.0)


@given(
    st.floats(10, 500),
    st.floats(5, 100),
    st.floats(5, 100),
    st.floats(-0.2, 0.2),
    st.floats(-0.2, 0.2),
)
@settings(derandomize=True, max_examples=200)
def test_leg_area_by_the_shoelace(width: float, hl: float, hr: float, tl: float, tr: float) -> None:
    x0, x1 = hl * math.tan(tl), width - hr * math.tan(tr)
    if x1 - x0 < 0.01:
        with pytest.raises(BadText):
            leg(width, hl, hr, tl, tr)
        return
    outline = leg(width, hl, hr, tl, tr)
    points = [(0.0, 0.0), (width, 0.0), (x1, hr), (x0, hl)]
    shoelace = sum(
        ax * by - bx * ay
        for (ax, ay), (bx, by) in zip(points, points[1:] + points[:1], strict=True)
    )
    assert outline.loop.area == pytest.approx(shoelace / 2)
    assert outline.edges == LEG_EDGES
    bend = outline.loop.edges[0]
    assert isinstance(bend, Line)
    assert (bend.start, bend.end) == ((0.0, 0.0), (width, 0.0))


def test_leg_corners_are_left_and_right_as_seen() -> None:
    outline = leg(20.0, 10.0, 10.0, left_trim=Trim("chamfer", 2.0))
    chamfer = outline.loop.edges[outline.edges.index("corner_4")]
    assert max(chamfer.start[0], chamfer.end[0]) == pytest.approx(2.0)


def test_a_drawn_leg_begins_with_its_bend() -> None:
    drawn = polygon(
        [Vertex(p) for p in [(20.0, 0.0), (20.0, 8.0), (10.0, 12.0), (0.0, 8.0), (0.0, 0.0)]]
    )
    outline = as_leg(drawn)
    assert outline.edges[0] == "bend"
    assert outline.loop.edges[0].end == (20.0, 0.0)


def test_a_leg_must_stand_on_its_bend() -> None:
    with pytest.raises(BadText, match="stand on its bend"):
        as_leg(polygon([Vertex(p) for p in [(0.0, 0.0), (10.0, -1.0), (10.0, 5.0)]]))
    with pytest.raises(BadText, match="stand on its bend"):
        as_leg(polygon([Vertex(p) for p in [(1.0, 0.0), (10.0, 0.0), (10.0, 5.0)]]))


def front_notch(at: float, shape: str = "square", radius: float = 0.0) -> Outline:
    notch = Notch(edge="front", at=at, width=6.0, depth=4.0, shape=shape, radius=radius)  # type: ignore[arg-type]
    return notched(rectangle(30.0, 20.0), [notch])


def test_notches_take_their_area_out() -> None:
    assert front_notch(10.0).loop.area == pytest.approx(600 - 24)
    assert front_notch(10.0, "vee").loop.area == pytest.approx(600 - 12)
    assert front_notch(10.0, "round").loop.area == pytest.approx(600 - 6 - math.pi * 9 / 2)
    assert front_notch(10.0, "square", 1.0).loop.area == pytest.approx(
        600 - 24 + 2 * (1 - math.pi / 4)
    )
    assert front_notch(10.0, "square", 3.0).loop.area == pytest.approx(600 - 6 - math.pi * 9 / 2)


def test_a_notch_is_placed_from_the_left_looking_out() -> None:
    # Over the front edge, left is where x is greatest.
    outline = front_notch(10.0)
    named = dict(zip(outline.edges, outline.loop.edges, strict=True))
    assert named["front_1"].start == pytest.approx((23.0, 0.0))
    assert named["front_1"].end == pytest.approx((30.0, 0.0))
    assert named["front_2"].end == pytest.approx((17.0, 0.0))


def test_two_notches_are_counted_from_the_left() -> None:
    notches = [Notch(edge="tip", at=at, width=2.0, depth=1.0) for at in (15.0, 5.0)]
    outline = notched(leg(20.0, 10.0, 10.0), notches)
    named = dict(zip(outline.edges, outline.loop.edges, strict=True))
    # Over a leg's tip, left is x = 0.
    assert named["tip_1"].end == pytest.approx((0.0, 10.0))
    assert named["tip_2"].point(0.5)[0] == pytest.approx(10.0)
    assert named["tip_3"].start == pytest.approx((20.0, 10.0))


def test_notches_that_do_not_fit() -> None:
    for at in (2.0, 29.0):
        with pytest.raises(BadText, match="runs over the end"):
            front_notch(at)
    with pytest.raises(BadText, match=r"runs over the end|into"):
        notched(
            rectangle(30.0, 20.0),
            [Notch(edge="front", at=at, width=6.0, depth=4.0) for at in (10.0, 13.0)],
        )
    with pytest.raises(BadText, match="in the edge `bend`"):
        notched(leg(20.0, 10.0, 10.0), [Notch(edge="bend", at=5.0, width=1.0, depth=1.0)])


def test_every_arc_joins_tangent() -> None:
    outline = rectangle(30.0, 20.0, [Trim("radius", 4.0)] * 4)
    edges = outline.loop.edges
    for before, after in zip(edges, edges[1:] + edges[:1], strict=True):
        if isinstance(before, Arc) or isinstance(after, Arc):
            assert before.direction(1.0) == pytest.approx(after.direction(0.0), abs=1e-12)
