"""Drilling up: from the pilot to the final hole with the drills that the shop has.

The fewest passes are found first, each no larger than the step that the sheet allows; among the
ladders with so few the one whose largest step is smallest is taken.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.findings import Finding, Level
from blankwright.base.units import System, show, show_mm
from blankwright.handbook.drilling import Oversize, oversize, reaming, step_rule
from blankwright.handbook.drills import Drill
from blankwright.holes.drill_rack import DrillRack, Reamer, ToolKind

_SAME = 1e-6
"""Two sizes closer than this are the same [mm]."""

NEAR_ENOUGH = 0.2
"""Without a tolerance a drill may be off the wanted size by this [mm]. Our choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pass:
    """One pass of the ladder.

    Args:
        tool: its name
        kind: what it is
        diameter: hole after it [mm]
        step: how much it opens the hole [mm]
        strokes: how often the tool goes through a place: steps of a step drill, times the parts
            of the stack that are drilled apart [-]
    """

    tool: str
    kind: ToolKind
    diameter: float
    step: float
    strokes: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Ladder:
    """How a hole is drilled up.

    Args:
        passes: in order
        final: wanted diameter [mm]
        reached: least and greatest diameter to expect [mm]; nothing where no table says
        holes: how many holes are drilled so [-]
        rule: largest step, and where it comes from
        findings: what to know
        sources: where numbers come from
    """

    passes: tuple[Pass, ...]
    final: float
    reached: tuple[float, float] | None
    holes: int
    rule: tuple[float, str]
    findings: tuple[Finding, ...]
    sources: tuple[str, ...]

    @property
    def strokes(self) -> int:
        """Strokes for all holes [-]."""
        return self.holes * sum(one.strokes for one in self.passes)


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedHole:
    """A hole to be drilled up.

    Args:
        final: wanted diameter [mm]
        pilot: diameter of the hole that is there [mm]; 0 for none
        stack: thicknesses of the sheets, as they lie [mm]
        material: ``aluminium`` or ``steel``
        plus: how much larger it may be [mm]; infinite when no tolerance is stated
        minus: how much smaller it may be [mm]; infinite when no tolerance is stated
        holes: how many [-]
        use_step_drill: whether a step drill may be used
    """

    final: float
    stack: tuple[float, ...]
    pilot: float = 0.0
    material: str = "aluminium"
    plus: float = math.inf
    minus: float = math.inf
    holes: int = 1
    use_step_drill: bool = False


def plan_ladder(asked: AskedHole, rack: DrillRack) -> Ladder:
    """Plan how a hole is drilled up.

    A reamer makes the last pass when the shop has one of the size and a drilled hole would not
    keep within the tolerance.

    Args:
        asked: the hole
        rack: the shop's drills

    Raises:
        NotPossible: when the shop's drills can't make it: none near enough (DRILLING-002), or a
            gap between two is over the largest step (DRILLING-003)
    """
    if not asked.stack or min(asked.stack) <= 0:
        raise _no("DRILLING-004", "the stack", "no sheet is stated", "thickness of each sheet")
    if asked.pilot > asked.final + _SAME:
        got = f"a pilot of {show_mm(asked.pilot)} for a hole of {show_mm(asked.final)}"
        raise _no("DRILLING-004", "the pilot", got, "a smaller pilot")
    rule = step_rule(asked.material, min(asked.stack))
    findings: list[Finding] = []
    sources = [rule.source]
    reamer, before = _reamer(asked, rack, sources)
    if reamer is None:
        target, off = rack.nearest(asked.final)
        under, over = min(asked.minus, NEAR_ENOUGH), min(asked.plus, NEAR_ENOUGH)
        if not -under - _SAME <= off <= over + _SAME:
            raise _no(
                "DRILLING-002",
                f"a hole of {show(asked.final, 'length', System.BOTH)}",
                f"the nearest drill of the shop is {target.name}, off by {show_mm(off, 3)}",
                f"{show_mm(under, 3)} under to {show_mm(over, 3)} over",
                "Buy the drill, or ream it",
            )
        if abs(off) > _SAME:
            findings.append(_nearest_note(asked, target, off))
    else:
        target = before
    passes = list(_by_step_drill(asked, rack, findings) if asked.use_step_drill else ())
    start = passes[-1].diameter if passes else asked.pilot
    if target.diameter > start + _SAME:
        passes += _by_drills(start, target, rack, rule.step, rule.first)
    if reamer is not None:
        at = passes[-1].diameter if passes else asked.pilot
        passes.append(
            Pass(
                tool=reamer.name,
                kind=ToolKind.REAMER,
                diameter=reamer.diameter,
                step=reamer.diameter - at,
            )
        )
    reached = _reached(passes, sources)
    findings += _tolerance(asked, reached, reamer is not None)
    return Ladder(
        passes=tuple(passes),
        final=asked.final,
        reached=reached,
        holes=asked.holes,
        rule=(rule.step, rule.source),
        findings=tuple(findings),
        sources=tuple(dict.fromkeys(sources)),
    )


def _reamer(asked: AskedHole, rack: DrillRack, sources: list[str]) -> tuple[Reamer | None, Drill]:
    """Return the reamer to finish with and the drill before it, or nothing and any drill."""
    nearest, _ = rack.nearest(asked.final)
    if math.isinf(asked.plus):
        return None, nearest
    drilled = oversize(nearest.diameter)
    off = nearest.diameter - asked.final
    # A drilled hole may do: then no reamer is worn out on it.
    if drilled is not None and off + drilled.most <= asked.plus and off >= -asked.minus:
        return None, nearest
    good = [
        r for r in rack.reamers if -asked.minus - _SAME <= r.diameter - asked.final <= asked.plus
    ]
    if not good:
        return None, nearest
    reamer = min(good, key=lambda r: abs(r.diameter - asked.final))
    least, most = reaming("left for the reamer, least"), reaming("left for the reamer, most")
    sources.append(least.source)
    fits = [
        d
        for d in rack.drills
        if least.value - _SAME <= reamer.diameter - d.diameter <= most.value + _SAME
    ]
    if not fits:
        raise _no(
            "DRILLING-002",
            f"the drill before reamer {reamer.name}",
            "the shop has none that leaves the reamer its cut",
            f"{show_mm(least.value, 3)} to {show_mm(most.value, 3)} under it",
            "Buy one of that size",
        )
    return reamer, max(fits, key=lambda d: d.diameter)


def _by_drills(
    start: float, target: Drill, rack: DrillRack, step: float, first: float
) -> list[Pass]:
    """Return the fewest passes from a hole to a drill, with the smallest largest step of those."""
    drills = sorted(
        {
            round(d.diameter, 6): d
            for d in reversed(rack.drills)
            if start + _SAME < d.diameter < target.diameter - _SAME
        }.values(),
        key=lambda d: d.diameter,
    )
    rungs = [*drills, target]
    # best[i]: fewest passes to rung i, the largest step of those, the rung before.
    best: list[tuple[int, float, int] | None] = [None] * len(rungs)
    for i, rung in enumerate(rungs):
        if start <= _SAME:
            if rung.diameter <= first + _SAME:
                best[i] = (1, 0.0, -1)
        elif rung.diameter - start <= step + _SAME:
            best[i] = (1, rung.diameter - start, -1)
        for j in range(i):
            reached = best[j]
            gap = rung.diameter - rungs[j].diameter
            if reached is None or gap > step + _SAME:
                continue
            offer = (reached[0] + 1, max(reached[1], gap), j)
            if best[i] is None or offer < best[i]:  # type: ignore[operator]
                best[i] = offer
    if best[-1] is None:
        stuck = max((rungs[i].diameter for i in range(len(rungs)) if best[i]), default=start)
        raise _no(
            "DRILLING-003",
            f"drilling up to {target.name}",
            f"no drill of the shop follows {show_mm(stuck)}",
            f"steps up to {show_mm(step)}"
            if stuck > _SAME
            else f"a first drill to {show_mm(first)}",
            "Buy a drill between, or use a step drill",
        )
    chain: list[int] = []
    i = len(rungs) - 1
    while i >= 0:
        chain.append(i)
        found = best[i]
        assert found is not None
        i = found[2]
    passes: list[Pass] = []
    at = start
    for i in reversed(chain):
        passes.append(
            Pass(
                tool=rungs[i].name,
                kind=ToolKind.DRILL,
                diameter=rungs[i].diameter,
                step=rungs[i].diameter - at,
            )
        )
        at = rungs[i].diameter
    return passes


def _by_step_drill(asked: AskedHole, rack: DrillRack, findings: list[Finding]) -> list[Pass]:
    """Return the pass of a step drill, as far as it goes toward the final size; maybe none."""
    choices = []
    for tool in rack.step_drills:
        steps = [d for d in tool.sizes if asked.pilot + _SAME < d <= asked.final + _SAME]
        # It must enter the hole that is there: its first step or the drill's own tip.
        enters = asked.pilot >= tool.sizes[0] - _SAME or asked.pilot <= _SAME
        if steps and enters:
            choices.append((max(steps), -len(steps), tool, steps))
    if not choices:
        return []
    reach, _, tool, steps = max(choices, key=lambda c: (c[0], c[1]))
    groups = _groups(asked.stack, tool.step_height)
    if groups > 1:
        findings.append(
            Finding(
                code="DRILLING-010",
                level=Level.ASK,
                place=tool.name,
                got=f"the stack is {show_mm(sum(asked.stack))} thick: the sheets must be drilled"
                f" apart, in {groups} lots",
                limit=f"a step of the tool is {show_mm(tool.step_height)} high",
                source="shop file",
                fix="Drill the sheets apart, or open the holes with twist drills",
            )
        )
    return [
        Pass(
            tool=tool.name,
            kind=ToolKind.STEP_DRILL,
            diameter=reach,
            step=max(b - a for a, b in zip([asked.pilot, *steps], steps, strict=False)),
            strokes=len(steps) * groups,
        )
    ]


def _groups(stack: Sequence[float], height: float) -> int:
    """Return in how many lots a stack is drilled when one lot may be so thick [mm]."""
    groups, inside = 0, math.inf
    for thickness in stack:
        if inside + thickness > height + _SAME:
            groups += 1
            inside = 0.0
        inside += thickness
    return groups


def _reached(passes: Sequence[Pass], sources: list[str]) -> tuple[float, float] | None:
    if not passes:
        return None
    last = passes[-1]
    if last.kind is ToolKind.REAMER:
        most = reaming("reamed hole over the reamer, most")
        sources.append(most.source)
        return last.diameter, last.diameter + most.value
    found: Oversize | None = oversize(last.diameter)
    if found is None:
        return None
    sources.append(found.source)
    return last.diameter + found.least, last.diameter + found.most


def _tolerance(
    asked: AskedHole, reached: tuple[float, float] | None, reamed: bool
) -> list[Finding]:
    if reached is None or math.isinf(asked.plus):
        return []
    most = asked.final + asked.plus
    if reached[1] <= most + _SAME:
        return []
    return [
        Finding(
            code="DRILLING-011",
            level=Level.ASK,
            place="tolerance of the hole",
            got=f"it may come out {show_mm(reached[1], 3)} wide",
            limit=f"{show_mm(most, 3)}",
            source="table reaming" if reamed else "table drilled-oversize",
            fix="Try it on scrap and measure"
            + ("" if reamed else "; drill under size and ream, or take the next smaller drill"),
        )
    ]


def _nearest_note(asked: AskedHole, drill: Drill, off: float) -> Finding:
    return Finding(
        code="DRILLING-012",
        level=Level.NOTE,
        place=f"final drill {drill.name}",
        got=f"it is {show_mm(abs(off), 3)} {'over' if off > 0 else 'under'} the wanted size",
        limit=f"{show(asked.final, 'length', System.BOTH)} wanted",
        source="drills of the shop",
        fix="Check that the fastener allows it",
    )


def _no(code: str, where: str, got: str, allowed: str, fix: str = "") -> NotPossible:
    return NotPossible(Problem(code=code, where=where, got=got, allowed=allowed, fix=fix))
