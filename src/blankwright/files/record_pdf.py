"""Prints the builder's record as a PDF file, with reportlab's page maker.

Black on white, so that it copies well. Lettering is put into the file; a sign that the lettering
lacks is never dropped in silence: it is shown as a box and listed.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final
from xml.sax.saxutils import escape

from blankwright.base.errors import BadInput, Problem
from blankwright.base.units import inches
from blankwright.book.builders_record import BuildersRecord, Grid, Section, Shown, Told

PAPERS: Final = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height [mm]."""

CAUTION: Final = (
    "This record shows what the builder wrote down. Blankwright counts and prints; it doesn't judge"
    " workmanship, accept deviations or find anything airworthy. The drawing, the designer, the"
    " inspector and the local airworthiness authority decide."
)
LACKING: Final = "¤"
_SWAPPED: Final = {"→": "->", "′": "'", "″": '"', "‑": "-", "\u00a0": " ", "✓": "x", "\t": " "}
_MARGIN = 16.0
_PHOTOS_ACROSS = 3
_SHORT = 1500
"""Paragraphs with fewer signs than this stay on one page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """The record as printed.

    Args:
        data: the PDF file
        pages: how many
        photos: how many photos are in it
        unprinted: signs that the lettering lacks
    """

    data: bytes
    pages: int
    photos: int
    unprinted: tuple[str, ...]


def record_pdf(
    record: BuildersRecord, *, paper: str = "A4", lettering: Path | None = None
) -> Printed:
    """Print a record. The same record gives the same bytes.

    Args:
        record: the record
        paper: one of `PAPERS`
        lettering: a TrueType file to print with, or nothing for the usual face

    Raises:
        BadInput: for another paper, or a lettering file that can't be used
    """
    if paper not in PAPERS:
        raise BadInput(
            Problem(code="RECORD-001", where="paper", got=paper, allowed=", ".join(PAPERS))
        )
    maker = _Maker(paper, _Letters(lettering))
    return maker.make(record)


class _Letters:
    """The faces to print with, and what they lack."""

    def __init__(self, file: Path | None) -> None:
        from reportlab.pdfbase import pdfmetrics
        from reportlab.pdfbase.ttfonts import TTFError, TTFont

        self.lacking: set[str] = set()
        names = ("Vera", "VeraBd")
        try:
            if file is not None:
                names = (f"Own {file.stem}", f"Own {file.stem}")
                pdfmetrics.registerFont(TTFont(names[0], str(file)))
            for name in names:
                if name not in pdfmetrics.getRegisteredFontNames():
                    pdfmetrics.registerFont(TTFont(name, f"{name}.ttf"))
        except (TTFError, OSError) as error:
            raise BadInput(
                Problem(
                    code="RECORD-002",
                    where=str(file),
                    got=f"it can't be used as lettering ({error})",
                    allowed="a TrueType file, .ttf",
                )
            ) from error
        self.plain, self.bold = names
        self.known: Any = pdfmetrics.getFont(self.plain).face.charToGlyph

    def fit(self, text: str) -> str:
        """The text with signs that the face has; line ends stay."""
        out = []
        for sign in text:
            if sign == "\n" or ord(sign) in self.known:
                out.append(sign)
            elif sign in _SWAPPED:
                out.append(_SWAPPED[sign])
            elif sign.isprintable():
                self.lacking.add(sign)
                out.append(LACKING if ord(LACKING) in self.known else "?")
            else:
                out.append(" ")
        return "".join(out)

    def marked_up(self, text: str) -> str:
        """As the page maker wants it."""
        return escape(self.fit(text)).replace("\n", "<br/>")


class _Maker:
    def __init__(self, paper: str, letters: _Letters) -> None:
        from reportlab.lib.styles import ParagraphStyle

        self.letters = letters
        self.width, self.height = (inches(side) * 72.0 for side in PAPERS[paper])
        self.margin = inches(_MARGIN) * 72.0
        self.inner = self.width - 2 * self.margin
        self.photos = 0

        def style(name: str, size: float, bold: bool = False, **more: Any) -> Any:
            face = letters.bold if bold else letters.plain
            return ParagraphStyle(
                name, fontName=face, fontSize=size, leading=size * 1.3, splitLongWords=1, **more
            )

        self.styles = {
            "title": style("title", 26, True, spaceAfter=6),
            "section": style("section", 14, True, spaceBefore=14, spaceAfter=5, keepWithNext=1),
            "head": style("head", 9, True, spaceBefore=5, keepWithNext=1),
            "text": style("text", 9, spaceAfter=2),
            "cell": style("cell", 7.5),
            "cell head": style("cell head", 7.5, True),
            "caption": style("caption", 6.5),
        }

    def make(self, record: BuildersRecord) -> Printed:
        from reportlab.pdfgen.canvas import Canvas
        from reportlab.platypus import SimpleDocTemplate

        story = self._first_page(record)
        for number, section in enumerate(record.sections, start=1):
            story += self._section(number, section)
        story += self._last_lines(record)
        maker = self
        foot = self.letters.fit(
            " · ".join(filter(None, ["Builder's record", record.airplane, record.serial]))
        )
        printed = self.letters.fit(record.printed)

        class Numbered(Canvas):  # type: ignore[misc]
            """Puts "page 3 of 12" on each page once the last one is known."""

            def __init__(self, *given: Any, **named: Any) -> None:
                super().__init__(*given, **named)
                self.kept: list[dict[str, Any]] = []

            def showPage(self) -> None:  # noqa: N802
                self.kept.append(dict(self.__dict__))
                self._startPage()

            def save(self) -> None:
                for number, page in enumerate(self.kept, start=1):
                    self.__dict__.update(page)
                    self.setFont(maker.letters.plain, 7)
                    low = maker.margin * 0.6
                    self.drawString(maker.margin, low, foot)
                    right = f"{printed} · page {number} of {len(self.kept)}"
                    self.drawRightString(maker.width - maker.margin, low, right)
                    super().showPage()
                maker.pages = len(self.kept)
                super().save()

        stream = io.BytesIO()
        document = SimpleDocTemplate(
            stream,
            pagesize=(self.width, self.height),
            leftMargin=self.margin,
            rightMargin=self.margin,
            topMargin=self.margin,
            bottomMargin=self.margin,
            title=f"Builder's record: {record.airplane}",
            author=record.builder,
            creator="Blankwright",
            invariant=1,
        )
        self.pages = 0
        document.build(story, canvasmaker=Numbered)
        return Printed(
            data=stream.getvalue(),
            pages=self.pages,
            photos=self.photos,
            unprinted=tuple(sorted(self.letters.lacking)),
        )

    def _text(self, text: str, style: str = "text") -> Any:
        from reportlab.platypus import Paragraph

        return Paragraph(self.letters.marked_up(text), self.styles[style])

    def _first_page(self, record: BuildersRecord) -> list[Any]:
        from reportlab.platypus import Spacer

        story = [
            Spacer(1, 36),
            self._text("Builder's record", "title"),
            self._text(record.airplane, "section"),
            Spacer(1, 12),
        ]
        facts = [("Serial number", record.serial), ("Builder", record.builder)]
        rows = tuple((n, v) for n, v in (*facts, ("Printed", record.printed), *record.facts) if v)
        story.append(self._grid(Grid(head=(), rows=rows, widths=(0.4, 0.6))))
        story += [Spacer(1, 12), self._text(CAUTION)]
        story += [Spacer(1, 12), self._text("Sections", "head")]
        story += [
            self._text(f"{number}. {section.title}")
            for number, section in enumerate(record.sections, start=1)
        ]
        return story

    def _section(self, number: int, section: Section) -> list[Any]:
        from reportlab.platypus import PageBreak, Spacer

        story: list[Any] = [PageBreak()] if number == 1 else []
        story.append(self._text(f"{number}. {section.title}", "section"))
        if section.intro:
            story += [self._text(section.intro), Spacer(1, 4)]
        for grid in section.grids:
            if grid.rows:
                story += [self._grid(grid), Spacer(1, 6)]
        for told in section.told:
            story += self._told(told)
        if not any(grid.rows for grid in section.grids) and not section.told:
            story.append(self._text(section.empty or "Nothing."))
        return story

    def _grid(self, grid: Grid) -> Any:
        from reportlab.platypus import LongTable, TableStyle

        lines = [[self._text(cell, "cell") for cell in row] for row in grid.rows]
        if grid.head:
            lines.insert(0, [self._text(cell, "cell head") for cell in grid.head])
        whole = sum(grid.widths)
        table = LongTable(
            lines,
            colWidths=[self.inner * width / whole for width in grid.widths],
            repeatRows=1 if grid.head else 0,
            hAlign="LEFT",
            splitInRow=1,
        )
        rule = [("LINEBELOW", (0, 0), (-1, 0), 1.0, "black")] if grid.head else []
        table.setStyle(
            TableStyle(
                [
                    ("VALIGN", (0, 0), (-1, -1), "TOP"),
                    ("LINEBELOW", (0, 0), (-1, -1), 0.25, "black"),
                    *rule,
                    ("TOPPADDING", (0, 0), (-1, -1), 2),
                    ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
                    ("LEFTPADDING", (0, 0), (-1, -1), 2),
                    ("RIGHTPADDING", (0, 0), (-1, -1), 4),
                ]
            )
        )
        return table

    def _told(self, told: Told) -> list[Any]:
        from reportlab.platypus import KeepTogether

        story = [self._text(told.head, "head"), *(self._text(line) for line in told.lines)]
        if sum(map(len, told.lines)) < _SHORT:
            story = [KeepTogether(story)]
        for first in range(0, len(told.photos), _PHOTOS_ACROSS):
            story.append(self._photo_row(told.photos[first : first + _PHOTOS_ACROSS]))
        return story

    def _photo_row(self, photos: Sequence[Shown]) -> Any:
        from reportlab.lib.utils import ImageReader
        from reportlab.platypus import Image, Table, TableStyle

        column = self.inner / _PHOTOS_ACROSS
        cells = []
        for photo in photos:
            width, height = ImageReader(photo.path).getSize()
            scale = min((column - 8) / width, column * 0.9 / height)
            caption = f"{photo.caption} ({photo.sha256[:12]})".strip()
            cells.append(
                [
                    Image(photo.path, width * scale, height * scale, hAlign="LEFT"),
                    self._text(caption, "caption"),
                ]
            )
            self.photos += 1
        cells += [[]] * (_PHOTOS_ACROSS - len(cells))
        table = Table([cells], colWidths=[column] * _PHOTOS_ACROSS, hAlign="LEFT")
        table.setStyle(
            TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0)])
        )
        return table

    def _last_lines(self, record: BuildersRecord) -> list[Any]:
        from reportlab.platypus import KeepTogether, Spacer

        lines = [
            Spacer(1, 24),
            self._text(CAUTION),
            Spacer(1, 30),
            self._text("_" * 40 + "    " + "_" * 20),
            self._text(f"{record.builder or 'Builder'}, date"),
            Spacer(1, 30),
            self._text("_" * 40 + "    " + "_" * 20),
            self._text("Seen by, date"),
        ]
        if self.letters.lacking:
            signs = " ".join(f"U+{ord(sign):04X}" for sign in sorted(self.letters.lacking))
            lines += [
                Spacer(1, 12),
                self._text(
                    f"Signs that this lettering lacks are shown as {LACKING}: {signs}. The book's"
                    " JSON file has them all.",
                    "caption",
                ),
            ]
        return [KeepTogether(lines)]
