"""Measures where the lines of a printed page lie."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from blankwright.base.errors import Problem
from blankwright.base.tolerance import PROOF_PRINT
from blankwright.base.units import fixed
from blankwright.drawing.cells import Cells
from blankwright.drawing.layers import Layer
from blankwright.drawing.model import Fill, Text, edges_of
from blankwright.drawing.pages import Page
from blankwright.files.pdf_read import PageInk
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.loop import Loop
from blankwright.geom.vec import Point

_REACH = 0.6
"""How far to either side of a line is looked at [mm]."""

_RUN = 0.6
"""Over how much of a straight line the ink is averaged [mm]."""

_STEP = 5.0
"""Places on a full line are at most this far apart [mm]."""

_DASH_STEP = 1.3
"""Places on a dashed line are this far apart, to meet dashes and gaps alike [mm]."""

_INSET = 1.5
"""Places this near to the window's edge are left out: the window cuts the ink there [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A place on a line that was measured.

    Args:
        at: the place, on the drawing [mm]
        along: direction of the line there [-]
        off: how far the ink is to the left of it [mm]
    """

    at: Point
    along: Point
    off: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LineCheck:
    """What was seen of the lines of one page.

    Args:
        seen: places measured
        covered: places where it was only seen that there is ink, other lines being near [-]
        problems: what is wrong
    """

    seen: tuple[Seen, ...]
    covered: int
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class _Drawn:
    edge: Edge
    weight: float


def look_at_lines(where: str, page: Page, ink: PageInk, layers: Sequence[Layer]) -> LineCheck:
    """Measure the lines of some layers on a page.

    Args:
        where: file and page, for messages
        page: what it must show
        ink: what it does show
        layers: whose lines are measured
    """
    if page.drawing is None:
        return LineCheck(seen=(), covered=0, problems=())
    around = _Around(page)
    names = {layer.name for layer in layers}
    seen: list[Seen] = []
    covered = 0
    problems: list[Problem] = []
    for item in page.drawing.items:
        if item.layer.name not in names:
            continue
        for edge in edges_of(item):
            check = _look_at_edge(where, page, ink, around, edge, item.layer)
            seen.extend(check.seen)
            covered += check.covered
            problems.extend(check.problems)
    return LineCheck(seen=tuple(seen), covered=covered, problems=tuple(problems))


def _look_at_edge(
    where: str, page: Page, ink: PageInk, around: _Around, edge: Edge, layer: Layer
) -> LineCheck:
    seen: list[Seen] = []
    covered = clean = inked = 0
    missing: Point | None = None
    x0, y0, x1, y1 = page.window
    for t in _shares(edge, _DASH_STEP if layer.dashes else _STEP):
        at, along = edge.point(t), edge.direction(t)
        x, y = page.on_page(at)
        if not (x0 + _INSET < x < x1 - _INSET and y0 + _INSET < y < y1 - _INSET):
            continue
        sent, way = page.as_sent((x, y)), _sent_direction(page, along)
        if around.is_clean(edge, at):
            clean += 1
            run = _RUN if isinstance(edge, Line) and 0.0 < t < 1.0 else 0.0
            off = ink.line_offset(sent, way, _REACH, run)
            if off is not None:
                inked += 1
                seen.append(Seen(at=at, along=along, off=off))
            elif not layer.dashes:
                missing = at
        elif not layer.dashes:
            covered += 1
            profile, across = ink.profile(sent, way, _REACH, 0.0)
            if profile[abs(across) <= PROOF_PRINT].max() < 0.3:
                missing = at
    if layer.dashes and clean >= 12 and inked < 0.25 * clean:
        missing = edge.point(0.5)
    problems = []
    if missing is not None:
        place = f"({fixed(missing[0], 2)}, {fixed(missing[1], 2)})"
        problems.append(
            Problem(code="PDF-006", where=where, got=f"no ink on {layer.name} at {place}")
        )
    worst = max(seen, key=lambda s: abs(s.off), default=None)
    if worst is not None and abs(worst.off) > PROOF_PRINT:
        place = f"({fixed(worst.at[0], 2)}, {fixed(worst.at[1], 2)})"
        problems.append(
            Problem(
                code="PDF-005",
                where=where,
                got=f"{layer.name} is off by {fixed(abs(worst.off), 3)} mm at {place}",
                allowed=f"{PROOF_PRINT:g} mm",
                fix="This is a bug of ours: nothing was written; please report it",
            )
        )
    return LineCheck(seen=tuple(seen), covered=covered, problems=tuple(problems))


def _shares(edge: Edge, step: float) -> Iterator[float]:
    """Return places on an edge, an arc's quarters and eighths among them."""
    n = max(8 if isinstance(edge, Arc) else 4, math.ceil(edge.length / step))
    n += n % 2
    if isinstance(edge, Arc) and edge.is_circle and n == 8:
        # The arms of its centre mark cross a small hole at the quarters.
        yield from (0.125, 0.375, 0.625, 0.875)
        return
    yield from (i / n for i in range(n + 1))


def _sent_direction(page: Page, along: Point) -> Point:
    x, y = along[0] * page.stretch[0], along[1] * page.stretch[1]
    size = math.hypot(x, y)
    return (x / size, y / size)


class _Around:
    """What is drawn near a place, so that only ink of one line is measured."""

    def __init__(self, page: Page) -> None:
        assert page.drawing is not None
        self._drawn: list[_Drawn] = []
        self._texts: list[Text] = []
        for item in page.drawing.items:
            if isinstance(item, Text):
                self._texts.append(item)
            elif isinstance(item, Fill):
                loop = Loop.polygon(item.corners)
                self._drawn.extend(_Drawn(edge, 0.0) for edge in loop.edges)
            else:
                self._drawn.extend(_Drawn(edge, item.layer.weight) for edge in edges_of(item))
        self._cells = Cells([drawn.edge.box for drawn in self._drawn], 2.0)
        self._text_cells = Cells([text.box for text in self._texts], 2.0)

    def is_clean(self, edge: Edge, at: Point) -> bool:
        """Say whether nothing but an edge itself is drawn near a place on it."""
        if isinstance(edge, Arc) and edge.radius < _REACH + 0.3:
            return False
        reach = math.hypot(_REACH, _RUN / 2) + 0.1
        for i in self._cells.near(at):
            other = self._drawn[i]
            if other.edge is not edge and other.edge.distance(at) < reach + other.weight / 2:
                return False
        for i in self._text_cells.near(at):
            text = self._texts[i]
            x, y = text.frame.inverse()(at)
            h = text.height
            if -1.0 - h < x < 1.15 * text.width + 1.0 and -0.4 * h - 1.0 < y < 1.2 * h + 1.0:
                return False
        return True
