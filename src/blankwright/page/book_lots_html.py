"""Material lots on the page: the numbers printed on them, and what was made from each."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Final

from blankwright.book import records as r
from blankwright.page.book_forms import Ask, Doing, form, way, ways
from blankwright.page.book_html import table, when

HERE: Final = "lots"


def lots_page(
    found: Sequence[tuple[r.Lot, tuple[str, ...]]], doing: Doing, parts: Sequence[str]
) -> str:
    """Return the page.

    Args:
        found: lots, each with the names of the parts made from it
        doing: what is about to be done
        parts: names of the book's parts
    """
    return (_form(found, doing, parts) or ways(way(HERE, "lot-add", "New lot"))) + table(
        "Material lots",
        ("no.", "material", "number on it", "from", "paper", "came", "parts", "note"),
        [_row(lot, made) for lot, made in found],
        "None was written down.",
    )


def _row(lot: r.Lot, made: Sequence[str]) -> tuple[str, ...]:
    use = way(HERE, "lot-use", "Part from it", f"Part from it: lot {lot.id}", no=lot.id)
    change = way(HERE, "lot-change", "Change", f"Change lot {lot.id}", no=lot.id)
    return (
        str(lot.id),
        escape(lot.material) + ways(use, change),
        f"<b>{escape(lot.number)}</b>",
        escape(lot.bought_from),
        escape(lot.paper),
        when(lot.at, day=True),
        escape(", ".join(made)),
        escape(lot.note),
    )


def _form(
    found: Sequence[tuple[r.Lot, tuple[str, ...]]], doing: Doing, parts: Sequence[str]
) -> str:
    if doing.action == "lot-add":
        return form(doing, "New lot", _said(), "Write it down", back=HERE)
    lot = next((lot for lot, _ in found if lot.id == doing.number), None)
    if lot is None:
        return ""
    if doing.action == "lot-change":
        return form(doing, f"Change lot {lot.id}", _said(lot), "Save", back=HERE, no=lot.id)
    if doing.action == "lot-use":
        asks = [
            Ask(name="part", label="Part", kind="choice", options=[(p, p) for p in parts]),
            Ask(name="note", label="Note"),
        ]
        title = f"A part was made from lot {lot.id}: {lot.material}, {lot.number}"
        return form(doing, title, asks, "Write it down", back=HERE, no=lot.id)
    return ""


def _said(lot: r.Lot | None = None) -> list[Ask]:
    return [
        Ask(
            name="material",
            label="Material",
            about="such as 6061-T6 sheet 0.040 in",
            value=lot.material if lot else "",
        ),
        Ask(name="number", label="Number printed on it", value=lot.number if lot else ""),
        Ask(name="bought_from", label="Bought from", value=lot.bought_from if lot else ""),
        Ask(
            name="paper",
            label="Paper",
            about="certificate, invoice",
            value=lot.paper if lot else "",
        ),
        Ask(name="note", label="Note", value=lot.note if lot else ""),
    ]
