"""Tables worked out whole, in rounds, against each state worked out on its own."""

from __future__ import annotations

import numpy as np
import pytest

import bend_shops
from bend_shops import block, brake, planned, vise
from blankwright.bending import state_tables
from blankwright.bending.grown import Grown
from blankwright.bending.lay import Lay
from blankwright.bending.pairs import PairsInTable, PairsSorted
from blankwright.bending.pool import Pool
from blankwright.bending.rooms import Rooms
from blankwright.develop.formed import form


def rooms_one_by_one(plan, masks):
    """Every way in every state, from tables that only ever see that state."""
    found = []
    for mask in masks.tolist():
        rooms = Rooms(plan.rooms.ways, plan.shop.tools, plan.shop.costs)
        rooms._all_slots = 0
        found.append(rooms(plan.rooms.ways, np.array([mask])))
    return found


@pytest.mark.parametrize(
    ("part", "tools"),
    [
        (bend_shops.corrugated(5, flat=25.0, degrees=90.0), (brake(),)),
        (bend_shops.hat(), (brake(leaf_depth=20.0), block())),
        (bend_shops.small_random_part(31, most=4), (brake(), vise())),
        (bend_shops.tube(), (brake(),)),
    ],
)
def test_rounds_and_shared_tables_change_nothing(part, tools, monkeypatch):
    # Rounds from the first slot on.
    monkeypatch.setattr(state_tables, "_MANY", 0)
    monkeypatch.setattr(state_tables, "_ROUNDS", (0, 1, 2, 99))
    plan = planned(part, *tools)
    masks = np.arange(1 << len(plan.blank.bends))
    together = Rooms(plan.rooms.ways, plan.shop.tools, plan.shop.costs)(plan.rooms.ways, masks)
    compared = 0
    for mask, alone in zip(masks.tolist(), rooms_one_by_one(plan, masks), strict=True):
        for way, of_way in enumerate(alone):
            own = {price: room[0] for price, room in of_way}
            shared = {price: room[mask] for price, room in together[way]}
            for price in own.keys() | shared.keys():
                assert own.get(price, -1.0) == pytest.approx(shared.get(price, -1.0), abs=1e-9)
                compared += 1
    assert compared > 40


@pytest.mark.parametrize("seed", range(4))
def test_pieces_lie_where_the_formed_part_has_them(seed):
    """A pool's poses against `form`: each flat of the part in a state, seen from the held one."""
    part = bend_shops.small_random_part(40 + seed, most=5)
    plan = planned(part, brake())
    blank = plan.blank
    for way in plan.rooms.ways[:6]:
        lay = way.lay
        pool = Pool(Lay(lay.tree, lay.group, lay.parent_held))
        free = [j for j in range(len(blank.bends)) if not lay.mask >> j & 1]
        for mask in (0, sum(1 << j for j in free[::2]), sum(1 << j for j in free)):
            slots = pool.slots_of(np.array([mask]))[:, 0]
            state = {b.name: float(mask >> j & 1) for j, b in enumerate(blank.bends)}
            formed = form(blank, state)
            start = next(f for f, _ in lay.sides)
            back = formed.flats[lay.tree.names[start]].inverse()
            for flat, name in enumerate(lay.tree.names):
                if lay.paths[flat][0] != start:
                    continue
                wanted = formed.flats[name].then(back).then(lay.frame).matrix()
                assert pool._pose.all[slots[flat]] == pytest.approx(wanted, abs=1e-6)


def test_both_kinds_of_pairs_remember_alike():
    rng = np.random.default_rng(3)
    numbers = np.concatenate((np.arange(6), np.arange(5)))  # slots 0-5 one side, 6-10 the other
    kept = (PairsInTable(numbers, (6, 5)), PairsSorted())
    truth = rng.random((6, 5)) < 0.4
    for _ in range(6):
        a, b = rng.integers(0, 6, 9), rng.integers(6, 11, 9)
        for pairs in kept:
            new_a, new_b = pairs.unknown(a, b)
            pairs.add(new_a, new_b, truth[new_a, new_b - 6])
            assert not len(pairs.unknown(a, b)[0])
            assert (pairs.meets(a, b) == truth[a, b - 6]).all()


def test_rows_grow():
    grown = Grown((2,))
    rows = [np.full((n, 2), float(n)) for n in (3, 70, 1, 500)]
    for some in rows:
        grown.add(some)
    assert (grown.all == np.concatenate(rows)).all()
    assert len(grown) == 574
