"""Rows, grids and rings."""

from __future__ import annotations

import math

import pytest

from blankwright.base.quantities import BadText
from blankwright.part.patterns import count_for_pitch, grid, ring, row, row_between


def points(members: list[tuple[tuple[float, float], float]]) -> list[tuple[float, float]]:
    return [p for p, _ in members]


def test_row() -> None:
    assert points(row((1.0, 2.0), 3, 10.0, 0.0)) == [(1.0, 2.0), (11.0, 2.0), (21.0, 2.0)]
    last = points(row((0.0, 0.0), 4, 10.0, math.radians(30)))[-1]
    assert last == pytest.approx((30 * math.cos(math.radians(30)), 15.0))


def test_row_between_has_both_ends() -> None:
    got = points(row_between((0.0, 0.0), (30.0, 40.0), 6))
    assert got[0] == (0.0, 0.0)
    assert got[-1] == pytest.approx((30.0, 40.0))
    assert got[1] == pytest.approx((6.0, 8.0))
    with pytest.raises(BadText):
        row_between((0.0, 0.0), (1.0, 0.0), 1)


@pytest.mark.parametrize(
    ("length", "most", "count"),
    [(100.0, 25.0, 5), (100.0, 24.9, 6), (100.0, 100.0, 2), (5.0, 99.0, 2)],
)
def test_greatest_pitch(length: float, most: float, count: int) -> None:
    assert count_for_pitch((0.0, 0.0), (length, 0.0), most) == count
    assert length / (count - 1) <= most


def test_even_division_gains_no_hole_from_rounding() -> None:
    for n in range(1, 60):
        pitch = 22.225
        assert count_for_pitch((0.0, 0.0), (n * pitch, 0.0), pitch) == n + 1


def test_grid() -> None:
    got = points(grid((0.0, 0.0), 3, 2, 10.0, 5.0))
    assert got == [(0, 0), (10, 0), (20, 0), (0, 5), (10, 5), (20, 5)]
    turned = points(grid((0.0, 0.0), 2, 2, 10.0, 5.0, math.pi / 2))
    assert turned[1] == pytest.approx((0.0, 10.0))
    assert turned[2] == pytest.approx((-5.0, 0.0))


def test_ring() -> None:
    got = ring((5.0, 5.0), 4, 20.0, 0.0, True)
    assert [p for p, _ in got][1] == pytest.approx((5.0, 15.0))
    assert [turn for _, turn in got] == pytest.approx([0, math.pi / 2, math.pi, 3 * math.pi / 2])
    assert {turn for _, turn in ring((0.0, 0.0), 5, 9.0, 0.3, False)} == {0.0}


def test_too_many() -> None:
    for count in (0, 5001):
        with pytest.raises(BadText):
            row((0.0, 0.0), count, 1.0, 0.0)
