"""`blankwright book hardware, takes, item, ordered, arrived, used, counted`: what is bought."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

from blankwright.base.units import trimmed
from blankwright.cli.book_shared import Call, book_command, local, read_when
from blankwright.cli.shared import table


@click.command()
@click.option("--to-order", is_flag=True, help="Only what is to be ordered.")
@book_command
def hardware(call: Call, to_order: bool) -> None:
    """Show what is needed, in hand, on order and to order, and what each wait holds up."""
    from blankwright.jobs.book_hardware import shelf
    from blankwright.jobs.book_tasks import all_tasks

    with call.book() as book:
        found = shelf(book, call.at)
        titles = {t.id: t.title for t in all_tasks(book)}
    if call.as_json:
        call.show({"stocks": found.stocks, "holdups": found.holdups})
        return
    table(
        ("number", "what", "needed", "used", "in hand", "on order", "due", "to order", "unit"),
        [
            (
                s.item.number,
                s.item.title,
                trimmed(s.needed, 3),
                trimmed(s.used, 3),
                trimmed(s.in_hand, 3),
                trimmed(s.on_order, 3),
                local(s.due, day=True),
                trimmed(s.to_order, 3),
                s.item.unit,
            )
            for s in (found.to_order if to_order else found.stocks)
        ],
    )
    for held in found.holdups:
        chain = ", on the critical chain" if held.critical else ""
        click.echo(
            f"{held.stock.item.number} holds up {len(held.all_tasks)} tasks,"
            f" {held.hours:.1f} h{chain}: {'; '.join(titles[n] for n in held.direct)}"
        )


@click.command()
@click.argument("number")
@click.argument("quantity", type=float)
@click.option("--part", default="", help="What part it is for.")
@click.option("--task", type=int, default=None, help="Or which task.")
@click.option("--from", "key", default="", help="Name of where it comes from; replaces its last.")
@click.option("--what", "title", default=None, help="What it is, in words.")
@click.option("--unit", default=None, help="each, m, kg ...")
@click.option("--grip", default=None, help="What it clamps, such as '0.072 in'.")
@click.option("--spare", "spare_percent", type=float, default=None, help="Spare, in percent.")
@click.option("--spare-least", type=float, default=None, help="Spare, at least.")
@click.option("--pack", type=float, default=None, help="Sold in packs of so many.")
@book_command
def takes(
    call: Call,
    number: str,
    quantity: float,
    part: str,
    task: int | None,
    key: str,
    grip: str | None,
    **given: Any,
) -> None:
    """Say that QUANTITY of hardware NUMBER is needed for a part or task."""
    from blankwright.jobs.book_hardware import enter_item, need_item
    from blankwright.jobs.book_typed import length_of

    clamps = None if grip is None else length_of(grip, "--grip")
    with call.book() as book:
        need = need_item(
            book, call.at, number, quantity, part=part, task=task, key=key, grip=clamps
        )
        values = {name: value for name, value in given.items() if value is not None}
        item = enter_item(book, call.at, number, **values)
    call.show({"item": item, "need": need}, f"{quantity:g} {item.unit} of {number}: {item.title}")


@click.command()
@click.argument("number")
@click.option("--what", "title", default=None, help="What it is, in words.")
@click.option("--unit", default=None, help="each, m, kg ...")
@click.option("--grip", default=None, help="What it clamps, such as '0.072 in'.")
@click.option("--spare", "spare_percent", type=float, default=None, help="Spare, in percent.")
@click.option("--spare-least", type=float, default=None, help="Spare, at least.")
@click.option("--pack", type=float, default=None, help="Sold in packs of so many.")
@click.option("--note", default=None)
@book_command
def item_(call: Call, number: str, grip: str | None, **given: Any) -> None:
    """Enter hardware NUMBER, or change what is said of it; what you don't give stays."""
    from blankwright.jobs.book_hardware import enter_item
    from blankwright.jobs.book_typed import length_of

    values = {name: value for name, value in given.items() if value is not None}
    if grip is not None:
        values["grip"] = length_of(grip, "--grip")
    with call.book() as book:
        found = enter_item(book, call.at, number, **values)
    call.show(found, f"{number}: {found.title}")


def _move(kind: str) -> Callable[..., None]:
    def moved(
        call: Call,
        number: str,
        quantity: float,
        reference: str,
        task: int | None,
        due: str = "",
    ) -> None:
        from blankwright.book.records import MoveKind
        from blankwright.jobs.book_hardware import move_item

        with call.book() as book:
            stock = move_item(
                book,
                call.at,
                number,
                MoveKind(kind),
                quantity,
                due=read_when(due) if due else None,
                reference=reference,
                task=task,
            )
        call.show(
            stock,
            f"{number}: {trimmed(stock.in_hand, 3)} in hand, {trimmed(stock.on_order, 3)} on order,"
            f" {trimmed(stock.to_order, 3)} to order.",
        )

    moved.__doc__ = f"QUANTITY of hardware NUMBER {'were' if kind != 'arrived' else ''} {kind}."
    moved.__doc__ = moved.__doc__.replace("  ", " ")
    found: Callable[..., None] = book_command(moved)
    found = click.option("--task", type=int, default=None, help="For which task.")(found)
    found = click.option("--reference", default="", help="Order or packing list.")(found)
    if kind == "ordered":
        found = click.option("--due", default="", help="When it should come, 2026-03-20.")(found)
    found = click.argument("quantity", type=float)(found)
    return click.argument("number")(found)


ordered = click.command()(_move("ordered"))
arrived = click.command()(_move("arrived"))
used = click.command()(_move("used"))
counted = click.command()(_move("counted"))
cancelled = click.command()(_move("cancelled"))
