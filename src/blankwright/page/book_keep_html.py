"""Keeping the book on the page: the builder's record, a backup, the book as data, a check."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Final

from blankwright.base.findings import Finding
from blankwright.page.plain import findings_html

HERE: Final = "keep"
GIVEN: Final = {
    "record-A4.pdf": "Builder's record, A4",
    "record-Letter.pdf": "Builder's record, Letter",
    "backup.zip": "Backup: book, history, photos",
    "book.json": "The book as JSON",
    "book-csv.zip": "The book as CSV tables",
}
"""File that is made when it is asked for, and what its key says."""


def keep_page(where: str, found: Sequence[Finding] | None) -> str:
    """Return the page.

    Args:
        where: where the book is kept
        found: what the check found; nothing when it wasn't run
    """
    keys = "".join(
        f'<a class="key" href="/book/give/{name}" download>{escape(text)}</a>'
        for name, text in GIVEN.items()
    )
    checked = ""
    if found is not None:
        checked = findings_html(found) or (
            '<p class="bw-kept" role="status">The book is whole, and every photo is as it was'
            " kept.</p>"
        )
    return (
        f"<section><h2>Take it along</h2><p>The book is kept in {escape(where)}. Keep backups on"
        f' another disk, away from the shop.</p><p class="bw-do">{keys}</p></section>'
        f"<section><h2>Look it over</h2><p>Reads the whole book, and every photo against its"
        f' hash.</p><p class="bw-do"><a class="key" href="/book/{HERE}?check=1">Check the book</a>'
        f"</p>{checked}</section>"
        "<section><h2>Put a backup back</h2><p>In a new project folder: <code>blankwright book"
        " restore FILE</code>. Nothing is ever written over.</p></section>"
    )
