"""How much metal each motion takes: depth, one pass at a time, and never steeper than the ramp."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from blankwright.base.findings import Finding
from blankwright.base.tolerance import PROOF
from blankwright.cutting.feeds import Feeds
from blankwright.cutting.machine import Cutter, CutterKind
from blankwright.cutting.motion import Motion
from blankwright.cutting.said import stop
from blankwright.cutting.work import PEN_DOWN, Work
from blankwright.geom.edges import Box, Edge
from blankwright.geom.near import EdgeIndex

SAME_WAY = 0.05
"""A pass goes down on the way of the pass before when it keeps within this of it [mm]."""

LOOK_EVERY = 2.0
"""How often along its way a pass is held against the pass before [mm]."""

STEEPER = 1.05
"""A short piece of a ramp may seem so much steeper than the ramp, its ends being rounded [-]."""

ROUNDED_DROP = 0.002
"""The same for the drop of one piece [mm]."""


class Bites:
    """The cuts of the router bits so far, and what each next one takes.

    Args:
        work: what the file is for
        feeds: depth of pass of each cutter by number
    """

    def __init__(self, work: Work, feeds: Mapping[int, Feeds]) -> None:
        self.work = work
        self.feeds = feeds
        self.floor = -(work.job.sheet.thickness + work.machine.board)
        self.ramp = math.tan(work.machine.ramp)
        self.planned: dict[int, float] = {}
        for number, depth in [
            *((profile.cutter.number, -work.bottom) for profile in work.profiles),
            *((point.cutter.number, point.depth) for point in work.points),
            *((mark.cutter.number, -PEN_DOWN) for mark in work.marks),
        ]:
            self.planned[number] = min(self.planned.get(number, 0.0), -depth)
        self.done: list[Motion] = []  # by number in `trodden`
        self.trodden = EdgeIndex([], cell=5.0)
        self.latest: dict[tuple[int, Edge], int] = {}

    def check(self, motion: Motion, cutter: Cutter, box: Box, place: str) -> Iterator[Finding]:
        """Yield what is wrong with the depth of one motion in the work."""
        lowest = max(self.floor, self.planned.get(motion.tool, 0.0))
        if motion.low < lowest - PROOF:
            got = f"it goes {-motion.low:.3f} mm below the sheet's face"
            yield stop("CUT-108", place, got, f"{-lowest:.3f} mm", motion.edge)
        if cutter.kind is not CutterKind.ROUTER_BIT:
            return
        yield from self._steep(motion, place)
        yield from self._bite(motion, box, place)
        self._keep(motion)

    def _steep(self, motion: Motion, place: str) -> Iterator[Finding]:
        drop = motion.z0 - motion.z1
        if drop <= 0:
            return
        if motion.vertical:
            thickness = self.work.job.sheet.thickness
            tab = self.work.settings.tab_top(thickness) + self.work.machine.through
            if min(drop, -motion.z1) > tab + PROOF:
                got = f"a router bit is pushed straight down {drop:.3f} mm"
                yield stop("CUT-117", place, got, f"{tab:.3f} mm, past a tab", motion.edge)
        elif drop > STEEPER * self.ramp * motion.edge.length + ROUNDED_DROP:
            angle = math.degrees(math.atan2(drop, motion.edge.length))
            limit = math.degrees(self.work.machine.ramp)
            got = f"a router bit goes down at {angle:.1f} deg"
            yield stop("CUT-117", place, got, f"{limit:.1f} deg, the ramp", motion.edge)

    def _bite(self, motion: Motion, box: Box, place: str) -> Iterator[Finding]:
        """Yield it when more than one pass of metal stands where the cutter goes."""
        step = self.feeds[motion.tool].step if motion.tool in self.feeds else math.inf
        need = motion.low + step + PROOF  # what lies above must be gone already
        if need >= 0 or motion.vertical:
            return
        edge = motion.edge
        latest = self.latest.get((motion.tool, edge))
        if latest is not None and self.done[latest].high <= need:
            return
        before = [
            way
            for number in self.trodden.near(box, SAME_WAY)
            if (way := self.done[number].below(need)) is not None
        ]
        count = max(2, math.ceil(edge.length / LOOK_EVERY))
        for i in range(count):
            p = edge.point((i + 0.5) / count)
            if not any(way.distance(p) <= SAME_WAY for way in before):
                got = f"it cuts {-motion.low:.3f} mm deep at ({p[0]:.2f}, {p[1]:.2f}) mm at once"
                yield stop("CUT-114", place, got, f"{step:.3f} mm in one pass", edge)
                return

    def _keep(self, motion: Motion) -> None:
        """Remember a cut; one that lies wholly under an earlier one of the same way replaces it."""
        key = (motion.tool, motion.edge)
        number = self.latest.get(key)
        if number is not None and motion.high <= self.done[number].low:
            self.done[number] = motion
            return
        self.latest[key] = len(self.done)
        self.done.append(motion)
        self.trodden.add(motion.edge)
