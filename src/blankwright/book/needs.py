"""What can be done now, what waits on what, and needs that go in a circle.

Pure: the moment is passed in. Works on `Work`, a picture of the book that knows no database.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.units import trimmed
from blankwright.book.records import NeedKind

if TYPE_CHECKING:
    import networkx as nx


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """Another task first.

    Args:
        task: its number
        hours: how long must go by once it is done, such as a cure [h]
    """

    task: int
    hours: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Takes:
    """Hardware that must be in hand: how much of which."""

    hardware: int
    quantity: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A task as the scheduling sees it.

    Args:
        number: its number
        title: what is to do
        hours: work expected [h]
        after: tasks that come first; all tasks of a needed part are among them
        takes: hardware that must be in hand
        stages: numbers of inspection stages that must be seen
        position: how the airplane must lie; empty for any
        setup: what must be set up; empty for nothing
        begun: whether it is begun
        done_at: when it was done, or nothing
        major: major part
    """

    number: int
    title: str
    hours: float = 0.0
    after: tuple[After, ...] = ()
    takes: tuple[Takes, ...] = ()
    stages: tuple[int, ...] = ()
    position: str = ""
    setup: str = ""
    begun: bool = False
    done_at: datetime | None = None
    major: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """A hardware item as the scheduling sees it."""

    number: str
    in_hand: float = 0.0
    on_order: float = 0.0
    due: datetime | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """All that the scheduling knows.

    Args:
        jobs: tasks that are not dropped, by number
        supplies: hardware by number of its row
        unseen: titles of the inspection stages not seen yet, by number
        position: how the airplane lies now; empty if not stated
    """

    jobs: Mapping[int, Job]
    supplies: Mapping[int, Supply] = field(default_factory=lambda: MappingProxyType({}))
    unseen: Mapping[int, str] = field(default_factory=lambda: MappingProxyType({}))
    position: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """One reason why a task can't be done now.

    Args:
        kind: what is waited for
        on: number of the task, hardware or stage
        text: in the builder's words
        until: when it ends by itself, or nothing
    """

    kind: NeedKind
    on: int
    text: str
    until: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Where a task stands.

    Args:
        job: the task
        waits: why it can't be done now; none when it can
        turn: the position that the airplane must be brought to first; empty when it lies right
    """

    job: Job
    waits: tuple[Wait, ...]
    turn: str = ""

    @property
    def can_be_done(self) -> bool:
        """Whether nothing is waited for; the airplane may have to be turned."""
        return not self.waits


NEARLY: Final = 1e-9
"""Quantities closer than this are equal: sums of counts and metres in binary numbers."""


def standings(work: Work, now: datetime) -> tuple[Standing, ...]:
    """Say of every task that is not done where it stands.

    Args:
        work: the tasks and what they need
        now: the moment to judge for

    Returns:
        those that can be done now and where the airplane lies first, then those that wait
    """
    found = [
        Standing(
            job=job,
            waits=tuple(_waits(job, work, now)),
            turn=job.position if job.position and job.position != work.position else "",
        )
        for job in work.jobs.values()
        if job.done_at is None
    ]
    return tuple(
        sorted(
            found,
            key=lambda s: (len(s.waits) > 0, s.turn != "", not s.job.begun, s.job.number),
        )
    )


def _waits(job: Job, work: Work, now: datetime) -> Iterable[Wait]:
    for after in job.after:
        first = work.jobs.get(after.task)
        if first is None:
            continue  # dropped: not needed any more
        if first.done_at is None:
            cure = f", then {after.hours:g} h to cure" if after.hours else ""
            yield Wait(
                kind=NeedKind.CURE if after.hours else NeedKind.TASK,
                on=first.number,
                text=f"first: {first.title}{cure}",
            )
        elif after.hours:
            until = first.done_at + timedelta(hours=after.hours)
            if until > now:
                yield Wait(
                    kind=NeedKind.CURE,
                    on=first.number,
                    text=f"cures: {first.title}",
                    until=until,
                )
    for takes in job.takes:
        supply = work.supplies[takes.hardware]
        short = takes.quantity - supply.in_hand
        if short > NEARLY:
            unit = f" {supply.unit}" if supply.unit not in ("", "each") else ""
            state = "on order" if supply.on_order + NEARLY >= short else "to order"
            yield Wait(
                kind=NeedKind.HARDWARE,
                on=takes.hardware,
                text=f"{trimmed(short, 3)}{unit} of {supply.number} {state}",
                until=supply.due if state == "on order" else None,
            )
    for stage in job.stages:
        if stage in work.unseen:
            yield Wait(kind=NeedKind.STAGE, on=stage, text=f"to be seen: {work.unseen[stage]}")


def graph_of(work: Work) -> nx.DiGraph[int]:
    """Return the tasks as a directed graph, from what comes first to what follows.

    Dropped tasks are not in it. Each arrow carries ``hours``, the cure on it [h].
    """
    import networkx as nx

    graph: nx.DiGraph[int] = nx.DiGraph()
    graph.add_nodes_from(sorted(work.jobs))
    for job in work.jobs.values():
        for after in job.after:
            if after.task in work.jobs:
                known = graph.get_edge_data(after.task, job.number, {"hours": 0.0})["hours"]
                graph.add_edge(after.task, job.number, hours=max(known, after.hours))
    return graph


def circles(work: Work) -> tuple[tuple[int, ...], ...]:
    """Return needs that go in a circle: of each knot of tasks, one shortest circle through it.

    Each circle is in the order of the work, beginning with its smallest number.
    """
    import networkx as nx

    graph = graph_of(work)
    found = []
    for knot in nx.strongly_connected_components(graph):
        inside = graph.subgraph(knot)
        if len(knot) == 1 and not inside.has_edge(*(list(knot) * 2)):
            continue
        found.append(_shortest_circle(inside))
    return tuple(sorted(found))


def check_no_circle(work: Work) -> None:
    """Raise NotPossible with every circle named, task by task."""
    found = circles(work)
    if found:
        raise NotPossible(
            *(
                Problem(
                    code="BOOK-030",
                    where="needs go in a circle",
                    got=" → ".join(
                        f"{number} {work.jobs[number].title}" for number in (*circle, circle[0])
                    ),
                    fix="Take one of these needs away",
                )
                for circle in found
            )
        )


def held_up(work: Work, numbers: Iterable[int]) -> frozenset[int]:
    """Return the tasks not done that hang on the given ones, those included."""
    import networkx as nx

    graph = graph_of(work)
    out: set[int] = set()
    for number in numbers:
        if number in graph and number not in out:
            out |= {number, *nx.descendants(graph, number)}
    return frozenset(n for n in out if work.jobs[n].done_at is None)


def _shortest_circle(knot: nx.DiGraph[int]) -> tuple[int, ...]:
    import networkx as nx

    best: tuple[int, ...] = ()
    for start in sorted(knot):
        ways = nx.single_source_shortest_path(knot, start)
        for last in sorted(knot.predecessors(start)):
            way = tuple(ways[last])
            if not best or len(way) < len(best):
                best = way
    least = best.index(min(best))
    return best[least:] + best[:least]
