"""The paper model: the part folded from paper, to try before metal is cut.

Paper folds sharp and has no thickness, so the model is not the blank. Each flat is drawn out to
the outside mold lines of its bends, and flats join there: the folded model has the size of the
finished part's outside. The strip of a bend, `allowance` wide in metal, is twice the outside
setback wide on paper, with the fold in its middle.

A bend whose mold line stands far off the metal (a roll, a closed bend, a hem) is folded along
several scores instead. With n scores each turns by angle/n about the bend's outside face, radius
R+T: the scores lie at the corners of the polygon around that arc, 2(R+T)·tan(angle/2n) apart,
half of it at both ends. One score is the common case. The flats stay exactly in place whatever n
is. (Geometry; no source needed.)
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from blankwright.base.tolerance import CHORD, TOUCH
from blankwright.develop.blank import Blank, BlankBend
from blankwright.drawing.within import stretches
from blankwright.geom.boolean import merged, overlap
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

STAND_OFF = 5.0
"""A mold line may stand this far off the bend's outside face; beyond, the bend is scored [mm]."""

SCORED_STAND_OFF = 1.0
"""Scores are so many that none stands farther off the bend's outside face [mm]."""

SHARPEST = math.radians(135.0)
"""No fold turns more than this: a sharper mold line runs far from the metal [rad]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fold:
    """How a bend is folded in paper.

    Args:
        bend: the bend in metal
        scores: how many folds stand for it [-]
        setback: from the flat's bend tangent line to the first fold [mm]
        lines: the folds as far as there is paper, on the model [mm]
    """

    bend: BlankBend
    scores: int
    setback: float
    lines: tuple[Line, ...]

    @property
    def turn(self) -> float:
        """Angle of each fold [rad]."""
        return self.bend.angle / self.scores

    @property
    def width(self) -> float:
        """Width of the paper that stands for the bend [mm]."""
        return 2 * self.scores * self.setback


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """One piece of paper of the model.

    Args:
        flats: names of the flats on it
        outline: what is cut out; more than one region when a cut-out parts the piece [mm]
        joins: bend that joins it to an earlier piece by tape; empty for the first
    """

    flats: tuple[str, ...]
    outline: tuple[Region, ...]
    joins: str = ""


@dataclass(frozen=True, kw_only=True)
class PaperModel:
    """The paper model, laid flat.

    Args:
        sheets: its pieces, the root's first
        folds: how each bend is folded, by name
        places: carries each flat from the blank onto the paper, by name
    """

    sheets: tuple[Sheet, ...]
    folds: Mapping[str, Fold]
    places: Mapping[str, Move]


def score_count(angle: float, inside_radius: float, thickness: float) -> int:
    """Return how many folds stand for a bend.

    Args:
        angle: angle bent through [rad]
        inside_radius: [mm]
        thickness: [mm]
    """
    outside = inside_radius + thickness

    def stands_off(n: int) -> float:
        return outside * (1 / math.cos(angle / n / 2) - 1)

    least = max(1, math.ceil(angle / SHARPEST - 1e-9))
    if stands_off(least) <= STAND_OFF:
        return least
    n = least
    while stands_off(n) > SCORED_STAND_OFF:
        n += 1
    return n


def paper_model(blank: Blank) -> PaperModel:
    """Lay the paper model of a blank flat.

    Flats that would lie on one another (a tab bent out of a tight window) are cut apart and
    joined by tape.

    Args:
        blank: the blank

    Returns:
        The model, its root flat where it lies on the blank.
    """
    places: dict[str, Move] = {blank.root.name: Move()}
    setbacks: dict[str, tuple[int, float]] = {}
    strips: dict[str, tuple[Region, ...]] = {}
    for bend in blank.bends:
        n = score_count(bend.angle, bend.inside_radius, blank.thickness)
        half = (bend.inside_radius + blank.thickness) * math.tan(bend.angle / n / 2)
        setbacks[bend.name] = (n, half)
        width = 2 * n * half
        parent = places[bend.parent]
        out = Move.shift(0.0, width - bend.allowance)
        places[bend.leg] = bend.place.inverse().then(out).then(bend.place).then(parent)
        onto = bend.place.then(parent)
        back = bend.place.inverse()
        strips[bend.name] = tuple(
            _stretched(region.moved(back), width / bend.allowance).moved(onto)
            for region in bend.regions
        )
    flats = {flat.name: flat.region.moved(places[flat.name]) for flat in blank.flats}
    cut = _bends_to_cut(blank, flats, strips)
    sheets = _sheets(blank, flats, strips, cut)
    folds = {
        bend.name: _fold(bend, *setbacks[bend.name], places[bend.parent], sheets)
        for bend in blank.bends
    }
    return PaperModel(sheets=sheets, folds=folds, places=places)


def _fold(bend: BlankBend, n: int, half: float, parent: Move, sheets: Sequence[Sheet]) -> Fold:
    onto = bend.place.then(parent)
    lines: list[Line] = []
    regions = [region for sheet in sheets if bend.leg in sheet.flats for region in sheet.outline]
    for i in range(n):
        y = (2 * i + 1) * half
        line = Line(onto((0.0, y)), onto((bend.width, y)))
        lines.extend(stretches(line, regions))
    return Fold(bend=bend, scores=n, setback=half, lines=tuple(lines))


def _stretched(region: Region, factor: float) -> Region:
    """Return a region with y times a factor [-]; arcs become chords within `CHORD`."""
    outer, *holes = (_stretched_loop(loop, factor) for loop in region.loops)
    return Region(outer, tuple(holes))


def _stretched_loop(loop: Loop, factor: float) -> Loop:
    edges: list[Edge] = []
    for edge in loop.edges:
        if isinstance(edge, Line):
            points: list[Point] = [edge.start, edge.end]
        else:
            points = _arc_points(edge, factor)
        moved = [(x, y * factor) for x, y in points]
        edges.extend(Line(a, b) for a, b in itertools.pairwise(moved))
    return Loop(tuple(edges))


def _arc_points(arc: Arc, factor: float) -> list[Point]:
    n = max(2, arc.chord_count(CHORD / max(1.0, factor)))
    inner = [arc.point(i / n) for i in range(1, n)]
    return [arc.start, *inner, arc.end]


def _bends_to_cut(
    blank: Blank, flats: Mapping[str, Region], strips: Mapping[str, tuple[Region, ...]]
) -> set[str]:
    """Return bends whose legs would lie on other paper."""
    cut: set[str] = set()
    parts: list[tuple[str, Region]] = [(blank.root.name, flats[blank.root.name])]
    for bend in blank.bends:
        new = [(bend.name, region) for region in strips[bend.name]]
        new.append((bend.leg, flats[bend.leg]))
        for _, region in new:
            for _, other in parts:
                shared = overlap((region,), (other,))
                if sum(piece.area for piece in shared) > TOUCH * 100:
                    cut.add(bend.name)
        parts.extend(new)
    return cut


def _sheets(
    blank: Blank,
    flats: Mapping[str, Region],
    strips: Mapping[str, tuple[Region, ...]],
    cut: set[str],
) -> tuple[Sheet, ...]:
    home: dict[str, str] = {blank.root.name: ""}
    names: dict[str, list[str]] = {"": [blank.root.name]}
    parts: dict[str, list[Region]] = {"": [flats[blank.root.name]]}
    for bend in blank.bends:
        # The strip of a bend that is cut stays with the leg: its fold is then taped.
        piece = bend.name if bend.name in cut else home[bend.parent]
        home[bend.leg] = piece
        names.setdefault(piece, []).append(bend.leg)
        parts.setdefault(piece, []).extend((*strips[bend.name], flats[bend.leg]))
    return tuple(
        Sheet(flats=tuple(names[piece]), outline=merged(parts[piece]), joins=piece)
        for piece in names
    )
