"""Deviations on the page: open ones as cards with their keys, closed ones as a table."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Final

from blankwright.book import records as r
from blankwright.jobs.book_deviations import Case
from blankwright.page.book_forms import Ask, Doing, form, way, ways
from blankwright.page.book_html import table, when

HERE: Final = "deviations"
_CARE: Final = (
    '<aside class="bw-care"><p>The book writes down what people said. It doesn\'t accept a'
    " deviation: the designer, the inspector and the local authority decide.</p></aside>"
)


def deviations_page(found: Sequence[Case], doing: Doing, parts: Sequence[str]) -> str:
    """Return the page.

    Args:
        found: all deviations, open ones first
        doing: what is about to be done
        parts: names of the book's parts
    """
    cards = "".join(_card(case) for case in found if case.is_open)
    return (
        (_form(found, doing, parts) or ways(way(HERE, "deviation-open", "New deviation")))
        + f"<section><h2>Open deviations</h2>{cards or '<p>None is open.</p>'}</section>"
        + table(
            "Closed deviations",
            ("no.", "what", "why", "drawing", "parts", "checked", "whose word", "closed"),
            [_closed(case) for case in found if not case.is_open],
            "None is closed.",
        )
        + _CARE
    )


def _card(case: Case) -> str:
    row = case.deviation
    lines = [
        ("Why", escape(row.why)),
        ("Drawing", escape(row.drawing)),
        ("Parts", escape(_parts(case))),
        ("Checked", _lines(row.checked)),
        *(("Asked", _word(word)) for word in case.words),
        ("Opened", f"{when(row.opened_at, day=True)} by {escape(row.opened_by)}"),
    ]
    if not case.words:
        lines.append(("Asked", "nobody yet"))
    told = "".join(f"<dt>{name}</dt><dd>{text}</dd>" for name, text in lines if text)
    name = f"deviation {row.id}"
    answers = [
        way(HERE, "deviation-answer", f"Answer of {word.whom}", no=word.id)
        for word in case.unanswered
    ]
    keys = [
        *answers,
        way(HERE, "deviation-checked", "Checked", f"Checked: {name}", no=row.id),
        way(HERE, "deviation-ask", "Ask", f"Ask about {name}", no=row.id),
        way(HERE, "deviation-change", "Change", f"Change {name}", no=row.id),
        way(HERE, "deviation-close", "Close", f"Close {name}", no=row.id),
    ]
    return (
        f'<article class="bw-case"><h3><b>OPEN</b> {row.id}: {escape(row.what)}</h3>'
        f"<dl>{told}</dl>{ways(*keys)}</article>"
    )


def _closed(case: Case) -> tuple[str, ...]:
    row = case.deviation
    ground = f"{when(row.closed_at, day=True)} by {escape(row.closed_by)}: {escape(row.closing)}"
    return (
        str(row.id),
        escape(row.what),
        escape(row.why),
        escape(row.drawing),
        escape(_parts(case)),
        _lines(row.checked),
        "<br>".join(map(_word, case.words)) or "nobody was asked",
        ground,
    )


def _word(word: r.Word) -> str:
    asked = f"{escape(word.whom)}, asked {when(word.asked_at, day=True)}: "
    if word.answered_at is None:
        return asked + "<b>no answer yet</b>"
    return asked + f"{when(word.answered_at, day=True)} “{escape(word.answer)}”"


def _parts(case: Case) -> str:
    return ", ".join(part.name for part in case.parts)


def _lines(text: str) -> str:
    return escape(text).replace("\n", "<br>")


def _what(parts: Sequence[str], row: r.Deviation | None = None, touched: str = "") -> list[Ask]:
    return [
        Ask(name="what", label="What differs", kind="long", value=row.what if row else ""),
        Ask(name="why", label="Why", kind="long", value=row.why if row else ""),
        Ask(
            name="drawing",
            label="Drawing",
            about="and place on it",
            value=row.drawing if row else "",
        ),
        Ask(
            name="parts",
            label="Parts",
            about="with commas between",
            value=touched,
            among=() if touched else parts,
        ),
    ]


def _form(found: Sequence[Case], doing: Doing, parts: Sequence[str]) -> str:
    """The form that is wanted; nothing when none is, or for what isn't there."""
    if doing.action == "deviation-open":
        asks = [*_what(parts), Ask(name="checked", label="What was checked", kind="long")]
        return form(doing, "New deviation from the drawing", asks, "Write it down", back=HERE)
    if doing.action == "deviation-answer":
        for asked in found:
            for word in asked.words:
                if word.id == doing.number:
                    answer = Ask(name="answer", label="What was said", about="in their words")
                    title = f"Answer of {word.whom} about deviation {asked.deviation.id}"
                    return form(doing, title, [answer], "Write it down", back=HERE, no=doing.number)
        return ""
    case = next((c for c in found if c.is_open and c.deviation.id == doing.number), None)
    if case is None:
        return ""
    row = case.deviation
    asks, title, key = {
        "deviation-change": (_what(parts, row, _parts(case)), f"Change deviation {row.id}", "Save"),
        "deviation-checked": (
            [Ask(name="checked", label="What was checked", kind="long")],
            f"Deviation {row.id}: {row.what}",
            "Write it down",
        ),
        "deviation-ask": (
            [Ask(name="whom", label="Who was asked", among=_ASKED)],
            f"Deviation {row.id}: {row.what}",
            "Write it down",
        ),
        "deviation-close": (
            [Ask(name="ground", label="On what ground", about="in your own words", kind="long")],
            f"Close deviation {row.id}: {row.what}",
            "Close it, on my word",
        ),
    }.get(doing.action, ([], "", ""))
    return form(doing, title, asks, key, back=HERE, no=row.id) if asks else ""


_ASKED: Final = ("the designer", "the inspector")
