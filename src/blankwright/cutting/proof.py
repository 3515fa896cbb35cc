"""The proof of a machine file: what the file would do, held against what it is for.

The proof takes motions as a reader found them in the written file, never the program they were
written from. It measures the sweep of the round cutter exactly: lines and arcs, no chords.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from blankwright.base.findings import Finding
from blankwright.cutting.conduct import conduct_findings
from blankwright.cutting.cover import cover_findings
from blankwright.cutting.feeds import Feeds
from blankwright.cutting.motion import Replay
from blankwright.cutting.moves import move_findings
from blankwright.cutting.said import stop
from blankwright.cutting.work import Work
from blankwright.geom import vec
from blankwright.geom.edges import Edge

MOST_PER_CODE = 5
"""So many findings of one kind are listed; the last tells how many more there are."""


def prove(replay: Replay, work: Work, feeds: Mapping[int, Feeds]) -> tuple[Finding, ...]:
    """Return all that is wrong with a machine file; nothing when it may be written.

    Args:
        replay: the file as a reader found it
        work: what it is for
        feeds: speeds, feeds and depth of pass of each cutter by number
    """
    found = list(conduct_findings(replay, work))
    found.extend(move_findings(replay, work, feeds))
    found.extend(cover_findings(replay, work))
    return _shortened(found)


def prove_dry_run(dry: Replay, real: Replay, work: Work) -> tuple[Finding, ...]:
    """Return all that is wrong with a dry run: too low, spindle turning, or another way.

    Args:
        dry: the dry run as a reader found it
        real: the real file as the same reader found it
        work: what they are for
    """
    name = f"{work.job.name}, dry run"
    found: list[Finding] = []
    clear = max([0.0, *(clamp.height for clamp in work.job.sheet.clamps)])
    for motion in dry.motions:
        if motion.low <= clear:
            found.append(
                stop(
                    "CUT-105",
                    f"{name}, line {motion.line}",
                    f"it goes down to {motion.low:.3f} mm",
                    f"over {clear:.3f} mm, above sheet and clamps",
                )
            )
        if motion.rpm > 0:
            found.append(
                stop("CUT-109", f"{name}, line {motion.line}", "the spindle turns", "it stands")
            )
    high = work.machine.reach[2][1]
    for motion in dry.motions:
        if max(motion.z0, motion.z1) > high + 1e-6:
            place = f"{name}, line {motion.line}"
            got = f"it goes up to {max(motion.z0, motion.z1):.3f} mm"
            found.append(stop("CUT-106", place, got, f"{high:.3f} mm, the machine's travel"))
    ways = [[m.edge for m in replay.motions if not m.vertical] for replay in (dry, real)]
    if len(ways[0]) != len(ways[1]) or any(
        not _same(a, b) for a, b in zip(ways[0], ways[1], strict=False)
    ):
        found.append(stop("CUT-116", name, "it goes another way than the real file", "the same"))
    return _shortened(found)


def _same(a: Edge, b: Edge) -> bool:
    return a == b or all(vec.distance(a.point(t), b.point(t)) < 1e-3 for t in (0.0, 0.5, 1.0))


def _shortened(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    counts: dict[str, int] = {}
    kept: list[Finding] = []
    for finding in findings:
        counts[finding.code] = counts.get(finding.code, 0) + 1
        if counts[finding.code] <= MOST_PER_CODE:
            kept.append(finding)
    for code, count in counts.items():
        if count > MOST_PER_CODE:
            more = f"{count - MOST_PER_CODE} more of the kind"
            kept.append(stop(code, "further lines", more))
    return tuple(kept)
