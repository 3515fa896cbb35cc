"""The history on the page: every change, what it touched, and a key that takes it back."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from html import escape
from typing import Any, Final

from blankwright.book import records as r
from blankwright.book.history import Past
from blankwright.page.book_forms import Doing
from blankwright.page.book_html import key, table, when

HERE: Final = "history"
AT_ONCE: Final = 50
"""Changes shown at first, and more each time."""
_MOST: Final = 100_000


def how_many(doing: Doing) -> int:
    """Return how many changes are asked for by the page's address."""
    typed = doing.words.get("last", "")
    asked = int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 7 else AT_ONCE
    return min(max(asked, AT_ONCE), _MOST)


def history_page(found: Sequence[Past], last: int) -> str:
    """Return the page.

    Args:
        found: the newest changes first
        last: how many were asked for
    """
    rows = [
        (
            str(past.note.id),
            when(past.note.at),
            escape(past.note.who),
            _told(past),
            f"taken back by {past.taken_back_by}"
            if past.taken_back_by
            else key("take-back", "Take back", f"Take back: {past.note.what}", change=past.note.id),
        )
        for past in found
    ]
    older = ""
    if len(found) == last:
        address = f"/book/{HERE}?last={last + AT_ONCE}"
        older = f'<p class="bw-do"><a class="key" href="{address}">Older ones too</a></p>'
    return table("Changes", ("no.", "when", "who", "what", ""), rows, "Nothing yet.") + older


def _told(past: Past) -> str:
    touched = "".join(f"<li>{escape(said)}</li>" for row in past.rows for said in _row(row))
    return (
        f"<details><summary>{escape(past.note.what)}</summary><ul>{touched}</ul></details>"
        if touched
        else escape(past.note.what)
    )


def _row(row: r.ChangeRow) -> Iterator[str]:
    called = f"{row.table.replace('_', ' ')} {row.row_id}"
    before: dict[str, Any] = json.loads(row.before) if row.before else {}
    after: dict[str, Any] = json.loads(row.after) if row.after else {}
    if not before:
        yield f"{called} added: {_values(after)}"
    elif not after:
        yield f"{called} taken out: {_values(before)}"
    else:
        for name, value in after.items():
            yield f"{called}, {name.replace('_', ' ')}: {_said(before.get(name))} → {_said(value)}"


def _values(values: dict[str, Any]) -> str:
    told = {
        name: value for name, value in values.items() if value not in ("", None) and name != "id"
    }
    return ", ".join(f"{name.replace('_', ' ')} {_said(value)}" for name, value in told.items())


def _said(value: object) -> str:
    return "nothing" if value in ("", None) else str(value)
