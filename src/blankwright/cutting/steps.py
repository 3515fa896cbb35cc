"""A machine program as steps, in mm, before it is put into a controller's words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from blankwright.cutting.machine import Cutter
from blankwright.geom.edges import Edge
from blankwright.geom.vec import Point


@dataclass(frozen=True, slots=True)
class Say:
    """A comment that a person can follow."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class UseCutter:
    """Put a cutter in and start the spindle.

    Args:
        cutter: which
        rpm: spindle speed [1/min]; 0 leaves the spindle still
        feed: feed along the sheet, for the comment [mm/min]
        plunge: feed down, for the comment [mm/min]
        step: depth of pass, for the comment [mm]
        because: where the numbers come from, for the comments
    """

    cutter: Cutter
    rpm: float
    feed: float
    plunge: float
    step: float
    because: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Over:
    """Rapid move at the safe height to over a point [mm]."""

    at: Point


@dataclass(frozen=True, slots=True)
class Height:
    """Rapid move straight up or down, above the sheet only, to a height [mm]."""

    z: float


@dataclass(frozen=True, slots=True)
class Down:
    """Feed straight up or down to a height [mm] at a feed [mm/min]."""

    z: float
    feed: float


@dataclass(frozen=True, slots=True)
class Along:
    """Feed along an edge [mm], ending at a height [mm], at a feed [mm/min]."""

    edge: Edge
    z: float
    feed: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillAll:
    """Drill at several points.

    Args:
        points: where [mm]
        z: how deep [mm]
        near: height where the feed begins [mm]
        safe: height between points [mm]
        feed: down [mm/min]
        peck: depth of one peck [mm]; 0 to go down in one
    """

    points: tuple[Point, ...]
    z: float
    near: float
    safe: float
    feed: float
    peck: float = 0.0


Step = Say | UseCutter | Over | Height | Down | Along | DrillAll


@dataclass(frozen=True, slots=True, kw_only=True)
class Program:
    """Steps in order, with what stands at the head of the file.

    Args:
        title: first line
        head: comments at the head
        steps: what is done
        safe: safe height [mm]
        dry: whether it is the dry run: the same way above the work, spindle still
    """

    title: str
    head: tuple[str, ...]
    steps: tuple[Step, ...]
    safe: float
    dry: bool = False


def moves_for(drill: DrillAll) -> list[Step]:
    """Return plain moves that do what a drilling cycle does."""
    steps: list[Step] = []
    for p in drill.points:
        steps += [Over(p), Height(drill.near)]
        z = 0.0
        while drill.peck > 0 and z - drill.peck > drill.z + 1e-9:
            z -= drill.peck
            steps += [Down(z, drill.feed), Down(drill.near, drill.feed), Down(z, drill.feed)]
        steps += [Down(drill.z, drill.feed), Height(drill.safe)]
    return steps


def dry_run(program: Program, deepest: float, clear: float, top: float = math.inf) -> Program:
    """Return the program lifted so that its deepest point is a height above the sheet.

    Args:
        program: the real one
        deepest: its deepest point [mm], negative
        clear: height that nothing must go below [mm]
        top: height that the machine can't go over [mm]; the moves between are held under it
    """
    lift = clear - deepest

    def raised(z: float) -> float:
        return min(z + lift, top)

    def lifted(step: Step) -> Step:
        match step:
            case UseCutter():
                return replace(step, rpm=0.0)
            case Height():
                return Height(raised(step.z))
            case Down():
                return Down(raised(step.z), step.feed)
            case Along():
                return Along(step.edge, raised(step.z), step.feed)
            case DrillAll():
                return replace(
                    step, z=raised(step.z), near=raised(step.near), safe=raised(step.safe)
                )
            case _:
                return step

    return Program(
        title=program.title + ", DRY RUN",
        head=(*program.head, "Dry run: the same way above the work, spindle still"),
        steps=tuple(lifted(step) for step in program.steps),
        safe=raised(program.safe),
        dry=True,
    )


def without_cycles(steps: Sequence[Step]) -> tuple[Step, ...]:
    """Replace drilling cycles by plain moves, for controllers that do not know them."""
    out: list[Step] = []
    for step in steps:
        out.extend(moves_for(step) if isinstance(step, DrillAll) else [step])
    return tuple(out)
