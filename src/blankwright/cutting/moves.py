"""Checks of every motion of a machine file, by itself and with the one before it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from blankwright.base.findings import Finding
from blankwright.base.tolerance import PROOF
from blankwright.cutting.feeds import Feeds
from blankwright.cutting.machine import Cutter, CutterKind
from blankwright.cutting.motion import Motion, Replay
from blankwright.cutting.said import at_line, stop
from blankwright.cutting.work import PointKind, Work
from blankwright.geom import vec
from blankwright.geom.apart import apart, box_gap, edges_apart
from blankwright.geom.edges import Edge
from blankwright.geom.near import EdgeIndex
from blankwright.geom.region import Region

SAME_WAY = 0.05
"""A pass goes down on the way of the pass before when it keeps within this of it [mm]."""

LOOK_EVERY = 2.0
"""How often along its way a pass is held against the pass before [mm]."""

ROUNDED = 0.001
"""Heights and feeds in the file are rounded; this much over a limit is not counted [mm]."""


def move_findings(replay: Replay, work: Work, feeds: Mapping[int, Feeds]) -> Iterator[Finding]:
    """Yield what is wrong with single motions, in the order of the file."""
    checker = _Checker(work, feeds)
    for motion in replay.motions:
        yield from checker.check(motion)


class _Checker:
    def __init__(self, work: Work, feeds: Mapping[int, Feeds]) -> None:
        self.work = work
        self.machine = work.machine
        self.sheet = work.job.sheet
        self.feeds = feeds
        self.cutters = {cutter.number: cutter for cutter in work.machine.cutters}
        self.parts = [(part, EdgeIndex(part.region.edges, cell=20.0)) for part in work.job.parts]
        self.rim = EdgeIndex(self.sheet.region.edges, cell=50.0)
        self.floor = -(self.sheet.thickness + self.machine.board)
        deepest = [work.bottom, *(-point.depth for point in work.points)]
        self.planned = min(deepest)
        self.done: list[Motion] = []  # cuts so far by router bits
        self.trodden = EdgeIndex([], cell=5.0)
        self.side_known = False  # whether it goes on from a motion that was clear of all parts

    def check(self, motion: Motion) -> Iterator[Finding]:
        """Yield what is wrong with one motion."""
        yield from self._travel(motion)
        yield from self._clamps(motion)
        if motion.low >= -1e-9:
            self.side_known = False
            return
        place = at_line(self.work, motion)
        cutter = self.cutters.get(motion.tool)
        if cutter is None:
            yield stop("CUT-118", place, f"no cutter has number {motion.tool}", "a stated cutter")
            return
        if motion.rapid:
            rising = motion.vertical and motion.z1 > motion.z0
            if not rising:
                got = f"a rapid move goes to {motion.low:.3f} mm, into the work"
                yield stop("CUT-105", place, got, "above the sheet", motion.edge)
            self.side_known = False
            return
        yield from self._speeds(motion, cutter, place)
        yield from self._depths(motion, cutter, place)
        if cutter.kind is CutterKind.PEN:
            yield from self._pen(motion, place)
            return
        yield from self._sweep(motion, cutter, place)

    # --- machine --------------------------------------------------------------------------------

    def _travel(self, motion: Motion) -> Iterator[Finding]:
        reach = self.machine.reach
        x0, y0, x1, y1 = motion.edge.box
        z0, z1 = motion.low, max(motion.z0, motion.z1)
        for axis, low, high, (least, most) in zip(
            "xyz", (x0, y0, z0), (x1, y1, z1), reach, strict=True
        ):
            if low < least - ROUNDED or high > most + ROUNDED:
                far = low if low < least - ROUNDED else high
                yield stop(
                    "CUT-106",
                    at_line(self.work, motion),
                    f"{axis} goes to {far:.3f} mm",
                    f"{least:.1f} to {most:.1f} mm, the machine's travel",
                    motion.edge,
                )

    def _clamps(self, motion: Motion) -> Iterator[Finding]:
        cutter = self.cutters.get(motion.tool)
        radius = cutter.radius if cutter else 0.0
        for clamp in self.sheet.clamps:
            if motion.low >= clamp.height + ROUNDED:
                continue
            limit = radius + self.machine.clear_of_clamps - PROOF
            gap = _gap(motion.edge, clamp.region, limit)
            if gap < limit:
                yield stop(
                    "CUT-104",
                    at_line(self.work, motion),
                    f"at {motion.low:.3f} mm the cutter comes within "
                    f"{max(0.0, gap - radius):.3f} mm of {clamp.name}",
                    f"{self.machine.clear_of_clamps:.3f} mm, or over {clamp.height:.1f} mm high",
                    motion.edge,
                )

    # --- cutting --------------------------------------------------------------------------------

    def _speeds(self, motion: Motion, cutter: Cutter, place: str) -> Iterator[Finding]:
        machine = self.machine
        planned_for = self.feeds.get(cutter.number)
        most_feed = machine.most_feed
        if planned_for is not None:
            most_feed = min(most_feed, max(planned_for.feed, planned_for.plunge))
        if motion.feed > most_feed * 1.001 + ROUNDED:
            got = f"feed of {motion.feed:.0f} mm/min"
            yield stop("CUT-109", place, got, f"{most_feed:.0f} mm/min", motion.edge)
        steep = _slope(motion) > math.tan(machine.ramp) * 1.05 + 1e-3
        if motion.z1 < motion.z0 - 1e-6 and steep:
            planned = planned_for.plunge if planned_for is not None else 0.0
            limit = min(machine.most_plunge, planned or machine.most_plunge)
            if motion.feed > limit * 1.001 + ROUNDED:
                got = f"feeds down at {motion.feed:.0f} mm/min"
                yield stop("CUT-109", place, got, f"{limit:.0f} mm/min", motion.edge)
        if cutter.kind is CutterKind.PEN:
            if motion.rpm > 0:
                yield stop("CUT-109", place, "the spindle turns with the pen in it", "it stands")
            return
        if motion.rpm <= 0:
            yield stop("CUT-111", place, "it cuts while the spindle stands", "it turns")
            return
        most = min(machine.most_rpm, cutter.most_rpm or math.inf)
        if not machine.least_rpm - 0.6 <= motion.rpm <= most + 0.6:
            got = f"spindle at {motion.rpm:.0f} 1/min"
            yield stop("CUT-109", place, got, f"{machine.least_rpm:.0f} to {most:.0f} 1/min")
        elif planned_for is not None and abs(motion.rpm - planned_for.rpm) > 1.0:
            got = f"spindle at {motion.rpm:.0f} 1/min"
            yield stop("CUT-109", place, got, f"{planned_for.rpm:.0f} 1/min, which the feed is for")

    def _depths(self, motion: Motion, cutter: Cutter, place: str) -> Iterator[Finding]:
        lowest = max(self.floor, self.planned)
        if motion.low < lowest - PROOF:
            got = f"it goes {-motion.low:.3f} mm below the sheet's face"
            yield stop("CUT-108", place, got, f"{-lowest:.3f} mm", motion.edge)
        drills = cutter.kind in (CutterKind.DRILL, CutterKind.SPOT_DRILL, CutterKind.PEN)
        if not drills:
            yield from self._bite(motion, cutter, place)
            tab = self.work.settings.tab_top(self.sheet.thickness) + self.machine.through
            if motion.vertical and motion.z0 - motion.z1 > tab + PROOF and motion.low < -1e-9:
                got = f"a router bit is pushed straight down {motion.z0 - motion.z1:.3f} mm"
                yield stop("CUT-117", place, got, f"{tab:.3f} mm, past a tab", motion.edge)
            self.done.append(motion)
            self.trodden.add(motion.edge)

    def _bite(self, motion: Motion, cutter: Cutter, place: str) -> Iterator[Finding]:
        """Yield it when more than one pass of metal stands where the cutter goes."""
        step = self.feeds[cutter.number].step if cutter.number in self.feeds else math.inf
        need = motion.low + step + PROOF  # what lies above must be gone already
        if need >= 0 or motion.vertical:
            return
        edge = motion.edge
        before = [
            way
            for number in self.trodden.near(edge.box, SAME_WAY)
            if (way := self.done[number].below(need)) is not None
        ]
        count = max(2, math.ceil(edge.length / LOOK_EVERY))
        for i in range(count):
            p = edge.point((i + 0.5) / count)
            if not any(way.distance(p) <= SAME_WAY for way in before):
                got = f"it cuts {-motion.low:.3f} mm deep at ({p[0]:.2f}, {p[1]:.2f}) mm at once"
                yield stop("CUT-114", place, got, f"{step:.3f} mm in one pass", edge)
                return

    def _pen(self, motion: Motion, place: str) -> Iterator[Finding]:
        for end in (motion.edge.start, motion.edge.end):
            if all(mark.line.distance(end) > PROOF for mark in self.work.marks):
                got = "the pen draws where no mark is wanted"
                yield stop("CUT-113", place, got, "the marks of the bend lines", motion.edge)
                return

    def _sweep(self, motion: Motion, cutter: Cutter, place: str) -> Iterator[Finding]:
        radius = cutter.radius_at(-motion.low)
        spot = cutter.kind is CutterKind.SPOT_DRILL and motion.vertical
        if spot and self._wanted_spot(motion, cutter):
            return
        edge = motion.edge
        for part, index in self.parts:
            if box_gap(edge.box, part.region.box) >= radius:
                continue
            reach = radius - PROOF
            worst = reach
            for number in index.near(edge.box, radius):
                worst = min(worst, apart(edge, index.edges[number]))
            inside = not self.side_known and part.region.contains(edge.start)
            if worst < reach or inside:
                depth = radius - worst if not inside else radius
                yield stop(
                    "CUT-101",
                    place,
                    f"the cutter enters {part.name} by {depth:.3f} mm"
                    + (" or more" if inside else ""),
                    f"{PROOF:.3f} mm",
                    edge,
                )
                self.side_known = False
                return
        self.side_known = True
        limit = radius - PROOF
        gap = limit
        for number in self.rim.near(edge.box, radius):
            gap = min(gap, apart(edge, self.rim.edges[number]))
        if gap < limit or not self.sheet.region.contains(edge.start):
            got = f"the cutter leaves the sheet by {radius - gap:.3f} mm or more"
            yield stop("CUT-107", place, got, "inside the sheet", edge)

    def _wanted_spot(self, motion: Motion, cutter: Cutter) -> bool:
        return any(
            point.kind is PointKind.BEND_SPOT
            and point.cutter.number == cutter.number
            and vec.distance(point.at, motion.edge.start) <= PROOF
            and -motion.low <= point.depth + PROOF
            for point in self.work.points
        )


def _gap(edge: Edge, region: Region, enough: float) -> float:
    if box_gap(edge.box, region.box) > enough:
        return math.inf
    if region.contains(edge.start):
        return 0.0
    return edges_apart((edge,), region.edges, enough)


def _slope(motion: Motion) -> float:
    drop = abs(motion.z1 - motion.z0)
    return math.inf if motion.vertical else drop / motion.edge.length
