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
        bars: of each row the length of a bar in one more column, as a share of it [-]; none
            for a table without
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]
    bars: tuple[float, ...] = ()


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
    """A paragraph group: a bold line, lines under it, photos under those.

    Args:
        head: the bold line
        lines: under it
        photos: under those
        about: a line in small type under those
        above: heading of a run of such groups, such as a month; printed where it changes
    """

    head: str
    lines: tuple[str, ...] = ()
    photos: tuple[Shown, ...] = ()
    about: str = ""
    above: str = ""


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
