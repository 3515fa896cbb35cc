"""What is bought for a row follows its metal and part number."""

from __future__ import annotations

import pytest

from blankwright.jobs.book_bought import bought_for_part
from blankwright.jobs.part_state import state_of_text

TEXT = """
title = "Strip"
[sheet]
alloy = "2024-T3"
thickness = "0.032 in"
[flats.web]
outline = {{ rectangle = ["10 in", "3 in"] }}
[rivets.seam]
on = "web"
along = "back"
ends = "1/2 in"
pitch_at_most = "1 in"
stack = [{{ thickness = "0.040 in", alloy = "2024-T3" }}]
{more}
"""


def rivets(more):
    part = state_of_text(TEXT.format(more=more), "strip").part
    return [b for b in bought_for_part(part) if ":row:" in b.key]


@pytest.mark.parametrize(
    ("more", "number", "taken"),
    [
        ('rivet = "1/8 in"\nkind = "solid"', "MS20470AD4-5", True),
        ('rivet = "1/8 in"\nkind = "solid"\nmetal = "AD"', "MS20470AD4-5", False),
        ('rivet = "1/8 in"\nkind = "solid"\nmetal = "2024-T31"', "MS20470DD4-5", False),
        (
            'rivet = "1/8 in"\nkind = "solid"\nmetal = "B"\nhead = "countersunk"',
            "MS20426B4-5",
            False,
        ),
        (
            'rivet = "1/8 in"\nkind = "solid"\npart_number = "MS20470AD4-5"',
            "MS20470AD4-5",
            False,
        ),
        ('rivet = "1/8 in"\nkind = "blind"\npart_number = "ours 4-2"', "ours 4-2", False),
        (
            'rivet = "1/8 in"\nkind = "blind"\nmetal = "steel"',
            "blind rivet steel 1/8 in, protruding, grip 42",
            False,
        ),
        ('screw = "10-32"\npart_number = "AN3-4A"', "AN3-4A", False),
    ],
)
def test_numbers(more, number, taken):
    first = rivets(more)[0]
    assert first.number == number
    assert ("taken for granted" in first.note) is taken
