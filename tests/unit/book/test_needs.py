"""What can be done now, what waits, and needs in a circle."""

import itertools
import random

import pytest

from blankwright.base.errors import NotPossible
from blankwright.book.needs import (
    After,
    Job,
    Supply,
    Takes,
    Work,
    check_no_circle,
    circles,
    held_up,
    standings,
)
from book_fixtures import NOW, hours


def jobs(*given: Job) -> dict[int, Job]:
    return {job.number: job for job in given}


def test_waits_are_named_in_the_builders_words() -> None:
    work = Work(
        jobs=jobs(
            Job(number=1, title="glue strip", done_at=NOW - hours(10)),
            Job(number=2, title="rivet gate", after=(After(task=1, hours=24),)),
            Job(number=3, title="close up", after=(After(task=2),), stages=(7,)),
            Job(number=4, title="plate nuts", takes=(Takes(hardware=1, quantity=12),)),
            Job(number=5, title="cover", takes=(Takes(hardware=2, quantity=3),)),
            Job(number=6, title="deburr", begun=True),
            Job(number=7, title="belly", position="inverted"),
        ),
        supplies={
            1: Supply(number="MS21059L06", in_hand=4, on_order=20, due=NOW + hours(48)),
            2: Supply(number="MS24693-S30", in_hand=1),
        },
        unseen={7: "control run"},
        position="upright",
    )
    found = {s.job.number: s for s in standings(work, NOW)}
    assert [n for n, s in found.items() if s.can_be_done] == [6, 7]
    assert (found[6].turn, found[7].turn) == ("", "inverted")
    said = {n: [(w.text, w.until) for w in s.waits] for n, s in found.items()}
    assert said == {
        6: [],
        7: [],
        2: [("cures: glue strip", NOW + hours(14))],
        3: [("first: rivet gate", None), ("to be seen: control run", None)],
        4: [("8 of MS21059L06 on order", NOW + hours(48))],
        5: [("2 of MS24693-S30 to order", None)],
    }
    later = {s.job.number: s for s in standings(work, NOW + hours(14))}
    assert later[2].can_be_done


def by_hand(work: Work) -> set[int]:
    """What can be done now, worked out the plain way: everything before it is done and cured."""
    return {
        n
        for n, job in work.jobs.items()
        if job.done_at is None
        and all(
            (first := work.jobs[a.task]).done_at is not None
            and (NOW - first.done_at) >= hours(a.hours)
            for a in job.after
        )
        and all(work.supplies[t.hardware].in_hand >= t.quantity for t in job.takes)
        and not any(stage in work.unseen for stage in job.stages)
    }


def random_work(dice: random.Random, count: int, *, circle: bool = False) -> Work:
    made = []
    for n in range(1, count + 1):
        earlier = [k for k in range(1, count + 1) if k != n] if circle else list(range(1, n))
        firsts = dice.sample(earlier, k=min(len(earlier), dice.choice([0, 0, 1, 1, 2])))
        made.append(
            Job(
                number=n,
                title=f"task {n}",
                hours=dice.choice([0.0, 0.5, 1.0, 2.0, 3.5]),
                after=tuple(After(task=k, hours=dice.choice([0, 0, 6, 24])) for k in firsts),
                takes=tuple(
                    Takes(hardware=h, quantity=dice.choice([1, 4]))
                    for h in (1, 2)
                    if dice.random() < 0.2
                ),
                stages=(1,) if dice.random() < 0.15 else (),
                position=dice.choice(["", "", "upright", "inverted"]),
                setup=dice.choice(["", "", "brake A", "brake B"]),
                done_at=NOW - hours(dice.choice([1, 12, 48])) if dice.random() < 0.3 else None,
            )
        )
    return Work(
        jobs=jobs(*made),
        supplies={
            1: Supply(
                number="one", in_hand=dice.choice([0, 2, 9]), on_order=9, due=NOW + hours(30)
            ),
            2: Supply(number="two", in_hand=dice.choice([0, 9])),
        },
        unseen={1: "stage"} if dice.random() < 0.5 else {},
        position=dice.choice(["", "upright", "inverted"]),
    )


def test_what_can_be_done_now_against_the_plain_way() -> None:
    dice = random.Random(9)
    for _ in range(300):
        work = random_work(dice, 8)
        assert {s.job.number for s in standings(work, NOW) if s.can_be_done} == by_hand(work)


def every_circle(work: Work) -> set[tuple[int, ...]]:
    """All circles of needs, by trying every run of different tasks."""
    firsts = {n: {a.task for a in job.after} for n, job in work.jobs.items()}
    found = set()
    for length in range(1, len(firsts) + 1):
        for run in itertools.permutations(firsts, length):
            if run[0] != min(run):
                continue
            if all(a in firsts[b] for a, b in itertools.pairwise((*run, run[0]))):
                found.add(run)
    return found


def test_circles_against_all_of_them() -> None:
    dice = random.Random(31)
    with_circle = 0
    for _ in range(150):
        work = random_work(dice, 6, circle=True)
        all_of_them = every_circle(work)
        found = circles(work)
        assert set(found) <= all_of_them
        assert bool(found) == bool(all_of_them)
        # Of each knot one shortest: every circle shares its knot with one that is no longer.
        for circle in all_of_them:
            assert any(len(one) <= len(circle) for one in found if knotted(work, one[0], circle[0]))
        with_circle += bool(found)
    assert 30 < with_circle < 150


def knotted(work: Work, a: int, b: int) -> bool:
    return a == b or (b in reached(work, a) and a in reached(work, b))


def reached(work: Work, start: int) -> set[int]:
    out: set[int] = set()
    grew = {start}
    while grew:
        grew = {n for n, job in work.jobs.items() if {a.task for a in job.after} & grew} - out
        out |= grew
    return out


def test_a_circle_is_named_task_by_task() -> None:
    work = Work(
        jobs=jobs(
            Job(number=1, title="bend lip", after=(After(task=3),)),
            Job(number=2, title="rivet", after=(After(task=1),)),
            Job(number=3, title="fit", after=(After(task=2),)),
            Job(number=4, title="self", after=(After(task=4),)),
        )
    )
    with pytest.raises(NotPossible) as caught:
        check_no_circle(work)
    assert [problem.got for problem in caught.value.problems] == [
        "1 bend lip → 2 rivet → 3 fit → 1 bend lip",
        "4 self → 4 self",
    ]


def test_what_hangs_on_a_task_against_the_plain_way() -> None:
    dice = random.Random(5)
    for _ in range(100):
        work = random_work(dice, 9)
        start = dice.choice(list(work.jobs))
        undone = {n for n, job in work.jobs.items() if job.done_at is None}
        assert held_up(work, [start]) == ({start} | reached(work, start)) & undone
