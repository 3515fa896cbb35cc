"""The sheet of what to measure: its keys are the shop file's, its sizes those that hold."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import pytest

from blankwright.bending.measure_sheet import tool_pictures
from blankwright.bending.tools import supposed_shop
from blankwright.drawing.model import Text
from blankwright.files.shopfile import parse_shop
from blankwright.files.shopfile_brakes import bending_shop

SHEET = {table: (drawing, rows) for _, table, drawing, rows in tool_pictures()}
IN_WORDS = {"radii", "rated"}
"""Keys whose size is told in words."""


def key_of(cell):
    return cell.split()[-1]


def typed(table):
    """A shop file with one tool, every key typed as the sheet shows it."""
    _, rows = SHEET[table]
    lines = [f"{key_of(key)} = {size}" for key, _, size in rows if key_of(key) not in IN_WORDS]
    return bending_shop(parse_shop("\n".join((f"[[{table}]]", *lines)), Path("shop.toml"))).tools


@pytest.mark.parametrize("table", SHEET)
def test_what_the_sheet_shows_is_what_holds_when_left_out(table):
    (left_out,) = bending_shop(parse_shop(f"[[{table}]]", Path("shop.toml"))).tools
    (stated,) = typed(table)
    for field in fields(left_out):
        if field.name not in IN_WORDS | {"widths", "capacity"}:
            assert getattr(stated, field.name) == getattr(left_out, field.name), field.name


@pytest.mark.parametrize("table", SHEET)
def test_every_letter_of_a_key_stands_in_the_picture(table):
    drawing, rows = SHEET[table]
    lettered = [key.split()[0] for key, _, _ in rows if len(key.split()) > 1]
    words = [item.text for item in drawing.items if isinstance(item, Text)]
    assert lettered
    assert len(set(lettered)) == len(lettered)
    for letter in lettered:
        assert words.count(letter) == 1


def test_every_size_that_a_collision_looks_at_is_on_the_sheet():
    """Sizes of a tool, but those that no drawing shows: names, play at ends, and price."""
    not_measured = {
        "name",
        "radius_off",
        "capacity",
        "short",
        "side_gap",
        "by_hand",
        "cut_to_suit",
        "widths",
        "force",
        "most_angle",
        "ends_open",
        "behind_open",
        "length",
    }
    kinds = {"leaf_brakes": 0, "vises": 1, "hand_blocks": 2}
    for table, number in kinds.items():
        tool = supposed_shop().tools[number]
        keys = {key_of(key) for key, _, _ in SHEET[table][1]}
        missing = {field.name for field in fields(tool)} - keys - not_measured
        assert not missing
