"""The order of work that turns the airplane over, and sets up the brake, as seldom as can be.

Work that fits how things stand now costs nothing extra, and doing it never closes a door: more
is done, more can follow. So only the changes need to be chosen, and after each one all work
that fits is done. The search over changes is Dijkstra's with a lower bound (A*): every position
and setup that is still needed and isn't there now costs at least one change. It is complete;
past its limit of states it goes on with the best by that bound and says that it isn't proved.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping
from dataclasses import dataclass

from blankwright.book.needs import Job, Work, check_no_circle


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """Tasks done as things stand.

    Args:
        position: how the airplane lies; empty while that doesn't matter yet
        setup: what is set up; empty while that doesn't matter yet
        tasks: numbers, in an order that can be followed
        turned: whether the airplane was turned for this batch
        set_up: whether something was set up for it
    """

    position: str
    setup: str
    tasks: tuple[int, ...]
    turned: bool
    set_up: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Batches:
    """The answer.

    Args:
        batches: in order
        cost: time spent turning and setting up [h]
        proved: whether no order costs less
        left_out: tasks that wait for hardware or an inspection, and what hangs on them
    """

    batches: tuple[Batch, ...]
    cost: float
    proved: bool
    left_out: tuple[int, ...]


def best_batches(
    work: Work,
    *,
    turn_hours: float = 1.0,
    setup_hours: float = 0.5,
    setup: str = "",
    waits_over: bool = False,
    most_steps: int = 500_000,
) -> Batches:
    """Order the tasks so that least time goes into turning over and setting up.

    Cures are taken as waited out. The first position and the first setup cost nothing when the
    book doesn't say how things stand.

    Args:
        work: tasks and what they need
        turn_hours: to turn the airplane over [h]
        setup_hours: to set something up [h]
        setup: what is set up now; empty if nothing
        waits_over: whether hardware on its way and stages to be seen are taken as settled
        most_steps: looks at a task before the search stops proving; some seconds' worth

    Raises:
        NotPossible: when needs go in a circle
    """
    check_no_circle(work)
    jobs = {n: job for n, job in work.jobs.items() if job.done_at is None}
    left_out = () if waits_over else _left_out(work, jobs)
    for number in left_out:
        del jobs[number]
    search = _Search(jobs, turn_hours, setup_hours)
    most_states = max(200, most_steps // max(1, len(jobs)))
    steps, cost, proved = search.run(work.position, setup, most_states)
    return Batches(batches=steps, cost=cost, proved=proved, left_out=left_out)


def _left_out(work: Work, jobs: Mapping[int, Job]) -> tuple[int, ...]:
    out = {
        n
        for n, job in jobs.items()
        if any(t.quantity > work.supplies[t.hardware].in_hand for t in job.takes)
        or any(stage in work.unseen for stage in job.stages)
    }
    grew = True
    while grew:
        more = {n for n, job in jobs.items() if n not in out and {a.task for a in job.after} & out}
        out |= more
        grew = bool(more)
    return tuple(sorted(out))


_State = tuple[frozenset[int], str, str]


class _Search:
    def __init__(self, jobs: Mapping[int, Job], turn_hours: float, setup_hours: float) -> None:
        self.jobs = jobs
        self.turn_hours = turn_hours
        self.setup_hours = setup_hours
        self.firsts = {n: {a.task for a in job.after if a.task in jobs} for n, job in jobs.items()}
        self.follow: dict[int, list[int]] = {n: [] for n in jobs}
        for n, firsts in self.firsts.items():
            for first in firsts:
                self.follow[first].append(n)

    def run(
        self, position: str, setup: str, most_states: int
    ) -> tuple[tuple[Batch, ...], float, bool]:
        everything = frozenset(self.jobs)
        done, order = self._all_that_fits(frozenset(), position, setup)
        first: tuple[Batch, ...] = ()
        if order:
            first = (
                Batch(position=position, setup=setup, tasks=order, turned=False, set_up=False),
            )
        begin: _State = (done, position, setup)
        best: dict[_State, float] = {begin: 0.0}
        # Of equal bounds the one with most done goes first: most orders cost the same.
        heap: list[tuple[float, int, int, float, _State, tuple[Batch, ...]]] = []
        ticket = 0
        heapq.heappush(heap, (self._least(begin), -len(done), ticket, 0.0, begin, first))
        proved = True
        seen = 0
        while heap:
            _, _, _, cost, state, batches = heapq.heappop(heap)
            if cost > best[state]:
                continue
            done, position, setup = state
            if done == everything:
                return batches, cost, proved
            seen += 1
            if seen == most_states:
                # Keep the most promising only; from here on the answer may not be the best.
                proved = False
                heap = heapq.nsmallest(8, heap, key=lambda entry: (entry[1], entry[0], entry[2]))
                heapq.heapify(heap)
                seen = most_states - 16
            for target in self._changes(state):
                extra = self._cost(position, target[0], self.turn_hours)
                extra += self._cost(setup, target[1], self.setup_hours)
                now_done, order = self._all_that_fits(done, *target)
                following: _State = (now_done, *target)
                total = cost + extra
                if total < best.get(following, float("inf")):
                    best[following] = total
                    ticket += 1
                    batch = Batch(
                        position=target[0],
                        setup=target[1],
                        tasks=order,
                        turned=bool(position) and target[0] != position,
                        set_up=bool(setup) and target[1] != setup,
                    )
                    heapq.heappush(
                        heap,
                        (
                            total + self._least(following),
                            -len(now_done),
                            ticket,
                            total,
                            following,
                            (*batches, batch),
                        ),
                    )
        return (), 0.0, proved

    def _cost(self, now: str, then: str, hours: float) -> float:
        return hours if now and then != now else 0.0

    def _changes(self, state: _State) -> list[tuple[str, str]]:
        """The pairs of position and setup that let at least one more task be done."""
        done, position, setup = state
        ready = [n for n in self.jobs if n not in done and self.firsts[n] <= done]
        return sorted(
            {(self.jobs[n].position or position, self.jobs[n].setup or setup) for n in ready}
        )

    def _all_that_fits(
        self, done: frozenset[int], position: str, setup: str
    ) -> tuple[frozenset[int], tuple[int, ...]]:
        now = set(done)
        order: list[int] = []
        heap = [n for n in self.jobs if n not in now and self.firsts[n] <= now]
        heapq.heapify(heap)
        while heap:
            n = heapq.heappop(heap)
            job = self.jobs[n]
            if job.position not in ("", position) or job.setup not in ("", setup):
                continue
            now.add(n)
            order.append(n)
            for following in self.follow[n]:
                if self.firsts[following] <= now:
                    heapq.heappush(heap, following)
        return frozenset(now), tuple(order)

    def _least(self, state: _State) -> float:
        done, position, setup = state
        left = [self.jobs[n] for n in self.jobs if n not in done]
        positions = {job.position for job in left if job.position} - {position}
        setups = {job.setup for job in left if job.setup} - {setup}
        turns = len(positions) - (0 if position else min(1, len(positions)))
        sets = len(setups) - (0 if setup else min(1, len(setups)))
        return turns * self.turn_hours + sets * self.setup_hours
