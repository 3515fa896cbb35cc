"""Metal that runs into metal, on parts whose answer is plain."""

from __future__ import annotations

import pytest

import samples
from blankwright.develop.collide import clashes
from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import form
from blankwright.part.model import CornerRule


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
