"""House rules for handbook tables: schema, a source by every row, order, totals."""

import re
from collections import Counter
from decimal import Decimal
from importlib.resources import files
from itertools import pairwise

import pytest

from blankwright.handbook.inner import UNITS
from blankwright.handbook.table import KINDS, STATUSES, Span, Table, table, table_names

NAMES = table_names()


@pytest.fixture(params=NAMES)
def printed(request: pytest.FixtureRequest) -> Table:
    return table(request.param)


def test_there_are_tables() -> None:
    assert len(NAMES) >= 35


def test_head_is_filled(printed: Table) -> None:
    assert printed.title
    assert printed.typed_by
    assert printed.licence
    assert printed.interpolation in ("none", "linear")
    assert printed.rows
    assert printed.key
    assert set(printed.key) <= set(printed.columns)


def test_units_are_known(printed: Table) -> None:
    for column in printed.columns.values():
        assert column.unit == "text" or column.unit in UNITS, column.name
        assert column.means


def test_cells_are_what_their_column_says(printed: Table) -> None:
    for row in printed.rows:
        for name, value in row.values.items():
            if printed.columns[name].unit == "text":
                assert isinstance(value, str)
            else:
                assert isinstance(value, Decimal | Span), (name, value)
                assert (value.low if isinstance(value, Span) else value) >= 0
                if isinstance(value, Span):
                    assert value.low < value.high


def test_every_row_is_cited(printed: Table) -> None:
    for row in printed.rows:
        assert len(row.cite) > 4
        assert row.kind in KINDS
        assert row.status in STATUSES
        assert set(printed.key) <= set(row.values)


def test_practice_says_that_it_has_no_source(printed: Table) -> None:
    for row in printed.rows:
        if row.status == "PRACTICE":
            assert "no source" in row.cite
            assert row.kind == "rule-of-thumb"
        else:
            assert "no source" not in row.cite


def test_memory_is_said_in_the_source(printed: Table) -> None:
    for row in printed.rows:
        assert ("from memory" in row.source) == row.status.startswith("MEMORY")


def test_no_two_rows_have_one_key(printed: Table) -> None:
    keys = Counter(tuple(row.values[name] for name in printed.key) for row in printed.rows)
    assert [key for key, count in keys.items() if count > 1] == []


def test_columns_run_as_they_must(printed: Table) -> None:
    holds = {
        "rising": lambda one, other: one < other,
        "falling": lambda one, other: one > other,
        "not falling": lambda one, other: one <= other,
        "not rising": lambda one, other: one >= other,
    }
    for column in printed.columns.values():
        if not column.runs:
            continue
        values = [row.values[column.name] for row in printed.rows if column.name in row.values]
        for one, other in pairwise(values):
            assert holds[column.runs](one, other), (column.name, one, other)


def test_totals_hold(printed: Table) -> None:
    for column in printed.columns.values():
        if column.total is None:
            continue
        values = [row.values.get(column.name) for row in printed.rows]
        assert sum(v for v in values if isinstance(v, Decimal)) == column.total, column.name


def test_radii_do_not_shrink_with_thickness_except_where_printed() -> None:
    """A look-up takes the next thicker row; that is safe only if it has no smaller radius."""
    odd = set()
    for name in NAMES:
        if not name.startswith("bend-radius"):
            continue
        radii = table(name)
        last: dict[object, tuple[Decimal, Decimal]] = {}
        for row in radii.rows:
            cell = row.values["radius"]
            ends = (cell.low, cell.high) if isinstance(cell, Span) else (cell, cell)
            alloy = row.values["alloy"]
            if alloy in last and any(a > b for a, b in zip(last[alloy], ends, strict=True)):
                odd.add((name, alloy, str(row.values["thickness"])))
            last[alloy] = ends
    assert odd == {
        ("bend-radius-shop", alloy, "0.025") for alloy in ("3003-O", "1100-O", "6061-O", "5052-O")
    }


def test_files_have_no_registry_hosts_and_no_stray_keys() -> None:
    for name in NAMES:
        text = (files("blankwright.handbook") / "tables" / f"{name}.toml").read_text("utf-8")
        assert "http" not in text
        assert not re.search(r"pypi|npmjs|crates\.io|rubygems", text)
        heads = set(re.findall(r"^([a-z_]+)(?:\.[a-z0-9_]+)? = ", text, re.MULTILINE))
        assert heads <= {
            *("title", "publisher", "edition", "year", "page", "table", "valid"),
            *("interpolation", "licence", "typed_by", "checked_by", "notes", "key"),
            *("columns", "sources", "seen", "rows"),
        }
