from decimal import Decimal

import pytest

from blankwright.base.errors import BadInput, OurBug
from blankwright.handbook.inner import POUND_FORCE, factor, to_inner
from blankwright.handbook.show import listing, table_data, table_text
from blankwright.handbook.table import Span, parse_cell, parse_table, table, tables

HEAD = """
title = "T"
publisher = "P"
edition = "E"
year = ""
page = ""
table = "1"
valid = ""
interpolation = "none"
licence = "ours"
typed_by = "a test"
checked_by = ""
notes = ["careful"]
key = ["name"]
columns.name = { unit = "text", means = "name" }
columns.size = { unit = "in", means = "size", runs = "rising", total = 0.30 }
sources.a = "Book"
seen.a = "example.org/page"
"""


def test_values_keep_their_printed_digits() -> None:
    read = parse_table(
        "t",
        HEAD
        + """rows = [
        { name = "x", size = 0.10, cite = "a: row 1", kind = "printed", status = "READ" },
        { name = "y", size = 0.20, cite = "a", kind = "printed", status = "MEMORY low" },
        ]""",
    )
    first, second = read.rows
    assert str(first.values["size"]) == "0.10"
    assert read.text(first, "size") == "0.10"
    assert read.inner(second, "size") == 5.08
    assert first.cite == "Book, row 1"
    assert first.seen == "example.org/page"
    assert first.source == "Book, row 1"
    assert second.source == "Book; from memory, low confidence"
    assert read.source == "P, E, 1"
    assert read.columns["size"].total == Decimal("0.30")


@pytest.mark.parametrize(
    "row",
    [
        '{ name = "x", size = 0.1, kind = "printed", status = "READ" }',
        '{ name = "x", size = 0.1, cite = "b", kind = "printed", status = "READ" }',
        '{ name = "x", sise = 0.1, cite = "a", kind = "printed", status = "READ" }',
        '{ name = "x", size = "wide", cite = "a", kind = "printed", status = "READ" }',
    ],
)
def test_a_faulty_table_is_our_bug(row: str) -> None:
    with pytest.raises(OurBug, match="HANDBOOK-001 handbook table t"):
        parse_table("t", HEAD + f"rows = [{row}]")


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("1½–3", Span(Decimal("1.5"), Decimal(3))),
        ("½–1½", Span(Decimal("0.5"), Decimal("1.5"))),
        ("2½", Decimal("2.5")),
        ("1/64", Decimal("0.015625")),
        ("0.032–0.040", Span(Decimal("0.032"), Decimal("0.040"))),
        (3, Decimal(3)),
        (Decimal("0.0980"), Decimal("0.0980")),
        ("Infinity", Decimal("Infinity")),
    ],
)
def test_cells(typed: object, read: object) -> None:
    assert parse_cell(typed, "in") == read


def test_text_stays_text() -> None:
    assert parse_cell("1/8", "text") == "1/8"


def test_unknown_table_names_those_there_are() -> None:
    with pytest.raises(BadInput, match=r"HANDBOOK-002 .*drills-letter"):
        table("drills-roman")


def test_units() -> None:
    assert to_inner(Decimal("0.040"), "in") == 1.016
    assert to_inner(Decimal(4), "ft") == 1219.2
    assert factor("deg") == pytest.approx(0.017453292519943295, rel=1e-15)
    # 1 lbf = 4.4482216152605 N and 1 psi = 6894.757293168 Pa: NIST SP 811, Appendix B.8.
    assert pytest.approx(4.4482216152605, rel=1e-14) == POUND_FORCE
    assert factor("ksi") == pytest.approx(6.894757293168, rel=1e-12)
    # 1 lb/in³ = 2.767990e+04 kg/m³: NIST SP 811, Appendix B.8.
    assert factor("lb/in3") * 1e9 == pytest.approx(2.767990e4, rel=1e-6)


def test_every_table_can_be_shown() -> None:
    every = tables()
    lines = listing(every).splitlines()
    assert len(lines) == len(every)
    for item, line in zip(every, lines, strict=True):
        assert line.startswith(item.name)
        shown = table_text(item)
        for row in item.rows:
            assert row.source in shown
        data = table_data(item)
        assert len(data["rows"]) == len(item.rows)


def test_shown_rows_have_printed_digits_and_dashes_for_empty_cells() -> None:
    shown = table_text(table("rivet-holes"))
    (line,) = (line for line in shown.splitlines() if line.startswith("1/8    blind  "))
    assert "0.128" in line
    assert "0.132" in line
    (line,) = (line for line in shown.splitlines() if line.startswith("3/32   solid  "))
    assert line.split()[2:5] == ["#40", "–", "–"]
    assert table_data(table("bend-radius-ac43"))["rows"][6]["radius"] == {"from": "1.5", "to": "3"}
