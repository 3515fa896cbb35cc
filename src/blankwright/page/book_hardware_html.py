"""Hardware on the page: what to order, what is in hand, what each want holds up, and its forms."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Final

from blankwright.base.units import show_mm, trimmed
from blankwright.book import records as r
from blankwright.book.hardware import Stock
from blankwright.jobs.book_hardware import Shelf
from blankwright.page.book_forms import Ask, Doing, form, way, ways
from blankwright.page.book_html import table, when

HERE: Final = "hardware"
_HEAD: Final = (
    "number",
    "what",
    "needed",
    "used",
    "in hand",
    "on order",
    "due",
    "to order",
)
_MOVES: Final = (
    (r.MoveKind.ORDERED, "ordered"),
    (r.MoveKind.ARRIVED, "arrived"),
    (r.MoveKind.USED, "used"),
    (r.MoveKind.COUNTED, "counted on the shelf"),
    (r.MoveKind.CANCELLED, "on order, but will not come"),
)


def hardware_page(shelf: Shelf, tasks: Sequence[r.Task], doing: Doing, parts: Sequence[str]) -> str:
    """Return the page.

    Args:
        shelf: where all hardware stands
        tasks: all tasks
        doing: what is about to be done
        parts: names of the book's parts
    """
    titles = {task.id: task.title for task in tasks}
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
    new = ways(
        way(HERE, "hardware-takes", "What a part takes"), way(HERE, "hardware-item", "New item")
    )
    return (
        (_form(shelf, doing, parts) or new)
        + table("Hardware", _HEAD, map(_row, shelf.stocks), "None entered.")
        + table(
            "What its want holds up",
            ("number", "waits for it", "tasks behind", "hours", "critical chain"),
            held,
            "Nothing is held up.",
        )
    )


def _row(stock: Stock) -> tuple[str, ...]:
    item = stock.item
    unit = escape(item.unit)
    keys = way(HERE, "hardware-move", "Write down", f"Write down: {item.number}", no=item.id)
    keys += way(HERE, "hardware-item", "Change", f"Change {item.number}", no=item.id)
    grip = f", grip {show_mm(item.grip)}" if item.grip is not None else ""
    note = f"<br><small>{escape(item.note)}</small>" if item.note else ""
    return (
        escape(item.number),
        escape(item.title) + grip + note + ways(keys),
        f"{trimmed(stock.needed, 3)} {unit}",
        *(trimmed(number, 3) for number in (stock.used, stock.in_hand, stock.on_order)),
        when(stock.due, day=True),
        f"<b>{trimmed(stock.to_order, 3)} {unit}</b>" if stock.to_order else "0",
    )


def _form(shelf: Shelf, doing: Doing, parts: Sequence[str]) -> str:
    if doing.action == "hardware-takes":
        return form(
            doing,
            "What a part takes",
            [
                _number(shelf),
                Ask(name="quantity", label="How much", kind="number"),
                Ask(
                    name="part",
                    label="For which part",
                    kind="choice",
                    options=[("", "none"), *((p, p) for p in parts)],
                ),
                Ask(name="grip", label="Grip", about="such as 0.072 in"),
            ],
            "Write it down",
            back=HERE,
        )
    stock = next((s for s in shelf.stocks if s.item.id == doing.number), None)
    if doing.action == "hardware-item":
        return _item_form(shelf, stock, doing)
    if doing.action == "hardware-move" and stock is not None:
        kind, quantity = _likely(stock)
        return form(
            doing,
            f"{stock.item.number}: {stock.item.title}".removesuffix(": "),
            [
                Ask(
                    name="quantity",
                    label="How much",
                    about=stock.item.unit,
                    kind="number",
                    value=trimmed(quantity, 3) if quantity else "",
                ),
                Ask(
                    name="kind",
                    label="What happened",
                    kind="choice",
                    value=kind.value,
                    options=[(k.value, text) for k, text in _MOVES],
                ),
                Ask(name="reference", label="Order or packing list"),
                Ask(name="due", label="Should come", about="an order, year-month-day"),
            ],
            "Write it down",
            back=HERE,
            no=stock.item.id,
        )
    return ""


def _likely(stock: Stock) -> tuple[r.MoveKind, float]:
    """What most likely is written down next; the one who writes says otherwise."""
    if stock.on_order > 0.0:
        return r.MoveKind.ARRIVED, stock.on_order
    if stock.to_order > 0.0:
        return r.MoveKind.ORDERED, stock.to_order
    return r.MoveKind.USED, 0.0


def grip_text(grip: float | None) -> str:
    """Return a grip [mm] as it stands in the form, fine enough to come back as it was."""
    return "" if grip is None else show_mm(grip, 4)


def _number(shelf: Shelf) -> Ask:
    known = [stock.item.number for stock in shelf.stocks]
    return Ask(name="number", label="Part number", among=known)


def _item_form(shelf: Shelf, stock: Stock | None, doing: Doing) -> str:
    item = stock.item if stock else None
    grip = item.grip if item else None
    words = [
        Ask(name="title", label="What it is", about="in words", value=item.title if item else ""),
        Ask(
            name="unit",
            label="Counted in",
            about="each, m, kg",
            value=item.unit if item else "each",
        ),
        Ask(
            name="grip",
            label="Grip",
            about="such as 0.072 in",
            value=grip_text(grip),
        ),
        *(
            Ask(name=name, label=label, about=about, kind="number", value=f"{value:g}")
            for name, label, about, value in (
                ("spare_percent", "Spare", "%", item.spare_percent if item else 10.0),
                ("spare_least", "Spare, at least", "", item.spare_least if item else 0.0),
                ("pack", "Sold in packs of", "0: loose", item.pack if item else 0.0),
            )
        ),
        Ask(name="note", label="Note", value=item.note if item else ""),
    ]
    if item is None:
        asks = [_number(shelf), *words]
        return form(doing, "New hardware", asks, "Write it down", back=HERE)
    return form(doing, f"Change {item.number}", words, "Save", back=HERE, no=item.id)
