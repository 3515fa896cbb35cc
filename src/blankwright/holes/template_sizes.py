"""The sizes that a placing card gives: from each reference to the template, and diagonals."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from blankwright.geom import vec
from blankwright.geom.edges import Line
from blankwright.geom.loop import Loop
from blankwright.geom.meet import crossings
from blankwright.geom.vec import Point
from blankwright.holes.placing import Way
from blankwright.holes.template import PlacedTemplate

_SAME = 0.005
"""Sizes at both ends that differ by less than this are one [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeFrom:
    """How far a side of the template stays off a reference.

    Args:
        reference: name of the reference
        side: ``front``, ``right``, ``back`` or ``left`` of the template
        low: at the low end of that side: at the front or the left [mm]; negative where the
            template lies over the reference
        high: at its high end: at the back or the right [mm]
    """

    reference: str
    side: str
    low: float
    high: float

    @property
    def same(self) -> bool:
        """Whether both ends are one size."""
        return abs(self.low - self.high) < _SAME

    @property
    def over(self) -> bool:
        """Whether the template lies over the reference."""
        return min(self.low, self.high) < 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagonal:
    """A distance that tells whether the template lies square.

    Args:
        start: where it begins, in words
        end: where it ends, in words
        length: [mm]
        pair: diagonals of one pair are alike where all is square and in the middle
    """

    start: str
    end: str
    length: float
    pair: int


def sizes_from(placed: PlacedTemplate) -> tuple[SizeFrom, ...]:
    """Return the sizes from each located reference to the side of the template that is nearer.

    A reference that the template lies over gets the sizes from both sides to it.
    """
    x0, y0, x1, y1 = placed.template.box
    found: list[SizeFrom] = []
    for way, low_side, high_side, start, end in (
        (Way.UP, "left", "right", x0, x1),
        (Way.ACROSS, "front", "back", y0, y1),
    ):
        for name, (low, high) in sorted(placed.lines[way].at.items(), key=lambda one: one[1]):
            middle = (low + high) / 2
            inside = start < middle < end
            if inside or middle <= start:
                found.append(
                    SizeFrom(reference=name, side=low_side, low=start - low, high=start - high)
                )
            if inside or middle >= end:
                found.append(
                    SizeFrom(reference=name, side=high_side, low=low - end, high=high - end)
                )
    return tuple(found)


def corners_of(placed: PlacedTemplate) -> dict[str, Point]:
    """Return the corners of the template's box by the words of its sides."""
    x0, y0, x1, y1 = placed.template.box
    word = placed.template.word
    names = {
        ("front", "left"): (x0, y0),
        ("front", "right"): (x1, y0),
        ("back", "right"): (x1, y1),
        ("back", "left"): (x0, y1),
    }
    return {f"{word(a)} {word(b)} corner": p for (a, b), p in names.items()}


def diagonals_of(placed: PlacedTemplate) -> tuple[Diagonal, ...]:
    """Return the diagonals to check for square.

    The template's own two; and from where references cross to the template's far corners.
    """
    corners = list(corners_of(placed).items())
    (a, pa), (b, pb), (c, pc), (d, pd) = corners
    found = [
        Diagonal(start=a, end=c, length=vec.distance(pa, pc), pair=1),
        Diagonal(start=b, end=d, length=vec.distance(pb, pd), pair=1),
    ]
    pair = 1
    ups = list(placed.lines[Way.UP].at)
    for across in placed.lines[Way.ACROSS].at:
        pair += 1
        for name in ups:
            point = crossing(placed, name, across)
            if point is None:
                continue
            far, corner = max(corners, key=lambda one: vec.distance(one[1], point))
            found.append(
                Diagonal(
                    start=f"{name} at {across}",
                    end=far,
                    length=vec.distance(point, corner),
                    pair=pair,
                )
            )
    return tuple(found)


def crossing(placed: PlacedTemplate, up: str, across: str) -> Point | None:
    """Return where two references cross, in the template's frame [mm], or nothing."""
    one, other = placed.line(up), placed.line(across)
    if one is None or other is None:
        return None
    return next(iter(crossings(one, other)), None)


def from_point(placed: PlacedTemplate, p: Point) -> Iterator[tuple[str, float]]:
    """Yield each located reference and how far a point of the template is from it [mm]."""
    for name in placed.template.references:
        line = placed.line(name)
        if line is not None:
            yield name, abs(vec.cross(line.direction(), vec.sub(p, line.start)))


def lines_over(placed: PlacedTemplate) -> Iterator[tuple[str, Line]]:
    """Yield the references that run across the template, as far as it reaches."""
    x0, y0, x1, y1 = placed.template.box
    for way, start, end in ((Way.UP, x0, x1), (Way.ACROSS, y0, y1)):
        for name, (low, high) in placed.lines[way].at.items():
            if start <= min(low, high) and max(low, high) <= end:
                line = placed.line(name)
                assert line is not None
                yield name, line


def opening_distance(loop: Loop, line: Line) -> float:
    """Return how far an opening's edge stays off an endless line [mm]; negative when it crosses.

    Args:
        loop: the opening
        line: the reference
    """
    d = line.direction()
    offs = [vec.cross(d, vec.sub(p, line.start)) for p in loop.points(1e-4)]
    if min(offs) < 0 < max(offs):
        return -min(max(offs), -min(offs))
    return min(abs(off) for off in offs)


def nearest_of_each_kind(placed: PlacedTemplate) -> tuple[tuple[str, str, float], ...]:
    """Return the located reference of each kind that the opening comes nearest to.

    Returns:
        Kind, name and distance from the opening's edge [mm], negative where it is cut into; the
        nearest first.
    """
    opening = placed.template.opening
    if opening is None:
        return ()
    best: dict[str, tuple[float, str]] = {}
    for reference in placed.template.references.values():
        line = placed.line(reference.name)
        if line is None:
            continue
        gap = (round(opening_distance(opening.loop, line), 9), reference.name)
        best[reference.kind] = min(best.get(reference.kind, gap), gap)
    found = [(kind, name, gap) for kind, (gap, name) in best.items()]
    return tuple(sorted(found, key=lambda one: one[2]))
