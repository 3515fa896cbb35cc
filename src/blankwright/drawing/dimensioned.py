"""The blank with its dimensions, to scale, for the traveler."""

from __future__ import annotations

from dataclasses import dataclass

from blankwright.base.units import System, fixed, inches
from blankwright.develop.blank import Blank
from blankwright.drawing.blank_drawing import BlankLook, blank_drawing
from blankwright.drawing.broken_view import BREAK, broken_view, note_width
from blankwright.drawing.dimensions import DimensionLook, running
from blankwright.drawing.model import Drawing, Item
from blankwright.drawing.places import Place, Places, Side, places_of
from blankwright.geom.move import Move
from blankwright.geom.vec import Point

SCALES = (5.0, 2.0, 1.0, 1 / 1.5, 1 / 2, 1 / 2.5, 1 / 3, 1 / 4, 1 / 5, 1 / 7.5, 1 / 10, 1 / 15,
          1 / 20, 1 / 30, 1 / 50, 1 / 100)  # fmt: skip
"""Scales a view may have, the largest first [-]."""

_LONG = 5.0
"""A blank this much longer than wide may be drawn with its middle broken out [-]."""

_LINE = 8.0
"""From the blank to the dimension line [mm]."""

_BAND = 25.0
"""Room for a row of figures [mm]."""


@dataclass(frozen=True, kw_only=True)
class DimensionedBlank:
    """A view of the blank with dimensions.

    Args:
        drawing: the view, on paper [mm]
        scale: paper over blank [-]
        broken: whether its middle is left out
        datum: point of the blank that figures count from [mm]
    """

    drawing: Drawing
    scale: float
    broken: bool
    datum: Point

    @property
    def scale_words(self) -> str:
        """The scale as a drawing writes it, such as ``1 : 2.5``."""
        if self.scale >= 1:
            return f"{self.scale:g} : 1"
        return f"1 : {fixed(1 / self.scale, 1).rstrip('0').rstrip('.')}"


def dimensioned_blank(
    blank: Blank,
    title: str,
    room: tuple[float, float],
    system: System = System.MM,
    sizes: DimensionLook | None = None,
) -> DimensionedBlank:
    """Draw a blank to scale with running dimensions from the lower left corner of its box.

    Figures stand at corners of the outline and at bend tangent lines. Where there is no room for
    them all, those of corners are left out: the file has them.

    Args:
        blank: the blank
        title: what the drawing is called
        room: width and height it must fit, dimensions included [mm]
        system: mm or inch (BOTH is taken as mm: two figures at each place can't be read)
        sizes: sizes of figures and arrowheads
    """
    system = System.INCH if system is System.INCH else System.MM
    sizes = sizes or DimensionLook()
    width, height = blank.size
    every = places_of(blank, corners=True)
    inner = _inner(room, every)
    scale = _scale(width, height, inner)
    most = min(inner) / (1.5 * sizes.text)
    places = every if every.most <= most else places_of(blank, corners=False)
    inner = _inner(room, places)
    scale = _scale(width, height, inner)
    datum = blank.outline.box[:2]
    long, short = max(width, height), min(width, height)
    if long > _LONG * short and scale < 1 / 2:
        level = width >= height
        across = min(45.0, inner[1] if level else inner[0])
        larger = [s for s in SCALES if short * s <= across and scale < s <= 1.0]
        if larger:
            view = _Rows(places, system, sizes, larger[0], blank)
            keep = (
                (inner[0] - note_width(blank, system, sizes) if level else inner[1]) - BREAK
            ) / 2
            items = broken_view(blank, larger[0], keep, system, sizes)
            drawing = Drawing(title=title, items=(*items, *view.broken(keep, level)))
            return DimensionedBlank(drawing=drawing, scale=larger[0], broken=True, datum=datum)
    smaller = [s for s in SCALES if s < scale]
    for one in (scale, *smaller[:3]):
        rows = _Rows(places, system, sizes, one, blank).all()
        drawing = _whole(blank, title, rows, system, sizes, one)
        x0, y0, x1, y1 = drawing.box
        # A note that found no room in the metal may reach out of the room: try it smaller.
        if x1 - x0 <= room[0] + 1e-6 and y1 - y0 <= room[1] + 1e-6:
            return DimensionedBlank(drawing=drawing, scale=one, broken=False, datum=datum)
    return DimensionedBlank(drawing=drawing, scale=one, broken=False, datum=datum)


def _whole(
    blank: Blank,
    title: str,
    rows: tuple[Item, ...],
    system: System,
    sizes: DimensionLook,
    scale: float,
) -> Drawing:
    """Return the whole view, its notes clear of the rows of figures."""
    onto = Move.shift(*blank.outline.box[:2])
    taken = tuple(item.scaled(1 / scale).moved(onto) for item in rows)
    look = BlankLook(
        system=system,
        text=sizes.text / scale,
        least=2.0 / scale,
        full_notes=False,
        center_lines=False,
    )
    drawn = blank_drawing(blank, title, look, taken).moved(onto.inverse()).scaled(scale)
    return drawn.plus(rows)


def _inner(room: tuple[float, float], places: Places) -> tuple[float, float]:
    """Return the room left for the blank when the rows of figures are placed [mm]."""
    across = sum(1 for side in (Side.LEFT, Side.RIGHT) if places.at(side))
    up = sum(1 for side in (Side.BELOW, Side.ABOVE) if places.at(side))
    return (room[0] - across * _BAND, room[1] - up * _BAND)


def _scale(width: float, height: float, inner: tuple[float, float]) -> float:
    fits = [s for s in SCALES if width * s <= inner[0] and height * s <= inner[1]]
    return fits[0] if fits else min(inner[0] / width, inner[1] / height)


class _Rows:
    """The rows of figures around a view whose lower left corner is at (0, 0)."""

    def __init__(
        self, places: Places, system: System, sizes: DimensionLook, scale: float, blank: Blank
    ) -> None:
        self._places = places
        self._system = system
        self._sizes = sizes
        self._scale = scale
        self._size = blank.size

    def all(self) -> tuple[Item, ...]:
        """Return all rows."""
        width, height = (v * self._scale for v in self._size)
        return tuple(
            item
            for side in Side
            for item in self._row(side, self._scaled(self._places.at(side)), width, height)
        )

    def broken(self, keep: float, level: bool) -> tuple[Item, ...]:
        """Return the rows of a view whose middle is left out: only what is still shown."""
        width, height = (v * self._scale for v in self._size)
        long = width if level else height
        gone = long - 2 * keep - BREAK
        items: list[Item] = []
        for side in Side:
            places = self._scaled(self._places.at(side))
            if (side in (Side.BELOW, Side.ABOVE)) == level:
                places = tuple(
                    (t if t <= keep else t - gone, out, words)
                    for t, out, words in places
                    if t <= keep or t >= long - keep
                )
            shown = (width - gone, height) if level else (width, height - gone)
            if len(places) > 1:
                items.extend(self._row(side, places, *shown))
        return tuple(items)

    def _scaled(self, places: tuple[Place, ...]) -> tuple[tuple[float, float, str], ...]:
        return tuple(
            (p.along * self._scale, p.depth * self._scale, self._figure(p.along)) for p in places
        )

    def _figure(self, length: float) -> str:
        return fixed(inches(length), 3) if self._system is System.INCH else fixed(length, 2)

    def _row(
        self,
        side: Side,
        places: tuple[tuple[float, float, str], ...],
        width: float,
        height: float,
    ) -> tuple[Item, ...]:
        if not places:
            return ()
        axis, origin, sign = {
            Side.BELOW: ((1.0, 0.0), (0.0, 0.0), -1.0),
            Side.ABOVE: ((1.0, 0.0), (0.0, height), 1.0),
            Side.LEFT: ((0.0, 1.0), (0.0, 0.0), 1.0),
            Side.RIGHT: ((0.0, 1.0), (width, 0.0), -1.0),
        }[side]
        # Depth is how far the point lies inside the box from that side.
        turned = tuple((t, -sign * depth, words) for t, depth, words in places)
        return running(turned, axis, origin, sign * _LINE, self._sizes)
