"""What to set and where to mark for each step of a plan."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

from blankwright.base.errors import NotPossible
from blankwright.bending.aims import strength_of
from blankwright.bending.plan import STRENGTH_SUPPOSED, BendPlan, Step
from blankwright.bending.tools import Capacity, PressBrake
from blankwright.develop.blank import BlankBend
from blankwright.geom.edges import Line
from blankwright.handbook.forming import brake_force

SIGHT_SOURCE = (
    "FAA-H-8083-31 vol. 1 ch. 4 step 6; AC 43.13-1B par. 4-56: one inside radius from the bend"
    " tangent line that goes under the nose"
)
_PARALLEL = math.radians(0.5)
_LEAST_SHARE = 0.2
"""An edge shorter than this share of the bend is no good against a stop [-]."""


class Against(Enum):
    """What lies against the stop, or what a mark is measured from."""

    EDGE = "edge"
    BEND = "outside of the bend"
    NOTHING = "no straight edge"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """What goes against the stop behind the bend.

    Args:
        against: an edge, or the outside of a bend made before
        name: name of the flat whose edge it is, or of the bend
        distance: from there to the sight line [mm]
        edge: which edge of the flat's outline it is; -1 for a bend
    """

    against: Against
    name: str
    distance: float
    edge: int = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What to set for one step.

    Args:
        angle: angle of the bend [rad]
        angle_in_tool: angle to bend to [rad]
        angle_source: where springback comes from
        sight: the sight line of each bend of the step, on the blank [mm]
        sight_in: from the held side's bend tangent line to the sight line [mm]
        mark_up: whether the sight line is marked on the face side (else on the back)
        stop: what goes against the stop
        grain: angle between grain and bend line [rad], or nothing
        load_share: of the tool's rating [-], or nothing when it has none
        force: that a press brake needs [kN]; nought for others
        force_source: where that comes from
    """

    angle: float
    angle_in_tool: float
    angle_source: str
    sight: tuple[Line, ...]
    sight_in: float
    mark_up: bool
    stop: Stop
    grain: float | None
    load_share: float | None
    force: float
    force_source: str


def setting_of(plan: BendPlan, step: Step) -> Setting:
    """Return what to set for one step of a plan."""
    blank = plan.blank
    bend = step.way.lay.first
    aim = plan.aims[bend.name]
    held = set(step.held)
    share, force, source = _load(plan, step)
    return Setting(
        angle=bend.angle,
        angle_in_tool=aim.angle,
        angle_source=aim.source,
        sight=tuple(
            b.center_line
            if isinstance(step.tool, PressBrake)
            else b.sight_line(b.parent if b.parent in held else b.leg)
            for b in (blank.bend_by_name[name] for name in step.bends)
        ),
        sight_in=sight_in(step),
        mark_up=step.face_up,
        stop=stop_of(step),
        grain=None if blank.grain is None else _between(blank.grain, bend),
        load_share=share,
        force=force,
        force_source=source,
    )


def sight_in(step: Step) -> float:
    """Return from the held side's bend tangent line to the line under the nose [mm].

    One inside radius (see `SIGHT_SOURCE`); under a punch it is the middle of the bend, as both
    sides swing alike (geometry).
    """
    bend = step.way.lay.first
    return bend.allowance / 2 if isinstance(step.tool, PressBrake) else bend.inside_radius


def stop_of(step: Step) -> Stop:
    """Return what lies farthest behind the bend and can go against a stop.

    Edges of the held flat count, and of flats that lie in its plane still; where a bend made
    before ends that plane, the outside of that bend does.
    """
    lay = step.way.lay
    sight = sight_in(step)
    least = _LEAST_SHARE * (lay.stretch[1] - lay.stretch[0])
    found: list[tuple[float, Against, str, int]] = []
    for flat in _in_plane(step):
        region = lay.tree.blank.flats[flat].region
        made = {j for j, _ in lay.tree.joined[flat] if step.before >> j & 1 and j not in lay.group}
        for number, edge in enumerate(region.outer.edges):
            if not isinstance(edge, Line):
                continue
            (x0, y0, _), (x1, y1, _) = (lay.frame((*p, 0.0)) for p in (edge.start, edge.end))
            if abs(math.atan2(y1 - y0, x1 - x0)) % math.pi > _PARALLEL and (
                math.pi - abs(math.atan2(y1 - y0, x1 - x0)) % math.pi > _PARALLEL
            ):
                continue
            if abs(x1 - x0) < least or y0 > -1.0:
                continue
            bend = next((j for j in made if _borders(lay.tree.bends[j], edge)), None)
            if bend is None:
                name = lay.tree.names[flat]
                found.append((y0, Against.EDGE, name, number))
            else:
                wall = lay.tree.bends[bend]
                out = wall.setback if math.isfinite(wall.setback) else wall.inside_radius
                found.append((y0 - out, Against.BEND, wall.name, -1))
    if not found:
        return Stop(against=Against.NOTHING, name="", distance=0.0)
    y, against, name, number = min(found, key=lambda item: (round(item[0], 6), item[2], item[3]))
    return Stop(against=against, name=name, distance=sight - y, edge=number)


def _in_plane(step: Step) -> Iterator[int]:
    """Yield the held flats, and those that lie in one plane with them still."""
    lay = step.way.lay
    for flat, (_, held, path) in sorted(lay.paths.items()):
        if held and not any(step.before >> j & 1 for j in path):
            yield flat


def _borders(bend: BlankBend, edge: Line) -> bool:
    back = bend.place.inverse()
    ys = [back(p)[1] for p in (edge.start, edge.end)]
    return all(abs(y) < 1e-3 for y in ys) or all(abs(y - bend.allowance) < 1e-3 for y in ys)


def _between(grain: float, bend: BlankBend) -> float:
    """Return the angle between the grain and a bend's line, 0 along to π/2 across [rad]."""
    x, y = bend.place.vector((1.0, 0.0))
    turn = abs(math.atan2(y, x) - grain) % math.pi
    return min(turn, math.pi - turn)


def _load(plan: BendPlan, step: Step) -> tuple[float | None, float, str]:
    strong = strength_of(plan.blank)
    ultimate = strong.ultimate if strong else STRENGTH_SUPPOSED
    lay = step.way.lay
    length = lay.stretch[1] - lay.stretch[0]
    share = None
    if step.tool.capacity is not None:
        load = Capacity(thickness=plan.blank.thickness, length=length, ultimate=ultimate).load
        share = load / step.tool.capacity.load
    if isinstance(step.tool, PressBrake):
        try:
            per_mm, source = brake_force(plan.blank.thickness, step.tool.opening, ultimate)
        except NotPossible:
            return share, 0.0, ""
        return share, per_mm * length / 1000.0, source
    return share, 0.0, ""
