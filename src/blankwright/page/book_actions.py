"""What can be done to the job book from its pages: each form's words, put to a use case."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from blankwright.book import records as r
from blankwright.jobs import book_deviations as deviations
from blankwright.jobs import book_hardware as hardware
from blankwright.jobs import book_inspection as inspection
from blankwright.jobs import book_materials as materials
from blankwright.jobs.book_find import bad_input
from blankwright.jobs.book_keep import take_change_back
from blankwright.jobs.book_open import BookAt
from blankwright.jobs.book_typed import count_of, day_of, length_of, minutes_of, number_of
from blankwright.page.book_actions_work import WORK_ACTIONS
from blankwright.page.book_hardware_html import grip_text
from blankwright.page.book_inspection_html import KINDS
from blankwright.page.book_sent import Sent


def _open(book: BookAt, sent: Sent) -> None:
    texts = sent.texts("what", "why", "drawing", "checked")
    deviations.open_deviation(book, sent.at, **texts, parts=sent.several("parts"))


def _change(book: BookAt, sent: Sent) -> None:
    texts = sent.texts("what", "why", "drawing")
    deviations.change_deviation(book, sent.at, sent.row(), **texts, parts=sent.several("parts"))


def _counts(sent: Sent) -> dict[str, int]:
    return {
        kind: count_of(sent.text(name), kind) for name, kind in KINDS.items() if sent.text(name)
    }


def _recurring(book: BookAt, sent: Sent) -> None:
    inspection.add_yearly(
        book,
        sent.at,
        sent.text("title"),
        cover=sent.text("cover"),
        months=count_of(sent.text("months"), "months", 12),
        minutes=minutes_of(sent.text("looking")),
        fasteners=_counts(sent) or None,
    )


def _recurring_change(book: BookAt, sent: Sent) -> None:
    with book.read() as reader:
        had = reader.by(r.YearlyFastener, yearly_id=sent.row())
    others = {f.kind: f.count for f in had if f.kind not in KINDS.values()}
    inspection.change_yearly(
        book,
        sent.at,
        sent.row(),
        title=sent.text("title"),
        cover=sent.text("cover"),
        months=count_of(sent.text("months"), "months", 12),
        minutes=minutes_of(sent.text("looking")),
        fasteners={**others, **_counts(sent)},
        ended=sent.text("ended") == "yes",
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
    **WORK_ACTIONS,
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
    "recurring-change": ("inspection", _recurring_change),
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
