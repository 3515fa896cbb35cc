"""Checks of every motion of a machine file, by itself and with the one before it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from blankwright.base.findings import Finding
from blankwright.base.tolerance import PROOF
from blankwright.cutting.bites import Bites
from blankwright.cutting.conduct import rapid_findings
from blankwright.cutting.feeds import Feeds
from blankwright.cutting.machine import Cutter, CutterKind
from blankwright.cutting.motion import Motion, Replay
from blankwright.cutting.pace import Pace
from blankwright.cutting.said import at_line, stop
from blankwright.cutting.work import PointKind, Work
from blankwright.geom import vec
from blankwright.geom.apart import apart, box_gap, edges_apart
from blankwright.geom.edges import Box, Edge
from blankwright.geom.near import EdgeIndex
from blankwright.geom.region import Region

ROUNDED = 0.001
"""Heights in the file are rounded; this much over a limit is not counted [mm]."""


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
        self.cutters = {cutter.number: cutter for cutter in work.machine.cutters}
        self.parts = [(part, EdgeIndex(part.region.edges, cell=20.0)) for part in work.job.parts]
        self.rim = EdgeIndex(self.sheet.region.edges, cell=50.0)
        self.pace = Pace(work, feeds)
        self.bites = Bites(work, feeds)
        self.side_known = False  # whether it goes on from a motion that was clear of all parts
        self.boxes: dict[Edge, Box] = {}
        self.clear: set[tuple[Edge, float]] = set()  # ways known to be clear of all, by radius

    def check(self, motion: Motion) -> Iterator[Finding]:
        """Yield what is wrong with one motion."""
        box = self.boxes.get(motion.edge)
        if box is None:
            box = self.boxes[motion.edge] = motion.edge.box
        yield from self._travel(motion, box)
        if self.sheet.clamps:
            yield from self._clamps(motion)
        if motion.rapid:
            yield from rapid_findings(motion, self.work)
        if motion.low >= -1e-9:
            self.side_known = False
            return
        place = at_line(self.work, motion)
        cutter = self.cutters.get(motion.tool)
        if cutter is None:
            yield stop("CUT-118", place, f"no cutter has number {motion.tool}", "a stated cutter")
            return
        if motion.rapid:
            self.side_known = False
            return
        yield from self.pace.check(motion, cutter, place)
        yield from self.bites.check(motion, cutter, box, place)
        if cutter.kind is CutterKind.PEN:
            yield from self._pen(motion, place)
            return
        yield from self._sweep(motion, cutter, box, place)

    # --- machine --------------------------------------------------------------------------------

    def _travel(self, motion: Motion, box: Box) -> Iterator[Finding]:
        reach = self.machine.reach
        x0, y0, x1, y1 = box
        z0, z1 = motion.low, motion.high
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

    def _pen(self, motion: Motion, place: str) -> Iterator[Finding]:
        for end in (motion.edge.start, motion.edge.end):
            if all(mark.line.distance(end) > PROOF for mark in self.work.marks):
                got = "the pen draws where no mark is wanted"
                yield stop("CUT-113", place, got, "the marks of the bend lines", motion.edge)
                return

    def _sweep(self, motion: Motion, cutter: Cutter, box: Box, place: str) -> Iterator[Finding]:
        radius = cutter.radius_at(-motion.low)
        edge = motion.edge
        known = (edge, radius)
        if known in self.clear:  # the same way at another height, or once more round
            self.side_known = True
            return
        spot = cutter.kind is CutterKind.SPOT_DRILL and motion.vertical
        if spot and self._wanted_spot(motion, cutter):
            return
        for part, index in self.parts:
            if box_gap(box, part.region.box) >= radius:
                continue
            reach = radius - PROOF
            worst = reach
            for number in index.near(box, radius):
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
        for number in self.rim.near(box, radius):
            gap = min(gap, apart(edge, self.rim.edges[number]))
        if gap < limit or not self.sheet.region.contains(edge.start):
            got = f"the cutter leaves the sheet by {radius - gap:.3f} mm or more"
            yield stop("CUT-107", place, got, "inside the sheet", edge)
            return
        self.clear.add(known)

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
