"""The line that a row of holes lies on: beside edges, round corners, or from point to point."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from blankwright.base.quantities import BadText
from blankwright.base.units import show_mm
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.loop import Loop
from blankwright.geom.meet import crossings
from blankwright.geom.move import Move
from blankwright.geom.offset import beside
from blankwright.geom.vec import Point

_JOINED = 1e-6
"""Ends of edges nearer than this are joined [mm]."""

ALL_ROUND = "all round"
"""What stands for every edge of a flat."""


@dataclass(frozen=True, slots=True)
class Path:
    """A chain of edges that a row runs along, from its left end to its right.

    Args:
        edges: in travel order, each beginning where the one before ends
        corners: distances along the path where it turns a sharp corner [mm]
        closed: whether it ends where it begins
    """

    edges: tuple[Edge, ...]
    corners: tuple[float, ...] = ()
    closed: bool = False

    @property
    def length(self) -> float:
        """Length along it [mm]."""
        return sum(edge.length for edge in self.edges)

    def point(self, s: float) -> Point:
        """Return the point at a distance along it [mm]."""
        for edge in self.edges:
            if s <= edge.length + _JOINED:
                return edge.point(max(0.0, min(1.0, s / edge.length)))
            s -= edge.length
        return self.edges[-1].end

    def direction(self, s: float) -> Point:
        """Return the unit direction of travel at a distance along it [mm]."""
        for edge in self.edges:
            if s <= edge.length + _JOINED:
                return edge.direction(max(0.0, min(1.0, s / edge.length)))
            s -= edge.length
        return self.edges[-1].direction(1.0)

    def moved(self, move: Move) -> Path:
        """Return the path after a rigid move."""
        return Path(tuple(edge.moved(move) for edge in self.edges), self.corners, self.closed)


def straight_path(first: Point, last: Point, aside: float = 0.0) -> Path:
    """Return the path from point to point, moved to the left of travel by a distance [mm].

    Raises:
        BadText: when the two are one point (ROW-004)
    """
    if vec.distance(first, last) <= _JOINED:
        raise BadText("ROW-004", "the row begins and ends at one point", "two points")
    line = beside(Line(first, last), aside) if aside else Line(first, last)
    assert line is not None
    return Path((line,))


def edge_path(outline: Loop, names: Sequence[str], wanted: Sequence[str], inset: float) -> Path:
    """Return the path beside neighbouring edges of an outline, inside by a distance.

    It runs from left to right as one sees it who stands on the flat and looks out over the
    edges. At a corner that points outward the moved edges are cut where they cross; round a
    corner that points inward the path is an arc about it.

    Args:
        outline: counter-clockwise loop
        names: name of each of its edges
        wanted: names of neighbouring edges, in either order; all of them go all round, and so
            does `ALL_ROUND`; the rounding of a corner between two of them need not be named
        inset: distance from the edges [mm]

    Raises:
        BadText: when they are not neighbours (ROW-001), or the inset leaves no path (ROW-002)
    """
    indices = _in_order(names, _with_corners(outline, names, wanted))
    closed = len(indices) == len(names)
    # The rounding of a corner that is smaller than the inset rolls up: its neighbours meet.
    indices = [i for i in indices if beside(outline.edges[i], inset) is not None]
    chain = [outline.edges[i] for i in indices]
    moved: list[Edge] = [edge for one in chain if (edge := beside(one, inset)) is not None]
    if not moved:
        raise BadText(
            "ROW-002",
            f"{show_mm(inset)} inside the edge `{wanted[0]}` there is no line",
            "less than the radius of a round edge",
        )
    pairs = list(itertools.pairwise(range(len(chain))))
    if closed and len(chain) > 1:
        pairs.append((len(chain) - 1, 0))
    arcs: dict[int, Arc] = {}
    sharp: set[int] = set()
    for i, j in pairs:
        turn = vec.cross(chain[i].direction(1.0), chain[j].direction(0.0))
        if vec.distance(moved[i].end, moved[j].start) <= _JOINED:
            continue
        if turn > 0:
            moved[i], moved[j] = _cut(moved[i], moved[j], names[indices[j]], inset)
            sharp.add(i)
        else:
            corner = chain[i].end
            arcs[i] = Arc.through(moved[i].end, moved[j].start, corner, False)
    edges: list[Edge] = []
    after: list[bool] = []
    for i, edge in enumerate(moved):
        edges.append(edge)
        after.append(i in sharp)
        if i in arcs:
            edges.append(arcs[i])
            after.append(False)
    # Travelled so far with the metal to the left, that is from right to left looking out.
    backward = [edge.reversed() for edge in reversed(edges)]
    corner_before = list(reversed(after))
    corners: list[float] = []
    s = 0.0
    for i, edge in enumerate(backward):
        if corner_before[i] and not (i == 0 and not closed):
            corners.append(s)
        s += edge.length
    return Path(tuple(backward), tuple(corners), closed)


def _with_corners(outline: Loop, names: Sequence[str], wanted: Sequence[str]) -> Sequence[str]:
    """Add arcs that lie between two named edges: the rounding of their corner."""
    if list(wanted) == [ALL_ROUND]:
        return names
    n = len(names)
    between = [
        names[i]
        for i in range(n)
        if isinstance(outline.edges[i], Arc)
        and names[i] not in wanted
        and names[(i - 1) % n] in wanted
        and names[(i + 1) % n] in wanted
    ]
    return [*wanted, *between]


def _in_order(names: Sequence[str], wanted: Sequence[str]) -> list[int]:
    n = len(names)
    known = {name: i for i, name in enumerate(names)}
    missing = [name for name in wanted if name not in known]
    if missing or len(set(wanted)) != len(wanted):
        got = f"there is no edge `{missing[0]}`" if missing else "an edge is named twice"
        raise BadText("PART-009", got, ", ".join(names))
    chosen = {known[name] for name in wanted}
    if len(chosen) == n:
        first = known[wanted[0]]
        return [(first + 1 + k) % n for k in range(n)]  # reversed later: the first comes first
    starts = [i for i in chosen if (i - 1) % n not in chosen]
    if len(starts) != 1:
        raise BadText(
            "ROW-001",
            f"the edges {', '.join(wanted)} do not all touch one another",
            f"neighbours, in the order {', '.join(names)}",
        )
    return [(starts[0] + k) % n for k in range(len(chosen))]


def _cut(a: Edge, b: Edge, name: str, inset: float) -> tuple[Edge, Edge]:
    """Cut two moved edges where they cross inside a corner."""
    near = sorted(crossings(a, b), key=lambda p: vec.distance(p, a.end) + vec.distance(p, b.start))
    for p in near:
        t, u = a.share(p), b.share(p)
        if _JOINED < t <= 1 + _JOINED and -_JOINED <= u < 1 - _JOINED:
            return a.part(0.0, min(t, 1.0)), b.part(max(u, 0.0), 1.0)
    raise BadText(
        "ROW-002",
        f"{show_mm(inset)} inside the corner before edge `{name}` there is no line",
        "an edge distance that the corner has room for",
    )
