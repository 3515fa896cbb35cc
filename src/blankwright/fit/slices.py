"""Slices of the part's states over a small range of turns, sound both ways.

Over turns from m − h to m + h no point of the part moves farther than δ = reach · h from where it
is at m, its middle staying put. So, with S the structure and P the part at m:

* the part is *surely free* of S at all these turns where P is free of S grown by δ;
* the part *surely hits* S at all these turns where P shrunk by δ₁ hits S shrunk by δ₂, for any
  δ₁ + δ₂ = δ. (A point p of the shrunk part has a neighbour within δ₁ that turning carries to
  within δ₂ of p, and the ball of δ₂ about p lies in S.)

Clearances that are to be kept round the corners of the structure off by chords within and without
the true arc. Growing and shrinking by the slack has mitred corners: growing then holds more than
it need and shrinking leaves less, and the excess goes with the slack, so that both kinds of slice
close in on the truth.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
import shapely

from blankwright.fit.convolution import (
    ROUNDING,
    Array,
    Tracing,
    free_regions,
    polygons_of,
    simple_pieces,
)
from blankwright.fit.planar import Barrier, PlanarQuestion, State, Wall

_ROUND = 8
_MITRE_LIMIT = 5.0
_TO_SPRING = 0.2


class Shapes:
    """Part and structure, grown and shrunk for each half range of turns.

    Args:
        question: part, walls and side
        most: what the part covers at some springing of a range, where it springs
        least: what it covers at every springing of the range; both lie within the question's part
    """

    def __init__(self, question: PlanarQuestion, most: Any = None, least: Any = None) -> None:
        self.question = question
        self.reach = question.reach
        self._middle = np.array(question.middle)
        self._part = _tracings(question.part if most is None else most, self._middle)
        self._small = question.part if least is None else least
        self._grown: dict[float, list[Tracing]] = {}
        self._shrunk: dict[float, tuple[list[Tracing], list[Tracing]]] = {}
        self._most = shapely.union_all([_most(w) for w in question.far_walls])
        self._least = [least for w in question.far_walls if not (least := _least(w)).is_empty]
        part = half_thickness(self._small)
        wall = min((half_thickness(shape) for shape in self._least), default=part)
        self.thickness = 2 * (part + wall)
        self._part_share = part / (part + wall)

    def surely_free(self, turn: float, half: float) -> list[Any]:
        """Return where the middle may be at every turn of the range: shapely polygons [mm]."""
        q = self.question
        if half not in self._grown:
            grow = self.reach * half + q.part_error + ROUNDING
            self._grown[half] = _tracings(_mitred(self._most, grow), np.zeros(2))
        part = [piece.turned(turn) for piece in self._part]
        domain = self._domain(turn, half, -1.0)
        return free_regions(domain, self._grown[half], part) if len(domain) > 2 else []

    def maybe_free(self, turn: float, half: float) -> list[Any]:
        """Return where the middle may be at some turn of the range: shapely polygons [mm]."""
        q = self.question
        if half not in self._shrunk:
            slack = self.reach * half
            off_part = slack * self._part_share + q.part_error + ROUNDING
            off_wall = slack * (1 - self._part_share) + ROUNDING
            shrunk = _mitred(self._small, -off_part)
            shapes = [_mitred(shape, -off_wall) for shape in self._least]
            self._shrunk[half] = (
                _tracings(shrunk, self._middle),
                _tracings(shapely.union_all(shapes), np.zeros(2)),
            )
        small, walls = self._shrunk[half]
        part = [piece.turned(turn) for piece in small]
        domain = self._domain(turn, half, 1.0)
        return free_regions(domain, walls, part) if len(domain) > 2 else []

    def _domain(self, turn: float, half: float, sign: float) -> Array:
        """Return the domain, cut by the barriers, with the slack of the range on one side."""
        q = self.question
        if not q.barriers:
            return q.domain
        shape = shapely.Polygon(q.domain)
        for barrier in q.barriers:
            shape = shape.intersection(_allowed(barrier, q, turn, half, sign))
        pieces = polygons_of(shape)
        return np.asarray(pieces[0].exterior.coords)[:-1] if pieces else np.zeros((0, 2))


@dataclass(eq=False)
class Slice:
    """A range of turns.

    Args:
        shapes: part and structure
        low: least turn [rad]
        high: greatest turn [rad]
        half: half the range, not under its true value; shared by all slices of one depth [rad]
        before: the slice before it, if any
        after: the slice after it, if any
        across: slices of the springings next to its own that share turns with it
    """

    shapes: Shapes
    low: float
    high: float
    half: float
    before: Slice | None = None
    after: Slice | None = None
    across: list[Slice] = field(default_factory=list)
    _links: dict[tuple[int, bool, bool], Any] = field(default_factory=dict)

    @property
    def turn(self) -> float:
        """Middle of the range [rad]."""
        return (self.low + self.high) / 2

    @property
    def slack(self) -> float:
        """How far turning within the range can move a point of the part [mm]."""
        return self.shapes.reach * self.half

    @cached_property
    def sure(self) -> list[Any]:
        """Regions of the middle that are free at every turn of the range."""
        return _prepared(self.shapes.surely_free(self.turn, self.half))

    @cached_property
    def maybe(self) -> list[Any]:
        """Regions of the middle that may be free at some turn of the range."""
        return _prepared(self.shapes.maybe_free(self.turn, self.half))

    def regions(self, sure: bool) -> list[Any]:
        """Return the one kind of regions or the other."""
        return self.sure if sure else self.maybe

    @cached_property
    def nested(self) -> Any:
        """Which sure regions lie in which maybe-regions: booleans, shape (maybe, sure)."""
        return _overlaps(self.maybe, self.sure)

    def links(self, other: Slice, sure: bool, other_sure: bool) -> Any:
        """Return which regions overlap those of a neighbour: booleans, shape (here, there).

        Args:
            other: the neighbour
            sure: which kind of regions here
            other_sure: which kind of regions there
        """
        key = (id(other), sure, other_sure)
        if key not in self._links:
            table = _overlaps(self.regions(sure), other.regions(other_sure))
            # The neighbour is kept with the table, so that its id stays its own.
            self._links[key] = (table, other)
            other._links[(id(self), other_sure, sure)] = (table.T, self)
        return self._links[key][0]

    def neighbours(self) -> list[Slice]:
        """Return the slices next to it."""
        return [*(s for s in (self.before, self.after) if s is not None), *self.across]

    def step(self, other: Slice) -> float:
        """What stepping to a neighbour costs a walk [rad]: springing is not done lightly."""
        return self.half + other.half + (0.0 if other.shapes is self.shapes else _TO_SPRING)

    def shares_turns(self, other: Slice) -> bool:
        """Whether some turns lie in both ranges."""
        return min(self.high, other.high) - max(self.low, other.low) > 1e-12

    def holds(self, state: State) -> bool:
        """Whether the turn of a state lies in the range, ends included."""
        return self.low - 1e-12 <= state.turn <= self.high + 1e-12

    def split(self) -> tuple[Slice, Slice]:
        """Part the range in the middle and put both halves in its stead."""
        a = Slice(self.shapes, self.low, self.turn, self.half / 2)
        b = Slice(self.shapes, self.turn, self.high, self.half / 2)
        a.after, b.before = b, a
        for other in self.across:
            other.across.remove(self)
            for half in (a, b):
                if half.shares_turns(other):
                    half.across.append(other)
                    other.across.append(half)
        a.before, b.after = self.before, self.after
        if self.before is self:  # a ring of one
            a.before, b.after = b, a
            return a, b
        if self.before is not None:
            self.before.after = a
        if self.after is not None:
            self.after.before = b
        return a, b


def _overlaps(here: list[Any], there: list[Any]) -> Any:
    if not here or not there:
        return np.zeros((len(here), len(there)), dtype=bool)
    return shapely.intersects(
        np.array(here, dtype=object)[:, None], np.array(there, dtype=object)[None, :]
    )


def _prepared(regions: list[Any]) -> list[Any]:
    for region in regions:
        shapely.prepare(region)
    return regions


def _tracings(shape: Any, origin: Array) -> list[Tracing]:
    return [
        Tracing.of(outline - origin)
        for polygon in polygons_of(shape)
        for outline in simple_pieces(polygon)
    ]


def half_thickness(shape: Any) -> float:
    """Half the thickness of the thinnest polygon: radius of the greatest circle in it [mm]."""
    return min(
        float(shapely.maximum_inscribed_circle(p, tolerance=p.length / 2000).length)
        for p in polygons_of(shape)
    )


def _most(wall: Wall) -> Any:
    """What the wall keeps the part off from, at most: shapely shape."""
    return _round(wall.shape, wall.keep_off + wall.error, most=True)


def _least(wall: Wall) -> Any:
    """What the wall keeps the part off from, at least."""
    return _round(wall.shape, wall.keep_off - wall.error, most=False)


def _round(shape: Any, by: float, *, most: bool) -> Any:
    """Offset a shape with round corners, erring to the large (`most`) or to the small side.

    The corners are chords of the true arc or of one that lies wholly outside it.
    """
    outside = (by > 0) == most
    radius = by / math.cos(math.pi / (4 * _ROUND)) if outside else by
    return shape.buffer(radius, join_style="round", quad_segs=_ROUND) if by else shape


def _mitred(shape: Any, by: float) -> Any:
    """Grow a shape, or shrink it, erring to the large or to the small side at its corners."""
    return shape.buffer(by, join_style="mitre", mitre_limit=_MITRE_LIMIT)


def _allowed(barrier: Barrier, q: PlanarQuestion, turn: float, half: float, sign: float) -> Any:
    """Return where the middle may be for a barrier's point not to be lifted too far."""
    ux, uy = barrier.toward
    arm = np.array(barrier.point) - np.array(q.middle)
    c, s = np.cos(turn), np.sin(turn)
    turned = np.array((c * arm[0] - s * arm[1], s * arm[0] + c * arm[1]))
    slack = float(np.hypot(*arm)) * half + ROUNDING
    rest = barrier.point[0] * ux + barrier.point[1] * uy
    edge = rest - barrier.lift - float(turned @ np.array((ux, uy))) - sign * slack
    far = 4 * float(np.ptp(q.domain, axis=0).sum()) + 4 * abs(edge)
    ax, ay = ux * edge, uy * edge
    return shapely.Polygon(
        (
            (ax - uy * far, ay + ux * far),
            (ax + uy * far, ay - ux * far),
            (ax + uy * far + ux * far, ay - ux * far + uy * far),
            (ax - uy * far + ux * far, ay + ux * far + uy * far),
        )
    )
