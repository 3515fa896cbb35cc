"""What can be done to tasks, parts and the log from the pages, and to how things stand."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from blankwright.base.errors import BadInput, Problem
from blankwright.book import records as r
from blankwright.book.work import SETUP_HOURS, SHOP_HOURS, TURN_HOURS
from blankwright.jobs import book_needs, book_tasks
from blankwright.jobs.book_find import bad_input
from blankwright.jobs.book_log import Said, change_entry, log
from blankwright.jobs.book_open import BookAt
from blankwright.jobs.book_plan import plan, state_part
from blankwright.jobs.book_sizes import put_size
from blankwright.jobs.book_typed import count_of, measured_of, minutes_of, number_of
from blankwright.page.book_order_html import STANDS
from blankwright.page.book_sent import Sent

_TASK: Final = ("title", "major", "position", "setup", "place", "note")
_PART: Final = ("major", "position", "glue", "treat", "closes")


def _entry(book: BookAt, sent: Sent) -> None:
    typed = sent.text("measured")
    log(
        book,
        sent.at,
        sent.text("text"),
        minutes=minutes_of(sent.text("minutes")),
        place=sent.text("place"),
        helpers=sent.text("helpers"),
        task=sent.row("task") if sent.text("task") else None,
        pictures=sent.photos,
        measured=[measured_of(typed, sent.text("reason"))] if typed else (),
    )


def _correct(book: BookAt, sent: Sent) -> None:
    change_entry(
        book,
        sent.at,
        sent.row(),
        minutes=minutes_of(sent.text("minutes")),
        **sent.texts("text", "place", "helpers"),
    )


def _needs(sent: Sent) -> book_needs.Needs:
    item = sent.text("item")
    return book_needs.Needs(
        after=[count_of(one, "after tasks") for one in sent.several("after")],
        cure_hours=number_of(sent.text("cure"), "hours to cure", 0.0),
        parts=sent.several("parts"),
        hardware={item: number_of(sent.text("quantity"), "how much")} if item else {},
        stages=[sent.row("stage")] if sent.text("stage") else [],
    )


def _add(book: BookAt, sent: Sent) -> None:
    texts = sent.texts(*_TASK)
    title = texts.pop("title")
    values = {name: text for name, text in texts.items() if text}
    hours = minutes_of(sent.text("hours")) / 60.0
    part = sent.text("part")
    book_tasks.add_task(book, sent.at, title, part=part, needs=_needs(sent), hours=hours, **values)


def _change(book: BookAt, sent: Sent) -> None:
    texts = sent.texts(*_TASK)
    if not texts["title"]:
        raise bad_input("BOOK-050", "the task", "it says nothing", "Write what is to do")
    with book.read() as reader:
        task = reader.get(r.Task, sent.row())
    hours = minutes_of(sent.text("hours")) / 60.0
    if abs(hours - task.hours) < 0.01:
        hours = task.hours  # the form showed it rounded
    values = {**texts, "hours": hours}
    if all(getattr(task, name) == value for name, value in values.items()):
        return  # nothing is different: the tool goes on renewing it
    book_tasks.change_task(book, sent.at, task.id, **values)


def _done(book: BookAt, sent: Sent) -> None:
    said = Said(
        text=sent.text("text"),
        minutes=minutes_of(sent.text("minutes")),
        helpers=sent.text("helpers"),
    )
    silent = not (said.text or said.minutes or said.helpers)
    book_tasks.finish_task(
        book,
        sent.at,
        sent.row(),
        anyway=sent.text("anyway"),
        said=None if silent else said,
    )


def _drop(book: BookAt, sent: Sent) -> None:
    if not sent.text("why"):
        raise bad_input("BOOK-058", "the task", "no reason is given", "Write why it is not needed")
    book_tasks.drop_task(book, sent.at, sent.row(), sent.text("why"))


def _part(book: BookAt, sent: Sent) -> None:
    with book.read() as reader:
        known = reader.get(r.Part, sent.row()) if sent.text("no") else None
    name = known.name if known else sent.text("name")
    if not name:
        raise bad_input("BOOK-059", "the part", "it has no name", "Write its name")
    values: dict[str, object] = dict(sent.texts(*_PART))
    values["cure_hours"] = number_of(sent.text("cure_hours"), "hours to cure", 0.0)
    if known is None or not known.file:
        values |= sent.texts("title", "drawing")
        values["rivets"] = count_of(sent.text("rivets"), "rivets", 0)
        values["bought"] = sent.text("bought") == "yes"
    state_part(book, sent.at, name, **values)
    _said_unread(plan(book, sent.at, [name]).unread)


def _plan(book: BookAt, sent: Sent) -> None:
    _said_unread(plan(book, sent.at).unread)


def _said_unread(unread: tuple[tuple[str, str], ...]) -> None:
    """Say which files could not be read; all others were."""
    if unread:
        raise BadInput(
            *(
                Problem(
                    code="BOOK-066",
                    where=name,
                    got=f"its tasks were left alone, its file can't be read ({said})",
                    fix="Mend the file and make the tasks anew; all others are made",
                )
                for name, said in unread
            )
        )


def _stands(book: BookAt, sent: Sent) -> None:
    values = {name: sent.text(field) for field, name in STANDS.items()}
    for name in (SHOP_HOURS, TURN_HOURS, SETUP_HOURS):
        values[name] = values[name].replace(",", ".")
    book_tasks.state_settings(book, sent.at, values)


WORK_ACTIONS: Final[dict[str, tuple[str, Callable[[BookAt, Sent], object]]]] = {
    "entry": ("log", _entry),
    "entry-change": ("log", _correct),
    "begin": ("", lambda b, s: book_tasks.begin_task(b, s.at, s.row("task"))),
    "done": ("", lambda b, s: book_tasks.finish_task(b, s.at, s.row("task"))),
    "size": ("log", lambda b, s: put_size(b, s.at, s.row("measurement"))),
    "task-add": ("tasks", _add),
    "task-change": ("tasks", _change),
    "task-need": ("tasks", lambda b, s: book_needs.add_need(b, s.at, s.row(), _needs(s))),
    "task-need-away": ("tasks", lambda b, s: book_needs.drop_need(b, s.at, s.row("need"))),
    "task-done": ("tasks", _done),
    "task-drop": ("tasks", _drop),
    "task-again": ("tasks", lambda b, s: book_tasks.begin_task(b, s.at, s.row())),
    "part-add": ("parts", _part),
    "part-change": ("parts", _part),
    "plan": ("parts", _plan),
    "stands": ("order", _stands),
}
"""What can be done, each with the page that is shown afterwards."""
