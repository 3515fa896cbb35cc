"""Tables as text and as plain data, for the `tables` command and the page."""

from __future__ import annotations

from typing import Any

from blankwright.handbook.table import Cell, Column, Row, Span, Table


def listing(tables: tuple[Table, ...]) -> str:
    """Return one line a table: name, how many rows, title, source.

    Args:
        tables: in the order to list
    """
    wide = max((len(item.name) for item in tables), default=0)
    return "\n".join(
        f"{item.name:<{wide}}  {len(item.rows):>4} {'rows' if len(item.rows) > 1 else 'row '}"
        f"  {item.title}" + (f"  ({item.source})" if item.source else "")
        for item in tables
    )


def table_text(table: Table) -> str:
    """Return a whole table as text: head, notes, rows as printed, each with its source.

    Args:
        table: to be shown
    """
    heads = [_head(column) for column in table.columns.values()]
    body = [[*(_cell(row, name) for name in table.columns), _source(row)] for row in table.rows]
    grid = [[*heads, "source"], *body]
    widths = [max(len(line[index]) for line in grid) for index in range(len(heads))]
    lines = [
        "  ".join(
            [*(f"{text:<{width}}" for text, width in zip(line, widths, strict=False)), line[-1]]
        ).rstrip()
        for line in grid
    ]
    title = [table.title, *([table.source] if table.source else [])]
    valid = [f"Valid: {table.valid}"] if table.valid else []
    notes = [f"Note: {note}" for note in table.notes]
    return "\n".join([*title, *valid, *notes, "", *lines])


def table_data(table: Table) -> dict[str, Any]:
    """Return a table as plain data for JSON; numbers stay texts, so that printed digits survive.

    Args:
        table: to be shown
    """
    return {
        "name": table.name,
        "title": table.title,
        "source": table.source,
        "page": table.page,
        "valid": table.valid,
        "interpolation": table.interpolation,
        "notes": list(table.notes),
        "columns": [
            {"name": column.name, "unit": column.unit, "means": column.means}
            for column in table.columns.values()
        ],
        "rows": [
            {
                **{name: _plain(value) for name, value in row.values.items()},
                "cite": row.cite,
                "kind": row.kind,
                "status": row.status,
                "note": row.note,
                "seen": row.seen,
            }
            for row in table.rows
        ],
    }


def _head(column: Column) -> str:
    unit = "" if column.unit in ("text", "-") else f" [{column.unit}]"
    return f"{column.name.replace('_', ' ')}{unit}"


def _cell(row: Row, name: str) -> str:
    return str(row.values[name]) if name in row.values else "–"


def _source(row: Row) -> str:
    return f"{row.source}. {row.note}" if row.note else row.source


def _plain(value: Cell) -> str | dict[str, str]:
    if isinstance(value, Span):
        return {"from": str(value.low), "to": str(value.high)}
    return str(value)
