"""What all pages of the job book share: the head, tables, keys, how moments are shown."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import datetime
from html import escape
from pathlib import Path
from typing import Final

from blankwright.page.plain import EARLY, head_html

STATIC: Final = Path(__file__).parent / "static"
PAGES: Final = (
    ("", "What next"),
    ("tasks", "Tasks"),
    ("order", "Order"),
    ("log", "Log"),
    ("hardware", "Hardware"),
    ("parts", "Parts"),
    ("deviations", "Deviations"),
    ("inspection", "Inspection"),
    ("lots", "Lots"),
    ("history", "History"),
    ("keep", "Keep"),
)
"""Address under ``/book`` and name of each page."""

Cell = str
"""A table cell, escaped already."""


def whole(title: str, here: str, boxes: Sequence[tuple[str, str]], body: str) -> str:
    """Return a whole page.

    Args:
        title: the airplane
        here: which of `PAGES` it is
        boxes: name and text of more boxes of the head
        body: what stands under the head
    """
    look = (STATIC / "look.css").read_text(encoding="utf-8")
    own = (STATIC / "book.css").read_text(encoding="utf-8")
    keys = "".join(
        f'<a class="key" href="/book{"/" if name else ""}{name}"'
        + (' aria-current="page">' if name == here else ">")
        + f"{text}</a>"
        for name, text in PAGES
    )
    # Without the referrer, forms would not say where they come from, and the guard refuse them.
    return f"""<!doctype html><html lang="en"><head><meta charset="utf-8">
<meta name="viewport" content="width=device-width,initial-scale=1">
<meta name="referrer" content="same-origin"><title>Job book - Blankwright</title>
<style>{look}{own}</style>{EARLY}</head><body><div class="bw bw-book">
<header class="bw-head">{head_html("Job book", "Airplane", title, boxes)}</header>
<nav class="bw-keys" aria-label="Job book">{keys}</nav><main>{body}</main>
</div></body></html>"""


def table(caption: str, head: Sequence[str], rows: Iterable[Sequence[Cell]], none: str) -> str:
    """Return a table under its caption, or a line that says there is nothing."""
    lines = ["<tr>" + "".join(map(_cell, row)) + "</tr>" for row in rows]
    title = f"<h2>{escape(caption)}</h2>"
    if not lines:
        return f"<section>{title}<p>{escape(none)}</p></section>"
    heads = "".join(f'<th scope="col">{escape(name)}</th>' for name in head)
    return (
        f"<section>{title}<div class='bw-wide' tabindex='0' role='region'"
        f' aria-label="{escape(caption)}"><table><thead><tr>{heads}</tr></thead>'
        f"<tbody>{''.join(lines)}</tbody></table></div></section>"
    )


def _cell(cell: Cell) -> str:
    whole_day = ' class="bw-day"' if _DAY.fullmatch(cell) else ""
    return f"<td{whole_day}>{cell}</td>"


_DAY: Final = re.compile(r"\d{4}-\d\d-\d\d")
"""A cell that is a day and nothing else is never broken at its dashes."""


def key(action: str, text: str, label: str = "", **fields: object) -> str:
    """Return a key that does something when pressed."""
    hidden = "".join(
        f'<input type="hidden" name="{name}" value="{escape(str(value))}">'
        for name, value in fields.items()
    )
    told = f' aria-label="{escape(label)}"' if label else ""
    return (
        f'<form method="post" action="/book/{action}">{hidden}'
        f"<button{told}>{escape(text)}</button></form>"
    )


def when(moment: datetime | None, *, day: bool = False) -> str:
    """Return a moment by the shop's clock."""
    if moment is None:
        return ""
    return moment.astimezone().strftime("%Y-%m-%d" if day else "%Y-%m-%d %H:%M")


KEPT: Final = (
    '<p class="bw-kept" role="status">Written down. What is wrong can be taken back under History.'
    "</p>"
)
"""Shown after something was written."""
