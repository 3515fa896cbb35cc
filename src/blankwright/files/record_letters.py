"""The faces that the builder's record is printed with, and the signs that they lack."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final
from xml.sax.saxutils import escape

from blankwright.base.errors import BadInput, Problem

LACKING: Final = "¤"
_SWAPPED: Final = {"→": "->", "′": "'", "″": '"', "‑": "-", "\u00a0": " ", "✓": "x", "\t": " "}


class Letters:
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
