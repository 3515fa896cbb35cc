"""Choices of lines and notes of bends, as people write them."""

from __future__ import annotations

import pytest

from blankwright.base.quantities import BadText
from blankwright.files.dxf_drawn.choose import read_choice
from blankwright.files.dxf_drawn.model import Pen
from blankwright.files.dxf_drawn.notes import pen_note, read_bend_note, read_sheet_note
from blankwright.files.dxf_drawn.opening import kind_of


@pytest.mark.parametrize(
    ("text", "pen", "fits"),
    [
        ("layer CUT", Pen("cut", "CONTINUOUS", 7), True),
        ("layer CUT", Pen("CUT 2", "CONTINUOUS", 7), False),
        ("layer Cut Lines, colour 3", Pen("CUT LINES", "CONTINUOUS", 3), True),
        ("layer Cut Lines, color 3", Pen("CUT LINES", "CONTINUOUS", 4), False),
        ("line type center", Pen("0", "CENTER", 7), True),
        ("linetype center", Pen("0", "CENTER2", 7), False),
        ("open lines", Pen("0", "CENTER2", 7), True),
        ("layer layer 1", Pen("LAYER 1", "CENTER2", 7), True),
    ],
)
def test_choices(text, pen, fits):
    assert read_choice(text).fits(pen) is fits


@pytest.mark.parametrize("text", ["", "CUT", "layer", "colour red", "layer A, layer B", "layer A,"])
def test_what_is_no_choice(text):
    with pytest.raises(BadText) as error:
        read_choice(text)
    assert error.value.code == "DRAWN-010"


@pytest.mark.parametrize(
    ("text", "up", "angle", "radius"),
    [
        ("left: UP 90° R 3.175 mm (1/8 in)", True, "90 deg", "1/8 in"),
        ("left: UP 90° R 3 mm (0.118 in)", True, "90 deg", "3 mm"),
        ("left: UP 90° R 1.6 mm (0.063 in)", True, "90 deg", "1.6 mm"),
        ("DOWN 45.5 DEG R.125 IN", False, "45.5 deg", ".125 in"),
        ('BEND UP 90 DEG, R = 1/8"', True, "90 deg", "1/8 in"),
        ("DN 30° IR 2mm", False, "30 deg", "2 mm"),
        ("up 90° radius 3", True, "90 deg", "3 mm"),
        ("90° R3", None, "90 deg", "3 mm"),
        ("UP 90°", True, "90 deg", ""),
    ],
)
def test_bend_notes(text, up, angle, radius):
    note = read_bend_note(text, "mm")
    assert note is not None
    assert (note.up, note.angle, note.radius) == (up, angle, radius)


@pytest.mark.parametrize(
    "text", ["BEND", "THIS SIDE UP", "SCALE 1:1", "R3 TYP", "90°", "T200-53-04 REV B", "HOLES Ø3.2"]
)
def test_what_is_no_bend_note(text):
    assert read_bend_note(text, "mm") is None


def test_a_radius_without_a_unit_says_so():
    assert read_bend_note("UP 90° R3", "in").radius_bare
    assert not read_bend_note("UP 90° R3 mm", "in").radius_bare


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("6061-T6, 1.016 mm (0.04 in) thick", ("6061-T6", "0.04 in")),
        ("5052-H32, 0.032 in THICK", ("5052-H32", "0.032 in")),
        ("1.6 mm thick", ("", "1.6 mm")),
        ("thick as a brick", None),
    ],
)
def test_sheet_notes(text, found):
    assert read_sheet_note(text) == found


def test_directions_by_names():
    assert pen_note(Pen("BEND-UP", "CONTINUOUS", 1)).up is True
    assert pen_note(Pen("bend_down", "CONTINUOUS", 1)).up is False
    assert pen_note(Pen("SUPPORT", "CONTINUOUS", 1)) is None
    assert pen_note(Pen("UP DOWN", "CONTINUOUS", 1)) is None


def test_kinds_of_files():
    assert kind_of(b"  0\r\nSECTION\r\n") == "dxf"
    assert kind_of(b"999\nnote\n0\nSECTION\n") == "dxf"
    assert kind_of(b"ISO-10303-21;") == "step"
    assert kind_of(b"") == "an empty file"
