"""Checks of corners: how far legs that share a corner stand apart when formed."""

from __future__ import annotations

import math
from collections.abc import Iterator

from blankwright.base.findings import Finding, Level
from blankwright.develop.checks.common import PRACTICE, Checked, mm
from blankwright.develop.layout import Meeting, neighbours
from blankwright.geom.edges import Box
from blankwright.geom.pose import Point3
from blankwright.geom.vec import Point
from blankwright.part.model import Corner, CornerRule, DrawnBend

_OPEN = 0.5
"""A corner that gapes less than this counts as closed [mm]; common practice."""

_SHARES = (0.0, 0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875, 1.0)


def check_corners(checked: Checked) -> Iterator[Finding]:
    """Report corners that gape, and flanges that turn outward round a corner."""
    bends = {bend.name: bend for bend in checked.part.bends}
    for meeting in neighbours(checked.part):
        a, b = bends[meeting.first], bends[meeting.second]
        if a.parent == b.parent == meeting.flat:
            yield from _gape(checked, meeting, a, b)
            yield from _outward(checked, a, b)


def _gape(checked: Checked, meeting: Meeting, a: DrawnBend, b: DrawnBend) -> Iterator[Finding]:
    if a.up != b.up:
        return
    gap, at = legs_apart(checked, a.leg.name, b.leg.name)
    corner = _corner(checked, a, b)
    closed = corner.rule in (CornerRule.CLOSED, CornerRule.LAPPED)
    limit = max(_OPEN, corner.gap) if closed else _OPEN
    if gap > limit + 1e-3:
        yield Finding(
            code="CORNER-001",
            level=Level.NOTE,
            place=f"corner {a.name}/{b.name}",
            got=f"the legs stand {mm(gap)} apart when formed",
            limit=f"{mm(limit)} in a closed corner",
            source=PRACTICE,
            fix="Take the outlines, insets and tapers of the legs from the drawing again"
            if closed
            else "Leave it open if the drawing does; else state the corner as closed or lapped",
            at=at,
        )


def _corner(checked: Checked, a: DrawnBend, b: DrawnBend) -> Corner:
    names = {a.name, b.name}
    stated = (c for c in checked.part.corners if {c.first, c.second} == names)
    return next(stated, Corner(first=a.name, second=b.name))


def _outward(checked: Checked, a: DrawnBend, b: DrawnBend) -> Iterator[Finding]:
    """Find flanges at the tips of two neighbouring legs that turn away from the part's inside."""
    for fa in _children(checked, a):
        for fb in _children(checked, b):
            if fa.up == a.up or fb.up == b.up:
                continue
            gap, at = legs_apart(checked, fa.leg.name, fb.leg.name)
            yield Finding(
                code="CORNER-002",
                level=Level.ASK,
                place=f"flanges {fa.name}/{fb.name}",
                got=f"the flanges turn outward round a corner: formed, they stand {mm(gap)} apart"
                f" at the wall and {mm(_tips_apart(checked, fa, fb))} at their outer edges; bends"
                " alone can't close such a corner",
                limit="flanges that turn inward, or a corner left open",
                source="geometry: the corner needs more metal than the blank has there",
                fix="Rivet a small corner plate under the two flanges, make the flanges as"
                " separate angles, or mould the part; check with the designer",
                at=at,
            )


def _tips_apart(checked: Checked, a: DrawnBend, b: DrawnBend) -> float:
    """Return how far apart the outer corners of two flanges are [mm]."""
    ends: list[list[Point3]] = []
    for bend in (a, b):
        flat = checked.blank.flat_by_name[bend.leg.name]
        points = [edge.start for edge in flat.region.outer.edges]
        reach = [flat.place.inverse()(p)[1] for p in points]
        far = max(reach)
        pose = checked.formed.flats[flat.name]
        ends.append([pose((*p, 0.0)) for p, y in zip(points, reach, strict=True) if y > far - 1e-3])
    return min(math.dist(p, q) for p in ends[0] for q in ends[1])


def _children(checked: Checked, bend: DrawnBend) -> list[DrawnBend]:
    return [other for other in checked.part.bends if other.parent == bend.leg.name]


def legs_apart(checked: Checked, first: str, second: str) -> tuple[float, Point]:
    """Return the least distance between two flats in space [mm], and where on the blank.

    Taken from points along the edges of each, at both faces, to the slab of the other: exact for
    edges that are parallel or nearest at an end, as the ends of legs at a corner are.
    """
    best = (math.inf, (0.0, 0.0))
    blank, formed = checked.blank, checked.formed
    for a, b in ((first, second), (second, first)):
        flat, other = blank.flat_by_name[a], blank.flat_by_name[b]
        into = formed.flats[a].then(formed.flats[b].inverse())
        box = other.region.box
        for edge in flat.region.outer.edges:
            for share in _SHARES:
                x, y = edge.point(share)
                for z in (0.0, blank.thickness):
                    p = into((x, y, z))
                    low = _height_off(p, blank.thickness)
                    if low >= best[0]:
                        continue
                    q = (p[0], p[1])
                    if math.hypot(low, _off_box(q, box)) >= best[0]:
                        continue
                    flat_off = 0.0
                    if not other.region.outer.contains(q):
                        flat_off = other.region.outer.distance(q)
                    gap = math.hypot(low, flat_off)
                    if gap < best[0]:
                        best = (gap, (x, y))
    return best


def _off_box(p: Point, box: Box) -> float:
    return math.hypot(
        max(box[0] - p[0], 0.0, p[0] - box[2]), max(box[1] - p[1], 0.0, p[1] - box[3])
    )


def _height_off(p: Point3, thickness: float) -> float:
    return max(0.0, -p[2], p[2] - thickness)
