"""The critical chain: the run of tasks, cures and deliveries that decides when all is done.

The critical-path method: earliest times by a pass forward, latest by a pass back, and the slack
between. Method: J. E. Kelley and M. R. Walker, "Critical-Path Planning and Scheduling", 1959
Eastern Joint Computer Conference (cited from memory). It takes hands enough for granted; a
builder alone needs at least the sum of all work as well, so both are given.

Work is done in the shop's hours, cures and deliveries run by the calendar. All is counted in
calendar hours: an hour of work takes ``24 / shop hours a day`` of them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from blankwright.base.errors import BadInput, Problem
from blankwright.book.needs import NEARLY, Work, check_no_circle, graph_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """When a task can and must be done, from now [calendar h].

    Args:
        task: its number
        start: earliest start
        finish: earliest finish
        latest_start: without delaying the end
        latest_finish: without delaying the end
    """

    task: int
    start: float
    finish: float
    latest_start: float
    latest_finish: float

    @property
    def slack(self) -> float:
        """How much later it may be without delaying the end [calendar h]."""
        return self.latest_start - self.start


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One link of the critical chain.

    Args:
        task: number of the task
        wait: what runs before it starts: a cure or a delivery [calendar h]; 0 for none
        wait_for: what that is, in words
    """

    task: int
    wait: float = 0.0
    wait_for: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """The answer.

    Args:
        times: of every task not done, by number
        links: the critical chain, first to last; the first of several by number
        length: its length [calendar h]
        work: all work not done [h]
        alone: least time for one pair of hands: the longer of the chain and all work [calendar h]
        no_date: hardware that is short, with no day when it comes: counted as there
        hours: work of every task not done, by number [h]
    """

    times: dict[int, Times]
    links: tuple[Link, ...]
    length: float
    work: float
    alone: float
    no_date: tuple[int, ...] = ()
    hours: dict[int, float] = field(default_factory=dict)


def critical_chain(work: Work, now: datetime, *, hours_a_day: float = 24.0) -> Chain:
    """Find the critical chain of what is left to do.

    Args:
        work: tasks and what they need
        now: the moment from which time counts
        hours_a_day: work done in the shop on an average day [h]

    Raises:
        NotPossible: when needs go in a circle
        BadInput: when the shop hours are not over 0 and up to 24
    """
    if not 0.0 < hours_a_day <= 24.0:
        raise BadInput(
            Problem(
                code="BOOK-031",
                where="shop hours a day",
                got=f"{hours_a_day:g}",
                allowed="over 0 and up to 24",
            )
        )
    check_no_circle(work)
    import networkx as nx

    graph = graph_of(work)
    stretch = 24.0 / hours_a_day
    order = [n for n in nx.lexicographical_topological_sort(graph) if not work.jobs[n].done_at]
    releases = {n: _release(work, n, now) for n in order}
    start: dict[int, float] = {}
    finish: dict[int, float] = {}
    for n in order:
        ways = [finish[p] + graph[p][n]["hours"] for p in graph.predecessors(n) if p in finish]
        start[n] = max([0.0, releases[n][0], *ways])
        finish[n] = start[n] + work.jobs[n].hours * stretch
    length = max(finish.values(), default=0.0)
    latest: dict[int, float] = {}
    for n in reversed(order):
        latest[n] = min(
            [
                length,
                *(
                    latest[s] - work.jobs[s].hours * stretch - graph[n][s]["hours"]
                    for s in graph.successors(n)
                    if s in latest
                ),
            ]
        )
    all_work = sum(work.jobs[n].hours for n in order)
    return Chain(
        times={
            n: Times(
                task=n,
                start=start[n],
                finish=finish[n],
                latest_start=latest[n] - work.jobs[n].hours * stretch,
                latest_finish=latest[n],
            )
            for n in order
        },
        links=_links(work, graph, start, finish, releases, length),
        length=length,
        work=all_work,
        alone=max(length, all_work * stretch),
        no_date=tuple(sorted({h for n in order for h in releases[n][2]})),
        hours={n: work.jobs[n].hours for n in order},
    )


def _release(work: Work, number: int, now: datetime) -> tuple[float, str, tuple[int, ...]]:
    """When deliveries and running cures let a task start, what is last, what has no date."""
    job = work.jobs[number]
    best, why = 0.0, ""
    open_ended = []
    for takes in job.takes:
        supply = work.supplies[takes.hardware]
        short = takes.quantity - supply.in_hand
        if short <= NEARLY:
            continue
        if supply.due is None or supply.on_order + NEARLY < short:
            open_ended.append(takes.hardware)
            continue
        hours = (supply.due - now).total_seconds() / 3600.0
        if hours > best:
            best, why = hours, f"delivery of {supply.number}"
    for after in job.after:
        first = work.jobs.get(after.task)
        if first is not None and first.done_at is not None and after.hours:
            hours = after.hours - (now - first.done_at).total_seconds() / 3600.0
            if hours > best:
                best, why = hours, f"cure of {first.title}"
    return best, why, tuple(open_ended)


def _links(
    work: Work,
    graph: object,
    start: dict[int, float],
    finish: dict[int, float],
    releases: dict[int, tuple[float, str, tuple[int, ...]]],
    length: float,
) -> tuple[Link, ...]:
    import networkx as nx

    assert isinstance(graph, nx.DiGraph)
    ends = [n for n in sorted(finish) if abs(finish[n] - length) <= NEARLY]
    if not ends:
        return ()
    here = ends[0]
    back = []
    while True:
        from_tasks = [
            p
            for p in sorted(graph.predecessors(here))
            if p in finish and abs(finish[p] + graph[p][here]["hours"] - start[here]) <= NEARLY
        ]
        if from_tasks:
            before = from_tasks[0]
            cure = graph[before][here]["hours"]
            title = work.jobs[before].title
            back.append(Link(task=here, wait=cure, wait_for=f"cure of {title}" if cure else ""))
            here = before
            continue
        hours, why, _ = releases[here]
        back.append(Link(task=here, wait=hours, wait_for=why))
        return tuple(reversed(back))


def span(hours: float) -> str:
    """Return calendar hours in words."""
    return f"{hours:.1f} h" if hours < 48 else f"{hours / 24:.1f} days"
