"""Gathers from the book what its larger pages show."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Final

from blankwright.book import records as r
from blankwright.book.batches import Batches
from blankwright.book.chain import Chain
from blankwright.book.needs import Standing, circles
from blankwright.book.work import load_work, setting
from blankwright.jobs import book_tasks
from blankwright.jobs.book_hours import hours_by
from blankwright.jobs.book_log import log_page
from blankwright.jobs.book_measured import known_sizes
from blankwright.jobs.book_needs import needs_in_words
from blankwright.jobs.book_open import BookAt
from blankwright.page.book_forms import Doing
from blankwright.page.book_log_html import correct_form, log_body, log_form
from blankwright.page.book_order_html import STANDS, order_page
from blankwright.page.book_parts_html import parts_page
from blankwright.page.book_tasks_html import TaskList, tasks_page

ON_A_PAGE: Final = 20
"""Log entries on a page."""


def log_view(book: BookAt, found: Sequence[Standing], doing: Doing) -> str:
    """Return the log, with the form that writes an entry or corrects one."""
    start = doing.words.get("start", "")
    text = doing.words.get("text", "") if not doing.action else ""
    first = int(start) if start.isascii() and start.isdigit() and len(start) < 10 else 0
    page = log_page(book, start=first, count=ON_A_PAGE, text=text)
    shown = ""
    if doing.action == "entry-change" and doing.number:
        with book.read() as reader:
            entry = reader.maybe(r.Entry, doing.number)
        shown = correct_form(entry, doing) if entry else ""
    form = shown or log_form(found, known_sizes(book.project), doing)
    return form + log_body(page, text, ON_A_PAGE)


def tasks_view(book: BookAt, found: Sequence[Standing], doing: Doing) -> str:
    """Return all tasks."""
    with book.read() as reader:
        every = TaskList(
            tasks=reader.all(r.Task),
            needs=needs_in_words(reader),
            waits={s.job.number: [w.text for w in s.waits] for s in found},
            parts={part.id: part.name for part in reader.all(r.Part)},
            stages=[s for s in reader.all(r.Stage) if s.seen_at is None],
            hardware=[h.number for h in reader.all(r.Hardware, order=("number",))],
        )
    return tasks_page(every, doing)


def order_view(book: BookAt, now: datetime, doing: Doing) -> str:
    """Return the order of the work."""
    with book.read() as reader:
        in_order = not circles(load_work(reader))
        titles = {t.id: t.title for t in reader.all(r.Task)}
        stands = {field: setting(reader, name) for field, name in STANDS.items()}
    chain: Chain | None = None
    batches: Batches | None = None
    if in_order:
        chain = book_tasks.chain_of(book, now)
        batches = book_tasks.batches_of(book)
    hours = {by: hours_by(book, by) for by in ("major part", "kind")}
    return order_page(chain, batches, hours, titles, stands, now, doing)


def parts_view(book: BookAt, doing: Doing) -> str:
    """Return the parts, with how far each is."""
    with book.read() as reader:
        parts = reader.all(r.Part, order=("name",))
        done: dict[int, tuple[int, int]] = {}
        for task in reader.all(r.Task):
            if task.part_id is not None and task.state is not r.TaskState.DROPPED:
                ready, every = done.get(task.part_id, (0, 0))
                done[task.part_id] = (ready + (task.state is r.TaskState.DONE), every + 1)
    return parts_page(parts, done, doing)
