"""Bend lines as drawn: pieces that are one line made one, lines that are one bend made one."""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from blankwright.base.errors import NotPossible
from blankwright.base.tolerance import TOUCH
from blankwright.develop.flat.bends import joined_flats
from blankwright.develop.flat.clean import Repair, Traced, cleaned
from blankwright.develop.flat.strips import THIN, BendLineKind, FlatBend
from blankwright.geom import vec
from blankwright.geom.edges import Line
from blankwright.geom.loop import Loop
from blankwright.geom.meet import meetings
from blankwright.geom.near import EdgeIndex
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

_CELL = 20.0
_TURN = 1500
"""Rows are looked up in so many steps of half a turn [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnBendLine:
    """A bend line as it is drawn.

    Args:
        line: from its first end to its last, across openings [mm]
        at: the middle of its longest stretch on metal [mm]
        sources: numbers of the drawn edges it was made of
        short: how far it ends short of the edge of the metal, at most [mm]
    """

    line: Line
    at: Point
    sources: frozenset[int]
    short: float = 0.0


def bend_lines_of(
    lines: Sequence[Traced], region: Region, near: float, reach: float
) -> tuple[tuple[DrawnBendLine, ...], tuple[Repair, ...]]:
    """Return the bend lines on a blank.

    Args:
        lines: straight edges as drawn [mm]; pieces off the metal are left out
        region: the blank's outline
        near: how far apart two lines may run and still be one [mm]
        reach: how far a line may end short of the edge [mm]

    Returns:
        Bend lines from the lowest up, those at one height from left to right, and what was put
        right.
    """
    clean, repairs = cleaned(lines, near)
    metal = _Metal(region)
    rows = _Rows(near)
    for traced in clean:
        line = traced.edge
        if isinstance(line, Line) and any(inside for _, _, inside in stretches(line, metal)):
            rows.add(line, frozenset((traced.source,)))
    found: list[DrawnBendLine] = []
    for row in rows.rows:
        found.extend(_bends_in(_without_gaps(row, metal), metal, reach))
    # A line from right to left is the same line: turned, so that the order of drawing is nothing.
    found = [_turned(bend) for bend in found]
    index = EdgeIndex([bend.line for bend in found], _CELL)
    found = [_told_apart(bend, i, index, metal) for i, bend in enumerate(found)]
    found.sort(key=lambda bend: (round(bend.at[1], 3), round(bend.at[0], 3)))
    return tuple(found), tuple(repairs)


class _Metal:
    """A region that many lines are asked about."""

    def __init__(self, region: Region) -> None:
        self.region = region
        self.index = EdgeIndex(region.edges, _CELL)
        self._holes: dict[tuple[int, int], list[Loop]] = defaultdict(list)
        for hole in region.holes:
            x0, y0, x1, y1 = (math.floor(x / _CELL) for x in hole.box)
            for i in range(x0, x1 + 1):
                for j in range(y0, y1 + 1):
                    self._holes[i, j].append(hole)

    def contains(self, p: Point) -> bool:
        cell = (math.floor(p[0] / _CELL), math.floor(p[1] / _CELL))
        holes = self._holes.get(cell, ())
        return self.region.outer.contains(p) and not any(hole.contains(p) for hole in holes)

    def distance_to_edge(self, p: Point, up_to: float) -> float:
        return self.index.distance(p, up_to)


def stretches(line: Line, metal: _Metal) -> list[tuple[float, float, bool]]:
    """Return the stretches of a line between the edges of a region.

    Returns:
        From and to as shares [-], and whether there is metal between.
    """
    marks = {0.0, 1.0}
    for n in metal.index.near(line.box, 10 * TOUCH):
        for p in meetings(line, metal.index.edges[n], 10 * TOUCH):
            marks.add(min(1.0, max(0.0, line.share(p))))
    ordered = sorted(marks)
    kept = [ordered[0]]
    for t in ordered[1:]:
        if (t - kept[-1]) * line.length > 100 * TOUCH:
            kept.append(t)
    kept[-1] = 1.0
    return [(a, b, metal.contains(line.point((a + b) / 2))) for a, b in itertools.pairwise(kept)]


class _Rows:
    """Lines sorted into rows that lie on one endless line, found again by its angle and place."""

    def __init__(self, near: float) -> None:
        self.near = near
        self.rows: list[list[tuple[Line, frozenset[int]]]] = []
        self._known: dict[tuple[int, int], list[int]] = defaultdict(list)

    def add(self, line: Line, sources: frozenset[int]) -> None:
        """Put a line into the row that it lies on, or begin one."""
        angle, off = self._key(line)
        for i in (angle - 1, angle, angle + 1):
            for j in (off - 1, off, off + 1):
                # Half a turn on, the same endless line has the other sign.
                for key in ((i, j), (i - _TURN, -j), (i + _TURN, -j)):
                    for number in self._known.get(key, ()):
                        if self._fits(self.rows[number], line):
                            base = self.rows[number][0][0].direction()
                            forward = vec.dot(base, line.direction()) > 0
                            own = line if forward else line.reversed()
                            self.rows[number].append((own, sources))
                            return
        self._known[angle, off].append(len(self.rows))
        self.rows.append([(line, sources)])

    def _key(self, line: Line) -> tuple[int, int]:
        dx, dy = line.direction()
        if dx < 0 or (dx == 0 and dy < 0):
            dx, dy = -dx, -dy
        off = vec.cross((dx, dy), line.start)
        return round(math.atan2(dy, dx) * _TURN / math.pi), round(off / 5.0)

    def _fits(self, row: list[tuple[Line, frozenset[int]]], line: Line) -> bool:
        first = row[0][0]
        longer, other = (first, line) if first.length >= line.length else (line, first)
        d = longer.direction()
        return abs(vec.cross(d, other.direction())) <= 1e-3 and all(
            abs(vec.cross(d, vec.sub(p, longer.start))) <= max(self.near, 10 * TOUCH)
            for p in (other.start, other.end)
        )


def _without_gaps(
    row: list[tuple[Line, frozenset[int]]], metal: _Metal
) -> list[tuple[Line, frozenset[int]]]:
    """Join neighbours with nothing but metal between: dashes, or ticks at both edges."""
    base = row[0][0]
    row.sort(key=lambda item: base.share(item[0].start))
    joined = [row[0]]
    for line, sources in row[1:]:
        last, before = joined[-1]
        gap = Line(last.end, line.start)
        if gap.length < 10 * TOUCH or all(inside for _, _, inside in stretches(gap, metal)):
            joined[-1] = (Line(last.start, line.end), before | sources)
        else:
            joined.append((line, sources))
    return joined


def _bends_in(
    row: Sequence[tuple[Line, frozenset[int]]], metal: _Metal, reach: float
) -> list[DrawnBendLine]:
    groups = [[item] for item in row]
    if len(row) > 1 and all(
        _short(end, metal) <= reach for line, _ in row for end in (line, line.reversed())
    ):
        thin = [_thin(i, line) for i, (line, _) in enumerate(row)]
        try:
            pairs = joined_flats(metal.region, thin, reach)
        except NotPossible:
            pairs = None
        if pairs is not None:
            groups = [[row[0]]]
            for i, item in enumerate(row[1:], start=1):
                if pairs[i] == pairs[i - 1]:
                    groups[-1].append(item)
                else:
                    groups.append([item])
    bends: list[DrawnBendLine] = []
    for group in groups:
        line = Line(group[0][0].start, group[-1][0].end)
        sources = frozenset(source for _, own in group for source in own)
        on = [(b - a, (a + b) / 2) for a, b, inside in stretches(line, metal) if inside]
        bends.append(
            DrawnBendLine(
                line=line,
                at=line.point(max(on)[1]),
                sources=sources,
                short=max(_short(line, metal), _short(line.reversed(), metal)),
            )
        )
    return bends


def _thin(i: int, line: Line) -> FlatBend:
    return FlatBend(
        name=str(i),
        line=line,
        kind=BendLineKind.CENTER,
        angle=1.0,
        inside_radius=0.0,
        up=True,
        allowance=THIN,
        k=0.0,
    )


def _short(line: Line, metal: _Metal) -> float:
    """Return how far a line ends short of the edge that it runs at [mm]; 0 when it reaches it."""
    if metal.distance_to_edge(line.end, 1.0) <= 100 * TOUCH or not metal.contains(line.end):
        return 0.0
    far = vec.along(line.end, line.direction(), 1e5)
    on = stretches(Line(line.end, far), metal)
    return on[0][1] * 1e5 if on and on[0][2] else math.inf


def _told_apart(bend: DrawnBendLine, number: int, lines: EdgeIndex, metal: _Metal) -> DrawnBendLine:
    """Return the bend line with a point on it that is on no other."""
    on = [(b - a, a, b) for a, b, inside in stretches(bend.line, metal) if inside]
    _, low, high = max(on)
    for share in (0.5, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9):
        p = bend.line.point(low + (high - low) * share)
        box = (p[0], p[1], p[0], p[1])
        near = (n for n in lines.near(box, 1.0) if n != number)
        if all(lines.edges[n].distance(p) > 1.0 for n in near):
            return replace(bend, at=p)
    return bend


def _turned(bend: DrawnBendLine) -> DrawnBendLine:
    dx, dy = bend.line.direction()
    if dx > 1e-9 or (abs(dx) <= 1e-9 and dy > 0):
        return bend
    return replace(bend, line=bend.line.reversed())


def allowance_drawn(bend: Line, tangents: Sequence[Line]) -> float | None:
    """Return how far apart the bend tangent lines on both sides of a centre line are [mm].

    Args:
        bend: the centre line
        tangents: bend tangent lines, in pieces

    Returns:
        The width of the strip, or nothing when there is no such pair.
    """
    direction = bend.direction()
    offs: list[float] = []
    for line in tangents:
        if abs(vec.cross(direction, line.direction())) > 1e-5:
            continue
        low, high = sorted((bend.share(line.start), bend.share(line.end)))
        if min(high, 1.0) - max(low, 0.0) <= 0:
            continue
        middle = vec.middle(line.start, line.end)
        offs.append(vec.cross(direction, vec.sub(middle, bend.start)))
    left = min((off for off in offs if off > TOUCH), default=None)
    right = max((off for off in offs if off < -TOUCH), default=None)
    if left is None or right is None or abs(left + right) > 1e-3:
        return None
    return left - right
