"""Inspection on the page: stages to be seen, recurring items, and their forms."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Final

from blankwright.book import records as r
from blankwright.book.yearly import SECONDS, YearlyTime
from blankwright.page.book_forms import Ask, Doing, form, way, ways
from blankwright.page.book_html import table, when

HERE: Final = "inspection"
KINDS: Final = {f"count{place}": kind for place, kind in enumerate(SECONDS)}
"""Field of the form to kind of fastener."""


def inspection_page(
    stages: Sequence[r.Stage], yearly: Sequence[YearlyTime], doing: Doing, parts: Sequence[str]
) -> str:
    """Return the page.

    Args:
        stages: all stages, those not seen first
        yearly: recurring items
        doing: what is about to be done
        parts: names of the book's parts
    """
    new = ways(
        way(HERE, "stage-add", "New stage"),
        way(HERE, "recurring-add", "New recurring item"),
    )
    return (
        (_form(stages, yearly, doing, parts) or new)
        + table(
            "Seen before it is closed up",
            ("no.", "stage", "closed up by", "major part", "seen", "by", "what they said"),
            map(_stage, stages),
            "No stages.",
        )
        + table(
            "Recurring",
            ("no.", "item", "cover off", "fasteners", "minutes", "last", "due"),
            map(_yearly, yearly),
            "No recurring items.",
        )
    )


def _stage(s: r.Stage) -> tuple[str, ...]:
    keys = []
    if s.seen_at is None:
        keys.append(way(HERE, "stage-seen", "Seen", f"Seen: {s.title}", no=s.id))
    keys.append(way(HERE, "stage-change", "Change", f"Change {s.title}", no=s.id))
    return (
        str(s.id),
        escape(s.title) + ways(*keys),
        escape(s.closes),
        escape(s.major),
        when(s.seen_at, day=True) or "<b>NOT SEEN</b>",
        escape(s.seen_by),
        escape(s.found),
    )


def _yearly(t: YearlyTime) -> tuple[str, ...]:
    keys = way(HERE, "recurring-done", "Done", f"Done: {t.item.title}", no=t.item.id)
    keys += way(HERE, "recurring-change", "Change", f"Change {t.item.title}", no=t.item.id)
    ended = f" <b>ended {when(t.item.ended_at, day=True)}</b>" if t.item.ended_at else ""
    return (
        str(t.item.id),
        escape(t.item.title) + ended + ways(keys),
        escape(t.item.cover),
        str(t.fasteners),
        f"{t.minutes:.0f}",
        when(t.last, day=True) or "never",
        _due(t),
    )


def _due(t: YearlyTime) -> str:
    if t.item.ended_at:
        return ""
    return (when(t.due, day=True) or "now") + (" <b>overdue</b>" if t.overdue and t.due else "")


def _form(
    stages: Sequence[r.Stage], yearly: Sequence[YearlyTime], doing: Doing, parts: Sequence[str]
) -> str:
    if doing.action == "stage-add":
        return form(doing, "New stage", _said(parts), "Write it down", back=HERE)
    if doing.action == "recurring-add":
        note = "Leave all counts empty to take the screws of the cover's own rows."
        asks = _looked_at(parts)
        return form(doing, "New recurring item", asks, "Write it down", back=HERE, note=note)
    for t in yearly:
        if doing.action == "recurring-change" and t.item.id == doing.number:
            title = f"Change recurring item {t.item.id}"
            return form(doing, title, _looked_at(parts, t), "Save", back=HERE, no=t.item.id)
    if doing.action == "recurring-done":
        for t in yearly:
            if t.item.id == doing.number:
                asks = [
                    Ask(name="minutes", label="Time", about="45, 1:30", kind="number"),
                    Ask(name="found", label="What was found", kind="long"),
                ]
                title = f"Done: {t.item.title}"
                return form(doing, title, asks, "Write it down", back=HERE, no=t.item.id)
    for s in stages:
        if s.id != doing.number:
            continue
        if doing.action == "stage-change":
            asks = _said(parts, s)
            return form(doing, f"Change stage {s.id}", asks, "Save", back=HERE, no=s.id)
        if doing.action == "stage-seen":
            asks = [
                Ask(name="by", label="Who saw it"),
                Ask(name="found", label="What they said", about="in their words", kind="long"),
            ]
            return form(doing, f"Seen: {s.title}", asks, "Write it down", back=HERE, no=s.id)
    return ""


def _looked_at(parts: Sequence[str], t: YearlyTime | None = None) -> list[Ask]:
    item = t.item if t else None
    counts = dict(t.counts) if t else {}
    asks = [
        Ask(name="title", label="What is looked at", value=item.title if item else ""),
        Ask(
            name="cover",
            label="What must come off for it",
            among=parts,
            value=item.cover if item else "",
        ),
        Ask(
            name="months",
            label="Every",
            about="months",
            kind="number",
            value=str(item.months) if item else "12",
        ),
        Ask(
            name="looking",
            label="The looking itself",
            about="45, 1:30",
            kind="number",
            value=f"{item.minutes:.0f}" if item else "",
        ),
        *(
            Ask(name=n, label=f"{k}, how many", kind="number", value=str(counts.get(k, "")))
            for n, k in KINDS.items()
        ),
    ]
    if item is not None:
        ended = [("", "it goes on"), ("yes", "not looked at any more")]
        value = "yes" if item.ended_at else ""
        asks.append(
            Ask(name="ended", label="Does it go on", kind="choice", options=ended, value=value)
        )
    return asks


def _said(parts: Sequence[str], row: r.Stage | None = None) -> list[Ask]:
    return [
        Ask(name="title", label="What is to be seen", value=row.title if row else ""),
        Ask(
            name="closes",
            label="What closes it up",
            value=row.closes if row else "",
            among=parts,
        ),
        Ask(name="major", label="Major part", value=row.major if row else ""),
    ]
