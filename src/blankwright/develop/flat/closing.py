"""Which drawn edges close loops, and which are lines across: a walk round the outside.

The edges are cut wherever they meet. What hangs loose is taken off, and what has the same side to
left and right. The rest of each connected figure has one outside, which is a loop; inside it the
same is done again. So an outline is found although bend lines run from edge to edge of it in the
same layer and colour. (Common computational geometry: face walk of a plane graph.)
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from blankwright.develop.flat.clean import Repair, Traced, cleaned
from blankwright.develop.flat.gaps import closed_up
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.loop import Loop, joined
from blankwright.geom.meet import meetings
from blankwright.geom.near import EdgeIndex
from blankwright.geom.pieces import Vertices, cut_edge
from blankwright.geom.vec import Point

_CELL = 20.0
_DIGITS = 6


@dataclass(frozen=True, slots=True)
class ClosedLoop:
    """A loop round the outside of a figure.

    Args:
        loop: counter-clockwise
        sources: numbers of the drawn edges it is made of
        branches: points where more than two edges of its figure meet [mm]: for an outline there are
            lines across, for an opening more than one loop is possible
    """

    loop: Loop
    sources: frozenset[int]
    branches: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True)
class Sorted:
    """Edges sorted into loops and the rest.

    Args:
        loops: closed loops, as they were found
        open: pieces that close no loop
        repairs: what was put right on the way
    """

    loops: tuple[ClosedLoop, ...]
    open: tuple[Traced, ...]
    repairs: tuple[Repair, ...]


def sort_edges(edges: Sequence[Traced], closes: float) -> Sorted:
    """Sort drawn edges into closed loops and lines that close none.

    Args:
        edges: as drawn [mm]
        closes: gaps up to this are closed [mm]
    """
    clean, repairs = cleaned(edges, closes)
    whole, gaps = closed_up(clean, closes)
    graph = _Graph(whole)
    return Sorted(loops=tuple(graph.loops()), open=tuple(graph.loose()), repairs=(*repairs, *gaps))


class _Graph:
    """Pieces between numbered points; a half edge is (piece, 0) or, backwards, (piece, 1)."""

    def __init__(self, edges: Sequence[Traced]) -> None:
        self.pieces: list[Edge] = []
        self.sources: list[int] = []
        self.ends: list[tuple[int, int]] = []
        self.points: dict[int, Point] = {}
        self.found: list[ClosedLoop] = []
        vertices = Vertices()
        index = EdgeIndex([traced.edge for traced in edges], _CELL)
        for i, traced in enumerate(edges):
            edge = traced.edge
            points = [
                p
                for n in index.near(edge.box, 1e-6)
                if n != i
                for p in meetings(edge, edges[n].edge)
            ]
            for piece in cut_edge(edge, points, vertices):
                self.pieces.append(piece.edge)
                self.sources.append(traced.source)
                self.ends.append((piece.start, piece.end))
                self.points.setdefault(piece.start, piece.edge.start)
                self.points.setdefault(piece.end, piece.edge.end)
        self.live = set(range(len(self.pieces)))
        self.taken: set[int] = set()
        self._drop_doubles()

    def _drop_doubles(self) -> None:
        """Of pieces between the same points and through the same middle keep one."""
        seen: dict[tuple[int, int], list[int]] = defaultdict(list)
        for i in sorted(self.live):
            key = (min(self.ends[i]), max(self.ends[i]))
            middle = self.pieces[i].point(0.5)
            if any(vec.distance(middle, self.pieces[j].point(0.5)) < 1e-4 for j in seen[key]):
                if self.ends[i][0] != self.ends[i][1]:
                    self.live.discard(i)
                    self.taken.add(i)
            else:
                seen[key].append(i)

    def loops(self) -> list[ClosedLoop]:
        """Find the outside of each figure, then those inside it, until nothing closes."""
        left = set(self.live)
        across: list[Line] = []
        while True:
            before = set(left)
            self._strip(left)
            if not left:
                return self.found
            across += [e for i in sorted(before - left) if isinstance(e := self.pieces[i], Line)]
            if self.found and (more := self._crossing(left, across)):
                left -= more
                continue
            degree = self._degree(left)
            taken: set[int] = set()
            for figure in self._figures(left):
                outside = self._outside(figure)
                branches = sorted({v for i in figure for v in self.ends[i] if degree[v] > 2})
                if self._one_circle(outside):
                    # A circle is an opening whatever crosses it, such as the marks of its centre.
                    branches = []
                self._keep(outside, tuple(self.points[v] for v in branches))
                taken.update(i for i, _ in outside)
            left -= taken
            self.taken |= taken

    def _one_circle(self, outside: Sequence[tuple[int, int]]) -> bool:
        """Say whether an outside is one circle, drawn as such."""
        arcs = [self.pieces[i] for i, _ in outside]
        first = arcs[0]
        if not isinstance(first, Arc) or len({self.sources[i] for i, _ in outside}) > 1:
            return False
        sweep = sum(abs(arc.sweep) for arc in arcs if isinstance(arc, Arc))
        return abs(sweep - math.tau) < 1e-3

    def _crossing(self, live: set[int], across: Sequence[Line]) -> set[int]:
        """Return pieces that lie in line with lines across and without which each opening is clear.

        Two bend lines through the same two openings make a loop between them; but they go on
        beyond the openings, as the sides of an opening do not.
        """
        found: set[int] = set()
        for figure in self._figures(live):
            degree = self._degree(set(figure))
            if all(n <= 2 for n in degree.values()):
                continue
            more = {i for i in figure if self._goes_on(i, across)}
            rest = self._degree(set(figure) - more)
            if more and rest and all(n == 2 for n in rest.values()):
                found |= more
        return found

    def _goes_on(self, number: int, across: Sequence[Line]) -> bool:
        """Say whether a piece lies on the lengthening of one of some lines."""
        piece = self.pieces[number]
        if not isinstance(piece, Line):
            return False
        for line in across:
            longer = line if line.length >= piece.length else piece
            d = longer.direction()
            if all(
                abs(vec.cross(d, vec.sub(p, longer.start))) <= 1e-3
                for p in (line.start, line.end, piece.start, piece.end)
            ):
                return True
        return False

    def loose(self) -> list[Traced]:
        """Return the pieces on no loop."""
        return [
            Traced(self.pieces[i], self.sources[i])
            for i in range(len(self.pieces))
            if i not in self.taken
        ]

    def _degree(self, live: set[int]) -> dict[int, int]:
        degree: dict[int, int] = defaultdict(int)
        for i in live:
            for v in self.ends[i]:
                degree[v] += 1
        return degree

    def _strip(self, live: set[int]) -> None:
        """Take off what hangs loose, and what has one and the same face on both sides."""
        while True:
            self._prune(live)
            bridges: set[int] = set()
            for face in self._faces(live):
                once: set[int] = set()
                for i, _ in face:
                    (bridges if i in once else once).add(i)
            if not bridges:
                return
            live -= bridges

    def _prune(self, live: set[int]) -> None:
        degree = self._degree(live)
        at: dict[int, list[int]] = defaultdict(list)
        for i in live:
            for v in self.ends[i]:
                at[v].append(i)
        waiting = [v for v, n in degree.items() if n == 1]
        while waiting:
            v = waiting.pop()
            for i in at[v]:
                if i in live:
                    live.discard(i)
                    for w in self.ends[i]:
                        degree[w] -= 1
                        if degree[w] == 1:
                            waiting.append(w)

    def _figures(self, live: set[int]) -> list[list[int]]:
        at: dict[int, list[int]] = defaultdict(list)
        for i in sorted(live):
            for v in self.ends[i]:
                at[v].append(i)
        seen: set[int] = set()
        figures: list[list[int]] = []
        for seed in sorted(live):
            if seed in seen:
                continue
            seen.add(seed)
            figure, queue = [], [seed]
            while queue:
                i = queue.pop()
                figure.append(i)
                for v in self.ends[i]:
                    for j in at[v]:
                        if j not in seen:
                            seen.add(j)
                            queue.append(j)
            figures.append(sorted(figure))
        return figures

    def _faces(self, live: set[int]) -> list[list[tuple[int, int]]]:
        """Return the faces, each as the half edges that it lies left of."""
        around: dict[int, list[tuple[int, int]]] = defaultdict(list)
        for i in sorted(live):
            around[self.ends[i][0]].append((i, 0))
            around[self.ends[i][1]].append((i, 1))
        turn: dict[tuple[int, int], tuple[int, int]] = {}
        for halves in around.values():
            halves.sort(key=self._heading)
            for k, half in enumerate(halves):
                turn[half] = halves[k - 1]
        faces: list[list[tuple[int, int]]] = []
        seen: set[tuple[int, int]] = set()
        for i in sorted(live):
            for seed in ((i, 0), (i, 1)):
                if seed in seen:
                    continue
                face, half = [], seed
                while half not in seen:
                    seen.add(half)
                    face.append(half)
                    # Arriving along a half edge, leave by the next one clockwise from its back.
                    half = turn[(half[0], 1 - half[1])]
                faces.append(face)
        return faces

    def _heading(self, half: tuple[int, int]) -> tuple[float, float]:
        edge = self._edge(half)
        dx, dy = edge.direction(0.0)
        angle = round(math.atan2(dy, dx), _DIGITS)
        if angle <= -round(math.pi, _DIGITS):
            angle = round(math.pi, _DIGITS)
        bend = math.copysign(1 / edge.radius, edge.sweep) if isinstance(edge, Arc) else 0.0
        return (angle, bend)

    def _edge(self, half: tuple[int, int]) -> Edge:
        edge = self.pieces[half[0]]
        return edge if half[1] == 0 else edge.reversed()

    def _outside(self, figure: Sequence[int]) -> list[tuple[int, int]]:
        """Return the half edges round the outside of a connected figure."""

        def area(face: list[tuple[int, int]]) -> float:
            return sum(self._edge(half).swept_area() for half in face)

        return min(self._faces(set(figure)), key=area)

    def _keep(self, outside: Sequence[tuple[int, int]], branches: tuple[Point, ...]) -> None:
        """Turn the outside about, so that it runs counter-clockwise, and part it where it touches
        itself."""
        chain: list[tuple[int, int]] = []
        at: dict[int, int] = {}
        for i, way in reversed(outside):
            half = (i, 1 - way)
            start, end = self.ends[i] if half[1] == 0 else self.ends[i][::-1]
            at.setdefault(start, len(chain))
            chain.append(half)
            if end in at:
                begin = at[end]
                self._loop(chain[begin:], branches)
                for gone in chain[begin + 1 :]:
                    own = self.ends[gone[0]]
                    del at[own[0] if gone[1] == 0 else own[1]]
                del chain[begin:]
                if not chain:
                    at = {}

    def _loop(self, halves: Sequence[tuple[int, int]], branches: tuple[Point, ...]) -> None:
        loop = Loop(joined([self._edge(half) for half in halves]))
        sources = frozenset(self.sources[i] for i, _ in halves)
        self.found.append(ClosedLoop(loop.ccw(), sources, branches))
