"""`blankwright tables`: the handbook tables."""

from __future__ import annotations

import click

from blankwright.base.errors import BadInput, Problem
from blankwright.cli.shared import json_option, print_json
from blankwright.handbook.show import listing, table_data, table_text
from blankwright.handbook.table import Table, table_names, tables
from blankwright.handbook.table import table as table_named


@click.command()
@click.argument("name", required=False)
@json_option
def command(name: str | None, as_json: bool) -> None:
    """List the handbook tables, or print the one called NAME with the source of each row."""
    if name is None:
        _list(as_json)
        return
    if name not in table_names():
        raise BadInput(
            Problem(
                code="TABLE-001",
                where="tables",
                got=f"there is no table {name}",
                allowed=", ".join(table_names()),
            )
        )
    _print(table_named(name), as_json)


def _list(as_json: bool) -> None:
    if as_json:
        print_json([{**table_data(one), "rows": len(one.rows)} for one in tables()])
    else:
        click.echo(listing(tables()))


def _print(one: Table, as_json: bool) -> None:
    if as_json:
        print_json(table_data(one))
    else:
        click.echo(table_text(one))
