"""What can be done to the job book from its pages: each form's words, put to a use case."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from blankwright.book import records as r
from blankwright.jobs import book_deviations as deviations
from blankwright.jobs import book_hardware as hardware
from blankwright.jobs import book_inspection as inspection
from blankwright.jobs import book_materials as materials
from blankwright.jobs import book_tasks as tasks
from blankwright.jobs.book_find import bad_input
from blankwright.jobs.book_keep import take_change_back
from blankwright.jobs.book_log import Picture, log
from blankwright.jobs.book_open import BookAt
from blankwright.jobs.book_sizes import put_size
from blankwright.jobs.book_typed import count_of, day_of, length_of, minutes_of, number_of
from blankwright.page.book_hardware_html import grip_text
from blankwright.page.book_inspection_html import KINDS


@dataclass(frozen=True, slots=True)
class Sent:
    """A form that was sent.

    Args:
        words: its fields
        at: when
        photos: what came with it
    """

    words: dict[str, str]
    at: datetime
    photos: Sequence[Picture] = ()

    def text(self, name: str) -> str:
        """A field, without what surrounds it."""
        return self.words.get(name, "").strip()

    def row(self, name: str = "no") -> int:
        """A row's number, put into the form by the page itself."""
        typed = self.text(name)
        if not (typed.isascii() and typed.isdigit() and len(typed) < 10):
            raise bad_input("BOOK-081", name, f"{typed!r} is no number", "Use the page's own keys")
        return int(typed)

    def texts(self, *names: str) -> dict[str, str]:
        """Fields by name."""
        return {name: self.text(name) for name in names}


def _parts(sent: Sent) -> list[str]:
    return [name for one in sent.text("parts").split(",") if (name := one.strip())]


def _entry(book: BookAt, sent: Sent) -> None:
    log(
        book,
        sent.at,
        sent.text("text"),
        minutes=minutes_of(sent.text("minutes")),
        helpers=sent.text("helpers"),
        task=sent.row("task") if sent.text("task") else None,
        pictures=sent.photos,
    )


def _open(book: BookAt, sent: Sent) -> None:
    texts = sent.texts("what", "why", "drawing", "checked")
    deviations.open_deviation(book, sent.at, **texts, parts=_parts(sent))


def _change(book: BookAt, sent: Sent) -> None:
    texts = sent.texts("what", "why", "drawing")
    deviations.change_deviation(book, sent.at, sent.row(), **texts, parts=_parts(sent))


def _recurring(book: BookAt, sent: Sent) -> None:
    counts = {
        kind: count_of(sent.text(name), kind) for name, kind in KINDS.items() if sent.text(name)
    }
    inspection.add_yearly(
        book,
        sent.at,
        sent.text("title"),
        cover=sent.text("cover"),
        months=count_of(sent.text("months"), "months", 12),
        minutes=minutes_of(sent.text("looking")),
        fasteners=counts or None,
    )


def _takes(book: BookAt, sent: Sent) -> None:
    if not sent.text("number"):
        raise bad_input("BOOK-055", "hardware", "it has no number", "Write its part number")
    hardware.need_item(
        book,
        sent.at,
        sent.text("number"),
        number_of(sent.text("quantity"), "how much"),
        part=sent.text("part"),
        grip=length_of(sent.text("grip"), "grip"),
    )


def _item(book: BookAt, sent: Sent) -> None:
    number = sent.text("number")
    values: dict[str, object] = {**sent.texts("title", "unit", "note")}
    for name in ("spare_percent", "spare_least", "pack"):
        values[name] = number_of(sent.text(name), name.replace("_", " "), 0.0)
    values["grip"] = length_of(sent.text("grip"), "grip")
    if sent.text("no"):
        with book.read() as reader:
            row = reader.get(r.Hardware, sent.row())
        number = row.number
        if sent.text("grip") == grip_text(row.grip):
            values["grip"] = row.grip  # to the last digit, though the form showed fewer
    elif not values["title"]:
        del values["title"]  # what a known part number means stands there by itself
    hardware.enter_item(book, sent.at, number, **values)


def _move(book: BookAt, sent: Sent) -> None:
    try:
        kind = r.MoveKind(sent.text("kind"))
    except ValueError:
        allowed = ", ".join(k.value for k in r.MoveKind)
        raise bad_input("BOOK-081", "what happened", "no such thing", allowed) from None
    with book.read() as reader:
        number = reader.get(r.Hardware, sent.row()).number
    hardware.move_item(
        book,
        sent.at,
        number,
        kind,
        number_of(sent.text("quantity"), "how much"),
        due=day_of(sent.text("due")) if kind is r.MoveKind.ORDERED else None,
        reference=sent.text("reference"),
    )


_LOT: Final = ("material", "number", "bought_from", "paper", "note")
_STAGE: Final = ("title", "closes", "major")

ACTIONS: Final[dict[str, tuple[str, Callable[[BookAt, Sent], object]]]] = {
    "entry": ("log", _entry),
    "begin": ("", lambda b, s: tasks.begin_task(b, s.at, s.row("task"))),
    "done": ("", lambda b, s: tasks.finish_task(b, s.at, s.row("task"))),
    "size": ("log", lambda b, s: put_size(b, s.at, s.row("measurement"))),
    "take-back": ("history", lambda b, s: take_change_back(b, s.at, s.row("change"))),
    "deviation-open": ("deviations", _open),
    "deviation-change": ("deviations", _change),
    "deviation-checked": (
        "deviations",
        lambda b, s: deviations.add_to_deviation(b, s.at, s.row(), checked=s.text("checked")),
    ),
    "deviation-ask": (
        "deviations",
        lambda b, s: deviations.ask_word(b, s.at, s.row(), s.text("whom")),
    ),
    "deviation-answer": (
        "deviations",
        lambda b, s: deviations.write_answer(b, s.at, s.row(), s.text("answer")),
    ),
    "deviation-close": (
        "deviations",
        lambda b, s: deviations.close_deviation(b, s.at, s.row(), s.text("ground")),
    ),
    "stage-add": ("inspection", lambda b, s: inspection.add_stage(b, s.at, **s.texts(*_STAGE))),
    "stage-change": (
        "inspection",
        lambda b, s: inspection.change_stage(b, s.at, s.row(), **s.texts(*_STAGE)),
    ),
    "stage-seen": (
        "inspection",
        lambda b, s: inspection.stage_seen(b, s.at, s.row(), s.text("by"), s.text("found")),
    ),
    "recurring-add": ("inspection", _recurring),
    "recurring-done": (
        "inspection",
        lambda b, s: inspection.yearly_done(
            b, s.at, s.row(), minutes=minutes_of(s.text("minutes")), found=s.text("found")
        ),
    ),
    "lot-add": ("lots", lambda b, s: materials.add_lot(b, s.at, **s.texts(*_LOT))),
    "lot-change": (
        "lots",
        lambda b, s: materials.change_lot(b, s.at, s.row(), **s.texts(*_LOT)),
    ),
    "lot-use": (
        "lots",
        lambda b, s: materials.use_lot(b, s.at, s.row(), s.text("part"), s.text("note")),
    ),
    "hardware-takes": ("hardware", _takes),
    "hardware-item": ("hardware", _item),
    "hardware-move": ("hardware", _move),
}
"""What can be done, each with the page that is shown afterwards."""
