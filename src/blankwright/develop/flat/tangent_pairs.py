"""Bend tangent lines drawn without the bend line between them: paired, and the line found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from blankwright.develop.flat.bend_lines import DrawnBendLine
from blankwright.geom import vec
from blankwright.geom.edges import Line

_PARALLEL = 1e-4
_SHARED = 0.5
"""Share of the longer line that two must run beside each other to be a pair [-]."""


def gap_between(a: Line, b: Line) -> float | None:
    """Return how far apart two parallel lines beside one another are [mm], or nothing."""
    d = a.direction()
    if abs(vec.cross(d, b.direction())) > _PARALLEL:
        return None
    low, high = sorted((a.share(b.start), a.share(b.end)))
    shared = (min(high, 1.0) - max(low, 0.0)) * a.length
    if shared < _SHARED * max(a.length, b.length):
        return None
    return abs(vec.cross(d, vec.sub(vec.middle(b.start, b.end), a.start)))


def pairs_of(lines: Sequence[DrawnBendLine]) -> list[tuple[int, int, float]]:
    """Pair lines, the nearest first: numbers of both, and how far apart they are [mm]."""
    gaps = []
    for i, a in enumerate(lines):
        for j in range(i + 1, len(lines)):
            gap = gap_between(a.line, lines[j].line)
            if gap is not None and gap > 0.01:
                gaps.append((gap, i, j))
    used: set[int] = set()
    pairs = []
    for gap, i, j in sorted(gaps):
        if i not in used and j not in used:
            used.update((i, j))
            pairs.append((i, j, gap))
    return sorted(pairs)


def between_pairs(
    lines: Sequence[DrawnBendLine],
) -> tuple[tuple[DrawnBendLine, ...], tuple[DrawnBendLine, ...]]:
    """Return the bend lines amid pairs of tangent lines, and tangent lines that have no pair."""
    pairs = pairs_of(lines)
    middle = []
    for i, j, _ in pairs:
        a, b = lines[i], lines[j]
        other = b.line if vec.dot(a.line.direction(), b.line.direction()) > 0 else b.line.reversed()
        line = Line(vec.middle(a.line.start, other.start), vec.middle(a.line.end, other.end))
        middle.append(
            replace(
                a,
                line=line,
                at=line.point(min(1.0, max(0.0, line.share(a.at)))),
                sources=a.sources | b.sources,
                short=max(a.short, b.short),
            )
        )
    middle.sort(key=lambda bend: (round(bend.at[1], 3), round(bend.at[0], 3)))
    paired = {n for i, j, _ in pairs for n in (i, j)}
    return tuple(middle), tuple(line for n, line in enumerate(lines) if n not in paired)
