"""The order that turns over and sets up least, against every order there is."""

import itertools
import random
from dataclasses import replace

from blankwright.book.batches import Batches, best_batches
from blankwright.book.needs import After, Job, Supply, Takes, Work
from book_fixtures import NOW

TURN, SET_UP = 1.0, 0.4


def random_work(dice: random.Random, count: int) -> Work:
    made = {}
    for n in range(1, count + 1):
        firsts = dice.sample(range(1, n), k=min(n - 1, dice.choice([0, 1, 1, 2])))
        made[n] = Job(
            number=n,
            title=f"task {n}",
            after=tuple(After(task=k) for k in firsts),
            position=dice.choice(["", "upright", "inverted", "on its side"]),
            setup=dice.choice(["", "", "brake A", "brake B", "dimpler"]),
        )
    return Work(jobs=made, position=dice.choice(["", "upright", "inverted"]))


def cost_of(order: tuple[int, ...], work: Work, setup: str) -> float:
    """What an order costs: every change of position or setup, counted one by one."""
    position, cost = work.position, 0.0
    for n in order:
        job = work.jobs[n]
        if job.position:
            cost += TURN if position and position != job.position else 0.0
            position = job.position
        if job.setup:
            cost += SET_UP if setup and setup != job.setup else 0.0
            setup = job.setup
    return cost


def can_be_followed(order: tuple[int, ...], work: Work) -> bool:
    place = {n: k for k, n in enumerate(order)}
    return all(
        place[a.task] < place[n] for n in order for a in work.jobs[n].after if a.task in place
    )


def order_of(found: Batches) -> tuple[int, ...]:
    return tuple(n for batch in found.batches for n in batch.tasks)


def test_no_order_costs_less() -> None:
    dice = random.Random(1)
    costs = set()
    for _ in range(120):
        work = random_work(dice, 6)
        setup = dice.choice(["", "brake A"])
        best = min(
            cost_of(order, work, setup)
            for order in itertools.permutations(work.jobs)
            if can_be_followed(order, work)
        )
        found = best_batches(work, turn_hours=TURN, setup_hours=SET_UP, setup=setup)
        order = order_of(found)
        assert sorted(order) == sorted(work.jobs)
        assert can_be_followed(order, work)
        assert abs(found.cost - best) < 1e-9
        assert abs(cost_of(order, work, setup) - best) < 1e-9
        assert found.proved
        for batch in found.batches:
            for n in batch.tasks:
                assert work.jobs[n].position in ("", batch.position)
                assert work.jobs[n].setup in ("", batch.setup)
        costs.add(round(best, 3))
    assert len(costs) > 5


def test_doing_all_of_one_side_first_is_seen() -> None:
    work = Work(
        jobs={
            n: Job(number=n, title="x", position="inverted" if n % 2 else "upright")
            for n in range(1, 11)
        },
        position="upright",
    )
    found = best_batches(work)
    assert [(b.position, b.turned, b.tasks) for b in found.batches] == [
        ("upright", False, (2, 4, 6, 8, 10)),
        ("inverted", True, (1, 3, 5, 7, 9)),
    ]
    assert (found.cost, found.proved) == (1.0, True)


def test_what_waits_is_left_out_with_all_that_hangs_on_it() -> None:
    work = Work(
        jobs={
            1: Job(number=1, title="nuts", takes=(Takes(hardware=1, quantity=2),)),
            2: Job(number=2, title="cover", after=(After(task=1),)),
            3: Job(number=3, title="tray"),
            4: Job(number=4, title="close", stages=(1,)),
            5: Job(number=5, title="done", done_at=NOW),
        },
        supplies={1: Supply(number="nut")},
        unseen={1: "run"},
    )
    found = best_batches(work)
    assert (order_of(found), found.left_out) == ((3,), (1, 2, 4))
    assert order_of(best_batches(work, waits_over=True)) == (1, 2, 3, 4)


def test_a_large_shop_gets_an_order_and_an_honest_word() -> None:
    dice = random.Random(8)
    work = random_work(dice, 300)
    jobs = {
        n: replace(job, setup=f"setup {dice.randrange(14)}" if job.setup else "")
        for n, job in work.jobs.items()
    }
    work = replace(work, jobs=jobs)
    found = best_batches(work, turn_hours=TURN, setup_hours=SET_UP, most_steps=60_000)
    order = order_of(found)
    assert sorted(order) == sorted(jobs)
    assert can_be_followed(order, work)
    assert abs(cost_of(order, work, "") - found.cost) < 1e-9
    assert not found.proved
    by_number = cost_of(tuple(jobs), work, "")
    assert found.cost < by_number / 2


def test_nothing_to_do() -> None:
    assert best_batches(Work(jobs={})) == Batches(batches=(), cost=0.0, proved=True, left_out=())
