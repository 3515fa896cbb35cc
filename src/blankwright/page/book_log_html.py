"""The job book's first page and its log: what next, what was done."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from urllib.parse import quote, urlencode

from blankwright.book import records as r
from blankwright.book.cures import Cure
from blankwright.book.needs import Standing
from blankwright.jobs.book_log import Line, LogPage
from blankwright.page.book_forms import Ask, Doing, form, way
from blankwright.page.book_html import key, table, when
from blankwright.page.plain import choice


def next_page(found: Sequence[Standing], curing: Sequence[Cure], position: str) -> str:
    """What can be done now, what cures, and what waits for what."""
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
            + key("done", "Done", f"Done: {s.job.title}", task=s.job.number)
            + way(
                "tasks",
                "task-done",
                "Done, it took",
                f"Done, it took: {s.job.title}",
                no=s.job.number,
            ),
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
    lies = f"<p>The airplane lies <b>{escape(position)}</b>.</p>" if position else ""
    cures = [(escape(c.title), when(c.until)) for c in curing]
    return (
        lies
        + table("Can be done now", ("no.", "task", "hours", "first", ""), rows, "Nothing.")
        + (table("Cures", ("what", "until"), cures, "") if cures else "")
        + table("Waits", ("no.", "task", "for"), waits, "Nothing waits.")
    )


def log_form(tasks: Sequence[Standing], sizes: Sequence[str], doing: Doing) -> str:
    """The form that writes a log entry; what was typed and refused stands in it again.

    Args:
        tasks: where the open tasks stand
        sizes: sizes that can be measured
        doing: what is about to be done
    """
    typed = doing.words if doing.action == "entry" else {}
    chosen = typed.get("task", "")
    begun = [s.job for s in tasks if s.job.begun]
    if not typed and len(begun) == 1:
        chosen = str(begun[0].number)
    options = [("", "none"), *((str(s.job.number), s.job.title) for s in tasks if s.can_be_done)]
    names = ("text", "minutes", "helpers", "place", "measured", "reason")
    said = {name: escape(typed.get(name, "")) for name in names}
    among = "".join(f'<option value="{escape(size)} = "></option>' for size in sizes)
    shown = " open" if any(said[name] for name in names[2:]) else ""
    return f"""<section><h2>Write down</h2>
<form class="bw-write" method="post" action="/book/entry" enctype="multipart/form-data">
<label class="grow">What was done<textarea name="text" rows="2">{said["text"]}</textarea></label>
<label>Time<input type="text" name="minutes" size="6" placeholder="45, 1:30"
 value="{said["minutes"]}"></label>
{choice("task", "Task", options, chosen)}
<label>Photos<input type="file" name="photo" accept="image/*" multiple></label>
<button class="strong">Save</button>
<details class="bw-more"{shown}><summary>Measured, where, who helped</summary>
<div class="bw-write"><label class="grow">Measured <input type="text" name="measured"
 list="among-sizes" autocomplete="off" placeholder="part.size = 186.4 mm ± 0.3 mm"
 value="{said["measured"]}"></label><datalist id="among-sizes">{among}</datalist>
<label class="grow">Why it was measured<input type="text" name="reason"
 value="{said["reason"]}"></label>
<label class="grow">Where<input type="text" name="place" value="{said["place"]}"></label>
<label class="grow">Who helped<input type="text" name="helpers"
 value="{said["helpers"]}"></label></div></details></form></section>"""


def correct_form(entry: r.Entry, doing: Doing) -> str:
    """The form that corrects an entry."""
    asks = [
        Ask(name="text", label="What was done", kind="long", value=entry.text),
        Ask(
            name="minutes", label="Time", about="45, 1:30", kind="number", value=str(entry.minutes)
        ),
        Ask(name="place", label="Where", value=entry.place),
        Ask(name="helpers", label="Who helped", value=entry.helpers),
    ]
    note = "The history keeps what it said."
    title = f"Correct entry {entry.id}"
    return form(doing, title, asks, "Save", back="log", note=note, no=entry.id)


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
    correct = way("log", "entry-change", "Correct", f"Correct entry {entry.id}", no=entry.id)
    sizes = "".join(
        f"<li>{_size(name, m)}</li>"
        for name, m in zip(line.measured, line.measurements, strict=True)
    )
    return (
        f"<li><p><b>{when(entry.at)}</b> · {entry.minutes} min · no. {entry.id} {correct}</p>"
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
