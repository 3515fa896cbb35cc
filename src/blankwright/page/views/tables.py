"""The tables view: the handbook tables, each row with its source, and a search over all of them."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from typing import TYPE_CHECKING
from urllib.parse import quote, urlencode

from blankwright.handbook.table import Row, Table, tables
from blankwright.page.desk import Desk
from blankwright.page.plain import answer, field, table, whole

if TYPE_CHECKING:
    from fastapi import FastAPI
    from starlette.requests import Request
    from starlette.responses import Response

MOST_FOUND = 200
"""Rows that a search shows; it says how many more there are."""


def routes(app: FastAPI, desk: Desk) -> None:
    """Put the tables view on the page."""
    from starlette.routing import Route

    def show(request: Request) -> Response:
        find = request.query_params.get("find", "").strip()
        name = request.path_params.get("name", "")
        return answer(tables_page(desk.project.title, name, find))

    app.router.routes.extend(
        [
            Route("/tables", show, methods=["GET"]),
            Route("/tables/{name:str}", show, methods=["GET"]),
        ]
    )


def tables_page(project: str, name: str, find: str) -> str:
    """Return the view as HTML: one table, what was found, or the list of tables.

    Args:
        project: title of the project
        name: of a table, or nothing
        find: words to look for in rows, heads and sources
    """
    every = tables()
    one = next((t for t in every if t.name == name), None)
    body = (
        '<form method="get" action="/tables" role="search">'
        + field(
            "find", "Find in every table", find, about="words of a row or its source", wide=True
        )
        + '<button class="strong">Find</button></form>'
    )
    if one is not None:
        body += _table_section(one) + _index(every, name)
    elif find:
        body += _found(every, find)
    else:
        missing = "<p>There is no table of that name.</p>" if name else ""
        body += missing + _index(every, name)
    title = one.title if one else "Handbook tables"
    return whole("Tables", "Table" if one else "Tables", title, body, [("Project", project)])


def _index(every: Iterable[Table], here: str) -> str:
    links = "".join(
        f'<li><a href="/tables/{quote(t.name)}"{" aria-current=page" if t.name == here else ""}>'
        f"{escape(t.title)}<span>{_rows(len(t.rows))}</span></a></li>"
        for t in every
    )
    return f'<section><h2>All tables</h2><ul class="bw-index">{links}</ul></section>'


def _rows(count: int) -> str:
    return "1 row" if count == 1 else f"{count} rows"


def _table_section(one: Table) -> str:
    printed = ", ".join(filter(None, (one.publisher, one.edition, one.year, one.page, one.table)))
    lines = [f"<p><b>Printed in:</b> {escape(printed)}</p>" if printed else ""]
    if one.valid:
        lines.append(f"<p><b>Valid:</b> {escape(one.valid)}</p>")
    lines += [f"<p><b>Note:</b> {escape(note)}</p>" for note in one.notes]
    heads = [_column(one, name) for name in one.columns]
    rows = ([*_cells(one, row), _source(row)] for row in one.rows)
    body = table(one.title, [*heads, "Source"], rows)
    return f"<section><h2>{escape(one.title)}</h2>{''.join(lines)}{body}</section>"


def _found(every: Iterable[Table], find: str) -> str:
    words = find.lower().split()
    left = MOST_FOUND
    count = 0
    parts = []
    for one in every:
        head = f"{one.title} {one.name} {' '.join(one.columns)}".lower()
        hits = [row for row in one.rows if _has(words, head, one, row)]
        count += len(hits)
        shown = hits[:left]
        left -= len(shown)
        if shown:
            heads = [_column(one, name) for name in one.columns]
            rows = ([*_cells(one, row), _source(row)] for row in shown)
            parts.append(
                f'<section><h2><a href="/tables/{quote(one.name)}">{escape(one.title)}</a></h2>'
                f"{table(one.title, [*heads, 'Source'], rows)}</section>"
            )
    word = f"{_rows(count)} {'has' if count == 1 else 'have'} all of “{escape(find)}”."
    if count > MOST_FOUND:
        word += f" The first {MOST_FOUND} are shown: add a word."
    if not count:
        again = urlencode({"find": words[0]})
        word = f"No row has all of “{escape(find)}”."
        if len(words) > 1:
            word += f' <a href="/tables?{again}">Try “{escape(words[0])}” alone</a>.'
    return f'<p role="status">{word} <a href="/tables">All tables</a></p>{"".join(parts)}'


def _has(words: list[str], head: str, one: Table, row: Row) -> bool:
    text = f"{head} {' '.join(one.text(row, c) for c in one.columns)} {row.source}".lower()
    return all(word in text for word in words)


def _column(one: Table, name: str) -> str:
    unit = one.columns[name].unit
    return name.replace("_", " ") + ("" if unit in ("text", "-") else f" [{unit}]")


def _cells(one: Table, row: Row) -> list[str]:
    return [escape(one.text(row, name)) or "–" for name in one.columns]


def _source(row: Row) -> str:
    note = f"<br>{escape(row.note)}" if row.note else ""
    return f"{escape(row.source)} <small>({escape(row.kind)})</small>{note}"
