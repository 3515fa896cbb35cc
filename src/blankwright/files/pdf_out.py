"""Writes pages as PDF at full size. The only module that knows reportlab.

Lettering is the face that reportlab brings along, put into the file, so that every printer prints
the same. Arcs become curves of at most an eighth of a turn, which stand off the true arc by less
than five millionths of its radius.
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from typing import Any

from blankwright.base.units import inches
from blankwright.drawing.lettering import CAP_HEIGHT
from blankwright.drawing.model import Anchor, Fill, Item, Ring, Stroke, Text
from blankwright.drawing.pages import Page
from blankwright.geom import vec
from blankwright.geom.edges import Edge, Line

POINTS_PER_INCH = 72.0
_FACE, _HEAVY = "Vera", "VeraBd"
_LONGEST_CURVE = math.pi / 4


def points(length: float) -> float:
    """Return a length [mm] in points of 1/72 in [pt]."""
    return inches(length) * POINTS_PER_INCH


def pages_pdf(pages: Sequence[Page], title: str) -> bytes:
    """Return pages as a PDF file at full size; the same pages give the same bytes.

    Args:
        pages: the pages, in order
        title: title in the file's properties
    """
    from reportlab.pdfgen.canvas import Canvas

    _register_faces()
    stream = io.BytesIO()
    canvas: Any = Canvas(stream, pageCompression=1, invariant=1)
    canvas.setTitle(title)
    canvas.setCreator("Blankwright")
    canvas.setViewerPreference("PrintScaling", "None")
    pen = _Pen(canvas)
    for page in pages:
        canvas.setPageSize((points(page.width), points(page.height)))
        _draw_page(canvas, pen, page)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _register_faces() -> None:
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    known = pdfmetrics.getRegisteredFontNames()
    for face in (_FACE, _HEAVY):
        if face not in known:
            pdfmetrics.registerFont(TTFont(face, f"{face}.ttf"))


def _draw_page(canvas: Any, pen: _Pen, page: Page) -> None:
    canvas.saveState()
    # From here on in mm, stretched about the middle of the page for the printer's own error.
    unit = points(1.0)
    canvas.scale(unit, unit)
    left, bottom = page.as_sent((0.0, 0.0))
    canvas.translate(left, bottom)
    canvas.scale(*page.stretch)
    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    if page.drawing is not None:
        canvas.saveState()
        x0, y0, x1, y1 = page.window
        path = canvas.beginPath()
        path.rect(x0, y0, x1 - x0, y1 - y0)
        canvas.clipPath(path, stroke=0, fill=0)
        canvas.translate(*page.shift)
        for item in page.drawing.items:
            pen.draw(item)
        canvas.restoreState()
    for item in page.furniture:
        pen.draw(item)
    canvas.restoreState()


class _Pen:
    """Draws items on a canvas whose unit is 1 mm."""

    def __init__(self, canvas: Any) -> None:
        self._canvas = canvas

    def draw(self, item: Item) -> None:
        """Draw one item in black (fills in their shade)."""
        canvas = self._canvas
        match item:
            case Stroke():
                self._stroke((item.edge,), item, closed=False)
            case Ring():
                self._stroke(item.loop.edges, item, closed=True)
            case Fill():
                path = canvas.beginPath()
                path.moveTo(*item.corners[0])
                for corner in item.corners[1:]:
                    path.lineTo(*corner)
                path.close()
                canvas.setFillGray(item.shade)
                canvas.drawPath(path, stroke=0, fill=1)
                canvas.setFillGray(0)
            case Text():
                self._text(item)

    def _stroke(self, edges: Sequence[Edge], item: Stroke | Ring, *, closed: bool) -> None:
        canvas = self._canvas
        canvas.setLineWidth(item.layer.weight)
        if item.layer.dashes:
            canvas.setDash(list(item.layer.dashes))
            canvas.setLineCap(0)
        path = canvas.beginPath()
        path.moveTo(*edges[0].start)
        for edge in edges:
            self._step(path, edge)
        if closed:
            path.close()
        canvas.drawPath(path, stroke=1, fill=0)
        if item.layer.dashes:
            canvas.setDash()
            canvas.setLineCap(1)

    def _step(self, path: Any, edge: Edge) -> None:
        if isinstance(edge, Line):
            path.lineTo(*edge.end)
            return
        count = max(1, math.ceil(abs(edge.sweep) / _LONGEST_CURVE - 1e-9))
        reach = 4 / 3 * math.tan(edge.sweep / count / 4) * edge.radius
        for i in range(count):
            part = edge.part(i / count, (i + 1) / count)
            a, b = part.begin, part.begin + part.sweep
            p = vec.along(part.start, (-math.sin(a), math.cos(a)), reach)
            q = vec.along(part.end, (-math.sin(b), math.cos(b)), -reach)
            path.curveTo(*p, *q, *part.end)

    def _text(self, item: Text) -> None:
        from reportlab.pdfbase import pdfmetrics

        canvas = self._canvas
        face = _HEAVY if item.bold else _FACE
        known = pdfmetrics.getFont(face).face.charToGlyph
        words = "".join(c if ord(c) in known else "?" for c in item.text)
        canvas.saveState()
        canvas.translate(*item.at)
        canvas.rotate(math.degrees(item.angle))
        canvas.setFont(face, item.height / CAP_HEIGHT)
        draw = {
            Anchor.LEFT: canvas.drawString,
            Anchor.CENTER: canvas.drawCentredString,
            Anchor.RIGHT: canvas.drawRightString,
        }[item.anchor]
        draw(0, 0, words)
        canvas.restoreState()
