"""The search against trying every order."""

from __future__ import annotations

import pytest

import bend_shops
import samples
from bend_shops import block, brake, planned, solid, tried_all, vise
from blankwright.bending.blocking import smallest_blocking
from blankwright.bending.search import widest

SEEDS = range(24)


@pytest.mark.parametrize("seed", SEEDS)
def test_search_equals_every_order_tried(seed):
    part = bend_shops.small_random_part(seed, most=4)
    tools = [(brake(),), (solid(),), (brake(), vise()), (brake(leaf_depth=10.0), block())][seed % 4]
    plan = planned(part, *tools)
    assert plan.proved
    assert plan.cost == pytest.approx(tried_all(plan), abs=1e-6)
    assert sum(step.cost for step in plan.steps) == pytest.approx(plan.cost) or not plan.found


@pytest.mark.slow
@pytest.mark.parametrize(
    ("seed", "bends"), [(1003, 7), (1013, 7), (1004, 6), (1005, 6), (1007, 6), (1015, 5), (1008, 4)]
)
def test_search_equals_every_order_tried_up_to_seven_bends(seed, bends):
    part = bend_shops.small_random_part(seed, most=7)
    assert len(part.bends) == bends
    plan = planned(part, brake(leaf_depth=12.0), block())
    assert plan.cost == pytest.approx(tried_all(plan), abs=1e-6)


def test_pruned_search_says_so():
    part = samples.tray(returns=False)
    whole = planned(part)
    narrow = planned(part, exact=2, beam=3)
    assert whole.proved
    assert not narrow.proved
    assert narrow.cost >= whole.cost - 1e-9


def test_pruned_search_that_never_had_to_cut_is_proved():
    plan = planned(samples.tray(returns=False), exact=2, beam=1000)
    assert plan.proved


def test_widest_sets():
    import numpy as np

    levels = [np.array([0]), np.array([1, 2, 4]), np.array([3])]
    assert set(widest(levels)) == {3, 4}


@pytest.mark.parametrize(
    ("sets", "bends", "size"),
    [
        ((0b0011, 0b1100), 4, 2),  # one of each half blocks
        ((0b0111, 0b1011, 0b1101, 0b1110), 4, 4),  # all four, no fewer
        ((0b110,), 3, 1),
        ((0,), 3, 1),
    ],
)
def test_smallest_blocking_set_is_minimal(sets, bends, size):
    import itertools

    chosen = smallest_blocking(sets, bends)
    assert len(chosen) == size

    def blocks(some):
        mask = sum(1 << j for j in some)
        return not any(mask & s == mask for s in sets)

    assert blocks(chosen)
    for less in itertools.combinations(chosen, len(chosen) - 1):
        assert not blocks(less)


def test_twelve_bends_are_proved():
    plan = planned(bend_shops.pan(), brake(length=610.0, widths=()), block())
    assert plan.found
    assert plan.proved
    assert sorted(bend_shops.order(plan)) == sorted(b.name for b in plan.blank.bends)
    assert sum(step.cost for step in plan.steps) == pytest.approx(plan.cost)


@pytest.mark.slow
def test_twenty_bends_have_a_plan_that_says_it_is_not_proved():
    plan = planned(bend_shops.corrugated(20), brake())
    assert plan.found
    assert not plan.proved
    assert len(bend_shops.order(plan)) == 20


def test_tabs_of_one_kind_on_one_line_go_together():
    plan = planned(bend_shops.comb(4), brake(length=610.0, widths=()), block())
    assert plan.found
    assert sorted(len(step.bends) for step in plan.steps) == [2, 2, 2, 2]
