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

from blankwright.base.errors import BadInput, Problem
from blankwright.base.units import inches
from blankwright.book.builders_record import BuildersRecord, Grid, Section, Shown, Told
from blankwright.files.record_letters import LACKING, Letters
from blankwright.files.record_pages import Bar, Contents, Places, mark, numbered_canvas

PAPERS: Final = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height [mm]."""

CAUTION: Final = (
    "This record shows what the builder wrote down. Blankwright counts and prints; it doesn't judge"
    " workmanship, accept deviations or find anything airworthy. The drawing, the designer, the"
    " inspector and the local airworthiness authority decide."
)
_MARGIN = 16.0
_FRAME = 6.0
"""What the page maker leaves free within the margins [pt]."""
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
    maker = _Maker(paper, Letters(lettering))
    return maker.make(record)


class _Maker:
    def __init__(self, paper: str, letters: Letters) -> None:
        from reportlab.lib.styles import ParagraphStyle

        self.letters = letters
        self.width, self.height = (inches(side) * 72.0 for side in PAPERS[paper])
        self.margin = inches(_MARGIN) * 72.0
        self.inner = self.width - 2 * self.margin - 2 * _FRAME
        self.places = Places()
        self.photos = 0

        def style(name: str, size: float, bold: bool = False, **more: Any) -> Any:
            face = letters.bold if bold else letters.plain
            return ParagraphStyle(
                name, fontName=face, fontSize=size, leading=size * 1.3, splitLongWords=1, **more
            )

        self.styles = {
            "title": style("title", 30, True, spaceAfter=4),
            "airplane": style("airplane", 18, spaceAfter=4),
            "section": style("section", 15, True, spaceBefore=18, spaceAfter=5),
            "above": style("above", 11, True, spaceBefore=10, spaceAfter=3, keepWithNext=1),
            "head": style("head", 9.5, True, spaceBefore=7, keepWithNext=1),
            "text": style("text", 9.5, spaceAfter=2),
            "small": style("small", 8, spaceAfter=2),
            "cell": style("cell", 8),
            "cell head": style("cell head", 8, True),
            "caption": style("caption", 7),
        }

    def make(self, record: BuildersRecord) -> Printed:
        from reportlab.platypus import SimpleDocTemplate

        story = self._first_page(record)
        for number, section in enumerate(record.sections, start=1):
            story += self._section(number, section)
        story += self._last_lines(record)
        foot = " · ".join(filter(None, ["Builder's record", record.airplane, record.serial]))
        canvas = numbered_canvas(
            self.places,
            face=self.letters.plain,
            left=self.margin + _FRAME,
            right=self.width - self.margin - _FRAME,
            low=self.margin * 0.6,
            high=self.height - self.margin * 0.65,
            foot=(self.letters.fit(foot), self.letters.fit(record.printed)),
        )
        stream = io.BytesIO()
        document = SimpleDocTemplate(
            stream,
            pagesize=(self.width, self.height),
            leftMargin=self.margin,
            rightMargin=self.margin,
            topMargin=self.margin * 1.1,
            bottomMargin=self.margin,
            title=f"Builder's record: {record.airplane}",
            author=record.builder,
            creator="Blankwright",
            invariant=1,
        )
        document.build(story, canvasmaker=canvas)
        return Printed(
            data=stream.getvalue(),
            pages=self.places.pages,
            photos=self.photos,
            unprinted=tuple(sorted(self.letters.lacking)),
        )

    def _text(self, text: str, style: str = "text") -> Any:
        from reportlab.platypus import Paragraph

        return Paragraph(self.letters.marked_up(text), self.styles[style])

    def _first_page(self, record: BuildersRecord) -> list[Any]:
        from reportlab.platypus import HRFlowable, Spacer

        story = [
            Spacer(1, 30),
            self._text("Builder's record", "title"),
            self._text(record.airplane, "airplane"),
            HRFlowable(width="100%", thickness=2, color="black", spaceBefore=6, spaceAfter=14),
        ]
        facts = [("Serial number", record.serial), ("Builder", record.builder)]
        rows = tuple((n, v) for n, v in (*facts, ("Printed", record.printed), *record.facts) if v)
        story.append(self._grid(Grid(head=(), rows=rows, widths=(0.4, 0.6))))
        story += [Spacer(1, 14), self._text(CAUTION), Spacer(1, 10), self._text("Sections", "head")]
        titles = [f"{n}. {s.title}" for n, s in enumerate(record.sections, start=1)]
        fitted = [self.letters.fit(title) for title in titles]
        style = self.styles["text"]
        return [*story, *(Contents(self.places, n, t, style) for n, t in enumerate(fitted, 1))]

    def _section(self, number: int, section: Section) -> list[Any]:
        from reportlab.platypus import CondPageBreak, PageBreak, Spacer

        title = f"{number}. {section.title}"
        # A heading with less than a few lines under it goes to the next page.
        story: list[Any] = [PageBreak() if number == 1 else CondPageBreak(self.height * 0.14)]
        story.append(mark(self.places, number, self.letters.fit(title)))
        story.append(self._text(title, "section"))
        if section.intro:
            story += [self._text(section.intro), Spacer(1, 4)]
        for grid in section.grids:
            if grid.rows:
                story += [self._grid(grid), Spacer(1, 8)]
        above = ""
        for told in section.told:
            if told.above != above:
                story.append(self._text(told.above, "above"))
                above = told.above
            story += self._told(told)
        if not any(grid.rows for grid in section.grids) and not section.told:
            story.append(self._text(section.empty or "Nothing."))
        return story

    def _grid(self, grid: Grid) -> Any:
        from reportlab.platypus import LongTable, TableStyle

        lines = [[self._text(cell, "cell") for cell in row] for row in grid.rows]
        for line, share in zip(lines, grid.bars, strict=bool(grid.bars)):
            line.append(Bar(share, 8.0))
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
                    ("TOPPADDING", (0, 0), (-1, -1), 2.5),
                    ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
                    ("LEFTPADDING", (0, 0), (-1, -1), 2),
                    ("RIGHTPADDING", (0, 0), (-1, -1), 5),
                ]
            )
        )
        return table

    def _told(self, told: Told) -> list[Any]:
        from reportlab.platypus import KeepTogether

        story = [self._text(told.head, "head"), *(self._text(line) for line in told.lines)]
        if told.about:
            story.append(self._text(told.about, "small"))
        if told.photos:
            story.append(self._photo_row(told.photos[:_PHOTOS_ACROSS]))
        if sum(map(len, told.lines)) < _SHORT:
            story = [KeepTogether(story)]
        for first in range(_PHOTOS_ACROSS, len(told.photos), _PHOTOS_ACROSS):
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
            TableStyle(
                [
                    ("VALIGN", (0, 0), (-1, -1), "TOP"),
                    ("LEFTPADDING", (0, 0), (-1, -1), 0),
                    ("TOPPADDING", (0, 0), (-1, -1), 4),
                ]
            )
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
