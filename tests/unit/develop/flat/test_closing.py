"""Loops, lines across, repairs and places that are not clear."""

from __future__ import annotations

import math

import pytest

from blankwright.develop.flat.clean import Traced, cleaned
from blankwright.develop.flat.closing import sort_edges
from blankwright.geom.edges import Arc, Line


def line(x0, y0, x1, y1):
    return Line((x0, y0), (x1, y1))


def rectangle(x0, y0, x1, y1):
    return [line(x0, y0, x1, y0), line(x1, y0, x1, y1), line(x1, y1, x0, y1), line(x0, y1, x0, y0)]


def sort(edges, closes=0.02):
    return sort_edges([Traced(edge, i) for i, edge in enumerate(edges)], closes)


def kinds(edges, near=0.02):
    kept, repairs = cleaned([Traced(edge, i) for i, edge in enumerate(edges)], near)
    return [traced.edge for traced in kept], [repair.what for repair in repairs]


def test_a_short_step_beside_a_long_line_is_no_double():
    step = line(50, 0, 50, 0.015)
    kept, repairs = kinds([line(0, 0, 50, 0), step, line(50, 0.015, 100, 0.015)])
    assert step in kept
    assert not repairs


def test_overlapping_lines_become_one():
    kept, repairs = kinds([line(0, 0, 60, 0), line(100, 0, 40, 0)])
    assert [{edge.start, edge.end} for edge in kept] == [{(0, 0), (100, 0)}]
    assert repairs == ["overlap"]


def test_lines_end_to_end_stay_two():
    kept, repairs = kinds([line(0, 0, 60, 0), line(60, 0, 100, 0)])
    assert len(kept) == 2
    assert not repairs


def test_overlapping_arcs_become_one_and_a_circle_swallows_its_arcs():
    half, more = Arc((0, 0), 5, 0.0, math.pi), Arc((0, 0), 5, math.pi * 1.5, -math.pi)
    kept, _ = kinds([half, more])
    assert len(kept) == 1
    assert kept[0].sweep == pytest.approx(1.5 * math.pi)
    kept, repairs = kinds([half, Arc.circle((0, 0), 5), more])
    assert len(kept) == 1
    assert kept[0].is_circle
    assert len(repairs) == 2


def test_lines_across_are_open_wherever_they_end():
    found = sort([*rectangle(0, 0, 100, 60), line(30, 0, 30, 60), line(70, -5, 70, 65)])
    (loop,) = found.loops
    assert loop.loop.area == pytest.approx(6000)
    assert len(loop.loop.edges) == 4
    assert {round(piece.edge.start[0]) for piece in found.open} == {30, 70}


def test_openings_joined_by_bend_lines_are_found():
    found = sort(
        [
            *rectangle(0, 0, 100, 60),
            *rectangle(40, 20, 60, 40),
            line(50, 0, 50, 20),
            line(50, 40, 50, 60),
        ]
    )
    assert sorted(loop.loop.area for loop in found.loops) == pytest.approx([400, 6000])
    assert len(found.open) == 2


def test_two_openings_joined_twice_are_not_clear():
    found = sort(
        [
            *rectangle(0, 0, 100, 60),
            *rectangle(20, 10, 30, 50),
            *rectangle(70, 10, 80, 50),
            line(30, 20, 70, 20),
            line(30, 40, 70, 40),
        ]
    )
    opening = min(found.loops, key=lambda loop: loop.loop.area)
    assert len(opening.branches) == 4


def test_loops_that_touch_in_a_point_are_two():
    found = sort([*rectangle(0, 0, 10, 10), *rectangle(10, 10, 20, 20)])
    assert sorted(loop.loop.area for loop in found.loops) == pytest.approx([100, 100])


def test_a_gap_between_two_arcs_is_bridged():
    upper = Arc((0, 0), 10, 0.0005, math.pi - 0.001)
    lower = Arc((0, 0), 10, math.pi, math.pi)
    found = sort([upper, lower])
    (loop,) = found.loops
    assert loop.loop.area == pytest.approx(math.pi * 100, abs=0.01)
    assert [repair.what for repair in found.repairs] == ["gap closed"] * 2


def test_line_and_arc_are_brought_to_where_they_cross():
    arc = Arc((0, 0), 10, -math.pi / 2, math.pi)
    found = sort(
        [arc, line(0, 10.0, -20, 10.0), line(-20, 10, -20, -10), line(-20, -10, -0.01, -10)]
    )
    (loop,) = found.loops
    assert loop.loop.area == pytest.approx(400 + math.pi * 50, abs=0.01)
