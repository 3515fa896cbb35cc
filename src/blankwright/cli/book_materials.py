"""`blankwright book lot, coupons`: what parts are made of, and what test strips taught."""

from __future__ import annotations

import click

from blankwright.cli.book_shared import Call, book_command, local
from blankwright.cli.shared import table


@click.group()
def lot() -> None:
    """Material lots, with the numbers printed on them."""


@lot.command("add")
@click.argument("material")
@click.argument("number")
@click.option("--from", "bought_from", default="", help="Where it was bought.")
@click.option("--paper", default="", help="Certificate or invoice.")
@click.option("--note", default="")
@book_command
def lot_add(
    call: Call, material: str, number: str, bought_from: str, paper: str, note: str
) -> None:
    """Write down a lot of MATERIAL with its NUMBER."""
    from blankwright.jobs.book_materials import add_lot

    with call.book() as book:
        row = add_lot(
            book, call.at, material, number, bought_from=bought_from, paper=paper, note=note
        )
    call.show({"lot": row}, f"Lot {row}.")


@lot.command("change")
@click.argument("lot", type=int)
@click.option("--material", default=None)
@click.option("--number", default=None, help="As printed on it.")
@click.option("--from", "bought_from", default=None, help="Where it was bought.")
@click.option("--paper", default=None, help="Certificate or invoice.")
@click.option("--note", default=None)
@book_command
def lot_change(call: Call, lot: int, **values: str | None) -> None:
    """Change what is said of lot LOT; what you don't give stays."""
    from blankwright.jobs.book_materials import change_lot

    with call.book() as book:
        row = change_lot(book, call.at, lot, **values)
    call.show(row, f"Lot {lot}: {row.material}, {row.number}.")


@lot.command("use")
@click.argument("number", type=int)
@click.argument("part")
@click.option("--note", default="")
@book_command
def lot_use(call: Call, number: int, part: str, note: str) -> None:
    """PART was made from lot NUMBER."""
    from blankwright.jobs.book_materials import use_lot

    with call.book() as book:
        use_lot(book, call.at, number, part, note)
    call.show({"lot": number, "part": part}, "Written down.")


@lot.command("list")
@book_command
def lot_list(call: Call) -> None:
    """List the lots and the parts made from each."""
    from blankwright.jobs.book_materials import lots

    with call.book() as book, book.read() as reader:
        found = lots(reader)
    if call.as_json:
        call.show([{"lot": lot, "parts": parts} for lot, parts in found])
        return
    table(
        ("no.", "material", "number", "from", "paper", "came", "parts"),
        [
            (
                str(lot.id),
                lot.material,
                lot.number,
                lot.bought_from,
                lot.paper,
                local(lot.at, day=True),
                ", ".join(parts),
            )
            for lot, parts in found
        ],
    )


@click.command()
@book_command
def coupons(call: Call) -> None:
    """Take the results of the project's coupon file into the book."""
    from blankwright.jobs.book_materials import take_coupons

    with call.book() as book:
        count = take_coupons(book, call.at)
    call.show({"coupons": count}, f"{count} results new or changed.")
