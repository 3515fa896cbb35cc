"""The builder's record: what an inspector reads, gathered from the book, in its printed order."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """A table.

    Args:
        head: column heads
        rows: cells, in words
        widths: share of the page's width each column takes [-]
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A photo.

    Args:
        path: path of its shrunk copy
        caption: what it shows
        sha256: hash of the whole photo, in hex
    """

    path: str
    caption: str
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A paragraph group: a bold line, lines under it, photos under those."""

    head: str
    lines: tuple[str, ...] = ()
    photos: tuple[Shown, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A section of the record: a sentence, a table or two, paragraphs."""

    title: str
    intro: str = ""
    grids: tuple[Grid, ...] = ()
    told: tuple[Told, ...] = ()
    empty: str = ""
    """What stands there when there is nothing else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildersRecord:
    """The whole record.

    Args:
        airplane: what is built
        serial: its serial number; empty if there is none
        builder: who builds it
        printed: when it was printed, in words
        facts: numbers on the first page, each a name and a value
        sections: in order
    """

    airplane: str
    serial: str
    builder: str
    printed: str
    facts: tuple[tuple[str, str], ...]
    sections: tuple[Section, ...]
