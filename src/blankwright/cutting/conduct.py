"""How the machine behaves between cuts: rapid moves, cutter changes, the spindle, the end."""

from __future__ import annotations

from collections.abc import Iterator

from blankwright.base.findings import Finding
from blankwright.cutting.machine import ToolChange
from blankwright.cutting.motion import Motion, Replay
from blankwright.cutting.said import at_line, stop
from blankwright.cutting.work import Work

ROUNDED = 0.001
"""Heights in the file are rounded; this much under a limit is not counted [mm]."""

ROUNDED_TIME = 0.06
"""The same for waits, which are written to a tenth [s]."""


def rapid_findings(motion: Motion, work: Work) -> Iterator[Finding]:
    """Yield what is wrong with the heights of a rapid move.

    Sideways it keeps the safe height, down it ends at the near height, and out of the work it
    goes straight up.
    """
    machine = work.machine
    if motion.vertical:
        if motion.z1 <= motion.z0 and motion.z1 < machine.near_height - ROUNDED:
            yield _into(motion, work)
        return
    if motion.low < -1e-9:
        yield _into(motion, work)
    elif motion.low < machine.safe_height - ROUNDED:
        got = f"a rapid move goes sideways at {motion.low:.3f} mm"
        limit = f"{machine.safe_height:.3f} mm, the safe height"
        yield stop("CUT-120", at_line(work, motion), got, limit, motion.edge)


def _into(motion: Motion, work: Work) -> Finding:
    if motion.low < 0:
        got = f"a rapid move goes to {motion.low:.3f} mm, into the work"
        limit = "above the sheet"
    else:
        got = f"a rapid move goes down to {motion.low:.3f} mm"
        limit = f"{work.machine.near_height:.3f} mm, the near height"
    return stop("CUT-105", at_line(work, motion), got, limit, motion.edge)


def conduct_findings(replay: Replay, work: Work) -> Iterator[Finding]:
    """Yield what is wrong with cutter changes, spindle starts and the file's end."""
    machine, name = work.machine, work.job.name
    by_hand = machine.tool_change is ToolChange.BY_HAND
    known = {cutter.number for cutter in machine.cutters}
    for change in replay.changes:
        place = f"{name}, line {change.line}"
        if change.tool not in known:
            yield stop("CUT-118", place, f"no cutter has number {change.tool}", "a stated cutter")
        if change.by_hand != by_hand:
            got = f"the cutter is changed {'by hand' if change.by_hand else 'by the machine'}"
            yield stop("CUT-118", place, got, machine.tool_change.value)
        if not change.z >= machine.safe_height - ROUNDED:
            got = f"the cutter is changed at {change.z:.3f} mm"
            limit = f"{machine.safe_height:.3f} mm, the safe height"
            yield stop("CUT-120", place, got, limit)
    for start in replay.spin_ups:
        if start.seconds < machine.spin_up - ROUNDED_TIME:
            place = f"{name}, line {start.line}"
            got = f"the spindle has {start.seconds:.1f} s to come up to speed"
            yield stop("CUT-121", place, got, f"{machine.spin_up:.1f} s")
    if not replay.ended:
        yield stop("CUT-119", name, "the file has no end (M30)", "an end")
    elif not replay.still:
        yield stop("CUT-119", name, "the file ends while the spindle turns", "M5 before the end")
    for motion, what in zip(
        replay.motions[:1] + replay.motions[-1:], ("goes first to", "ends at"), strict=False
    ):
        if motion.z1 < machine.safe_height - ROUNDED:
            limit = f"{machine.safe_height:.3f} mm, the safe height"
            yield stop("CUT-120", name, f"it {what} {motion.z1:.3f} mm", limit)
