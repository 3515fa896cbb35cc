"""A blank held against another flat drawing of the same part: what differs, and where."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from blankwright.develop.blank import Blank
from blankwright.develop.laid_over import laid_over
from blankwright.geom import vec
from blankwright.geom.edges import Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.nearest import Nearest, points_along
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """Something that differs.

    Args:
        what: ``outline``, ``opening`` or ``bend line``
        got: what it is, in words
        at: where, on our blank [mm]
        by: how much [mm]; infinite for what only one of both has
    """

    what: str
    got: str
    at: Point
    by: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """Two blanks held against one another.

    Args:
        move: lays their drawing over our blank
        theirs: their outline, laid over ours [mm]
        bend_lines: their bend lines, laid over ours [mm]
        worst: the greatest distance of an edge of either from the other [mm]
        differences: what differs by more than the tolerance, the greatest first
        openings: how many openings agree
        bends: how many bend lines agree
        k: neutral-axis factor by which all bends would have their blank's area; nothing when
            there are no bends, or no such factor
    """

    move: Move
    theirs: Region
    bend_lines: tuple[Line, ...]
    worst: float
    differences: tuple[Difference, ...]
    openings: int
    bends: int
    k: float | None = None


def compare(blank: Blank, theirs: Region, bend_lines: Sequence[Line], within: float) -> Compared:
    """Hold a blank against another drawing of it.

    Args:
        blank: ours
        theirs: outline and openings of the other
        bend_lines: bend lines drawn in it; none when it shows none
        within: how much may differ [mm]
    """
    move = laid_over(blank.outline, theirs)
    over = theirs.moved(move)
    lines = tuple(Line(move(line.start), move(line.end)) for line in bend_lines)
    outline, worst = _outlines(blank.outline.outer, over.outer, within)
    openings, agreed, off = _openings(blank.outline.holes, over.holes, within)
    bends, bends_agreed = _bend_lines(blank, lines, within) if lines else ([], 0)
    found = [*outline, *openings, *bends]
    found.sort(key=lambda d: (-d.by, d.what, d.at))
    return Compared(
        move=move,
        theirs=over,
        bend_lines=lines,
        worst=max(worst, off),
        differences=tuple(found),
        openings=agreed,
        bends=bends_agreed,
        k=_their_k(blank, theirs),
    )


def _outlines(ours: Loop, theirs: Loop, within: float) -> tuple[list[Difference], float]:
    found: list[Difference] = []
    worst = 0.0
    for loop, other, words in (
        (ours, theirs, "the blank's edge is {by:.3f} mm off the drawing's along {long:.1f} mm"),
        (theirs, ours, "the drawing's edge is {by:.3f} mm off the blank's along {long:.1f} mm"),
    ):
        step = min(1.0, max(loop.length / 4000, 0.05))
        points = points_along(loop.edges, step)
        away, _ = Nearest(other.edges)(points)
        worst = max(worst, float(away.max()))
        for run in _runs(away > within):
            at = run[int(away[run].argmax())]
            p, by = points[at], float(away[at])
            long = len(run) * step
            here = (float(p[0]), float(p[1]))
            # Each stretch shows from both sides; once is enough.
            same = [d for d in found if vec.distance(d.at, here) <= 3 * max(by, d.by)]
            if loop is theirs and any(d.by >= 0.9 * by for d in same):
                continue
            found.append(
                Difference(what="outline", got=words.format(by=by, long=long), at=here, by=by)
            )
    return found, worst


def _runs(past: NDArray[np.bool_]) -> list[NDArray[np.int_]]:
    """Return the numbers of points in a row round a loop that are past the tolerance."""
    n = len(past)
    if past.all():
        return [np.arange(n)]
    start = int(np.argmin(past))
    order = (np.arange(n) + start) % n
    runs: list[list[int]] = []
    before = False
    for i in order:
        if past[i]:
            if not before:
                runs.append([])
            runs[-1].append(int(i))
        before = bool(past[i])
    return [np.array(run) for run in runs]


def _openings(
    ours: Sequence[Loop], theirs: Sequence[Loop], within: float
) -> tuple[list[Difference], int, float]:
    pairs: list[tuple[float, int, int]] = []
    for i, a in enumerate(ours):
        for j, b in enumerate(theirs):
            apart = vec.distance(_middle(a), _middle(b))
            size = max(_reach(a), _reach(b))
            if apart <= size + 1.0 and 0.25 < abs(a.area) / max(abs(b.area), 1e-12) < 4:
                pairs.append((apart + abs(_reach(a) - _reach(b)), i, j))
    used_a: set[int] = set()
    used_b: set[int] = set()
    found: list[Difference] = []
    agreed, worst = 0, 0.0
    for _, i, j in sorted(pairs):
        if i in used_a or j in used_b:
            continue
        used_a.add(i)
        used_b.add(j)
        difference, off = _opening(ours[i], theirs[j], within)
        worst = max(worst, off)
        if difference is None:
            agreed += 1
        else:
            found.append(difference)
    for loops, used, who in ((ours, used_a, "blank"), (theirs, used_b, "drawing")):
        for i, loop in enumerate(loops):
            if i not in used:
                got = f"{_said(loop)} is on the {who} alone"
                found.append(Difference(what="opening", got=got, at=_middle(loop), by=math.inf))
    return found, agreed, worst


def _opening(a: Loop, b: Loop, within: float) -> tuple[Difference | None, float]:
    circle, other = a.as_circle, b.as_circle
    if circle is not None and other is not None:
        apart = vec.distance(circle.center, other.center)
        wide = 2 * (circle.radius - other.radius)
        by = max(apart, abs(wide))
        words = []
        if apart > within:
            words.append(f"its centre is {apart:.3f} mm off the drawing's")
        if abs(wide) > within:
            words.append(f"the drawing has Ø {2 * other.radius:.3f} mm")
        got = f"{_said(a)}: {', '.join(words)}"
        at = circle.center
    else:
        away = [
            float(Nearest(y.edges)(points_along(x.edges, max(x.length / 400, 0.02)))[0].max())
            for x, y in ((a, b), (b, a))
        ]
        by, at = max(away), _middle(a)
        got = f"{_said(a)}: its edge is {by:.3f} mm off the drawing's"
    if by <= within:
        return None, by
    return Difference(what="opening", got=got, at=at, by=by), by


def _bend_lines(blank: Blank, lines: Sequence[Line], within: float) -> tuple[list[Difference], int]:
    found: list[Difference] = []
    used: set[int] = set()
    agreed = 0
    for bend in blank.bends:
        own = bend.center_line
        beside = [
            (off, j) for j, line in enumerate(lines) if (off := _beside(own, line)) is not None
        ]
        off, _ = min(beside, default=(math.inf, -1))
        if off > max(5.0, bend.allowance):
            got = f"{_called(bend.name)} has no bend line in the drawing"
            found.append(Difference(what="bend line", got=got, at=own.point(0.5), by=math.inf))
            continue
        used.update(j for away, j in beside if away <= off + within)
        if off <= within:
            agreed += 1
            continue
        got = f"{_called(bend.name)}: its bend line is {off:.3f} mm beside the drawing's"
        found.append(Difference(what="bend line", got=got, at=own.point(0.5), by=off))
    for j, line in enumerate(lines):
        if j not in used:
            got = "a bend line is in the drawing alone"
            found.append(Difference(what="bend line", got=got, at=line.point(0.5), by=math.inf))
    return found, agreed


def _called(name: str) -> str:
    return name if name.startswith("bend") else f"bend {name}"


def _beside(own: Line, line: Line) -> float | None:
    """Return how far a line lies beside another that it runs along [mm]."""
    d = own.direction()
    if abs(vec.cross(d, line.direction())) > 0.01:
        return None
    low, high = sorted((own.share(line.start), own.share(line.end)))
    if min(high, 1.0) - max(low, 0.0) <= 0.1 * min(1.0, high - low):
        return None
    return abs(vec.cross(d, vec.sub(line.point(0.5), own.start)))


def _their_k(blank: Blank, theirs: Region) -> float | None:
    """Return the neutral-axis factor by which the blank would have their area.

    Each strip is as wide as θ · (R + k·T), so the area goes with k; other differences go into it
    as well, so it is a hint and no more.
    """
    slope, now = 0.0, 0.0
    for bend in blank.bends:
        share = sum(region.area for region in bend.regions) / bend.allowance
        slope += share * bend.angle * blank.thickness
        now += share * bend.angle * blank.thickness * bend.k
    if slope <= 0:
        return None
    k = (now + theirs.area - blank.outline.area) / slope
    return k if 0.0 <= k <= 1.0 else None


def _middle(loop: Loop) -> Point:
    circle = loop.as_circle
    if circle is not None:
        return circle.center
    x0, y0, x1, y1 = loop.box
    return ((x0 + x1) / 2, (y0 + y1) / 2)


def _reach(loop: Loop) -> float:
    x0, y0, x1, y1 = loop.box
    return max(x1 - x0, y1 - y0) / 2


def _said(loop: Loop) -> str:
    circle = loop.as_circle
    if circle is not None:
        return f"hole Ø {2 * circle.radius:.3f} mm"
    x0, y0, x1, y1 = loop.box
    return f"opening of {x1 - x0:.2f} × {y1 - y0:.2f} mm"
