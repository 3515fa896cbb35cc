"""`blankwright tables`: the handbook tables."""

from __future__ import annotations

import click

from blankwright.base.errors import BadInput, Problem
from blankwright.cli.shared import json_option, print_json, table
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
        print_json([_head(one) for one in tables()])
        return
    rows = [(one.name, one.title, f"{len(one.rows)} rows", one.publisher) for one in tables()]
    table(("table", "title", "", "published by"), rows)


def _print(one: Table, as_json: bool) -> None:
    columns = list(one.columns)
    rows = [tuple(one.text(row, column) for column in columns) for row in one.rows]
    if as_json:
        print_json(
            {
                **_head(one),
                "columns": [{"name": c, "unit": one.columns[c].unit} for c in columns],
                "values": rows,
                "sources": [row.source for row in one.rows],
            }
        )
        return
    click.secho(one.title, bold=True)
    click.echo(f"{one.publisher}, {one.edition} {one.year}, {one.page} {one.table}".strip(" ,"))
    for note in one.notes:
        click.echo(f"note: {note}")
    head = tuple(f"{c} [{one.columns[c].unit}]" for c in columns)
    table(
        (*head, "source"), [(*cells, row.source) for cells, row in zip(rows, one.rows, strict=True)]
    )


def _head(one: Table) -> dict[str, object]:
    return {
        "name": one.name,
        "title": one.title,
        "publisher": one.publisher,
        "edition": one.edition,
        "year": one.year,
        "page": one.page,
        "table": one.table,
        "notes": list(one.notes),
        "rows": len(one.rows),
    }
