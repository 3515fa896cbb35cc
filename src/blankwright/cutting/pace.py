"""Whether each motion in the work goes at the feed and speed that were planned for its cutter."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from blankwright.base.findings import Finding
from blankwright.cutting.feeds import Feeds
from blankwright.cutting.machine import Cutter, CutterKind
from blankwright.cutting.motion import Motion
from blankwright.cutting.said import stop
from blankwright.cutting.work import Work

ROUNDED_FEED = 0.6
"""Feeds in the file are rounded; this much over or under a limit is not counted [mm/min]."""

ROUNDED_SPEED = 0.6
"""The same for spindle speeds [1/min]."""


class Pace:
    """Feeds and speeds of a file held against the plan's.

    Args:
        work: what the file is for
        feeds: speeds and feeds of each cutter by number
    """

    def __init__(self, work: Work, feeds: Mapping[int, Feeds]) -> None:
        self.machine = work.machine
        self.feeds = feeds

    def check(self, motion: Motion, cutter: Cutter, place: str) -> Iterator[Finding]:
        """Yield what is wrong with feed and speed of one motion in the work."""
        planned = self.feeds.get(cutter.number)
        most = self._most(motion, planned)
        if motion.feed > most + ROUNDED_FEED:
            down = " down" if motion.z1 < motion.z0 - 1e-6 else ""
            got = f"feeds{down} at {motion.feed:.0f} mm/min"
            yield stop("CUT-109", place, got, f"{most:.0f} mm/min", motion.edge)
        least = min(planned.feed, planned.plunge) if planned is not None else 0.0
        if motion.feed < least - ROUNDED_FEED:
            got = f"feeds at {motion.feed:.0f} mm/min, so slowly that the cutter rubs and heats"
            yield stop("CUT-109", place, got, f"{least:.0f} mm/min", motion.edge)
        yield from self._spindle(motion, cutter, planned, place)

    def _most(self, motion: Motion, planned: Feeds | None) -> float:
        """Return the fastest feed of a motion [mm/min]: on its way down, that of a plunge."""
        machine = self.machine
        if motion.z1 < motion.z0 - 1e-6:
            return min(machine.most_plunge, planned.plunge if planned else machine.most_plunge)
        if planned is None:
            return machine.most_feed
        return min(machine.most_feed, max(planned.feed, planned.plunge))

    def _spindle(
        self, motion: Motion, cutter: Cutter, planned: Feeds | None, place: str
    ) -> Iterator[Finding]:
        machine = self.machine
        if cutter.kind is CutterKind.PEN:
            if motion.rpm > 0:
                yield stop("CUT-109", place, "the spindle turns with the pen in it", "it stands")
            return
        if motion.rpm <= 0:
            yield stop("CUT-111", place, "it cuts while the spindle stands", "it turns")
            return
        most = min(machine.most_rpm, cutter.most_rpm or math.inf)
        if not machine.least_rpm - ROUNDED_SPEED <= motion.rpm <= most + ROUNDED_SPEED:
            got = f"spindle at {motion.rpm:.0f} 1/min"
            yield stop("CUT-109", place, got, f"{machine.least_rpm:.0f} to {most:.0f} 1/min")
        elif planned is not None and abs(motion.rpm - planned.rpm) > 1.0:
            got = f"spindle at {motion.rpm:.0f} 1/min"
            yield stop("CUT-109", place, got, f"{planned.rpm:.0f} 1/min, which the feed is for")
