"""One loop cut through the sheet: ramped passes, step by step down, lifted over tabs."""

from __future__ import annotations

import bisect
import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from blankwright.base.tolerance import TOUCH
from blankwright.cutting.feeds import Feeds
from blankwright.cutting.steps import Along, Down, Height, Over, Step
from blankwright.cutting.work import Profile, Work
from blankwright.geom.edges import Edge, Line
from blankwright.geom.loop import Loop
from blankwright.geom.vec import Point

Interval = tuple[float, float]


@dataclass(frozen=True)
class Way:
    """A closed path measured along its length, from a start point on it.

    Args:
        edges: edges in travel order
        ends: length from the start to the end of each edge [mm]
    """

    edges: tuple[Edge, ...]
    ends: tuple[float, ...]

    @classmethod
    def of(cls, loop: Loop, start: float) -> Way:
        """Begin a loop at a length [mm] from its first point."""
        edges: list[Edge] = []
        tail: list[Edge] = []
        begin = 0.0
        for edge in loop.edges:
            end = begin + edge.length
            if end <= start + TOUCH:
                tail.append(edge)
            elif begin >= start - TOUCH:
                edges.append(edge)
            else:
                t = (start - begin) / edge.length
                edges.append(edge.part(t, 1.0))
                tail.append(edge.part(0.0, t))
            begin = end
        chain = tuple(edges + tail)
        return cls(chain, tuple(itertools.accumulate(edge.length for edge in chain)))

    @property
    def length(self) -> float:
        """Length once round [mm]."""
        return self.ends[-1]

    def between(self, s0: float, s1: float) -> Iterator[Edge]:
        """Yield the pieces of edges from one length to another [mm], within one round."""
        i = min(bisect.bisect_right(self.ends, s0 + 1e-9), len(self.ends) - 1)
        while i < len(self.edges):
            edge, end = self.edges[i], self.ends[i]
            begin = end - edge.length
            a, b = max(s0, begin), min(s1, end)
            if b - a > 1e-9:
                yield edge.part((a - begin) / edge.length, (b - begin) / edge.length)
            if end >= s1 - 1e-9:
                return
            i += 1

    def nearest(self, p: Point) -> float:
        """Return the length [mm] at which the path is nearest to a point [mm]."""
        best, at = math.inf, 0.0
        for edge, end in zip(self.edges, self.ends, strict=True):
            t = min(1.0, max(0.0, edge.share(p)))
            q = edge.point(t)
            gap = math.dist(p, q)
            if gap < best:
                best, at = gap, end - edge.length * (1 - t)
        return at


def levels(bottom: float, step: float) -> list[float]:
    """Return the heights of equal passes down to the bottom [mm], none deeper than a step [mm]."""
    count = max(1, math.ceil(-bottom / step - 1e-9))
    return [bottom * (i + 1) / count for i in range(count)]


def cut_profile(profile: Profile, work: Work, feeds: Feeds) -> list[Step]:
    """Return the steps that cut a loop through the sheet, from safe height to safe height."""
    machine = work.machine
    way = Way.of(profile.path, _start(profile))
    run = _Run(way, _lifts(profile, way), work.tab_z, feeds)
    tan = math.tan(machine.ramp)
    run.steps += [Over(way.edges[0].start), Height(machine.near_height), Down(0.0, feeds.plunge)]
    s, z = 0.0, 0.0
    for level in levels(work.bottom, feeds.step):
        ramp = (z - level) / tan
        # Down the ramp, then once all round at the new depth, so that no slope is left.
        run.go(s, z, s + ramp, level, feeds.plunge)
        s += ramp
        run.go(s, level, s + way.length, level, feeds.feed)
        s %= way.length
        z = level
    run.steps.append(Height(machine.safe_height))
    return run.steps


def _start(profile: Profile) -> float:
    """Begin just past the first tab, or at the middle of the longest straight."""
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
    """Steps along a way, the height running evenly except over tabs."""

    def __init__(self, way: Way, lifts: list[Interval], tab_z: float, feeds: Feeds) -> None:
        self.way = way
        self.lifts = lifts
        self.tab_z = tab_z
        self.plunge = feeds.plunge
        self.feed = feeds.feed
        self.now = 0.0
        self.steps: list[Step] = []

    def go(self, s0: float, z0: float, s1: float, z1: float, feed: float) -> None:
        """Go from one length and height [mm] to another at a feed [mm/min]."""
        total = self.way.length
        slope = (z1 - z0) / (s1 - s0)
        for a, b in itertools.pairwise(self._stops(s0, z0, s1, slope)):
            if b - a <= 1e-9:
                continue
            here = ((a + b) / 2) % total
            za, zb = z0 + slope * (a - s0), z0 + slope * (b - s0)
            if any(low <= here <= high for low, high in self.lifts):
                za, zb = max(za, self.tab_z), max(zb, self.tab_z)
            if abs(za - self.now) > 1e-6:
                self.steps.append(Down(za, self.feed if za > self.now else self.plunge))
            start = a % total
            if total - start < 1e-9:
                start = 0.0
            done = 0.0
            for piece in self.way.between(start, start + (b - a)):
                done += piece.length
                z = za + (zb - za) * min(1.0, done / (b - a))
                self.steps.append(Along(piece, z, feed))
            self.now = zb

    def _stops(self, s0: float, z0: float, s1: float, slope: float) -> list[float]:
        """Return the lengths at which the height or the round begins anew [mm], sorted."""
        total = self.way.length
        deep = min(z0, z0 + slope * (s1 - s0)) < self.tab_z or self.now < self.tab_z
        lifts = self.lifts if deep else []
        cuts = {s0, s1}
        for turn in range(math.floor(s0 / total), math.floor(s1 / total) + 1):
            marks = [0.0, *(s for pair in lifts for s in pair)]
            cuts.update(turn * total + s for s in marks if s0 < turn * total + s < s1)
        if slope < 0:
            cuts.update(s for s in [s0 + (self.tab_z - z0) / slope] if s0 < s < s1)
        return sorted(cuts)
