"""Laws of bend plans over random parts."""

from __future__ import annotations

from dataclasses import replace

import pytest

import bend_shops
from bend_shops import FINGERS, block, brake, planned
from blankwright.part.mirror import mirrored

SEEDS = range(8)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_other_hand_costs_the_same(seed):
    part = bend_shops.small_random_part(500 + seed, most=3)
    a = planned(part, brake(leaf_depth=20.0))
    b = planned(mirrored(part), brake(leaf_depth=20.0))
    assert a.found == b.found
    if a.found:
        assert a.cost == pytest.approx(b.cost, abs=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_better_equipped_shop_never_does_worse(seed):
    part = bend_shops.small_random_part(600 + seed, most=3)
    few = planned(part, brake(widths=(100.0, 50.0)))
    more = planned(part, brake(widths=(*FINGERS, 100.0, 50.0)))
    suited = planned(part, brake(cut_to_suit=True))
    with_block = planned(part, brake(widths=(100.0, 50.0)), block())
    for better in (more, suited, with_block):
        assert better.cost <= few.cost + 1e-6


@pytest.mark.parametrize("seed", SEEDS)
def test_a_smaller_tool_is_never_more_in_the_way(seed):
    part = bend_shops.small_random_part(700 + seed, most=3)
    full = brake(widths=(), length=400.0)
    slender = replace(full, leaf_depth=12.0, bed_height=30.0, beam=(), lift=60.0, bed_depth=60.0)
    assert planned(part, slender).cost <= planned(part, full).cost + 1e-6


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_made_stays_made(seed):
    """Steps make each bend once; each step's state is what the steps before it made."""
    part = bend_shops.small_random_part(800 + seed, most=4)
    plan = planned(part, brake(leaf_depth=12.0), block())
    made = 0
    for step in plan.steps:
        assert step.before == made
        assert made & step.way.mask == 0
        made |= step.way.mask
        x0, x1 = step.bar
        assert x1 - x0 == pytest.approx(step.run)
        a, b = step.way.lay.stretch
        assert x0 <= a + step.tool.short + 1e-6
        assert x1 >= b - step.tool.short - 1e-6
    if plan.found:
        assert made == (1 << len(plan.blank.bends)) - 1
