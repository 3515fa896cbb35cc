"""From a sheet job to work: which cutter does what, and where the cutter's centre goes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.findings import Finding, Level
from blankwright.base.tolerance import TOUCH
from blankwright.base.units import show_mm
from blankwright.cutting.holding import hold_down
from blankwright.cutting.job import CutPart, CutSettings, SheetJob
from blankwright.cutting.machine import Cutter, CutterKind, Machine
from blankwright.cutting.marking import bend_marks
from blankwright.cutting.reach import SLOT_AREA, area_of, inside_paths, unreached
from blankwright.cutting.room import room_findings
from blankwright.cutting.work import (
    SAME_DIAMETER,
    TIGHT,
    MarkWork,
    PointKind,
    PointWork,
    Profile,
    Work,
)
from blankwright.geom.boolean import difference
from blankwright.geom.loop import Loop
from blankwright.geom.offset import grown, loop_grown
from blankwright.geom.region import Region


def plan_work(job: SheetJob, machine: Machine, settings: CutSettings) -> Work:
    """Decide what is drilled, marked and cut, by which cutter, along which way.

    The safe height is raised over clamps that stand higher.

    Raises:
        NotPossible: when the machine has no router bit for the profiles
    """
    machine = _over_clamps(machine, job)
    planner = _Planner(job, machine, settings, _main_cutter(machine, settings))
    for part in job.parts:
        planner.add(part)
    profiles, short = hold_down(planner.profiles, planner.free, job, machine, settings)
    work = Work(
        job=job,
        machine=machine,
        settings=settings,
        points=tuple(planner.points),
        marks=tuple(planner.marks),
        profiles=profiles,
        findings=(*planner.findings, *short),
    )
    return replace(work, findings=(*work.findings, *room_findings(work)))


def _over_clamps(machine: Machine, job: SheetJob) -> Machine:
    """Return the machine with a safe height over every clamp of the sheet."""
    highest = max((clamp.height for clamp in job.sheet.clamps), default=0.0)
    over = max(machine.safe_height, highest + machine.clear_of_clamps)
    return replace(machine, safe_height=over)


def _main_cutter(machine: Machine, settings: CutSettings) -> Cutter:
    bits = machine.of_kind(CutterKind.ROUTER_BIT)
    wanted = [bit for bit in bits if settings.cutter in (0, bit.number)]
    if not wanted:
        raise NotPossible(
            Problem(
                code="CUT-004",
                where=f"machine {machine.name}",
                got=f"there is no router bit number {settings.cutter}"
                if settings.cutter
                else "the machine has no router bit",
                allowed=", ".join(f"{bit.number} ({bit.name})" for bit in bits) or "none stated",
                fix="Add the router bit to [[machine.cutters]] in the shop file",
            )
        )
    return wanted[0]


@dataclass
class _Planner:
    job: SheetJob
    machine: Machine
    settings: CutSettings
    main: Cutter
    points: list[PointWork] = field(default_factory=list)
    marks: list[MarkWork] = field(default_factory=list)
    profiles: list[Profile] = field(default_factory=list)
    free: set[int] = field(default_factory=set)  # numbers of profiles that get no tabs
    findings: list[Finding] = field(default_factory=list)

    def add(self, part: CutPart) -> None:
        depth = sum(
            other is not part
            and other.region.outer.contains(part.region.outer.edges[0].start)
            and other.region.outer.area > part.region.outer.area
            for other in self.job.parts
        )
        for number, hole in enumerate(part.region.holes, start=1):
            if not self._drill(part, hole):
                self._inside(part, number, hole, depth)
        self._outside(part, depth)
        marked = bend_marks(part, self.job, self.machine, self.settings)
        self.marks += marked.lines
        self.points += marked.points
        self.findings += marked.findings

    # --- holes ----------------------------------------------------------------------------------

    def _drill(self, part: CutPart, hole: Loop) -> bool:
        circle = hole.as_circle
        if circle is None:
            return False
        size = 2 * circle.radius
        for drill in self.machine.of_kind(CutterKind.DRILL):
            if abs(drill.diameter - size) <= SAME_DIAMETER + 1e-9:
                below = self.machine.through + drill.point_length
                self.points.append(
                    PointWork(
                        part=part.name,
                        kind=PointKind.DRILL,
                        at=circle.center,
                        hole=size,
                        cutter=drill,
                        depth=self.job.sheet.thickness + below,
                    )
                )
                return True
        return False

    def _inside(self, part: CutPart, number: int, hole: Loop, depth: int) -> None:
        bits = [
            bit
            for bit in self.machine.of_kind(CutterKind.ROUTER_BIT)
            if bit.diameter <= self.main.diameter
        ]
        bits.sort(key=lambda bit: (bit is not self.main, -bit.diameter, bit.number))
        ways: list[tuple[Cutter, list[Loop]]] = []
        for bit in bits:
            paths = inside_paths(hole, bit.radius)
            if paths:
                ways.append((bit, paths))
            if len(paths) == 1:
                break
        if not ways:
            self._too_small(part, hole)
            return
        bit, paths = min(ways, key=lambda way: len(way[1]))
        loop = hole.ccw()
        if loop.as_circle is None:
            left = difference(
                (Region(loop),), tuple(r for p in paths for r in loop_grown(p, bit.radius))
            )
            self._report_left(part, left, paths, bit)
        for path in paths:
            self._profile(part, number, hole, path, bit, depth)

    def _too_small(self, part: CutPart, hole: Loop) -> None:
        circle = hole.as_circle
        if circle is None:
            x0, y0, x1, y1 = hole.box
            self.findings.append(
                Finding(
                    code="CUT-001",
                    level=Level.STOP,
                    place=part.name,
                    got=f"an opening of {show_mm(x1 - x0)} × {show_mm(y1 - y0)} has no room for "
                    "any router bit of the machine",
                    limit=f"{show_mm(self._least_bit())}, the smallest bit",
                    source="shop file",
                    fix="Use a smaller bit, or leave the opening to be cut by hand",
                    at=((x0 + x1) / 2, (y0 + y1) / 2),
                )
            )
            return
        size = 2 * circle.radius
        marker = self._marker(size)
        if marker is None:
            self.findings.append(
                Finding(
                    code="CUT-004",
                    level=Level.ASK,
                    place=part.name,
                    got=f"a hole of {show_mm(size)} is smaller than every bit and is left out",
                    limit="a spot drill or a drill of its size",
                    source="shop file",
                    fix="Add a spot drill to the shop file, or lay the hole out by hand",
                    at=circle.center,
                )
            )
            return
        self.points.append(
            PointWork(
                part=part.name,
                kind=PointKind.SPOT,
                at=circle.center,
                hole=size,
                cutter=marker,
                depth=self._spot_depth(marker, circle.radius),
            )
        )

    def _least_bit(self) -> float:
        return min(bit.diameter for bit in self.machine.of_kind(CutterKind.ROUTER_BIT))

    def _marker(self, size: float) -> Cutter | None:
        spots = self.machine.of_kind(CutterKind.SPOT_DRILL)
        if spots:
            return spots[0]
        drills = [d for d in self.machine.of_kind(CutterKind.DRILL) if d.diameter < size]
        return drills[-1] if drills else None

    def _spot_depth(self, marker: Cutter, hole_radius: float) -> float:
        deepest = min(self.settings.spot_depth, self.job.sheet.thickness / 2)
        if marker.kind is CutterKind.SPOT_DRILL:
            deepest = min(deepest, hole_radius / 2 / math.tan(marker.tip_angle / 2))
        return deepest

    # --- outside --------------------------------------------------------------------------------

    def _outside(self, part: CutPart, depth: int) -> None:
        radius = self.main.radius
        outer = Region(part.region.outer)
        ways, left = grown(outer, radius), unreached(outer, radius)
        closer = unreached(outer, radius - TIGHT) if left else []
        if area_of(left) - area_of(closer) > SLOT_AREA + 0.005 * len(left):
            # There is a slot as wide as the cutter: only a way a little nearer goes into it.
            ways, left = grown(outer, radius - TIGHT), closer
        for big in ways:
            self._profile(part, 0, outer.outer, big.outer, self.main, depth)
            # A hollow of the outside that only a plunge reaches: a C nearly closed.
            for hollow in big.holes:
                self._profile(part, 0, outer.outer, hollow, self.main, depth, tabs=False)
        paths = [p.path for p in self.profiles if p.part == part.name and p.outside]
        self._report_left(part, left, paths, self.main)

    def _profile(
        self,
        part: CutPart,
        number: int,
        outline: Loop,
        path: Loop,
        cutter: Cutter,
        depth: int,
        *,
        tabs: bool = True,
    ) -> None:
        if not tabs:
            self.free.add(len(self.profiles))
        # With the spindle turning clockwise, climb milling keeps the part right of travel.
        climb = path.ccw().reversed() if number == 0 and path.area > 0 else path.ccw()
        travel = climb if self.settings.climb else climb.reversed()
        self.profiles.append(
            Profile(
                part=part.name,
                loop=number,
                outline=outline,
                path=travel,
                cutter=cutter,
                depth=depth,
            )
        )

    def _report_left(
        self, part: CutPart, left: Sequence[Region], paths: Sequence[Loop], bit: Cutter
    ) -> None:
        pieces = [piece for piece in left if piece.area > 100 * TOUCH]
        if not pieces or not paths:
            return
        worst, at = 0.0, pieces[0].edges[0].start
        for piece in pieces:
            for edge in piece.edges:
                over = min(path.distance(edge.start) for path in paths) - bit.radius
                if over > worst:
                    worst, at = over, edge.start
        if worst < 0.01:
            return
        self.findings.append(
            Finding(
                code="CUT-002",
                level=Level.ASK,
                place=part.name,
                got=f"metal stays in inside corners ({len(pieces)}), up to {show_mm(worst)} deep",
                limit=f"a corner radius of {show_mm(bit.radius)}, the cutter's own",
                source="shop file",
                fix="File them by hand after cutting, or choose a smaller cutter",
                at=at,
            )
        )
