"""The critical chain, against every path there is."""

import random
from dataclasses import replace

import pytest

from blankwright.base.errors import BadInput, NotPossible
from blankwright.book.chain import critical_chain
from blankwright.book.needs import After, Job, Supply, Takes, Work
from book_fixtures import NOW, hours

EXACT = 1e-9
"""Sums of a few short binary numbers [h]."""


def random_work(dice: random.Random, count: int) -> Work:
    made = {}
    for n in range(1, count + 1):
        firsts = dice.sample(range(1, n), k=min(n - 1, dice.choice([0, 1, 1, 2, 3])))
        made[n] = Job(
            number=n,
            title=f"task {n}",
            hours=dice.choice([0.25, 0.5, 1.0, 2.0, 3.5]),
            after=tuple(After(task=k, hours=dice.choice([0, 0, 6, 24])) for k in firsts),
            takes=(Takes(hardware=1, quantity=5),) if dice.random() < 0.2 else (),
            done_at=NOW - hours(dice.choice([1, 12])) if dice.random() < 0.15 else None,
        )
    return Work(
        jobs=made,
        supplies={1: Supply(number="one", in_hand=1, on_order=9, due=NOW + hours(30))},
    )


def all_paths(work: Work, stretch: float) -> dict[tuple[int, ...], float]:
    """Every chain of tasks not done with its length, waits before its first task included."""
    undone = {n for n, job in work.jobs.items() if job.done_at is None}

    def release(n: int) -> float:
        job = work.jobs[n]
        waits = [0.0, *(30.0 for _ in job.takes)]
        for after in job.after:
            done = work.jobs[after.task].done_at
            if done is not None:
                waits.append(after.hours - (NOW - done) / hours(1))
        return max(waits)

    found: dict[tuple[int, ...], float] = {}

    def go_on(path: tuple[int, ...], length: float) -> None:
        found[path] = length
        for n in undone:
            for after in work.jobs[n].after:
                if after.task == path[-1]:
                    go_on((*path, n), length + after.hours + work.jobs[n].hours * stretch)

    for n in undone:
        go_on((n,), release(n) + work.jobs[n].hours * stretch)
    return found


def test_length_chain_and_slack_against_every_path() -> None:
    dice = random.Random(77)
    for _ in range(200):
        work = random_work(dice, 8)
        hours_a_day = dice.choice([24.0, 2.0])
        stretch = 24.0 / hours_a_day
        chain = critical_chain(work, NOW, hours_a_day=hours_a_day)
        paths = all_paths(work, stretch)
        longest = max(paths.values(), default=0.0)
        assert chain.length == pytest.approx(longest, abs=EXACT)
        if paths:
            assert paths[tuple(link.task for link in chain.links)] == pytest.approx(
                longest, abs=EXACT
            )
        for n, times in chain.times.items():
            through = max(length for path, length in paths.items() if n in path)
            assert times.slack == pytest.approx(longest - through, abs=EXACT)
            assert times.finish - times.start == pytest.approx(
                times.latest_finish - times.latest_start, abs=EXACT
            )


def test_delaying_a_task_by_its_slack_delays_nothing_and_by_more_does() -> None:
    dice = random.Random(3)
    for _ in range(60):
        work = random_work(dice, 7)
        chain = critical_chain(work, NOW)
        for n, times in chain.times.items():
            for extra, grows in ((times.slack, False), (times.slack + 0.5, True)):
                slower = dict(work.jobs)
                slower[n] = replace(slower[n], hours=slower[n].hours + extra)
                length = critical_chain(replace(work, jobs=slower), NOW).length
                assert (length > chain.length + EXACT) == grows


def test_a_cure_and_a_delivery_are_links_of_the_chain() -> None:
    work = Work(
        jobs={
            1: Job(number=1, title="glue", hours=1, takes=(Takes(hardware=1, quantity=2),)),
            2: Job(number=2, title="rivet", hours=2, after=(After(task=1, hours=24),)),
            3: Job(number=3, title="paint", hours=3),
        },
        supplies={1: Supply(number="strip", in_hand=0, on_order=2, due=NOW + hours(72))},
    )
    chain = critical_chain(work, NOW, hours_a_day=2.0)
    assert [(k.task, k.wait, k.wait_for) for k in chain.links] == [
        (1, 72.0, "delivery of strip"),
        (2, 24.0, "cure of glue"),
    ]
    assert chain.length == 72 + 12 + 24 + 24
    assert chain.work == 6
    assert chain.alone == chain.length
    assert chain.times[3].slack == chain.length - 36


def test_one_pair_of_hands_needs_all_the_work() -> None:
    work = Work(jobs={n: Job(number=n, title="x", hours=2) for n in range(1, 6)})
    chain = critical_chain(work, NOW, hours_a_day=2.0)
    assert (chain.length, chain.alone) == (24.0, 120.0)


def test_hardware_with_no_date_is_said() -> None:
    work = Work(
        jobs={1: Job(number=1, title="x", hours=2, takes=(Takes(hardware=4, quantity=2),))},
        supplies={4: Supply(number="nut")},
    )
    assert critical_chain(work, NOW).no_date == (4,)


def test_nothing_to_do_and_bad_hours() -> None:
    chain = critical_chain(Work(jobs={}), NOW)
    assert (chain.length, chain.links, chain.times) == (0.0, (), {})
    for bad in (0.0, -1.0, 25.0, float("nan")):
        with pytest.raises(BadInput, match="BOOK-031"):
            critical_chain(Work(jobs={}), NOW, hours_a_day=bad)
    circle = {1: Job(number=1, title="x", after=(After(task=1),))}
    with pytest.raises(NotPossible, match="BOOK-030"):
        critical_chain(Work(jobs=circle), NOW)
