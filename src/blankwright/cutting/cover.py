"""Whether a machine file does all it is for.

Every loop is cut through but for its tabs, every hole drilled, every mark made, and openings come
before outsides.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from blankwright.base.findings import Finding
from blankwright.base.tolerance import PROOF, TOUCH
from blankwright.cutting.motion import Motion, Replay
from blankwright.cutting.said import stop
from blankwright.cutting.tabs import on_tab
from blankwright.cutting.work import PEN_DOWN, TIGHT, PointKind, Profile, Tab, Work
from blankwright.geom import vec
from blankwright.geom.apart import apart
from blankwright.geom.edges import Arc, Box, Edge
from blankwright.geom.loop import Loop
from blankwright.geom.meet import crossings
from blankwright.geom.near import EdgeIndex
from blankwright.geom.offset import beside, loop_grown, loop_shrunk

LEAST_GAP = 0.02
"""Uncut stretches shorter than this are the slivers between two rounded ends [mm]."""

FULL_DEPTH_SLACK = 0.005
"""A cut this much short of the sheet's lower face still counts as through [mm].

Files are rounded; cuts are planned well into the board."""


def cover_findings(replay: Replay, work: Work) -> Iterator[Finding]:
    """Yield what the file leaves undone."""
    cover = _Cover(replay, work)
    for group in _by_loop(work.profiles):
        yield from cover.loop(group)
    yield from cover.order()
    yield from cover.points()
    yield from cover.marks()


def _by_loop(profiles: Sequence[Profile]) -> list[list[Profile]]:
    groups: dict[tuple[str, int], list[Profile]] = {}
    for profile in profiles:
        groups.setdefault((profile.part, profile.loop), []).append(profile)
    return list(groups.values())


class _Deep:
    """The ways of the cutter's centre at or below a height [mm]."""

    def __init__(self, cutting: Sequence[tuple[int, Motion]], z: float) -> None:
        self.ways: list[tuple[int, int, Edge]] = []
        for order, motion in cutting:
            edge = motion.below(z)
            if edge is not None:
                self.ways.append((order, motion.tool, edge))
        self.index = EdgeIndex([edge for _, _, edge in self.ways], cell=10.0)

    def near(self, box: Box, reach: float, tool: int) -> list[tuple[int, Edge]]:
        """Return order and way of those near a box, of one tool or (0) of any."""
        found = [self.ways[number] for number in self.index.near(box, reach)]
        return [(order, edge) for order, number, edge in found if tool in (0, number)]


class _Cover:
    def __init__(self, replay: Replay, work: Work) -> None:
        self.work = work
        self.replay = replay
        thickness = self.thickness = work.job.sheet.thickness
        self.cutting = [
            (number, motion)
            for number, motion in enumerate(replay.motions)
            if not motion.rapid and motion.low < -1e-9
        ]
        self.through = _Deep(self.cutting, -thickness + FULL_DEPTH_SLACK)
        self.in_tabs = _Deep(self.cutting, work.tab_z - PROOF)
        self.spans: dict[tuple[str, int], tuple[int, int]] = {}

    # --- loops ----------------------------------------------------------------------------------

    def loop(self, group: Sequence[Profile]) -> Iterator[Finding]:
        profile = group[0]
        cutter = profile.cutter
        tabs = [tab for each in group for tab in each.tabs]
        name = "outside" if profile.outside else f"opening {profile.loop}"
        ideal = reachable(profile.outline, cutter.radius - TIGHT, outside=profile.outside)
        ideal_index = EdgeIndex(ideal, cell=10.0)
        reach = cutter.radius + PROOF
        seen: list[int] = []
        for edge in profile.outline.edges:
            mine = self.through.near(edge.box, reach, cutter.number)
            seen.extend(order for order, way in mine if apart(way, edge) <= reach)
            for a, b in uncovered(edge, [way for _, way in mine], reach):
                possible = [ideal[i] for i in ideal_index.near(edge.box, reach)]
                for c, d in _reachable_part(edge, (a, b), possible, cutter.radius + TIGHT / 2):
                    yield from self._judge(edge.part(c, d), tabs, profile.part, name)
        if seen:
            self.spans[profile.part, profile.loop] = (min(seen), max(seen))
        for tab in tabs:
            yield from self._tab(tab, profile, name)

    def _judge(self, piece: Edge, tabs: Sequence[Tab], part: str, name: str) -> Iterator[Finding]:
        if piece.length <= LEAST_GAP:
            return
        for tab in tabs:
            if all(on_tab(piece.point(t), [tab], 3 * PROOF) for t in (0.0, 0.5, 1.0)):
                return
        p = piece.point(0.5)
        yield stop(
            "CUT-102",
            f"{part}, {name}",
            f"{piece.length:.3f} mm of the edge stays uncut near ({p[0]:.2f}, {p[1]:.2f}) mm",
            f"{LEAST_GAP:.3f} mm outside tabs",
            piece,
        )

    def _tab(self, tab: Tab, profile: Profile, name: str) -> Iterator[Finding]:
        """Hold what is left of a tab, above its stated height, against what it should be."""
        cutter = profile.cutter
        reach = cutter.radius + PROOF
        # A lifted cutter still nibbles at both ends, by what the tolerance lets its rim reach.
        nibble = math.sqrt(reach**2 - (cutter.radius - TIGHT) ** 2)
        wanted = 2 * (tab.half - nibble) - LEAST_GAP
        kept = 0.0
        for edge in profile.outline.edges:
            if edge.distance(tab.at) > 10 * TOUCH:
                continue
            middle, share = edge.share(tab.at), tab.half / edge.length
            piece = edge.part(max(0.0, middle - share), min(1.0, middle + share))
            ways = [way for _, way in self.in_tabs.near(piece.box, reach, 0)]
            kept = sum((b - a) * piece.length for a, b in uncovered(piece, ways, reach))
        if kept < wanted:
            yield stop(
                "CUT-103",
                f"{profile.part}, {name}",
                f"the tab at ({tab.at[0]:.1f}, {tab.at[1]:.1f}) mm keeps {kept:.3f} mm of edge",
                f"{wanted:.3f} mm, {self.work.settings.tab_top(self.thickness):.2f} mm high",
            )

    def order(self) -> Iterator[Finding]:
        """Yield parts that come loose before all in them is cut."""
        for (part, loop), (first, _) in self.spans.items():
            if loop == 0:
                # The outside frees the part when it is first cut through.
                for (other, number), (_, last) in self.spans.items():
                    if other == part and number and last > first:
                        got = f"opening {number} is cut after the outside has come loose"
                        yield stop("CUT-115", part, got, "openings first")
                continue
            hole = self.work.part(part).region.loops[loop]
            for inner in self.work.job.parts:
                if inner.name == part or not hole.contains(inner.region.edges[0].start):
                    continue
                ends = [last for (other, _), (_, last) in self.spans.items() if other == inner.name]
                if ends and max(ends) > first:
                    got = f"opening {loop} is cut before {inner.name}, which lies in it"
                    yield stop("CUT-115", part, got, "the part inside first")

    # --- points and marks -----------------------------------------------------------------------

    def points(self) -> Iterator[Finding]:
        for point in self.work.points:
            deep = point.depth if point.kind is PointKind.DRILL else 0.05
            done = any(
                motion.tool == point.cutter.number
                and motion.vertical
                and vec.distance(motion.edge.start, point.at) <= PROOF
                and motion.low <= -deep + PROOF
                for _, motion in self.cutting
            )
            if not done:
                yield stop(
                    "CUT-112",
                    point.part,
                    f"the {point.kind.value} at ({point.at[0]:.2f}, {point.at[1]:.2f}) is missing",
                    f"within {PROOF:.2f} mm",
                )

    def marks(self) -> Iterator[Finding]:
        for mark in self.work.marks:
            drawn = [
                way
                for _, motion in self.cutting
                if motion.tool == mark.cutter.number
                and (way := motion.below(PEN_DOWN / 2)) is not None
            ]
            gaps = uncovered(mark.line, drawn, PROOF)
            if any((b - a) * mark.line.length > 4 * PROOF for a, b in gaps):
                at = mark.line.point(0.5)
                got = f"the mark at ({at[0]:.2f}, {at[1]:.2f}) mm is not drawn"
                yield stop("CUT-113", mark.part, got, f"within {PROOF:.2f} mm", mark.line)


def reachable(outline: Loop, radius: float, *, outside: bool) -> list[Edge]:
    """Return where a cutter's centre may go to touch a loop: the exact offset of it.

    Args:
        outline: loop of the part [mm]
        radius: the cutter's radius [mm]
        outside: whether the part is inside the loop
    """
    circle = outline.as_circle
    if circle is not None:
        around = circle.radius + (radius if outside else -radius)
        return [Arc.circle(circle.center, around)] if around > TOUCH else []
    regions = (loop_grown if outside else loop_shrunk)(outline, radius)
    return [edge for region in regions for edge in region.edges]


def uncovered(edge: Edge, ways: Sequence[Edge], reach: float) -> list[tuple[float, float]]:
    """Return the stretches of an edge that no way comes near, each from and to a share [-].

    Exact: the edge is cut where it meets the rim of each way's capsule.

    Args:
        edge: what is to be covered
        ways: ways of the cutter's centre
        reach: how near they must come [mm]
    """
    if edge.length <= TOUCH:
        return []
    shares = {0.0, 1.0}
    near: list[tuple[Edge, Box]] = []
    for way in ways:
        near.append((way, way.box))
        for rim in _rims(way, reach):
            for p in crossings(edge, rim):
                t = edge.share(p)
                if 0.0 < t < 1.0:
                    shares.add(t)
    stops = sorted(shares)
    gaps: list[tuple[float, float]] = []
    for a, b in itertools.pairwise(stops):
        if (b - a) * edge.length <= TOUCH:
            continue
        p = edge.point((a + b) / 2)
        if any(_near_box(p, way_box, reach) and way.distance(p) <= reach for way, way_box in near):
            continue
        if gaps and (a - gaps[-1][1]) * edge.length <= TOUCH:
            gaps[-1] = (gaps[-1][0], b)
        else:
            gaps.append((a, b))
    return gaps


def _rims(way: Edge, reach: float) -> Iterator[Edge]:
    if way.length > TOUCH:
        for side in (reach, -reach):
            rim = beside(way, side)
            if rim is not None:
                yield rim
    for end in (way.start, way.end):
        yield Arc.circle(end, reach)


def _near_box(p: vec.Point, box: Box, reach: float) -> bool:
    x, y = p
    return box[0] - reach <= x <= box[2] + reach and box[1] - reach <= y <= box[3] + reach


def _reachable_part(
    edge: Edge, gap: tuple[float, float], ideal: Sequence[Edge], reach: float
) -> list[tuple[float, float]]:
    """Return what of an uncut stretch the cutter could have reached, as shares of the edge [-]."""
    a, b = gap
    piece = edge.part(a, b)
    blind = uncovered(piece, ideal, reach)
    parts: list[tuple[float, float]] = []
    at = 0.0
    for c, d in [*blind, (1.0, 1.0)]:
        if c - at > 1e-12:
            parts.append((a + (b - a) * at, a + (b - a) * c))
        at = d
    return parts
