"""Cut a formed part into cells whose sides match one to one along bend tangent lines."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable

from blankwright.develop.blank import BlankBend
from blankwright.develop.cells import Cell, Classes, Plan, Side
from blankwright.develop.formed import BendShape, Formed
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.move import Move
from blankwright.geom.pose import Pose
from blankwright.geom.region import Region

NEAR = 2e-5
"""Ends closer than this along a bend tangent line are one corner [mm]. Regions come out of
intersections that join points within 4 · TOUCH, on each side of the line on their own."""

SHARP = 1e-6
"""A bend with less inside radius than this has none [mm]."""

_NO_AREA = 1e-6


def plan_of(formed: Formed) -> Plan:
    """Return the plan of the solid of a formed part."""
    return _Planner(formed).plan()


class _Planner:
    def __init__(self, formed: Formed) -> None:
        self.formed = formed
        self.corners = itertools.count()
        self.numbers = itertools.count()
        self.by_name: dict[str, list[Cell]] = {}
        for flat in formed.blank.flats:
            self.by_name[flat.name] = []
            if flat.region.area > _NO_AREA:
                cell = self.cell(flat.name, flat.region, None, formed.flats[flat.name], Move())
                self.by_name[flat.name].append(cell)
        for bend in formed.blank.bends:
            shape = formed.bends[bend.name]
            back = bend.place.inverse()
            self.by_name[bend.label] = [
                self.cell(bend.label, region.moved(back), shape, shape.place, bend.place)
                for region in bend.regions
                if region.area > _NO_AREA
            ]

    def cell(
        self, name: str, region: Region, shape: BendShape | None, pose: Pose, to_blank: Move
    ) -> Cell:
        if shape is not None and shape.is_flat:
            shape = None
        sharp = shape is not None and shape.inside_radius < SHARP
        loops = []
        for loop in region.loops:
            edges: list[Edge] = list(loop.edges)
            if shape is not None:
                # Whole turns have no place on a cylinder's cut edge; split where x turns back.
                edges = [part for edge in edges for part in x_monotone(edge, always=sharp)]
            first = corner = next(self.corners)
            sides = []
            for i, edge in enumerate(edges):
                end = first if i == len(edges) - 1 else next(self.corners)
                sides.append(Side(next(self.numbers), edge, corner, end))
                corner = end
            loops.append(sides)
        return Cell(name, loops, shape, pose, to_blank, sharp)

    def plan(self) -> Plan:
        vertices, edges = Classes(), Classes()
        cells = [cell for group in self.by_name.values() for cell in group]
        meetings = list(self.meetings())
        for bend, own, lines in self.lines_of(meetings):
            marks = [self.marks(bend, y, own, others) for y, others in lines]
            if any(cell.sharp for cell in own):
                # Both tangent lines fall together on the axis, so each is cut where the other is.
                marks = [clustered(itertools.chain(*marks))] * len(lines)
            for (y, others), xs in zip(lines, marks, strict=True):
                for cell in (*own, *others):
                    self.split(cell, bend, y, xs)
        for cell in cells:
            if cell.sharp:
                self.split_all(cell)
        for bend, y, others in meetings:
            self.match(bend, y, self.by_name[bend.label], others, vertices, edges)
        for a, b in self.sisters():
            self.match_sisters(a, b, vertices, edges)
        for cell in cells:
            if cell.sharp:
                pair_sharp(cell, self.formed.blank.thickness, vertices, edges)
        return Plan(self.formed.blank.thickness, cells, vertices, edges)

    def sisters(self) -> Iterable[tuple[BlankBend, BlankBend]]:
        """Yield bends of one flat that lie in one line and are bent alike: one bend in the metal,
        written as several because it carries several legs."""
        bends = self.formed.blank.bends
        for a, b in itertools.combinations(bends, 2):
            if a.parent != b.parent or a.up != b.up:
                continue
            shift = b.place.then(a.place.inverse())
            now = self.formed.bends[a.name].angle - self.formed.bends[b.name].angle
            if (
                shift.cos > 1 - 1e-12
                and abs(shift.dy) < NEAR
                and abs(a.allowance - b.allowance) < NEAR
                and abs(now) < 1e-9
            ):
                yield a, b

    def match_sisters(self, a: BlankBend, b: BlankBend, vertices: Classes, edges: Classes) -> None:
        shift = b.place.then(a.place.inverse()).dx
        theirs = [s for cell in self.by_name[b.label] for s in cell.sides if s.is_across]
        for cell in self.by_name[a.label]:
            for side in cell.sides:
                if not side.is_across or side.mate is not None:
                    continue
                (x0, y0), (_, y1) = side.edge.start, side.edge.end
                for other in theirs:
                    (u0, v0), (_, v1) = other.edge.start, other.edge.end
                    off = max(abs(u0 + shift - x0), abs(v0 - y1), abs(v1 - y0))
                    if other.mate is None and off < NEAR:
                        marry(side, other, vertices, edges)
                        break

    def lines_of(
        self, meetings: list[tuple[BlankBend, float, list[Cell]]]
    ) -> Iterable[tuple[BlankBend, list[Cell], list[tuple[float, list[Cell]]]]]:
        for bend in self.formed.blank.bends:
            lines = [(y, others) for b, y, others in meetings if b is bend]
            yield bend, self.by_name[bend.label], lines

    def meetings(self) -> Iterable[tuple[BlankBend, float, list[Cell]]]:
        """Yield each bend's two tangent lines with the cells beyond; skip over flats of no size."""
        bends = self.formed.blank.bends
        for bend in bends:
            for y, flat in ((0.0, bend.parent), (bend.allowance, bend.leg)):
                others = self.by_name[flat]
                if not others and flat == bend.leg:
                    others = [c for b in bends if b.parent == flat for c in self.by_name[b.label]]
                yield bend, y, others

    def on_line(self, cell: Cell, bend: BlankBend, y: float) -> list[tuple[Side, float, float]]:
        """Return the sides of a cell on a line across a bend, with x of both ends there."""
        move = cell.to_blank.then(bend.place.inverse())
        found = []
        for side in cell.sides:
            if isinstance(side.edge, Line):
                a, b = move(side.edge.start), move(side.edge.end)
                low, high = min(a[0], b[0]), max(a[0], b[0])
                if (
                    abs(a[1] - y) < NEAR
                    and abs(b[1] - y) < NEAR
                    and high > -NEAR
                    and low < bend.width + NEAR
                ):
                    found.append((side, a[0], b[0]))
        return found

    def marks(self, bend: BlankBend, y: float, own: list[Cell], others: list[Cell]) -> list[float]:
        xs = [
            x for cell in (*own, *others) for s in self.on_line(cell, bend, y) for x in (s[1], s[2])
        ]
        for cell in own:
            if cell.sharp:
                xs += [x for side in cell.sides for x in (side.edge.start[0], side.edge.end[0])]
        return clustered(xs)

    def split(self, cell: Cell, bend: BlankBend, y: float, xs: list[float]) -> None:
        for side, x0, x1 in self.on_line(cell, bend, y):
            self.split_side(cell, side, [(x - x0) / (x1 - x0) for x in xs if _inside(x, x0, x1)])

    def split_all(self, cell: Cell) -> None:
        xs = clustered(x for side in cell.sides for x in (side.edge.start[0], side.edge.end[0]))
        for side in list(cell.sides):
            if side.is_across:
                continue
            x0, x1 = side.edge.start[0], side.edge.end[0]
            shares = []
            for x in xs:
                if _inside(x, x0, x1):
                    shares.append(_share_at_x(side.edge, x))
            self.split_side(cell, side, shares)

    def split_side(self, cell: Cell, side: Side, shares: list[float]) -> None:
        if not shares:
            return
        loop = next(loop for loop in cell.loops if any(s is side for s in loop))
        at = next(i for i, s in enumerate(loop) if s is side)
        stops = [0.0, *sorted(shares), 1.0]
        corners = [side.start, *(next(self.corners) for _ in shares), side.end]
        loop[at : at + 1] = [
            Side(next(self.numbers), side.edge.part(t0, t1), c0, c1)
            for (t0, t1), (c0, c1) in zip(
                itertools.pairwise(stops), itertools.pairwise(corners), strict=True
            )
        ]

    def match(
        self,
        bend: BlankBend,
        y: float,
        own: list[Cell],
        others: list[Cell],
        vertices: Classes,
        edges: Classes,
    ) -> None:
        xs = self.marks(bend, y, own, others)

        def key(x0: float, x1: float) -> tuple[int, int]:
            return (_nearest(xs, x0), _nearest(xs, x1))

        waiting = {
            key(x0, x1): side for cell in own for side, x0, x1 in self.on_line(cell, bend, y)
        }
        for cell in others:
            for side, x0, x1 in self.on_line(cell, bend, y):
                mate = waiting.pop(key(x1, x0), None)
                if mate is None or mate.mate is not None:
                    continue
                marry(side, mate, vertices, edges)


def marry(side: Side, mate: Side, vertices: Classes, edges: Classes) -> None:
    """Make two sides that run against one another one."""
    side.mate, mate.mate = mate, side
    for face in (0, 1):
        vertices.join(2 * side.start + face, 2 * mate.end + face)
        vertices.join(2 * side.end + face, 2 * mate.start + face)
        edges.join(2 * side.number + face, 2 * mate.number + face)


def pair_sharp(cell: Cell, thickness: float, vertices: Classes, edges: Classes) -> None:
    """Join what falls together on the axis of a bend of no inside radius; `thickness` [mm]."""
    assert cell.shape is not None
    face = 1 if cell.shape.bend.up else 0
    xs = clustered(x for side in cell.sides for x in (side.edge.start[0], side.edge.end[0]))
    first: dict[int, int] = {}
    spans: dict[int, list[tuple[float, Side]]] = {}
    for side in cell.sides:
        i, j = _nearest(xs, side.edge.start[0]), _nearest(xs, side.edge.end[0])
        vertices.join(first.setdefault(i, 2 * side.start + face), 2 * side.start + face)
        if i != j:
            spans.setdefault(min(i, j), []).append((side.edge.point(0.5)[1], side))
    for found in spans.values():
        found.sort(key=lambda item: item[0])
        for (_, low), (_, high) in zip(found[::2], found[1::2], strict=True):
            edges.join(2 * low.number + face, 2 * high.number + face)


def x_monotone(edge: Edge, *, always: bool) -> list[Edge]:
    """Cut whole circles, or with `always` any arc, where x turns back."""
    if not isinstance(edge, Arc) or not (always or edge.is_circle):
        return [edge]
    low, high = sorted((edge.begin, edge.begin + edge.sweep))
    turns = [
        (k * math.pi - edge.begin) / edge.sweep
        for k in range(math.floor(low / math.pi), math.ceil(high / math.pi) + 1)
        if low + 1e-7 < k * math.pi < high - 1e-7
    ]
    stops = [0.0, *sorted(turns), 1.0]
    return [edge.part(a, b) for a, b in itertools.pairwise(stops)]


def clustered(values: Iterable[float]) -> list[float]:
    """Return the values in order, those closer than `NEAR` to the last one left out."""
    result: list[float] = []
    for value in sorted(values):
        if not result or value - result[-1] > NEAR:
            result.append(value)
    return result


def _inside(x: float, x0: float, x1: float) -> bool:
    low, high = min(x0, x1), max(x0, x1)
    return low + NEAR < x < high - NEAR


def _nearest(xs: list[float], x: float) -> int:
    return min(range(len(xs)), key=lambda i: abs(xs[i] - x))


def _share_at_x(edge: Edge, x: float) -> float:
    """Return the t [-] at which an edge whose x never turns back reaches x [mm]."""
    if isinstance(edge, Line):
        return (x - edge.start[0]) / (edge.end[0] - edge.start[0])
    (cx, cy), r = edge.center, edge.radius
    height = math.sqrt(max(0.0, r * r - (x - cx) ** 2))
    below = edge.point(0.5)[1] < cy
    return edge.share((x, cy - height if below else cy + height))
