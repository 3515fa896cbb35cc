"""Starting shapes: each begins a part that reads, develops and forms to its sizes."""

from __future__ import annotations

import pytest

from blankwright.base.errors import BadInput
from blankwright.jobs.part_state import state_of_text
from blankwright.jobs.shapes import SHAPES, part_name, part_text, shape_by_key
from blankwright.page.shape_picture import shapes_json

BENDS = {"tray": 4, "channel": 2, "angle": 1, "zee": 2, "hat": 4, "gate": 4, "cover": 8, "empty": 0}


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: shape.key)
@pytest.mark.parametrize("unit", ["inch", "metric"])
def test_every_shape_makes_a_part_without_a_stop(shape, unit):
    sizes = {ask.key: getattr(ask, unit) for ask in shape.asks}
    state = state_of_text(part_text(shape, "A part", "6061-T6", sizes), "a-part")
    assert len(state.blank.bends) == BENDS[shape.key]
    assert not state.blocked, [str(f) for f in state.findings if f.blocks]


@pytest.mark.parametrize(
    ("key", "sizes", "box"),
    [
        ("tray", {"width": "120 mm", "depth": "80 mm", "wall": "20 mm"}, (120, 80, 20)),
        ("channel", {"web": "75 mm", "flange": "25 mm", "length": "150 mm"}, (75, 150, 25)),
        ("angle", {"base": "25 mm", "leg": "20 mm", "length": "100 mm"}, (25, 100, 20)),
        (
            "zee",
            {"web": "40 mm", "upper": "20 mm", "lower": "15 mm", "length": "90 mm"},
            (40, 90, 20 + 15 - 1),
        ),
        (
            "hat",
            {"top": "25 mm", "wall": "20 mm", "flange": "16 mm", "length": "90 mm"},
            (25 + 2 * 16 - 2 * 1, 90, 20),
        ),
    ],
)
def test_the_formed_part_has_the_sizes_that_were_asked_for(key, sizes, box):
    """Outside to outside, worked by hand from the drawing of the shape; 1 mm sheet."""
    text = part_text(shape_by_key(key), "A", "6061-T6", {**sizes, "thickness": "1 mm"})
    least, most = state_of_text(text, "a").formed.box
    assert tuple(b - a for a, b in zip(least, most, strict=True)) == pytest.approx(box, abs=1e-6)


@pytest.mark.parametrize("shape", shapes_json(), ids=lambda shape: shape["key"])
def test_the_drawing_calls_out_every_size_once_and_within_its_frame(shape):
    asked = {ask["key"] for ask in shape["asks"]} - {"thickness", "radius"}
    assert sorted(call["key"] for call in shape["calls"]) == sorted(asked)
    x0, y0, w, h = shape["box"]
    for call in shape["calls"]:
        assert x0 <= call["x"] <= x0 + w
        assert y0 <= call["y"] <= y0 + h


def test_a_wrong_size_is_refused_with_its_place():
    with pytest.raises(BadInput, match="`wall` is a bare number"):
        part_text(shape_by_key("tray"), "A", "6061-T6", {"wall": "20"})
    with pytest.raises(BadInput, match="PAGE-008"):
        shape_by_key("boat")


def test_quotes_in_a_title_do_no_harm():
    text = part_text(shape_by_key("angle"), 'The "long" one\\', "6061-T6", {})
    assert state_of_text(text, "x").part.title == 'The "long" one\\'
    assert part_name("The “Long” one, 2nd") == "the-long-one-2nd"
    assert part_name("../..") == ""
