"""Metal that runs into metal, on parts whose answer is plain."""

from __future__ import annotations

import dataclasses
import math

import pytest

import samples
from blankwright.develop.checks.common import Checked
from blankwright.develop.checks.corners import legs_apart
from blankwright.develop.collide import clashes
from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import form
from blankwright.geom.loop import Loop
from blankwright.part.model import Corner, CornerRule


def clash_pairs(part, state=1.0):
    found = clashes(form(develop_blank(part), state))
    return {frozenset((clash.first, clash.second)) for clash in found}


@pytest.mark.parametrize("rule", [CornerRule.OPEN, CornerRule.CLOSED, CornerRule.LAPPED])
def test_trimmed_corners_are_free(rule):
    assert clash_pairs(samples.tray(rule)) == set()


def test_corners_as_drawn_run_into_each_other():
    assert clash_pairs(samples.tray(CornerRule.AS_DRAWN, returns=False)) == {
        frozenset(pair)
        for pair in (("front", "right"), ("right", "back"), ("back", "left"), ("left", "front"))
    }


@pytest.mark.parametrize(("gap", "clash"), [(0.02, False), (-0.1, True)])
def test_corner_gap_to_the_tenth(gap, clash):
    found = clash_pairs(samples.tray(CornerRule.CLOSED, returns=False, gap=gap))
    assert bool(found) == clash


@pytest.mark.parametrize(("height", "clash"), [(24.9, False), (25.5, True)])
def test_returns_that_meet_in_the_middle(height, clash):
    """Two returns at one height across a channel of 50.8: they meet over half its width."""
    part = samples.channel(web=50.8)
    bends = (
        *part.bends,
        samples.bend("rf", "front", "tip", 80.0, height, radius=4.064),
        samples.bend("rb", "back", "tip", 80.0, height, radius=4.064),
    )
    found = clash_pairs(samples.part(part.root, bends, alloy="2024-T3"))
    assert (frozenset(("rf", "rb")) in found) == clash


def test_curl_that_runs_into_its_own_flat():
    """Four bends of 90° the same way close on the web: the last leg runs through it."""
    bends = [samples.bend("a", "web", "back", 80.0, 20.0)]
    for before, name, height in (("a", "b", 20.0), ("b", "c", 25.0)):
        bends.append(samples.bend(name, before, "tip", 80.0, height))
    part = samples.part(samples.flat("web", 80.0, 50.0), bends)
    assert clash_pairs(part) == {frozenset(("web", "c"))}


HEXAGON = [
    (60 + 50 * math.cos(k * math.pi / 3), 60 + 50 * math.sin(k * math.pi / 3)) for k in range(6)
]
TRAPEZE = [(0, 0), (140, 0), (100, 80), (40, 80)]


@pytest.mark.parametrize("up", [True, False])
@pytest.mark.parametrize("degrees", [60.0, 90.0, 110.0, 135.0])
@pytest.mark.parametrize("corners", [HEXAGON, TRAPEZE])
def test_closed_corners_of_any_angle_stand_the_gap_apart_and_are_free(corners, degrees, up):
    """Walls on every side of a floor that is no rectangle, bent to any angle, meet at the gap."""
    n = len(corners)
    root = dataclasses.replace(
        samples.flat("floor", 1, 1),
        outline=Loop.polygon(corners),
        edges=tuple(f"e{i}" for i in range(n)),
    )
    lengths = [math.dist(corners[i], corners[(i + 1) % n]) for i in range(n)]
    bends = [
        samples.bend(f"b{i}", "floor", f"e{i}", length, 25.0, angle=degrees, up=up)
        for i, length in enumerate(lengths)
    ]
    pairs = [(f"b{i}", f"b{(i + 1) % n}") for i in range(n)]
    shared = tuple(Corner(first=a, second=b, rule=CornerRule.CLOSED, gap=0.3) for a, b in pairs)
    part = samples.part(root, bends, corners=shared)
    blank = develop_blank(part)
    formed = form(blank)
    assert clashes(formed) == ()
    checked = Checked(part=part, blank=blank, formed=formed)
    for a, b in pairs:
        gap, _ = legs_apart(checked, a, b)
        assert gap >= 0.3 - 1e-6, (a, b)
        # Walls that flare out part more as they rise: their outlines would have to widen.
        if degrees >= 90.0:
            assert gap == pytest.approx(0.3, abs=1e-6), (a, b)
