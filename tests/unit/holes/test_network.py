"""References of both ways adjusted together, by diagonals from crossing to crossing."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest

from blankwright.holes.network import MeasuredDiagonal, adjust_all
from blankwright.holes.placing import Measured, Way, Wish

BOX = (0.0, 0.0, 280.0, 180.0)
WIDE, HIGH = 300.0, 200.0
NAMES = {Way.UP: ["row-4", "row-5"], Way.ACROSS: ["sill", "top"]}
MEASURED = {
    Way.UP: [Measured(name="wide", first="row-4", second="row-5", distance=WIDE)],
    Way.ACROSS: [Measured(name="high", first="sill", second="top", distance=HIGH)],
}
SECOND = 0.01
"""What the square of the lean leaves over these lengths [mm]: 300 mm · 0.006² = 0.011 mm."""
WISHES = {
    Way.UP: [
        Wish(reference="row-4", edge=0.0, distance=10.0, label="left"),
        Wish(reference="row-5", edge=280.0, distance=-10.0, label="right"),
    ],
    Way.ACROSS: [Wish(reference="sill", edge=0.0, distance=10.0, label="front")],
}


def diagonals(lean: float, plus_minus: float = 0.5) -> list[MeasuredDiagonal]:
    """The diagonals of a parallelogram whose width and height, square across, are given.

    A second computation: its slanted sides are HIGH/cos(lean) and WIDE/cos(lean), and the law of
    cosines does the rest. Where those that run across rise to the right, the diagonal up to the
    right is the long one.
    """
    a, b = WIDE / math.cos(lean), HIGH / math.cos(lean)
    between = math.pi / 2 - lean
    short = math.sqrt(a * a + b * b - 2 * a * b * math.cos(between))
    long = math.sqrt(a * a + b * b + 2 * a * b * math.cos(between))
    return [
        MeasuredDiagonal(
            name="rising",
            start=("row-4", "sill"),
            end=("row-5", "top"),
            distance=long,
            plus_minus=plus_minus,
        ),
        MeasuredDiagonal(
            name="falling",
            start=("row-4", "top"),
            end=("row-5", "sill"),
            distance=short,
            plus_minus=plus_minus,
        ),
    ]


def adjusted(measured=MEASURED, lines=(), wishes=WISHES):
    return adjust_all(NAMES, measured, lines, wishes, BOX)


def test_square_references_have_no_lean():
    found = adjusted(lines=diagonals(0.0))
    assert found.lean == pytest.approx(0.0, abs=1e-9)
    assert found.contradictions == ()
    assert found.lines[Way.UP].at["row-4"] == pytest.approx((-10.0, -10.0))
    assert found.lines[Way.ACROSS].at["sill"] == pytest.approx((-10.0, -10.0))


def test_without_diagonals_nothing_is_known_of_square():
    found = adjusted()
    assert found.lean is None
    assert found.lines[Way.UP].at["row-5"] == pytest.approx((290.0, 290.0))


@pytest.mark.parametrize("lean", [0.002, -0.004, 0.01])
def test_one_diagonal_tells_the_lean(lean):
    for one in diagonals(lean):
        found = adjusted(lines=[one])
        assert found.lean == pytest.approx(lean, abs=3e-5)
        assert found.residuals[one.name] == pytest.approx(0.0, abs=1e-6)


def test_both_diagonals_agree_and_the_template_shares_what_is_out_of_square():
    lean = 0.006
    found = adjusted(lines=diagonals(lean))
    assert found.lean == pytest.approx(lean, abs=3e-5)
    assert found.contradictions == ()
    low, high = found.lines[Way.UP].at["row-4"]
    left, right = found.lines[Way.ACROSS].at["sill"]
    # Two sides of 180 mm speak for the rows, one of 280 mm for the sill.
    turned = lean * 280**2 / (2 * 180**2 + 280**2)
    assert high - low == pytest.approx(turned * 180, abs=0.01)
    # What is left between them is the lean, whatever the plate does.
    assert (right - left) / 280 + (high - low) / 180 == pytest.approx(lean, abs=3e-5)
    assert (low + high) / 2 == pytest.approx(-10.0, abs=SECOND)
    assert (left + right) / 2 == pytest.approx(-10.0, abs=SECOND)


def test_one_way_alone_takes_the_whole_turn():
    wishes = {Way.UP: WISHES[Way.UP]}
    found = adjusted(lines=diagonals(0.006), wishes=wishes)
    assert found.lines[Way.UP].at["row-4"] == pytest.approx((-10.0, -10.0), abs=SECOND)
    assert found.lines[Way.ACROSS].at == {}


def test_diagonals_that_contradict_the_sides_tell_by_how_much():
    """Both too long by 4 mm: no lean explains that, for it lengthens one and shortens the other."""
    true = diagonals(0.0)
    wrong = [replace(one, distance=one.distance + 4.0) for one in true]
    found = adjusted(lines=wrong)
    assert found.lean == pytest.approx(0.0, abs=1e-4)
    (one,) = found.contradictions
    # The others together (both sides, the other diagonal) say what this one should be. With the
    # other diagonal 4 too long as well, they say 4 less on the far side: 8 apart.
    assert one.name in ("rising", "falling")
    assert one.size == pytest.approx(8.0, abs=0.1)
    assert set(one.others) >= {"wide", "high"}


def test_a_misread_side_is_found_by_diagonals():
    measured = {**MEASURED, Way.UP: [replace(MEASURED[Way.UP][0], distance=WIDE + 6.0)]}
    found = adjusted(measured, diagonals(0.0))
    assert found.contradictions
    # 6 mm more width, seen along the diagonal: 6·300/360.6 = 5.0 on each of the two.
    assert max(c.size for c in found.contradictions) > 5.0


def test_all_is_adjusted_by_plus_minus():
    """A poor side gives way to good diagonals: they say how wide it is."""
    measured = {
        **MEASURED,
        Way.UP: [replace(MEASURED[Way.UP][0], distance=WIDE + 1.0, plus_minus=5.0)],
        Way.ACROSS: [replace(MEASURED[Way.ACROSS][0], plus_minus=0.01)],
    }
    found = adjusted(measured, diagonals(0.0, plus_minus=0.01))
    at = found.adjusted[Way.UP].at
    assert at["row-5", "low"] - at["row-4", "low"] == pytest.approx(WIDE, abs=0.01)
    assert found.contradictions == ()


def test_adjusted_crossings_have_the_diagonals():
    """Residuals are those of the lines in the template's own frame, measured anew."""
    dice = random.Random(5)
    for _ in range(20):
        lines = [
            replace(one, distance=one.distance + dice.uniform(-2, 2))
            for one in diagonals(dice.uniform(-0.01, 0.01))
        ]
        measured = {
            way: [replace(m, distance=m.distance + dice.uniform(-1, 1)) for m in some]
            for way, some in MEASURED.items()
        }
        wishes = {**WISHES, Way.ACROSS: WISHES[Way.ACROSS]}
        found = adjusted(measured, lines, wishes)
        for one in lines:
            p, q = (_meet(found, *pair) for pair in (one.start, one.end))
            assert math.dist(p, q) - one.distance == pytest.approx(
                found.residuals[one.name], abs=1e-6
            )


def _meet(found, up, across):
    """Where two lines cross, by going to and fro between them."""
    (a, b), (c, d) = found.lines[Way.UP].at[up], found.lines[Way.ACROSS].at[across]
    x = y = 0.0
    for _ in range(60):
        x = a + (b - a) * (y - BOX[1]) / (BOX[3] - BOX[1])
        y = c + (d - c) * (x - BOX[0]) / (BOX[2] - BOX[0])
    return x, y
