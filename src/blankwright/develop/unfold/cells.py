"""The outline of each flat and bend on the blank, with what was found along its edges."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.findings import Finding, Level
from blankwright.develop.unfold.curve2d import chained, circle_through, turned
from blankwright.develop.unfold.flatten import Flatten, flattened
from blankwright.develop.unfold.graph import Node
from blankwright.develop.unfold.mates import oriented
from blankwright.develop.unfold.model import (
    CurveKind,
    SolidEdge,
    SolidFace,
    SolidModel,
    SurfaceKind,
    place_of,
)
from blankwright.develop.unfold.pressed import bore_of
from blankwright.develop.unfold.result import Countersink, Dimple, Mark
from blankwright.develop.unfold.rims import Rim, RimKind, outer_edges
from blankwright.develop.unfold.skins import Skins
from blankwright.geom import vec
from blankwright.geom.boolean import difference, merged
from blankwright.geom.edges import Arc, Edge
from blankwright.geom.loop import Loop, joined
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

_SINK = 0.4
"""A conical chamfer deeper than this share of the sheet is a countersink [-]."""


@dataclass(eq=False)
class CellOutlines:
    """Makes regions of flats and bends; collects countersinks, dimples, marks, broken edges."""

    model: SolidModel
    skins: Skins
    rims: list[Rim]
    face_side: int
    fit: float
    countersinks: list[Countersink] = field(default_factory=list)
    dimples: list[Dimple] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    broken: set[int] = field(default_factory=set)
    slanted: list[str] = field(default_factory=list)
    pressed: dict[Point, tuple[float, float, float]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.rim_of = {face.number: rim for rim in self.rims for face in rim.faces}

    def regions(self, node: Node, flatten: Flatten, name: str) -> tuple[Region, ...]:
        """Return where a flat or a piece of a bend lies on the blank.

        Taken from the face side, unless that side is marked across its edge or has no face.
        """
        order = (self.face_side, 1 - self.face_side)
        for side in order:
            for face in node.faces[side]:
                self._note_marks(face, flatten, side)
        sides = [side for side in order if node.faces[side]]
        clean = [side for side in sides if not any(map(self._torn, node.faces[side]))]
        side = (clean or sides)[0]
        other = 1 - side
        behind = [self._region(f, flatten, other, note=True) for f in node.faces[other]]
        parts = [self._region(face, flatten, side, note=True) for face in node.faces[side]]
        if node.is_flat:
            parts = [self._smaller_holes(part, behind) for part in parts]
        regions = tuple(region for part in parts for region in part)
        if len(node.faces[side]) > 1:
            regions = merged(regions)
        if any(map(self._torn, (*node.faces[0], *node.faces[1]))):
            self._torn_marks(node, flatten, regions)
        else:
            self._compare(regions, behind, name)
        return tuple(_cleaned(region, self.fit) for region in regions)

    def _loop_rim(self, loop: list[SolidEdge], face: SolidFace) -> Rim | None:
        """Return the rim that lies all round a loop, or nothing when a skin or several do."""
        rims = {id(self.rim_of.get(self.model.beyond(e, face).number)) for e in loop}
        first = self.rim_of.get(self.model.beyond(loop[0], face).number)
        return first if len(rims) == 1 else None

    def _torn(self, face: SolidFace) -> bool:
        """Say whether a mark runs over the edge of a face."""
        return any(
            rim is not None and rim.kind is RimKind.MARK and self._loop_rim(loop, face) is not rim
            for loop in face.loops
            for rim in (self.rim_of.get(self.model.beyond(e, face).number) for e in loop)
        )

    def _note_marks(self, face: SolidFace, flatten: Flatten, side: int) -> None:
        for loop in face.loops:
            rim = self._loop_rim(loop, face)
            if rim is not None and rim.kind is RimKind.MARK:
                outline = self._plain(loop, flatten)
                if outline is not None:
                    self.marks.append(
                        Mark(
                            loops=(outline.ccw(),),
                            depth=rim.depth,
                            on_face=side == self.face_side,
                        )
                    )

    def _torn_marks(self, node: Node, flatten: Flatten, whole: tuple[Region, ...]) -> None:
        """Note marks that run over the edge of a flat or bend: what one side lacks there."""
        for side in (0, 1):
            for face in node.faces[side]:
                if not self._torn(face):
                    continue
                left = difference(whole, self._region(face, flatten, side, note=False))
                rims = [self.rim_of.get(o.number) for _, o in self.model.neighbours(face)]
                depth = max(r.depth for r in rims if r is not None and r.kind is RimKind.MARK)
                self.marks += [
                    Mark(loops=(region.outer,), depth=depth, on_face=side == self.face_side)
                    for region in left
                ]

    def _plain(self, loop: list[SolidEdge], flatten: Flatten) -> Loop | None:
        chain = chained(
            [flattened(edge, flatten, self.fit) for edge in loop], self.model.slack.join
        )
        return None if chain is None else Loop(tuple(chain))

    def _region(
        self, face: SolidFace, flatten: Flatten, side: int, *, note: bool
    ) -> tuple[Region, ...]:
        loops = []
        for edges in face.loops:
            rim = self._loop_rim(edges, face)
            if rim is not None and rim.kind is RimKind.MARK:
                continue
            if rim is not None and rim.kind is RimKind.PRESSED:
                loops += self._pressed(rim, flatten)
                continue
            if rim is not None and rim.kind is RimKind.DIMPLE:
                loops.append(self._dimple(rim, flatten, side))
                continue
            loops.append(self._outline(edges, face, flatten, side, note=note))
        return oriented(loops)

    def _outline(
        self, edges: list[SolidEdge], face: SolidFace, flatten: Flatten, side: int, *, note: bool
    ) -> Loop:
        """Return a loop of a skin face, its chamfered and rounded edges made whole."""
        groups: list[list[Edge]] = []
        moved = False
        for edge in edges:
            outer, passed = outer_edges(self.model, self.skins, face, edge)
            group = [e for o in outer for e in flattened(o, flatten, self.fit)]
            if passed:
                moved = True
                if note:
                    self._note_break(edge, face, passed, group, flatten, side)
                group = chained_open(group)
            groups.append(group)
        chain = chained(groups, self.model.slack.join)
        if chain is None and moved:
            chain = self._bridged(groups, face, flatten)
        if chain is None:
            raise NotPossible(
                Problem(
                    code="STEP-024",
                    where=self.model.name,
                    got=f"the edges of the face at {place_of(face.some_point)} do not close",
                    fix="Look at the solid there",
                )
            )
        return Loop(tuple(chain))

    def _bridged(
        self, groups: list[list[Edge]], face: SolidFace, flatten: Flatten
    ) -> list[Edge] | None:
        """Close the gaps that chamfers and rounds leave at corners: by an edge of the solid that
        fits, or straight."""
        chain = chained(groups, math.inf)
        if chain is None:
            return None
        known = [e for group in groups for e in (*group, *turned(group))]
        rim_edges = [
            candidate
            for edge in face.edges
            for neighbour in (self.model.beyond(edge, face),)
            for other in (neighbour, *(f for _, f in self.model.neighbours(neighbour)))
            if other.number in self.rim_of
            for candidate in other.edges
            if candidate.kind is not CurveKind.LINE
        ]
        result: list[Edge] = []
        for edge in chain:
            if edge not in known and edge.length > self.model.slack.join:
                result += self._fitting(edge, rim_edges, flatten) or [edge]
            else:
                result.append(edge)
        return result

    def _fitting(
        self, gap: Edge, candidates: list[SolidEdge], flatten: Flatten
    ) -> list[Edge] | None:
        join = self.model.slack.join
        for candidate in candidates:
            a, b = flatten(candidate.points[[0, -1]])
            ends = [(float(a[0]), float(a[1])), (float(b[0]), float(b[1]))]
            for p, q, back in ((ends[0], ends[1], False), (ends[1], ends[0], True)):
                if vec.distance(p, gap.start) < join and vec.distance(q, gap.end) < join:
                    found = flattened(candidate, flatten, self.fit)
                    return [e.reversed() for e in reversed(found)] if back else found
        return None

    def _note_break(
        self,
        edge: SolidEdge,
        face: SolidFace,
        passed: list[SolidFace],
        outer: list[Edge],
        flatten: Flatten,
        side: int,
    ) -> None:
        cone = passed[0]
        near = flattened(edge, flatten, self.fit)
        if (
            cone.kind is SurfaceKind.CONE
            and edge.closed
            and len(near) == 1
            and len(outer) == 1
            and isinstance(near[0], Arc)
            and isinstance(outer[0], Arc)
            and near[0].radius > outer[0].radius
        ):
            wide, narrow = near[0].radius, outer[0].radius
            depth = (wide - narrow) / max(1e-9, math.tan(abs(cone.half_angle)))
            if depth >= _SINK * self.skins.thickness:
                self.countersinks.append(
                    Countersink(
                        center=near[0].center,
                        hole=2 * narrow,
                        sink=2 * wide,
                        angle=2 * abs(cone.half_angle),
                        on_face=side == self.face_side,
                    )
                )
                return
        self.broken.update(f.number for f in passed)

    def _dimple(self, rim: Rim, flatten: Flatten, side: int) -> Loop:
        """Return the hole of a dimple as formed, and note the dimple once."""
        cones = [f for f in rim.faces if f.kind is SurfaceKind.CONE]
        center = flatten(cones[0].origin[None, :])[0]
        at = (float(center[0]), float(center[1]))
        circles = [e.radius for f in cones for e in f.edges if e.kind is CurveKind.CIRCLE]
        hole = min(circles)
        if not any(vec.distance(d.center, at) < 1e-6 for d in self.dimples):
            skin = self.model.faces[min(rim.touches[self.face_side])]
            above = (rim.points - skin.origin) @ skin.axis
            self.dimples.append(
                Dimple(
                    center=at,
                    hole=2 * hole,
                    outer=2 * max(circles),
                    angle=2 * abs(cones[0].half_angle),
                    up=bool(above.max() > self.skins.thickness / 10),
                )
            )
        return Loop.circle(at, hole)

    def _pressed(self, rim: Rim, flatten: Flatten) -> list[Loop]:
        """Return the opening of a pressed feature, if it has one, and note the feature once."""
        points = flatten(rim.points)
        low, high = points.min(axis=0), points.max(axis=0)
        x, y = (float(v) for v in (low + high) / 2)
        skin = self.model.faces[min(rim.touches[0] | rim.touches[1])]
        above = (rim.points - skin.spot) @ skin.axis
        tall = max(float(above.max()), float(-above.min()) - self.skins.thickness)
        long, wide = (float(v) for v in high - low)
        key = next((known for known in self.pressed if vec.distance((x, y), known) < 0.5), (x, y))
        # Both sides of an emboss are rims of their own.
        before = self.pressed.get(key, (0.0, 0.0, 0.0))
        self.pressed[key] = (max(long, before[0]), max(wide, before[1]), max(tall, before[2]))
        bore = bore_of(self.model, rim)
        if bore is None:
            return []
        ((x, y),) = flatten(bore.center[None, :])
        return [Loop.circle((float(x), float(y)), bore.radius)]

    @property
    def pressed_volume(self) -> float:
        """Room that pressed features take up [mm³]."""
        t = self.skins.thickness
        return sum(long * wide * (tall + t) for long, wide, tall in self.pressed.values())

    def _smaller_holes(
        self, regions: tuple[Region, ...], behind: list[tuple[Region, ...]]
    ) -> tuple[Region, ...]:
        """Take the smaller of two holes that lie one behind the other: a step or a counterbore."""
        others = [hole for part in behind for region in part for hole in region.holes]
        result = []
        for region in regions:
            holes = []
            for hole in region.holes:
                inside = [
                    o
                    for o in others
                    if abs(o.area) < abs(hole.area) * (1 - 1e-6)
                    and hole.contains(o.edges[0].point(0.5))
                ]
                holes.append(min(inside, key=lambda o: abs(o.area)) if inside else hole)
            result.append(Region(region.outer, tuple(holes)))
        return tuple(result)

    def _compare(
        self, regions: tuple[Region, ...], behind: list[tuple[Region, ...]], name: str
    ) -> None:
        """Say where face side and back do not show the same outline."""
        front = sum(r.outer.area for r in regions)
        back = sum(r.outer.area for part in behind for r in part)
        length = sum(r.outer.length for r in regions)
        if behind and abs(front - back) > 0.01 * length:
            self.slanted.append(name)

    @property
    def findings(self) -> list[Finding]:
        """What to look at on the blank."""
        found = [
            Finding(
                code="STEP-036",
                level=Level.ASK,
                place=self.model.name,
                got=f"a feature of {long:.1f} × {wide:.1f} mm is pressed {tall:.1f} mm out of the"
                f" sheet about ({x:.2f}, {y:.2f}); the blank is plain there, but for a bore",
                fix="Press it with its own tool, and ask what hole that wants beforehand",
                at=(x, y),
            )
            for (x, y), (long, wide, tall) in self.pressed.items()
        ]
        if not self.slanted:
            return found
        return [
            *found,
            Finding(
                code="STEP-031",
                level=Level.ASK,
                place=f"{self.model.name}: {', '.join(self.slanted)}",
                got="face side and back end at different places: the edges do not stand square to"
                " the sheet; the blank follows the face side",
                fix="Check the edges that were cut at a slant",
            ),
        ]


def chained_open(group: list[Edge]) -> list[Edge]:
    """Order the edges that stand for one edge so that each begins where the last ended."""
    if len(group) < 2:
        return group
    chain = [group[0]]
    if vec.distance(group[0].start, group[1].start) < vec.distance(group[0].end, group[1].start):
        chain = [group[0].reversed()]
    for edge in group[1:]:
        last = chain[-1].end
        nearer = vec.distance(last, edge.start) <= vec.distance(last, edge.end)
        chain.append(edge if nearer else edge.reversed())
    return chain


def _cleaned(region: Region, fit: float) -> Region:
    """Join stretches of one line or one circle."""
    loops = [_round(Loop(joined(_without_slivers(loop))), fit) for loop in region.loops]
    return Region(loops[0], tuple(loops[1:]))


def _round(loop: Loop, fit: float) -> Loop:
    """Return a loop of arcs that is a circle to within `fit` [mm] as one, from its right."""
    if not all(isinstance(edge, Arc) for edge in loop.edges):
        return loop
    circle = loop.as_circle
    if circle is None:
        if len(loop.edges) > 64:
            return loop
        shares = np.linspace(0.0, 1.0, 9)[:-1]
        points = np.array([edge.point(float(t)) for edge in loop.edges for t in shares])
        found = circle_through(points)
        if found is None or found[2] > fit:
            return loop
        circle = Arc.circle(found[0], found[1])
        if loop.area < 0:
            circle = circle.reversed()
    plain = Loop.circle(circle.center, circle.radius)
    return plain if circle.sweep > 0 else plain.reversed()


def _without_slivers(loop: Loop) -> tuple[Edge, ...]:
    kept = tuple(e for e in loop.edges if e.length > 1e-6)
    return kept if len(kept) > 1 or len(loop.edges) == 1 else loop.edges
