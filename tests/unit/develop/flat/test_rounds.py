"""Circles and arcs drawn as short lines."""

import math

import pytest

from blankwright.develop.flat.rounds import rounded
from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop


def polygon(n, radius=10.0, digits=4, center=(30.0, 20.0)):
    points = [
        (
            round(center[0] + radius * math.cos(math.tau * i / n), digits),
            round(center[1] + radius * math.sin(math.tau * i / n), digits),
        )
        for i in range(n)
    ]
    return Loop(tuple(Line(a, b) for a, b in zip(points, points[1:] + points[:1], strict=True)))


@pytest.mark.parametrize("n", [12, 24, 36, 72, 360])
@pytest.mark.parametrize("back", [False, True])
def test_many_sides_are_a_circle(n, back):
    loop = polygon(n)
    loop = loop.reversed() if back else loop
    result, (repair,) = rounded(loop)
    circle = result.as_circle
    assert circle is not None
    assert circle.radius == pytest.approx(10, abs=1e-4)
    assert circle.center == pytest.approx((30, 20), abs=1e-4)
    assert math.copysign(1, result.area) == math.copysign(1, loop.area)
    assert repair.size == pytest.approx(10 * (1 - math.cos(math.pi / n)), abs=1e-4)


@pytest.mark.parametrize("n", [3, 4, 6, 8, 11])
def test_few_sides_are_what_they_show(n):
    loop = polygon(n)
    assert rounded(loop) == (loop, ())


def test_sides_that_are_not_on_a_circle_stay():
    points = [
        (20 * math.cos(math.tau * i / 24), 10 * math.sin(math.tau * i / 24)) for i in range(24)
    ]
    loop = Loop(tuple(Line(a, b) for a, b in zip(points, points[1:] + points[:1], strict=True)))
    assert rounded(loop)[0] == loop


def slot(steps, digits=4):
    """A slot of 20 between centres and 5 wide, its ends drawn by lines."""
    points = []
    for x, begin in ((20.0, -90.0), (0.0, 90.0)):
        for i in range(steps + 1):
            a = math.radians(begin + 180 * i / steps)
            points.append((round(x + 5 * math.cos(a), digits), round(5 * math.sin(a), digits)))
    return Loop(tuple(Line(a, b) for a, b in zip(points, points[1:] + points[:1], strict=True)))


@pytest.mark.parametrize("steps", [10, 18, 45])
def test_ends_of_a_slot_are_arcs(steps):
    result, repairs = rounded(slot(steps))
    assert [repair.what for repair in repairs] == ["arc drawn as short lines"] * 2
    kinds = [type(edge).__name__ for edge in result.edges]
    assert sorted(kinds) == ["Arc", "Arc", "Line", "Line"]

    assert result.area == pytest.approx(200 + 25 * math.pi, abs=0.02)
    arcs = [edge for edge in result.edges if isinstance(edge, Arc)]
    assert [arc.radius for arc in arcs] == pytest.approx([5, 5], abs=1e-3)


def test_a_chamfered_corner_stays():
    points = [(0, 0), (50, 0), (50, 30), (45, 35), (0, 35)]
    loop = Loop(tuple(Line(a, b) for a, b in zip(points, points[1:] + points[:1], strict=True)))
    assert rounded(loop) == (loop, ())
