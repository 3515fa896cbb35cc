"""The traveler as a PDF, read back before it is handed out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

from blankwright.base.errors import OurBug, Problem
from blankwright.base.findings import Finding
from blankwright.base.trail import TrailStep
from blankwright.develop.blank import Blank
from blankwright.develop.formed import Formed
from blankwright.develop.view import View
from blankwright.drawing.cards.sheet import CardSheet
from blankwright.drawing.cards.traveler import traveler
from blankwright.drawing.model import Text
from blankwright.drawing.pages import Page
from blankwright.drawing.paper import PrintSetup
from blankwright.files.pdf_out import pages_pdf
from blankwright.files.pdf_read import PdfPages
from blankwright.part.model import Part


def traveler_pdf(
    part: Part,
    blank: Blank,
    formed: Formed,
    findings: Sequence[Finding],
    trail: Sequence[TrailStep],
    views: Sequence[View],
    setup: PrintSetup,
    sections: Sequence[Callable[[CardSheet], None]] = (),
) -> bytes:
    """Return the traveler of a part as a PDF file; same input, same bytes.

    Args:
        part: as stated
        blank: its blank
        formed: finished
        findings: what the checks found
        trail: where every number comes from
        views: of the formed part, the oblique last
        setup: paper and margins
        sections: fill more of the card

    Raises:
        OurBug: when the file, read back, lacks any of its words or figures, or runs off the paper
    """
    pages = traveler(part, blank, formed, findings, trail, views, setup, sections)
    data = pages_pdf(pages, f"Traveler {part.title or part.name}")
    prove_card(data, pages, f"traveler of {part.name}")
    return data


def prove_card(data: bytes, pages: Sequence[Page], name: str) -> None:
    """Read a card back with another library: every word is there, nothing runs off the paper.

    Raises:
        OurBug: with what is missing, or what runs off and by how much
    """
    with PdfPages(data) as file:
        read = [file.words(i) for i in range(len(file))]
    if len(read) != len(pages):
        raise _failed(name, f"{len(read)} pages instead of {len(pages)}")
    for page, text in zip(pages, read, strict=True):
        found = "".join(text.split())
        words = "".join("".join(i.text.split()) for i in page.furniture if isinstance(i, Text))
        if Counter(found) != Counter(words):
            lacks = "".join((Counter(words) - Counter(found)).elements())
            extra = "".join((Counter(found) - Counter(words)).elements())
            raise _failed(name, f"page {page.name} lacks letters {lacks!r}, has {extra!r} too many")
        for item in page.furniture:
            x0, y0, x1, y1 = item.box
            off = max(-x0, -y0, x1 - page.width, y1 - page.height)
            if off > 0:
                raise _failed(name, f"page {page.name} runs off the paper by {off:.1f} mm")
            if isinstance(item, Text) and "".join(item.text.split()) not in found:
                raise _failed(name, f"page {page.name} lacks the words {item.text!r}")


def _failed(name: str, got: str) -> OurBug:
    return OurBug(
        Problem(
            code="CARD-001",
            where=name,
            got=f"the card written is not the card laid out: {got}",
            fix="Nothing was kept. Report this with the part file: it is our bug",
        )
    )
