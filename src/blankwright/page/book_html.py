"""The job book's pages as HTML: tables, keys and forms that work without a script."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from html import escape
from pathlib import Path
from typing import Final
from urllib.parse import quote, urlencode

from blankwright.book import records as r
from blankwright.book.hardware import Stock
from blankwright.book.history import Past
from blankwright.book.needs import Standing
from blankwright.book.yearly import YearlyTime
from blankwright.jobs.book_deviations import Case
from blankwright.jobs.book_hardware import Shelf
from blankwright.jobs.book_log import Line, LogPage
from blankwright.page.plain import EARLY, head_html

STATIC: Final = Path(__file__).parent / "static"
PAGES: Final = (
    ("", "What next"),
    ("log", "Log"),
    ("hardware", "Hardware"),
    ("deviations", "Deviations"),
    ("inspection", "Inspection"),
    ("history", "History"),
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
    lines = ["<tr>" + "".join(f"<td>{cell}</td>" for cell in row) + "</tr>" for row in rows]
    title = f"<h2>{escape(caption)}</h2>"
    if not lines:
        return f"<section>{title}<p>{escape(none)}</p></section>"
    heads = "".join(f'<th scope="col">{escape(name)}</th>' for name in head)
    return (
        f"<section>{title}<div class='bw-wide' tabindex='0' role='region'"
        f' aria-label="{escape(caption)}"><table><thead><tr>{heads}</tr></thead>'
        f"<tbody>{''.join(lines)}</tbody></table></div></section>"
    )


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


def trouble(lines: Sequence[str]) -> str:
    """Return what went wrong, as a notice."""
    if not lines:
        return ""
    return "".join(f'<p class="bw-wrong" role="alert">{escape(line)}</p>' for line in lines)


def next_page(found: Sequence[Standing], position: str) -> str:
    """What can be done now, and what waits for what."""
    ready = [s for s in found if s.can_be_done]
    rows = [
        (
            str(s.job.number),
            escape(s.job.title) + (" <b>begun</b>" if s.job.begun else ""),
            f"{s.job.hours:.1f}",
            escape("; ".join(filter(None, [f"lay it {s.turn}" if s.turn else "", s.job.setup]))),
            (
                ""
                if s.job.begun
                else key("begin", "Begin", f"Begin {s.job.title}", task=s.job.number)
            )
            + key("done", "Done", f"Done: {s.job.title}", task=s.job.number),
        )
        for s in ready
    ]
    waits = [
        (
            str(s.job.number),
            escape(s.job.title),
            "<br>".join(
                escape(w.text + (f", until {when(w.until)}" if w.until else "")) for w in s.waits
            ),
        )
        for s in found
        if not s.can_be_done
    ]
    lies = f"<p>The airplane lies {escape(position)}.</p>" if position else ""
    return (
        lies
        + table("Can be done now", ("no.", "task", "hours", "first", ""), rows, "Nothing.")
        + table("Waits", ("no.", "task", "for"), waits, "Nothing waits.")
    )


def _keys(standing: Standing) -> str:
    job = standing.job
    done = key("done", "Done", f"Done: {job.title}", task=job.number)
    if job.begun:
        return done
    return key("begin", "Begin", f"Begin {job.title}", task=job.number) + done


def log_form(tasks: Sequence[Standing]) -> str:
    """The form that writes a log entry."""
    options = "".join(
        f'<option value="{s.job.number}">{escape(s.job.title)}</option>'
        for s in tasks
        if s.can_be_done
    )
    return f"""<section><h2>Write down</h2>
<form class="bw-write" method="post" action="/book/entry" enctype="multipart/form-data">
<label class="grow">What was done<textarea name="text" rows="2"></textarea></label>
<label>Minutes<input type="text" name="minutes" inputmode="numeric" size="5"></label>
<label>Task<select name="task"><option value="">none</option>{options}</select></label>
<label>Who helped<input type="text" name="helpers"></label>
<label>Photos<input type="file" name="photo" accept="image/*" multiple></label>
<button class="strong">Save</button></form></section>"""


def log_body(page: LogPage, text: str, count: int) -> str:
    """A page of the log with its search and its turning keys."""
    turn = []
    for start, name in ((page.start - count, "Newer"), (page.start + count, "Older")):
        if 0 <= start < page.total or (name == "Newer" and page.start > 0):
            words = urlencode({"start": max(0, start), "text": text})
            turn.append(f'<a class="key" href="/book/log?{words}">{name}</a>')
    last = page.start + len(page.lines)
    first = page.start + 1 if page.lines else 0
    return f"""<section><h2>Log</h2><form class="bw-write" method="get" action="/book/log">
<label class="grow">Find<input type="search" name="text" value="{escape(text)}"></label>
<button>Find</button></form><p>{first} to {last} of {page.total}</p>
<ol class="bw-log">{"".join(map(_line, page.lines))}</ol><p>{"".join(turn)}</p></section>"""


def _line(line: Line) -> str:
    entry = line.entry
    about = [
        line.task.title if line.task else (line.part.name if line.part else ""),
        entry.place,
        entry.who,
        f"helped: {entry.helpers}" if entry.helpers else "",
    ]
    photos = "".join(
        f'<a href="/book/photo/{quote(p.file)}"><img loading="lazy" width="240"'
        f' src="/book/small/{quote(p.file)}" alt="{escape(p.caption or p.name or "photo")}"></a>'
        for p in line.photos
    )
    sizes = "".join(f"<li>{_size(m)}</li>" for m in line.measurements)
    return (
        f"<li><p><b>{when(entry.at)}</b> · {entry.minutes} min · no. {entry.id}</p>"
        f"<p>{escape(entry.text).replace(chr(10), '<br>')}</p>"
        f"<p>{escape(' · '.join(filter(None, about)))}</p>"
        f"{f'<ul>{sizes}</ul>' if sizes else ''}{f'<p>{photos}</p>' if photos else ''}</li>"
    )


def _size(one: r.Measurement) -> str:
    told = escape(one.size + " " + one.value + (f" ± {one.plus_minus}" if one.plus_minus else ""))
    if one.state is r.SizeState.IN_PART_FILE:
        was = f", was {escape(one.old)}" if one.old else ""
        return f"{told}: in the part file{was}"
    label = f"Put {one.size} into the part file"
    return told + key("size", "Into the part file", label, measurement=one.id)


def hardware_page(shelf: Shelf, titles: dict[int, str]) -> str:
    """What to order, what is in hand, and what each wait holds up."""

    def row(stock: Stock) -> tuple[Cell, ...]:
        numbers = (stock.needed, stock.used, stock.in_hand, stock.on_order)
        order = f"<b>{stock.to_order:g}</b>" if stock.to_order else "0"
        return (
            escape(stock.item.number),
            escape(stock.item.title),
            *(f"{number:g}" for number in numbers),
            when(stock.due, day=True),
            order,
            escape(stock.item.unit),
        )

    held = [
        (
            escape(h.stock.item.number),
            "<br>".join(escape(titles.get(n, "")) for n in h.direct),
            str(len(h.all_tasks)),
            f"{h.hours:.1f}",
            "yes" if h.critical else "",
        )
        for h in shelf.holdups
    ]
    head = ("number", "what", "needed", "used", "in hand", "on order", "due", "to order", "unit")
    return table("Hardware", head, map(row, shelf.stocks), "None entered.") + table(
        "What its want holds up",
        ("number", "waits for it", "tasks behind", "hours", "critical chain"),
        held,
        "Nothing is held up.",
    )


def deviations_page(found: Sequence[Case]) -> str:
    """Deviations, open ones first."""
    rows = []
    for case in found:
        row = case.deviation
        words = [
            f"{escape(w.whom)}, asked {when(w.asked_at, day=True)}: "
            + (f"“{escape(w.answer)}”" if w.answered_at else "<b>no answer yet</b>")
            for w in case.words
        ]
        closed = f"closed {when(row.closed_at, day=True)} by {escape(row.closed_by)}"
        rows.append(
            (
                str(row.id),
                "<b>OPEN</b>" if case.is_open else closed,
                escape(row.what),
                escape(", ".join(p.name for p in case.parts)),
                escape(row.checked),
                "<br>".join(words) or "nobody was asked",
            )
        )
    care = (
        '<aside class="bw-care"><p>The book writes down what people said. It doesn\'t accept a'
        " deviation: the designer, the inspector and the local authority decide.</p></aside>"
    )
    head = ("no.", "state", "what", "parts", "checked", "whose word")
    return table("Deviations from the drawing", head, rows, "None was written down.") + care


def inspection_page(stages: Sequence[r.Stage], yearly: Sequence[YearlyTime]) -> str:
    """Stages to be seen, and recurring items with their time."""
    seen = [
        (
            str(s.id),
            escape(s.title),
            escape(s.closes),
            when(s.seen_at, day=True) or "<b>NOT SEEN</b>",
            escape(s.seen_by),
            escape(s.found),
        )
        for s in stages
    ]
    again = [
        (
            escape(t.item.title),
            escape(t.item.cover),
            str(t.fasteners),
            f"{t.minutes:.0f}",
            when(t.last, day=True) or "never",
            (when(t.due, day=True) or "now") + (" <b>overdue</b>" if t.overdue and t.due else ""),
        )
        for t in yearly
    ]
    return table(
        "Seen before it is closed up",
        ("no.", "stage", "closed up by", "seen", "by", "what they said"),
        seen,
        "No stages.",
    ) + table(
        "Recurring",
        ("item", "cover off", "fasteners", "minutes", "last", "due"),
        again,
        "No recurring items.",
    )


def history_page(found: Sequence[Past]) -> str:
    """The newest changes, each with a key that takes it back."""
    rows = [
        (
            str(past.note.id),
            when(past.note.at),
            escape(past.note.who),
            escape(past.note.what),
            f"taken back by {past.taken_back_by}"
            if past.taken_back_by
            else key("take-back", "Take back", f"Take back: {past.note.what}", change=past.note.id),
        )
        for past in found
    ]
    return table("Changes", ("no.", "when", "who", "what", ""), rows, "Nothing yet.")
