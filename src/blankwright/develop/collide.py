"""Where a formed part runs into itself.

Every flat, and every narrow facet of a bend, is a plane slab: a region times the thickness. Two
slabs that are not parallel share a bar along the line where their planes cross. The bar is
followed along lines in its middle and near its four corners, and each line is cut exactly with
the edges of both regions: the slabs share metal where both cuts agree.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from blankwright.base.tolerance import TOUCH
from blankwright.develop.formed import BendShape, Formed, as_pose
from blankwright.geom import vec
from blankwright.geom.boolean import overlap
from blankwright.geom.edges import Arc, Box, Edge, Line, box_around
from blankwright.geom.loop import Loop
from blankwright.geom.meet import crossings
from blankwright.geom.move import Move
from blankwright.geom.pose import Point3, Pose, cross3, dot3
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

SLACK = 0.02
"""Sharing less than this is touching, not running into [mm]."""

_NO_SIZE = 1e-6
"""A flat of no more than this is a line where two bends meet [mm²]."""

_SAG = 0.02
"""How far a bend's facet may stand off the bend [mm]."""

Stretch = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """Two places of one part that claim the same space.

    Args:
        first: name of a flat or bend
        second: name of another
        at: where, on the blank, on `first` [mm]
        length: how long the shared stretch is, at most [mm]
    """

    first: str
    second: str
    at: Point
    length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Slab:
    name: str
    regions: tuple[Region, ...]
    pose: Pose
    """Carries (x, y on the blank, z over the back face) into space."""
    back: Pose
    corners: Box
    """Box around it in its own frame."""
    frame: Move
    """Carries its own frame, in which `corners` are, onto the blank."""
    banded: bool
    """Whether only what lies in `corners` counts: a facet of a bend."""


def clashes(formed: Formed) -> tuple[Clash, ...]:
    """Return where the metal of a formed part, at any state of bending, shares space.

    A flat and a bend that it borders on are not held against each other, nor are bends that meet.
    """
    thickness = formed.blank.thickness
    slabs = list(_slabs(formed))
    borders = {
        frozenset((bend.label, side))
        for bend in formed.blank.bends
        for side in (bend.parent, bend.leg)
    }
    # Bends that meet in a flat of no size border on one another.
    for flat in formed.blank.flats:
        if flat.region.area < _NO_SIZE:
            beside = [b.label for b in formed.blank.bends if flat.name in (b.parent, b.leg)]
            borders.update(frozenset(pair) for pair in itertools.combinations(beside, 2))
    found: dict[tuple[str, str], Clash] = {}
    for i, j in _near(slabs, thickness):
        a, b = slabs[i], slabs[j]
        if a.name == b.name or frozenset((a.name, b.name)) in borders or _apart(a, b, thickness):
            continue
        clash = _clash(a, b, thickness)
        if clash is None:
            continue
        key = (a.name, b.name)
        if key not in found or found[key].length < clash.length:
            found[key] = clash
    return tuple(found.values())


def _slabs(formed: Formed) -> Iterator[_Slab]:
    for flat in formed.blank.flats:
        pose = formed.flats[flat.name]
        yield _Slab(
            name=flat.name,
            regions=(flat.region,),
            pose=pose,
            back=pose.inverse(),
            corners=flat.region.box,
            frame=Move(),
            banded=False,
        )
    thickness = formed.blank.thickness
    for shape in formed.bends.values():
        if not shape.bend.regions:
            continue
        place = shape.bend.place
        local = place.inverse()
        box = box_around([region.moved(local).box for region in shape.bend.regions])
        outer = 1e-9 if shape.is_flat else shape.inside_radius + thickness
        step = 2 * math.acos(max(0.0, 1 - _SAG / max(outer, 2 * _SAG)))
        count = max(1, math.ceil(shape.angle / step))
        width = shape.bend.allowance / count
        for i in range(count):
            middle = (i + 0.5) * width
            pose = _tangent_pose(shape, middle, thickness)
            whole = as_pose(place).inverse().then(pose).then(shape.place)
            yield _Slab(
                name=shape.bend.label,
                regions=shape.bend.regions,
                pose=whole,
                back=whole.inverse(),
                corners=(box[0], i * width, box[2], (i + 1) * width),
                frame=place,
                banded=True,
            )


def _tangent_pose(shape: BendShape, across: float, thickness: float) -> Pose:
    """Lay the plane of a facet against its bend, in the frame of the unbent strip."""
    if shape.is_flat:
        return Pose()
    phi = shape.angle * across / shape.bend.allowance
    turn = Pose.turn(
        (0.0, 0.0, shape.axis_height(thickness)),
        (1.0, 0.0, 0.0),
        phi if shape.bend.up else -phi,
    )
    return Pose(origin=(0.0, -across, 0.0)).then(turn)


def _space_corners(slab: _Slab, thickness: float, slack: float) -> list[Point3]:
    x0, y0, x1, y1 = slab.corners
    corners = [slab.frame(p) for p in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))]
    return [slab.pose((x, y, z)) for x, y in corners for z in (slack, thickness - slack)]


def _near(slabs: Sequence[_Slab], thickness: float) -> list[tuple[int, int]]:
    """Return the pairs of slabs, in order, whose boxes in space overlap."""
    if not slabs:
        return []
    corners = np.array([_space_corners(slab, thickness, 0.0) for slab in slabs])
    low, high = corners.min(axis=1), corners.max(axis=1) - SLACK
    meet = np.all((low[:, None] < high[None]) & (low[None] < high[:, None]), axis=2)
    return [(int(i), int(j)) for i, j in np.argwhere(np.triu(meet, 1))]


def _apart(a: _Slab, b: _Slab, thickness: float) -> bool:
    """Say whether the boxes around two slabs are parted by a plane (separating axes)."""
    pa = _space_corners(a, thickness, SLACK)
    pb = _space_corners(b, thickness, SLACK)
    axes_a, axes_b = _axes(a), _axes(b)
    axes = [*axes_a, *axes_b, *(cross3(u, v) for u in axes_a for v in axes_b)]
    for axis in axes:
        size = math.sqrt(dot3(axis, axis))
        if size < 1e-9:
            continue
        da = [dot3(axis, p) for p in pa]
        db = [dot3(axis, p) for p in pb]
        gap = SLACK * size / 2
        if max(da) <= min(db) + gap or max(db) <= min(da) + gap:
            return True
    return False


def _axes(slab: _Slab) -> tuple[Point3, Point3, Point3]:
    ux, uy = slab.frame.vector((1.0, 0.0)), slab.frame.vector((0.0, 1.0))
    return (
        slab.pose.vector((ux[0], ux[1], 0.0)),
        slab.pose.vector((uy[0], uy[1], 0.0)),
        slab.pose.z,
    )


def _clash(a: _Slab, b: _Slab, thickness: float) -> Clash | None:
    d = cross3(a.pose.z, b.pose.z)
    size = math.sqrt(dot3(d, d))
    if size < 1e-6:
        return _parallel_clash(a, b, thickness)
    d = (d[0] / size, d[1] / size, d[2] / size)
    cosine = dot3(a.pose.z, b.pose.z)
    base_a, base_b = dot3(a.pose.z, a.pose.origin), dot3(b.pose.z, b.pose.origin)
    low, high, mid = SLACK, thickness - SLACK, thickness / 2
    best: Clash | None = None
    for za, zb in ((mid, mid), (low, low), (low, high), (high, low), (high, high)):
        ha, hb = base_a + za, base_b + zb
        # The point p = α·na + β·nb with na·p = ha and nb·p = hb.
        alpha = (ha - hb * cosine) / (1 - cosine * cosine)
        beta = (hb - ha * cosine) / (1 - cosine * cosine)
        na, nb = a.pose.z, b.pose.z
        p = (
            alpha * na[0] + beta * nb[0],
            alpha * na[1] + beta * nb[1],
            alpha * na[2] + beta * nb[2],
        )
        shared = [
            (max(s0, t0), min(s1, t1))
            for s0, s1 in _along(a, p, d)
            for t0, t1 in _along(b, p, d)
            if min(s1, t1) - max(s0, t0) > SLACK
        ]
        if shared:
            s0, s1 = max(shared, key=lambda s: s[1] - s[0])
            s = (s0 + s1) / 2
            x, y, _ = a.back((p[0] + d[0] * s, p[1] + d[1] * s, p[2] + d[2] * s))
            if best is None or s1 - s0 > best.length:
                best = Clash(first=a.name, second=b.name, at=(x, y), length=s1 - s0)
    return best


def _along(slab: _Slab, p: Point3, d: Point3) -> list[Stretch]:
    """Return the stretches of the line p + s·d that lie in a slab that holds the whole line."""
    ox, oy, _ = slab.back(p)
    dx, dy, _ = slab.back.vector(d)
    origin, direction = (ox, oy), (dx, dy)
    stretches = [s for region in slab.regions for s in _inside(region, origin, direction)]
    if not slab.banded:
        return stretches
    local = slab.frame.inverse()
    start, along = local(origin), local.vector(direction)
    low, high = -math.inf, math.inf
    if abs(along[1]) < 1e-12:
        if not slab.corners[1] <= start[1] <= slab.corners[3]:
            return []
    else:
        low, high = sorted((y - start[1]) / along[1] for y in (slab.corners[1], slab.corners[3]))
    return [(max(s0, low), min(s1, high)) for s0, s1 in stretches if min(s1, high) > max(s0, low)]


def _inside(region: Region, origin: Point, direction: Point) -> list[Stretch]:
    line = Line(origin, vec.add(origin, direction))
    cuts: list[float] = []
    for edge in region.edges:
        if _misses(edge, origin, direction):
            continue
        cuts.extend(line.share(p) for p in crossings(line, edge) if edge.distance(p) <= TOUCH)
    cuts.sort()
    return [
        (s0, s1)
        for s0, s1 in itertools.pairwise(cuts)
        if s1 - s0 > SLACK and region.contains(vec.along(origin, direction, (s0 + s1) / 2))
    ]


def _misses(edge: Edge, origin: Point, direction: Point) -> bool:
    if isinstance(edge, Arc):
        return abs(vec.cross(direction, vec.sub(edge.center, origin))) > edge.radius + TOUCH
    a = vec.cross(direction, vec.sub(edge.start, origin))
    b = vec.cross(direction, vec.sub(edge.end, origin))
    return (a > TOUCH and b > TOUCH) or (a < -TOUCH and b < -TOUCH)


def _parallel_clash(a: _Slab, b: _Slab, thickness: float) -> Clash | None:
    """Hold two parallel slabs against each other: heights first, then regions."""
    into = b.pose.then(a.back)
    heights = [into((0.0, 0.0, z))[2] for z in (0.0, thickness)]
    if min(heights) >= thickness - SLACK or max(heights) <= SLACK:
        return None
    move = Move(into.x[0], into.x[1], into.origin[0], into.origin[1], into.z[2] < 0)
    shared = overlap(_cut_regions(a), tuple(r.moved(move) for r in _cut_regions(b)))
    shared = tuple(r for r in shared if r.area > SLACK * SLACK)
    if not shared:
        return None
    region = max(shared, key=lambda r: r.area)
    x0, y0, x1, y1 = region.box
    at = ((x0 + x1) / 2, (y0 + y1) / 2)
    return Clash(first=a.name, second=b.name, at=at, length=max(x1 - x0, y1 - y0))


def _cut_regions(slab: _Slab) -> Sequence[Region]:
    if not slab.banded:
        return slab.regions
    band = Region(Loop.rectangle(*slab.corners).moved(slab.frame))
    return overlap(slab.regions, (band,))
