"""One loop cut through the sheet: ramped passes, step by step down, lifted over tabs."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from blankwright.cutting.feeds import Feeds
from blankwright.cutting.steps import Along, Down, Height, Over, Step
from blankwright.cutting.way import Way
from blankwright.cutting.work import Entry, Profile, Work
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop
from blankwright.geom.vec import Point

Interval = tuple[float, float]


def levels(bottom: float, step: float) -> list[float]:
    """Return the heights of equal passes down to the bottom [mm], none deeper than a step [mm]."""
    count = max(1, math.ceil(-bottom / step - 1e-9))
    return [bottom * (i + 1) / count for i in range(count)]


def cut_profile(profile: Profile, work: Work, feeds: Feeds) -> list[Step]:
    """Return the steps that cut a loop through the sheet, from safe height to safe height.

    The cutter goes down round a small circle beside the outline where there is room for one, and
    along the outline itself where there is none. Either way it goes once all round at each depth,
    so that no slope is left.
    """
    run = _Run(work, feeds)
    if profile.entry is None:
        _ramped(run, profile, work, feeds)
    else:
        _circled(run, profile, profile.entry, work, feeds)
    run.steps.append(Height(work.machine.safe_height))
    return run.steps


def _ramped(run: _Run, profile: Profile, work: Work, feeds: Feeds) -> None:
    """Go down along the outline."""
    tan = math.tan(work.machine.ramp)
    way = Way.of(profile.path, start_of(profile))
    lifts = _lifts(profile, way)
    run.begin(way.edges[0].start, work.machine.near_height, feeds)
    s, z = 0.0, 0.0
    for level in levels(work.bottom, feeds.step):
        ramp = (z - level) / tan
        run.go(way, lifts, s, z, s + ramp, level, feeds.plunge)
        s += ramp
        run.go(way, lifts, s, level, s + way.length, level, feeds.feed)
        s %= way.length
        z = level


def _circled(run: _Run, profile: Profile, entry: Entry, work: Work, feeds: Feeds) -> None:
    """Go down round a circle in the waste that touches the path, and come up away from it."""
    way = Way.of(profile.path, Way.of(profile.path, 0.0).nearest(entry.at))
    lifts = _lifts(profile, way)
    circle = _circle(entry, way)
    half = circle.length / 2
    run.begin(circle.edges[0].start, work.machine.near_height, feeds)
    z = 0.0
    for number, level in enumerate(levels(work.bottom, feeds.step)):
        # Begin opposite the outline, end on it; each turn takes no more than half a pass.
        begin = 0.0 if number == 0 else half
        need = (z - level) / math.tan(work.machine.ramp)
        turns = max(2, math.ceil((need - (half - begin)) / circle.length - 1e-9))
        run.go(circle, [], begin, z, half + turns * circle.length, level, feeds.plunge)
        run.go(way, lifts, 0.0, level, way.length, level, feeds.feed)
        z = level
    run.go(circle, [], half, z, circle.length, z, feeds.feed)


def _circle(entry: Entry, way: Way) -> Way:
    """Return the way round an entry's circle, from opposite the path, in the path's direction."""
    _, along = way.at(0.0)
    out = vec.sub(entry.center, entry.at)
    ccw = vec.cross(along, out) > 0
    far = vec.add(entry.center, out)
    arc = Arc.through(far, entry.at, entry.center, ccw)
    back = Arc.through(entry.at, far, entry.center, ccw)
    return Way.of(Loop((arc, back)), 0.0)


def start_of(profile: Profile) -> float:
    """Return where a loop begins, as a length along its path [mm].

    Just past the first tab, or in the middle of the longest straight.
    """
    path = profile.path
    if profile.tabs:
        tab = profile.tabs[0]
        return (Way.of(path, 0.0).nearest(tab.at) + tab.half + 1.0) % path.length
    best, at, begin = -1.0, 0.0, 0.0
    for edge in path.edges:
        if isinstance(edge, Line) and edge.length > best + 1e-6:
            best, at = edge.length, begin + edge.length / 2
        begin += edge.length
    return at


def _lifts(profile: Profile, way: Way) -> list[Interval]:
    """Return the lengths of the path [mm] where the cutter is to stay above the tabs."""
    lifts: list[Interval] = []
    for tab in profile.tabs:
        middle = way.nearest(tab.at)
        a, b = middle - tab.half, middle + tab.half
        if a < 0:
            lifts += [(a + way.length, way.length), (0.0, b)]
        elif b > way.length:
            lifts += [(a, way.length), (0.0, b - way.length)]
        else:
            lifts.append((a, b))
    return sorted(lifts)


class _Run:
    """Steps along ways, the height running evenly except over tabs."""

    def __init__(self, work: Work, feeds: Feeds) -> None:
        self.tab_z = work.tab_z
        self.plunge = feeds.plunge
        self.feed = feeds.feed
        self.now = 0.0
        self.steps: list[Step] = []

    def begin(self, at: Point, near: float, feeds: Feeds) -> None:
        """Go over a point and down to the sheet's face."""
        self.steps += [Over(at), Height(near), Down(0.0, feeds.plunge)]

    def go(
        self,
        way: Way,
        lifts: Sequence[Interval],
        s0: float,
        z0: float,
        s1: float,
        z1: float,
        feed: float,
    ) -> None:
        """Go from one length and height [mm] of a way to another at a feed [mm/min]."""
        total = way.length
        slope = (z1 - z0) / (s1 - s0)
        for a, b in itertools.pairwise(self._stops(total, lifts, s0, z0, s1, slope)):
            if b - a <= 1e-9:
                continue
            here = ((a + b) / 2) % total
            za, zb = z0 + slope * (a - s0), z0 + slope * (b - s0)
            if any(low <= here <= high for low, high in lifts):
                za, zb = max(za, self.tab_z), max(zb, self.tab_z)
            if abs(za - self.now) > 1e-6:
                self.steps.append(Down(za, self.feed if za > self.now else self.plunge))
            start = a % total
            if total - start < 1e-9:
                start = 0.0
            done = 0.0
            for piece in way.between(start, start + (b - a)):
                done += piece.length
                z = za + (zb - za) * min(1.0, done / (b - a))
                self.steps.append(Along(piece, z, feed))
            self.now = zb

    def _stops(
        self,
        total: float,
        all_lifts: Sequence[Interval],
        s0: float,
        z0: float,
        s1: float,
        slope: float,
    ) -> list[float]:
        """Return the lengths at which the height or the round begins anew [mm], sorted."""
        deep = min(z0, z0 + slope * (s1 - s0)) < self.tab_z or self.now < self.tab_z
        lifts = all_lifts if deep else []
        cuts = {s0, s1}
        for turn in range(math.floor(s0 / total), math.floor(s1 / total) + 1):
            marks = [0.0, *(s for pair in lifts for s in pair)]
            cuts.update(turn * total + s for s in marks if s0 < turn * total + s < s1)
        if slope < 0 and lifts:
            cuts.update(s for s in [s0 + (self.tab_z - z0) / slope] if s0 < s < s1)
        return sorted(cuts)
