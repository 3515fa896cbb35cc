"""Holes of one size under one letter, so that a drawing with many holes stays readable."""

from __future__ import annotations

import math
from dataclasses import dataclass

from blankwright.base.tolerance import TOUCH
from blankwright.base.units import System, fixed
from blankwright.develop.blank import Blank, BlankHole
from blankwright.drawing.words import hole_words
from blankwright.geom.vec import Point
from blankwright.part.model import HoleKind

_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # no I and no O, as on drawings


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleGroup:
    """Holes that are made alike.

    Args:
        letter: ``A``, ``B``, …; after ``Z`` come ``AA``, ``AB``, …
        words: what they are
        holes: the holes, in the order of the blank
    """

    letter: str
    words: str
    holes: tuple[BlankHole, ...]


def cut_holes(blank: Blank) -> tuple[BlankHole, ...]:
    """Return the holes that show in the blank's outline and can be marked on it.

    A larger opening may swallow others. A relief whose centre is off the blank is but a nick in
    its edge: there is nothing to drill.
    """
    left, front, right, back = blank.outline.box
    edges = blank.outline.edges
    cells: dict[tuple[int, int], list[Point]] = {}
    for edge in edges:
        p = edge.point(0.5)
        cells.setdefault((math.floor(p[0]), math.floor(p[1])), []).append(p)

    def shows(hole: BlankHole) -> bool:
        x, y = hole.center
        if hole.kind is HoleKind.RELIEF and not (left <= x <= right and front <= y <= back):
            return False
        x0, y0, x1, y1 = hole.loop.box
        around = (
            p
            for i in range(math.floor(x0) - 1, math.floor(x1) + 2)
            for j in range(math.floor(y0) - 1, math.floor(y1) + 2)
            for p in cells.get((i, j), ())
        )
        return any(hole.loop.distance(p) <= 10 * TOUCH for p in around)

    return tuple(hole for hole in blank.holes if shows(hole))


def hole_groups(blank: Blank, system: System = System.BOTH) -> tuple[HoleGroup, ...]:
    """Return the holes that are cut in a blank by size, the smallest drill first; reliefs last."""
    found: dict[tuple[int, float, str, str], list[BlankHole]] = {}
    order = list(HoleKind)
    for hole in cut_holes(blank):
        size = hole.diameter or 0.0
        words = hole_words(hole, system)
        key = (order.index(hole.kind), float(fixed(size, 4)), hole.drill, words)
        found.setdefault(key, []).append(hole)
    return tuple(
        HoleGroup(letter=_letter(i), words=key[3], holes=tuple(found[key]))
        for i, key in enumerate(sorted(found))
    )


def _letter(i: int) -> str:
    first, last = divmod(i, len(_LETTERS))
    return (_LETTERS[first - 1] if first else "") + _LETTERS[last]
