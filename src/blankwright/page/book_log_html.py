"""The job book's first page, its log and its history: what next, what was done, what changed."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from urllib.parse import quote, urlencode

from blankwright.book import records as r
from blankwright.book.history import Past
from blankwright.book.needs import Standing
from blankwright.jobs.book_log import Line, LogPage
from blankwright.page.book_forms import Doing
from blankwright.page.book_html import key, table, when


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


def log_form(tasks: Sequence[Standing], doing: Doing) -> str:
    """The form that writes a log entry; what was typed and refused stands in it again."""
    typed = doing.words if doing.action == "entry" else {}
    options = "".join(
        f'<option value="{s.job.number}"'
        f"{' selected' if typed.get('task') == str(s.job.number) else ''}>"
        f"{escape(s.job.title)}</option>"
        for s in tasks
        if s.can_be_done
    )
    text, minutes, helpers = (escape(typed.get(n, "")) for n in ("text", "minutes", "helpers"))
    return f"""<section><h2>Write down</h2>
<form class="bw-write" method="post" action="/book/entry" enctype="multipart/form-data">
<label class="grow">What was done<textarea name="text" rows="2">{text}</textarea></label>
<label>Minutes<input type="text" name="minutes" size="5" value="{minutes}"></label>
<label>Task<select name="task"><option value="">none</option>{options}</select></label>
<label>Who helped<input type="text" name="helpers" value="{helpers}"></label>
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
    sizes = "".join(
        f"<li>{_size(name, m)}</li>"
        for name, m in zip(line.measured, line.measurements, strict=True)
    )
    return (
        f"<li><p><b>{when(entry.at)}</b> · {entry.minutes} min · no. {entry.id}</p>"
        f"<p>{escape(entry.text).replace(chr(10), '<br>')}</p>"
        f"<p>{escape(' · '.join(filter(None, about)))}</p>"
        f"{f'<ul>{sizes}</ul>' if sizes else ''}{f'<p>{photos}</p>' if photos else ''}</li>"
    )


def _size(name: str, one: r.Measurement) -> str:
    about = f" ± {one.plus_minus}" if one.plus_minus else ""
    told = escape(f"{name}.{one.size} {one.value}{about}")
    if one.state is r.SizeState.IN_PART_FILE:
        was = f", was {escape(one.old)}" if one.old else ""
        return f"{told}: in the part file{was}"
    label = f"Put {one.size} into the part file"
    return told + key("size", "Into the part file", label, measurement=one.id)


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
