"""Pages of a print: which part of a drawing lies where on which sheet."""

from __future__ import annotations

from dataclasses import dataclass

from blankwright.drawing.model import Drawing, Item
from blankwright.geom.edges import Box
from blankwright.geom.vec import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleBar:
    """A bar to measure on the print.

    Args:
        start: where its first end mark crosses it, on the page [mm]
        length: to the last end mark [mm]
        upright: whether it stands along the page's y axis
    """

    start: Point
    length: float
    upright: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RegisterMark:
    """A point of the drawing that is marked on every page that shows it.

    Args:
        name: its name on all of these pages
        at: where, on the drawing [mm]
        clear: whether nothing else is drawn there
    """

    name: str
    at: Point
    clear: bool


@dataclass(frozen=True, kw_only=True)
class Page:
    """One page, its origin at the lower left corner of the sheet.

    Args:
        name: ``A1`` is the first row's first page; ``map`` the cover
        width: of the sheet [mm]
        height: of the sheet [mm]
        drawing: what is shown through the window, in its own frame; nothing on a cover
        shift: added to a point of the drawing to place it on the page [mm]
        window: what of the page shows the drawing [mm]
        furniture: scale bars, title, map and so on, in the page's frame
        bars: the scale bars among them
        marks: register marks that show
        stretch: what is sent is this much larger about the middle of the page, across x and y,
            to take out the printer's own error [-]
    """

    name: str
    width: float
    height: float
    drawing: Drawing | None
    shift: Point
    window: Box
    furniture: tuple[Item, ...]
    bars: tuple[ScaleBar, ...] = ()
    marks: tuple[RegisterMark, ...] = ()
    stretch: tuple[float, float] = (1.0, 1.0)

    def on_page(self, p: Point) -> Point:
        """Return where a point of the drawing is on the page as it should print [mm]."""
        return (p[0] + self.shift[0], p[1] + self.shift[1])

    def as_sent(self, p: Point) -> Point:
        """Return where a point of the page is in what is sent to the printer [mm]."""
        x, y = self.width / 2, self.height / 2
        return (x + (p[0] - x) * self.stretch[0], y + (p[1] - y) * self.stretch[1])
