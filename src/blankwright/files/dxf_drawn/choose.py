"""Which lines of a drawing are meant: ``layer BENDS``, ``line type CENTER, colour 1``, ``layer 0,
open lines``."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from blankwright.base.quantities import BadText
from blankwright.files.dxf_drawn.model import DrawnEdge, Pen

ALLOWED: Final = (
    "`layer NAME`, `line type NAME`, `colour NUMBER`, `closed lines`, `open lines`, or several of"
    " these with commas between"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Lines that are meant: all that is stated must hold.

    Args:
        text: as typed
        layer: name of the layer, in capitals; empty for any
        line_type: name of the line type, in capitals; empty for any
        colour: number of the colour; 0 for any
        closed: only lines that close loops, or only those that close none; nothing for both
    """

    text: str
    layer: str = ""
    line_type: str = ""
    colour: int = 0
    closed: bool | None = None

    def fits(self, pen: Pen) -> bool:
        """Say whether lines of a pen may be meant."""
        return (
            (not self.layer or self.layer == pen.layer.upper())
            and (not self.line_type or self.line_type == pen.line_type)
            and (not self.colour or self.colour == pen.colour)
        )

    def takes(self, edge: DrawnEdge) -> bool:
        """Say whether a line may be meant; one on a hidden layer only when that is named."""
        hidden = bool(edge.hidden) and not (self.layer and edge.hidden.startswith("layer "))
        return self.fits(edge.pen) and not hidden


def read_choice(text: str) -> Choice:
    """Read a choice.

    Raises:
        BadText: DRAWN-010 when it can't be read
    """
    stated: dict[str, str] = {}
    for words in text.split(","):
        match = re.fullmatch(
            r"\s*(?:(layer)\s+(.+?)|(line\s?type)\s+(.+?)|(colou?r)\s+(\d+)|(closed|open)\s+lines?)\s*",
            words,
            re.IGNORECASE,
        )
        if match is None:
            raise _bad(text, f"`{words.strip() or text}` says no lines")
        if match[1]:
            key, value = "layer", match[2]
        elif match[3]:
            key, value = "line type", match[4]
        elif match[5]:
            key, value = "colour", match[6]
        else:
            key, value = "lines", match[7].lower()
        if key in stated:
            raise _bad(text, f"`{text}` states {key} twice")
        stated[key] = value
    return Choice(
        text=text.strip(),
        layer=stated.get("layer", "").upper(),
        line_type=stated.get("line type", "").upper(),
        colour=int(stated.get("colour", "0")),
        closed={"closed": True, "open": False}.get(stated.get("lines", "")),
    )


def _bad(text: str, got: str) -> BadText:
    return BadText("DRAWN-010", got, ALLOWED, "Write `layer 0` to mean a layer named 0")


def choice_text(pen: Pen, *, line_type: bool, colour: bool, closed: bool | None) -> str:
    """Return the text of a choice by a pen's layer, and by more of it where that is needed."""
    words = [f"layer {pen.layer}"]
    if line_type:
        words.append(f"line type {pen.line_type}")
    if colour:
        words.append(f"colour {pen.colour}")
    if closed is not None:
        words.append("closed lines" if closed else "open lines")
    return ", ".join(words)


def chosen(edges: Sequence[DrawnEdge], choices: Iterable[Choice]) -> set[int]:
    """Return the numbers of the edges that any of some choices may mean."""
    wanted = tuple(choices)
    return {i for i, edge in enumerate(edges) if any(c.takes(edge) for c in wanted)}
