"""The usual run of work on a part: measure, cut, bend, trial fit, treat, glue, rivet, inspect.

Pure. What a part asks for comes in as `PartFacts`; out come the tasks it should have, with what
each needs first. `renew` puts them into the book.
"""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from blankwright.base.units import inches, trimmed
from blankwright.book.numbers import mixed
from blankwright.book.records import TaskKind
from blankwright.part.model import HoleKind, Part
from blankwright.part.rivets import Fastener

HOURS: Final[Mapping[TaskKind, tuple[float, float]]] = MappingProxyType(
    {
        TaskKind.MEASURE: (0.5, 0.0),
        TaskKind.CUT: (0.5, 0.0),
        TaskKind.DRILL: (0.15, 0.025),
        TaskKind.DEBURR: (0.2, 0.005),
        TaskKind.BEND: (0.25, 0.15),
        TaskKind.TRIAL_FIT: (0.75, 0.0),
        TaskKind.BEND_LAST: (0.25, 0.15),
        TaskKind.DRILL_UP: (0.3, 0.03),
        TaskKind.TREAT: (0.75, 0.0),
        TaskKind.GLUE: (0.5, 0.0),
        TaskKind.RIVET: (0.25, 0.03),
        TaskKind.INSPECT: (0.2, 0.0),
    }
)
"""Hours at the start, and for each hole, bend or rivet [h]. Common practice, no source: they hold
only until the shop's own log has `LEARN_FROM` tasks of the kind."""

STRIPS: Final = "stick strips"
"""Soft strips of the place, stuck on before the part is tried in it."""

FORMING: Final = (TaskKind.CUT, TaskKind.DRILL, TaskKind.DEBURR, TaskKind.BEND)
"""What makes a part such that another can be tried against it."""

LEARN_FROM: Final = 3
"""So many finished tasks of a kind, with time logged, before the shop's own pace is used."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartFacts:
    """What of a part decides the work on it.

    Args:
        name: its name
        title: in words
        drawing: number and revision
        file: its part file, or empty
        place: what it goes into; empty if not stated
        holes: openings drilled or cut [-]
        radii: inside radius of each bend that is made in the brake at once, in words
        last: bends made last, after the trial fit, each with its reason
        position: how the airplane must lie to fit it
        glue: what it is glued with; empty for nothing
        cure_hours: how long the glue cures [h]
        treat: treatment before it goes in; empty for none
        rivets: fasteners that hold it [-]
        closes: what can't be seen any more once it is in; empty for nothing
        bought: whether it comes ready made
        measure: sizes to measure before it is cut, in words; empty for none
        measured: whether the place was measured already: nothing is asked for, and a task that
            was made for it stays
        strips: what is stuck on in its place before it is tried, in words; empty for nothing
        drill_up: holes drilled to size together with its neighbours [-]
        drill_up_note: which, in words
    """

    name: str
    title: str = ""
    drawing: str = ""
    file: str = ""
    place: str = ""
    holes: int = 0
    radii: tuple[str, ...] = ()
    last: tuple[tuple[str, str], ...] = ()
    position: str = ""
    glue: str = ""
    cure_hours: float = 0.0
    treat: str = ""
    rivets: int = 0
    closes: str = ""
    bought: bool = False
    measure: str = ""
    measured: bool = False
    strips: str = ""
    drill_up: int = 0
    drill_up_note: str = ""

    def key(self, word: str) -> str:
        """Return the stable name of one of its tasks."""
        return f"part:{self.name}:{word}"


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedTask:
    """A task that a part should have.

    Args:
        key: stable name, ``part:NAME:kind``
        title: what is to do
        kind: what sort of work
        hours: expected [h]
        first_hours: expected at the book's first rate [h]
        position: how the airplane must lie
        setup: what must be set up
        after: keys of the tasks that come first, each with the hours that must go by [h]
        stage: key of the inspection stage that must be seen first; empty for none
        note: anything else
    """

    key: str
    title: str
    kind: TaskKind
    hours: float
    first_hours: float
    position: str = ""
    setup: str = ""
    after: tuple[tuple[str, float], ...] = ()
    stage: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedStage:
    """An inspection stage that a part should have."""

    key: str
    title: str
    closes: str


@dataclass(slots=True)
class _Run:
    facts: PartFacts
    pace: Mapping[TaskKind, float]
    tasks: list[WantedTask] = field(default_factory=list)
    cure: float = 0.0

    def add(
        self,
        kind: TaskKind,
        *,
        count: int = 0,
        placed: bool = False,
        setup: str = "",
        stage: str = "",
        note: str = "",
        word: str = "",
    ) -> None:
        start, each = HOURS[kind]
        before = self.tasks[-1].key if self.tasks else ""
        self.tasks.append(
            WantedTask(
                key=self.facts.key(word or kind.value),
                title=f"{self.facts.name}: {word or kind.value}",
                kind=kind,
                first_hours=round(start + each * count, 4),
                hours=round((start + each * count) * self.pace.get(kind, 1.0), 2),
                position=self.facts.position if placed else "",
                setup=setup,
                after=((before, self.cure),) if before else (),
                stage=stage,
                note=note,
            )
        )
        self.cure = 0.0


def radius_words(radius: float) -> str:
    """Return a radius [mm] as it stands on the brake's bars: in 1/64 in, or in mm.

    However it was typed, the same radius has the same words: it is one set-up.
    """
    steps = inches(radius) * 64
    if round(steps) and abs(steps - round(steps)) < 1e-3:
        return f"{mixed(Fraction(round(steps), 64))} in"
    return f"{trimmed(radius, 2)} mm"


def facts_of(part: Part, *, file: str = "") -> PartFacts:
    """Return what a stated part says about the work on it; the rest is stated in the book."""
    radii = dict.fromkeys(radius_words(bend.inside_radius) for bend in part.bends if not bend.last)
    return PartFacts(
        name=part.name,
        title=part.title,
        drawing=part.drawing,
        file=file,
        place=part.place,
        holes=sum(hole.kind is not HoleKind.RELIEF for hole in part.holes),
        radii=tuple(radii),
        last=tuple((bend.name, bend.last) for bend in part.bends if bend.last),
        rivets=sum(
            len(row.nut_holes) if row.fastener is Fastener.SCREW else row.count
            for row in part.rivets
        ),
    )


def wanted_tasks(
    facts: PartFacts, *, bends: int, pace: Mapping[TaskKind, float] = MappingProxyType({})
) -> tuple[tuple[WantedTask, ...], tuple[WantedStage, ...]]:
    """Return the tasks and inspection stages that a part should have, in the order of the shop.

    Args:
        facts: what decides the work
        bends: how many bends are made at once [-]
        pace: the shop's own pace by kind: taken over expected [-]
    """
    run = _Run(facts, pace)
    if not facts.bought:
        _forming(run, facts, bends)
    goes_in = bool(
        facts.place
        or facts.position
        or facts.glue
        or facts.rivets
        or facts.last
        or facts.strips
        or facts.drill_up
    )
    if facts.strips:
        run.add(TaskKind.GLUE, placed=True, word=STRIPS, note=facts.strips)
    if goes_in:
        run.add(TaskKind.TRIAL_FIT, placed=True)
    if facts.last:
        why = "; ".join(f"{name}: {reason}" for name, reason in facts.last)
        run.add(TaskKind.BEND_LAST, count=len(facts.last), note=why)
    if facts.drill_up:
        run.add(TaskKind.DRILL_UP, count=facts.drill_up, placed=True, note=facts.drill_up_note)
    if facts.treat:
        run.add(TaskKind.TREAT, note=facts.treat)
    stages: tuple[WantedStage, ...] = ()
    stage = ""
    if facts.closes and (facts.glue or facts.rivets):
        stage = f"part:{facts.name}:closes"
        stages = (
            WantedStage(
                key=stage,
                title=f"{facts.closes}, before {facts.name} goes in",
                closes=facts.name,
            ),
        )
    if facts.glue:
        run.add(TaskKind.GLUE, placed=True, stage=stage, note=facts.glue)
        run.cure = facts.cure_hours
        stage = ""
    if facts.rivets:
        run.add(TaskKind.RIVET, count=facts.rivets, placed=True, stage=stage)
    run.add(TaskKind.INSPECT, placed=goes_in)
    return tuple(run.tasks), stages


def _forming(run: _Run, facts: PartFacts, bends: int) -> None:
    """What makes the part, before it is tried."""
    if facts.measure:
        run.add(TaskKind.MEASURE, word="measure the place", note=facts.measure)
    run.add(TaskKind.CUT)
    if facts.holes:
        run.add(TaskKind.DRILL, count=facts.holes)
    run.add(TaskKind.DEBURR, count=facts.holes)
    if facts.radii:
        setup = f"brake, {' and '.join(facts.radii)} radius"
        run.add(TaskKind.BEND, count=bends, setup=setup)


def learned_pace(
    done: Iterable[tuple[TaskKind, float, float]],
) -> dict[TaskKind, float]:
    """Return the shop's own pace by kind of work: the median of time taken over time expected.

    Args:
        done: of each finished task its kind, hours expected at the book's first rate and taken [h]

    Returns:
        pace [-] of every kind with at least `LEARN_FROM` tasks whose time was logged
    """
    ratios: dict[TaskKind, list[float]] = {}
    for kind, expected, taken in done:
        if expected > 0.0 and taken > 0.0:
            ratios.setdefault(kind, []).append(taken / expected)
    return {
        kind: statistics.median(found) for kind, found in ratios.items() if len(found) >= LEARN_FROM
    }
