"""Solids that were made and saved by other general-purpose libraries than ours.

Both stand on earlier issues of the kernel that we use (7.8), each with its own way of building a
solid: gmsh 4.15.2 drew the channel's section as lines and arcs and swept it, then turned it in
space; netgen-mesher 6 fused two plates and rounded their corner. Sizes are those given to them;
developed lengths are worked out by hand below.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from blankwright.develop.unfold.result import Unfolded
from blankwright.develop.unfold.unfold import UnfoldWishes
from blankwright.files.kernel import blanks_of_step

STEP = Path(__file__).parents[2] / "corpus" / "step"
K = 0.4
WISHES = UnfoldWishes(rule=lambda r, t, a: (a * (r + K * t), K))


def blank_of(name: str) -> Unfolded:
    (result,) = blanks_of_step(STEP / name, WISHES)
    assert isinstance(result, Unfolded)
    return result


def test_a_channel_drawn_as_its_section_and_swept() -> None:
    t, r, web, leg, long = 1.2, 3.0, 50.0, 22.0, 80.0
    blank = blank_of("channel-by-gmsh.step").blank
    bend = math.pi / 2 * (r + K * t)
    wide = 2 * (leg - r - t) + (web - 2 * (r + t)) + 2 * bend
    assert blank.thickness == pytest.approx(t, abs=1e-6)
    assert sorted(blank.size) == pytest.approx(sorted((long, wide)), abs=1e-6)
    assert [(b.up, round(math.degrees(b.angle), 6), b.inside_radius) for b in blank.bends] == [
        (True, 90.0, pytest.approx(r, abs=1e-6))
    ] * 2
    # Two holes of 5.2 mm in the web, and a window of 6 by 20 mm in one leg.
    openings = 2 * math.pi * 2.6**2 + 6 * 20
    assert blank.outline.area == pytest.approx(long * wide - openings, abs=1e-4)


def test_an_angle_fused_from_two_plates_and_rounded() -> None:
    t, r, base, wall, long = 1.6, 4.0, 45.0, 30.0, 70.0
    blank = blank_of("angle-by-netgen.step").blank
    bend = math.pi / 2 * (r + K * t)
    wide = base + wall - 2 * (r + t) + bend
    assert blank.thickness == pytest.approx(t, abs=1e-6)
    assert sorted(blank.size) == pytest.approx(sorted((long, wide)), abs=1e-6)
    (only,) = blank.bends
    assert only.inside_radius == pytest.approx(r, abs=1e-6)
    # Two holes of 5 mm, and 10 mm of the bend's length cut away, 12 mm up and 12 mm along.
    notch = 10 * (2 * (12 - r - t) + bend)
    assert blank.outline.area == pytest.approx(long * wide - notch - 2 * math.pi * 2.5**2, abs=1e-4)
