"""Lays text, tables and pictures under one another on pages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from blankwright.drawing.layers import FRAME, NOTES
from blankwright.drawing.lettering import text_width
from blankwright.drawing.model import Anchor, Drawing, Item, Ring, Stroke, Text
from blankwright.drawing.pages import Page
from blankwright.drawing.paper import PrintSetup
from blankwright.geom.edges import Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move

BODY = 2.3
"""Height of capitals in running text and tables [mm]."""

HEADING = 3.6
TITLE = 6.0

_LEADING = 1.85
"""Distance of baselines over the height of capitals [-]."""

_PAD = 1.2
"""Room inside a table's cell, left and right [mm]."""


def wrapped(text: str, width: float, height: float, *, bold: bool = False) -> list[str]:
    """Break a text into lines that fit a width [mm]; a word longer than that is cut."""
    lines: list[str] = []
    line = ""
    for word in text.split(" "):  # a no-break space keeps a figure and its unit together
        while text_width(word, height, bold=bold) > width and len(word) > 1:
            keep = len(word) - 1
            while keep > 1 and text_width(word[:keep], height, bold=bold) > width:
                keep -= 1
            if line:
                lines.append(line)
                line = ""
            lines.append(word[:keep])
            word = word[keep:]
        longer = f"{line} {word}" if line else word
        if line and text_width(longer, height, bold=bold) > width:
            lines.append(line)
            line = word
        else:
            line = longer
    lines.append(line)
    return lines


@dataclass
class CardSheet:
    """Pages being filled from the top.

    Args:
        setup: paper, margins, the printer's own error
        head: what stands at the top of every page: title at the left, number at the right
    """

    setup: PrintSetup
    head: tuple[str, str]
    _pages: list[list[Item]] = field(default_factory=list)
    _y: float = 0.0

    def __post_init__(self) -> None:
        self.setup = self.setup.for_cards()

    @property
    def width(self) -> float:
        """Room between the margins [mm]."""
        return self.setup.paper.width - 2 * self.setup.margin

    @property
    def left(self) -> float:
        """Left margin [mm]."""
        return self.setup.margin

    @property
    def room(self) -> float:
        """What is left on this page [mm]."""
        return self._y - self.setup.margin - 6.0 if self._pages else 0.0

    def need(self, height: float) -> None:
        """Begin a new page unless there is so much room [mm] on this one."""
        if not self._pages or self.room < height:
            self._new_page()

    def _new_page(self) -> None:
        self._pages.append([])
        top = self.setup.paper.length - self.setup.margin
        self._y = top - 4.0
        title, number = self.head
        self._put(Text(layer=NOTES, text=title, at=(self.left, self._y), height=BODY, bold=True))
        right = (self.left + self.width, self._y)
        self._put(Text(layer=NOTES, text=number, at=right, height=BODY, anchor=Anchor.RIGHT))
        self._y -= 2.0
        self._line(self._y)
        self._y -= 3.0

    def _put(self, *items: Item) -> None:
        self._pages[-1].extend(items)

    def _line(self, y: float) -> None:
        edge = Line((self.left, y), (self.left + self.width, y))
        self._put(Stroke(layer=NOTES, edge=edge))

    def gap(self, height: float = 2.5) -> None:
        """Leave some room [mm]."""
        self._y -= height

    def text(
        self, text: str, height: float = BODY, *, bold: bool = False, indent: float = 0.0
    ) -> None:
        """Write a paragraph, broken into lines; `indent` [mm] sets all of it in."""
        for line in wrapped(text, self.width - indent, height, bold=bold):
            self.need(height * _LEADING)
            self._y -= height * _LEADING
            at = (self.left + indent, self._y)
            self._put(Text(layer=NOTES, text=line, at=at, height=height, bold=bold))

    def heading(self, text: str, room: float = 20.0) -> None:
        """Write a heading; it stays with `room` [mm] of what follows it."""
        self.need(HEADING * _LEADING + room)
        self.gap(2.0)
        self.text(text, HEADING, bold=True)
        self.gap(1.5)

    def table(
        self,
        head: Sequence[str],
        rows: Sequence[Sequence[str]],
        shares: Sequence[float],
        height: float = BODY,
    ) -> None:
        """Draw a ruled table; its head is repeated on every page it runs on to.

        Args:
            head: head of each column; none for a table without a head
            rows: texts of the cells
            shares: widths of the columns, in any unit
            height: of capitals [mm]
        """
        widths = self._column_widths(head, shares, height)
        head_height = self._row_height(head, widths, height, bold=True) if head else 0.0
        self.need(head_height + (self._row_height(rows[0], widths, height) if rows else 0.0))
        if head:
            self._row(head, widths, height, bold=True)
        for row in rows:
            if self.room < self._row_height(row, widths, height):
                self._new_page()
                if head:
                    self._row(head, widths, height, bold=True)
            self._row(row, widths, height)
        self.gap()

    def _column_widths(
        self, head: Sequence[str], shares: Sequence[float], height: float
    ) -> list[float]:
        """Share out the width [mm]; no word of the head is cut while another column can give."""
        total = sum(shares)
        widths = [self.width * share / total for share in shares]
        for i, cell in enumerate(head):
            words = (text_width(word, height, bold=True) for word in cell.split(" "))
            lacks = max(words) + 2 * _PAD + 0.1 - widths[i]
            widest = max(range(len(widths)), key=lambda k: widths[k])
            if 0.0 < lacks < widths[widest] / 3 and widest != i:
                widths[i] += lacks
                widths[widest] -= lacks
        return widths

    def _row_height(
        self, cells: Sequence[str], widths: Sequence[float], height: float, *, bold: bool = False
    ) -> float:
        lines = max(
            len(wrapped(cell, width - 2 * _PAD, height, bold=bold))
            for cell, width in zip(cells, widths, strict=True)
        )
        return lines * height * 1.6 + 2.0

    def _row(
        self, cells: Sequence[str], widths: Sequence[float], height: float, *, bold: bool = False
    ) -> None:
        tall = self._row_height(cells, widths, height, bold=bold)
        x, top = self.left, self._y
        for cell, width in zip(cells, widths, strict=True):
            self._put(Ring(layer=FRAME, loop=Loop.rectangle(x, top - tall, x + width, top)))
            y = top - 1.0 - height
            for line in wrapped(cell, width - 2 * _PAD, height, bold=bold):
                at = (x + _PAD, y)
                self._put(Text(layer=NOTES, text=line, at=at, height=height, bold=bold))
                y -= height * 1.6
            x += width
        self._y = top - tall

    def boxes(self, names: Sequence[str], height: float = 14.0) -> None:
        """Draw boxes to sign in, side by side, so high [mm], each with its name in the corner."""
        self.need(height + 2.0)
        width = self.width / len(names)
        for i, name in enumerate(names):
            x = self.left + i * width
            box = Loop.rectangle(x, self._y - height, x + width, self._y)
            self._put(Ring(layer=NOTES, loop=box))
            at = (x + _PAD, self._y - 1.2 - BODY)
            self._put(Text(layer=NOTES, text=name, at=at, height=BODY, bold=True))
            at = (x + _PAD, self._y - height + 1.5)
            self._put(Text(layer=NOTES, text="date, by", at=at, height=1.8))
        self._y -= height
        self.gap()

    def place(self, drawing: Drawing) -> None:
        """Draw a drawing that is to scale already, in the middle, as it is."""
        x0, y0, x1, y1 = drawing.box
        self.need(y1 - y0 + 2.0)
        dx = self.left + self.width / 2 - (x0 + x1) / 2
        self._put(*drawing.moved(Move.shift(dx, self._y - y1)).items)
        self._y -= y1 - y0 + 3.0

    def pictures(
        self, drawings: Sequence[tuple[Drawing, str]], height: float, columns: int
    ) -> float:
        """Draw pictures side by side, all to one scale that lets each fit; return the scale [-].

        Args:
            drawings: each with its caption
            height: of a row without captions [mm]
            columns: pictures in a row
        """
        width = self.width / columns - 4.0
        scale = min(
            min(width / max(x1 - x0, 1e-9), height / max(y1 - y0, 1e-9))
            for x0, y0, x1, y1 in (drawing.box for drawing, _ in drawings)
        )
        for first in range(0, len(drawings), columns):
            row = drawings[first : first + columns]
            tall = max((d.box[3] - d.box[1]) * scale for d, _ in row)
            captions = any(caption for _, caption in row)
            self.need(tall + (6.0 if captions else 2.0))
            for i, (drawing, caption) in enumerate(row):
                x0, y0, x1, y1 = drawing.box
                middle = self.left + (i + 0.5) * self.width / columns
                dx = middle - (x0 + x1) / 2 * scale
                dy = self._y - tall / 2 - (y0 + y1) / 2 * scale
                self._put(*drawing.scaled(scale).moved(Move.shift(dx, dy)).items)
                if caption:
                    at = (middle, self._y - tall - 4.0)
                    self._put(
                        Text(layer=NOTES, text=caption, at=at, height=BODY, anchor=Anchor.CENTER)
                    )
            self._y -= tall + (7.0 if captions else 3.0)
        return scale

    def pages(self) -> tuple[Page, ...]:
        """Return the pages, numbered at the foot."""
        paper, margin = self.setup.paper, self.setup.margin
        result: list[Page] = []
        for i, items in enumerate(self._pages):
            foot = f"page {i + 1} of {len(self._pages)}"
            at = (self.left + self.width, margin)
            number = Text(layer=NOTES, text=foot, at=at, height=BODY, anchor=Anchor.RIGHT)
            result.append(
                Page(
                    name=str(i + 1),
                    width=paper.width,
                    height=paper.length,
                    drawing=None,
                    shift=(0.0, 0.0),
                    window=(0.0, 0.0, paper.width, paper.length),
                    furniture=(*items, number),
                )
            )
        return tuple(result)
