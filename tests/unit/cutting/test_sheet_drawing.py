"""The picture of a packed sheet: every part, numbered as in its list, and on one page."""

import pytest

from blankwright.cutting.offcuts import offcuts_of
from blankwright.cutting.packing import PackedSheet, PackPart, PackSettings, Placement
from blankwright.cutting.sheet_drawing import sheet_drawing, sheet_page
from blankwright.drawing.model import Ring, Text
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.region import Region
from cutting_samples import clamp, sheet


@pytest.fixture
def packed():
    hole = Loop.circle((40, 20), 6)
    parts = [
        PackPart(name="rib", region=Region.of(Loop.rectangle(0, 0, 80, 40), hole), grain=0.0),
        PackPart(name="clip", region=Region(Loop.rectangle(0, 0, 20, 12))),
    ]
    return PackedSheet(
        sheet=sheet(1200, 600, clamps=[clamp(0, 0, 30, 20)]),
        number=1,
        placements=(
            Placement(part=parts[0], move=Move.shift(50, 50)),
            Placement(part=parts[1], move=Move.turn(1.5).then(Move.shift(200, 80))),
        ),
    )


def test_every_part_is_drawn_where_it_lies_and_numbered_as_listed(packed):
    drawing = sheet_drawing(packed, offcuts_of(packed, PackSettings()))
    edges = [item.loop for item in drawing.items if isinstance(item, Ring)]
    for placement in packed.placements:
        for loop in placement.region.loops:
            assert any(abs(other.area) == pytest.approx(abs(loop.area)) for other in edges)
    texts = [item for item in drawing.items if isinstance(item, Text)]
    for number, placement in enumerate(packed.placements, start=1):
        (label,) = [t for t in texts if t.text == str(number)]
        middle = (label.at[0], label.at[1] + label.height / 2)
        assert placement.region.contains(middle)
        assert any(t.text == f"{number}  {placement.part.name}" for t in texts)
    assert any("offcut" in t.text for t in texts)


@pytest.mark.parametrize("paper", [(210.0, 297.0), (297.0, 420.0), (215.9, 279.4)])
def test_the_page_holds_all_and_says_its_scale(packed, paper):
    page = sheet_page(packed, offcuts_of(packed, PackSettings()), paper, "1")
    assert (page.width, page.height) == (max(paper), min(paper))
    for item in page.furniture:
        x0, y0, x1, y1 = item.box
        assert x0 >= 0
        assert y0 >= 0
        assert x1 <= page.width
        assert y1 <= page.height
    texts = [item.text for item in page.furniture if isinstance(item, Text)]
    assert any(text.startswith("Scale 1 : ") and "not to be traced" in text for text in texts)
