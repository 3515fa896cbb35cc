"""What the pages of the builder's record share: head, foot, page numbers, table of contents.

How many pages there are, and on which one a section begins, is known only when the last page is
laid out. So finished pages are held back, and heads, feet and the numbers of the table of
contents are drawn on them at the end, in one pass.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Final

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

_LEADER: Final = 2.2
"""Distance of the dots that lead to a page number [pt]."""


@dataclass(slots=True)
class Places:
    """Where things came to stand.

    Attributes:
        begins: page that each section begins on, and its title, by number of the section
        lines: lines of the table of contents: page, section, left, right and height of the line
        pages: how many pages there are
    """

    begins: dict[int, tuple[int, str]] = field(default_factory=dict)
    lines: list[tuple[int, int, float, float, float]] = field(default_factory=list)
    pages: int = 0

    def section_at(self, page: int) -> str:
        """Title of the section that a page begins with, or the first that begins on it."""
        before = [title for first, title in self.begins.values() if first < page]
        here = [title for first, title in self.begins.values() if first == page]
        return before[-1] if before else here[0] if here else ""


class mark(Flowable):  # type: ignore[misc]  # noqa: N801  a spot, used like a function
    """Notes that a section begins here; draws nothing."""

    def __init__(self, places: Places, number: int, title: str) -> None:
        super().__init__()
        self.places = places
        self.number = number
        self.title = title

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Takes no room."""
        return 0.0, 0.0

    def draw(self) -> None:
        """Note the page."""
        self.places.begins[self.number] = (self.canv.getPageNumber(), self.title)


class Contents(Flowable):  # type: ignore[misc]
    """A line of the table of contents; its page number is drawn at the end."""

    def __init__(self, places: Places, number: int, title: str, style: Any) -> None:
        super().__init__()
        self.places = places
        self.number = number
        self.title = title
        self.style = style

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """As wide as the page."""
        self.width = width
        return width, float(self.style.leading)

    def draw(self) -> None:
        """Draw the title, and note where the number goes."""
        size = self.style.fontSize
        self.canv.setFont(self.style.fontName, size)
        self.canv.drawString(0, 3, self.title)
        reach = self.canv.stringWidth(self.title, self.style.fontName, size)
        left, low = self.canv.absolutePosition(reach + 6, 3)
        right, _ = self.canv.absolutePosition(self.width, 3)
        self.places.lines.append((self.canv.getPageNumber(), self.number, left, right, low))


class Bar(Flowable):  # type: ignore[misc]
    """A bar as long as a share of its column."""

    def __init__(self, share: float, height: float) -> None:
        super().__init__()
        self.share = share
        self.height = height

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """As wide as its column."""
        self.width = width
        return width, self.height

    def draw(self) -> None:
        """Draw it, grey enough to copy well."""
        self.canv.setFillGray(0.45)
        self.canv.rect(0, 1, self.width * self.share, self.height - 2, stroke=0, fill=1)
        self.canv.setFillGray(0.0)


def numbered_canvas(
    places: Places,
    *,
    face: str,
    left: float,
    right: float,
    low: float,
    high: float,
    foot: tuple[str, str],
) -> type[Canvas]:
    """Return a canvas that draws head, foot and numbers once the last page is known.

    Args:
        places: where sections begin
        face: name of the lettering
        left: left margin [pt]
        right: where the right margin begins [pt]
        low: height of the foot [pt]
        high: height of the head [pt]
        foot: what stands at the left of the foot, and before the page number
    """

    class Numbered(Canvas):  # type: ignore[misc]
        def __init__(self, *given: Any, **named: Any) -> None:
            super().__init__(*given, **named)
            self.kept: list[dict[str, Any]] = []

        def showPage(self) -> None:  # noqa: N802
            self.kept.append(dict(self.__dict__))
            self._startPage()

        def save(self) -> None:
            places.pages = len(self.kept)
            for number, page in enumerate(self.kept, start=1):
                self.__dict__.update(page)
                self._finish(number)
                super().showPage()
            super().save()

        def _finish(self, number: int) -> None:
            self.setFont(face, 7)
            self.drawString(left, low, foot[0])
            self.drawRightString(right, low, f"{foot[1]} · page {number} of {places.pages}")
            head = places.section_at(number)
            if head and number > 1:
                self.drawRightString(right, high, head)
                self.setLineWidth(0.25)
                self.line(left, high - 3, right, high - 3)
            for section, (first, title) in places.begins.items():
                if first == number:
                    self.bookmarkPage(f"section {section}")
                    self.addOutlineEntry(title, f"section {section}", 0)
            self.setFont(face, 9)
            for page, section, begin, end, height in places.lines:
                if page == number and section in places.begins:
                    self._lead(str(places.begins[section][0]), section, begin, end, height)

        def _lead(self, text: str, section: int, begin: float, end: float, height: float) -> None:
            stop = end - self.stringWidth(text, face, 9) - 4
            self.setDash(0.5, _LEADER)
            self.setLineWidth(0.5)
            self.line(begin, height, stop, height)
            self.setDash()
            self.drawRightString(end, height, text)
            spot = (left, height - 3, end, height + 9)
            self.linkRect("", f"section {section}", spot, relative=0)

    return Numbered
