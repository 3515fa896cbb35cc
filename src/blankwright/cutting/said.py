"""How the proof says what is wrong."""

from __future__ import annotations

from blankwright.base.findings import Finding, Level
from blankwright.cutting.motion import Motion
from blankwright.cutting.work import Work
from blankwright.geom.edges import Edge


def stop(code: str, place: str, got: str, limit: str = "", edge: Edge | None = None) -> Finding:
    """Return a finding of the proof: a stop, at the middle of an edge if there is one."""
    return Finding(
        code=code,
        level=Level.STOP,
        place=place,
        got=got,
        limit=limit,
        source="replay of the written file",
        fix="The file is not written; change the cutter, the layout or the settings",
        at=None if edge is None else edge.point(0.5),
    )


def at_line(work: Work, motion: Motion) -> str:
    """Return the place of a motion as findings name it."""
    return f"{work.job.name}, line {motion.line}"
