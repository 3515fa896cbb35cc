"""From work to a program: cutters in turn, marks and holes first, inside cuts, outsides last."""

from __future__ import annotations

import math
from collections.abc import Sequence

from blankwright.base.findings import Finding
from blankwright.base.units import System as Shown
from blankwright.base.units import show
from blankwright.cutting.feeds import Feeds, feeds_for
from blankwright.cutting.machine import Cutter, CutterKind, FileUnits
from blankwright.cutting.passes import cut_profile
from blankwright.cutting.steps import (
    Along,
    Down,
    DrillAll,
    Height,
    Over,
    Program,
    Say,
    Step,
    UseCutter,
    without_cycles,
)
from blankwright.cutting.work import PEN_DOWN, MarkWork, PointKind, PointWork, Profile, Work
from blankwright.geom import vec
from blankwright.geom.vec import Point

CAUTIONS = (
    "Wear eye and ear protection. Clamp the work. Keep hands out.",
    "Run the dry-run file above the work first.",
    "Metal chips and edges are sharp. Board dust harms the lungs: extract it.",
)
"""The usual cautions at the head of every machine file."""


def program_for(work: Work) -> tuple[Program, dict[int, Feeds], tuple[Finding, ...]]:
    """Return the program, the feeds of each cutter by number, and what the feeds gave notice of.

    Raises:
        NotPossible: when nothing states how a cutter is run in this material
    """
    builder = _Builder(work)
    builder.marks()
    builder.drilling()
    builder.profiles()
    steps = tuple(builder.steps)
    if not work.machine.drill_cycles:
        steps = without_cycles(steps)
    program = Program(
        title=work.job.name,
        head=_head(work, builder.feeds),
        steps=steps,
        safe=work.machine.safe_height,
    )
    findings = tuple(f for number in sorted(builder.feeds) for f in builder.feeds[number].findings)
    return program, builder.feeds, findings


def _head(work: Work, feeds: dict[int, Feeds]) -> tuple[str, ...]:
    sheet, machine = work.job.sheet, work.machine
    shown = Shown.INCH if machine.units is FileUnits.INCH else Shown.MM

    def size(length: float) -> str:
        return show(length, "length", shown)

    lines = [
        f"Sheet: {sheet.name}, {sheet.alloy}, {size(sheet.thickness)}, "
        f"{size(sheet.size[0])} x {size(sheet.size[1])}",
        f"Machine: {machine.name}",
        "Zero: lower left corner of the sheet, upper face of the sheet",
        f"Safe height {size(machine.safe_height)}, cuts {size(machine.through)} into the board",
    ]
    for clamp in sheet.clamps:
        x0, y0, x1, y1 = clamp.region.box
        lines.append(
            f"Clamp: {clamp.name}, x {size(x0)} to {size(x1)}, y {size(y0)} to {size(y1)}, "
            f"{size(clamp.height)} high"
        )
    for number in sorted(feeds):
        lines.append(f"Cutter {number}: {machine.cutter(number).name}")
    for part in work.job.parts:
        lines.append(f"Part: {part.name}")
    return (*lines, *CAUTIONS)


class _Builder:
    def __init__(self, work: Work) -> None:
        self.work = work
        self.feeds: dict[int, Feeds] = {}
        self.steps: list[Step] = []
        self._cutter = 0
        self._at: Point = (0.0, 0.0)

    def _use(self, cutter: Cutter) -> Feeds:
        if cutter.number not in self.feeds:
            self.feeds[cutter.number] = feeds_for(
                cutter, self.work.job.sheet.material, self.work.machine
            )
        feeds = self.feeds[cutter.number]
        if self._cutter != cutter.number:
            self._cutter = cutter.number
            self.steps.append(
                UseCutter(
                    cutter=cutter,
                    rpm=feeds.rpm,
                    feed=feeds.feed,
                    plunge=feeds.plunge,
                    step=feeds.step,
                    because=feeds.because(),
                )
            )
        return feeds

    # --- marks and holes ------------------------------------------------------------------------

    def marks(self) -> None:
        """Draw all pen marks."""
        marks = list(self.work.marks)
        if not marks:
            return
        feeds = self._use(marks[0].cutter)
        self.steps.append(Say("Marks at the ends of bend lines"))
        while marks:
            mark = min(marks, key=self._mark_distance)
            marks.remove(mark)
            line = mark.line
            self.steps += [
                Over(line.start),
                Height(self.work.machine.near_height),
                Down(PEN_DOWN, feeds.plunge),
                Along(line, PEN_DOWN, feeds.feed),
                Height(self.work.machine.safe_height),
            ]
            self._at = line.end

    def _mark_distance(self, mark: MarkWork) -> float:
        return vec.distance(self._at, mark.line.start)

    def drilling(self) -> None:
        """Spot, then drill, cutter by cutter."""
        kinds = [CutterKind.SPOT_DRILL, CutterKind.DRILL]
        cutters = {point.cutter.number: point.cutter for point in self.work.points}
        order = sorted(cutters.values(), key=lambda c: (kinds.index(c.kind), c.number))
        for cutter in order:
            feeds = self._use(cutter)
            mine = [point for point in self.work.points if point.cutter.number == cutter.number]
            groups: dict[tuple[PointKind, float], list[PointWork]] = {}
            for point in mine:
                groups.setdefault((point.kind, point.depth), []).append(point)
            for (kind, depth), points in groups.items():
                self.steps.append(Say(_group_title(kind, points)))
                self.steps.append(self._drill(cutter, depth, points, feeds))

    def _drill(
        self, cutter: Cutter, depth: float, points: Sequence[PointWork], feeds: Feeds
    ) -> DrillAll:
        machine = self.work.machine
        ordered = nearest_first([point.at for point in points], self._at)
        self._at = ordered[-1]
        deep = depth > 3 * cutter.diameter and points[0].kind is PointKind.DRILL
        return DrillAll(
            points=tuple(ordered),
            z=-depth,
            near=machine.near_height,
            safe=machine.safe_height,
            feed=feeds.plunge,
            peck=feeds.step if deep else 0.0,
        )

    # --- profiles -------------------------------------------------------------------------------

    def profiles(self) -> None:
        """Cut loops: parts inside other parts' openings first, openings before outsides."""
        profiles = self.work.profiles
        for depth in sorted({profile.depth for profile in profiles}, reverse=True):
            level = [profile for profile in profiles if profile.depth == depth]
            inside = [profile for profile in level if not profile.outside]
            for number in sorted({profile.cutter.number for profile in inside}):
                self._cut_in_turn([p for p in inside if p.cutter.number == number])
            self._cut_in_turn([profile for profile in level if profile.outside])

    def _cut_in_turn(self, profiles: list[Profile]) -> None:
        waiting = [(profile, profile.path.edges[0].start) for profile in profiles]
        while waiting:
            best = min(waiting, key=lambda item: vec.distance(self._at, item[1]))
            waiting.remove(best)
            profile, self._at = best
            feeds = self._use(profile.cutter)
            what = "outside" if profile.outside else f"opening {profile.loop}"
            tabs = f", {len(profile.tabs)} tabs" if profile.tabs else ""
            self.steps.append(Say(f"{profile.part}: {what}{tabs}"))
            self.steps += cut_profile(profile, self.work, feeds)


def _group_title(kind: PointKind, points: Sequence[PointWork]) -> str:
    if kind is PointKind.DRILL:
        return f"Drill holes, {len(points)} in all"
    if kind is PointKind.SPOT:
        return f"Spot mark holes to be drilled later, {len(points)} in all"
    return f"Spot mark ends of bend lines, {len(points)} in all"


def nearest_first(points: Sequence[Point], start: Point) -> list[Point]:
    """Return points [mm] in the order of a walk that always goes to the nearest one left."""
    left = list(points)
    at, order = start, []
    while left:
        x, y = at
        i = min(range(len(left)), key=lambda k: math.hypot(left[k][0] - x, left[k][1] - y))
        at = left.pop(i)
        order.append(at)
    return order
