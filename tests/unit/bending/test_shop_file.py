"""Bending tools read from a shop file."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from blankwright.base.errors import BadInput
from blankwright.bending.tools import HandBlock, LeafBrake, PressBrake, Vise, supposed_shop
from blankwright.files.shopfile import parse_shop, read_shop
from blankwright.files.shopfile_brakes import bending_shop

EXAMPLE = Path(__file__).parents[3] / "examples" / "tarn200" / "shop.toml"


def read(text):
    return bending_shop(parse_shop(text, Path("shop.toml")))


def problems(text):
    with pytest.raises(BadInput) as caught:
        read(text)
    return [str(p) for p in caught.value.problems]


def test_no_tools_means_the_supposed_shop():
    shop = read("")
    assert shop.tools == supposed_shop().tools
    assert not shop.stated


def test_example_shop_reads():
    shop = bending_shop(read_shop(EXAMPLE))
    assert shop.stated
    kinds = [type(tool) for tool in shop.tools]
    assert kinds == [LeafBrake, LeafBrake, Vise, HandBlock]
    assert shop.tools[0].length == pytest.approx(609.6)
    assert shop.tools[0].radii[4] == pytest.approx(3.175)
    assert shop.tools[1].leaf_depth == pytest.approx(16.0)


def test_every_key_of_a_leaf_brake():
    shop = read(
        """
[[leaf_brakes]]
name = "mine"
length = "20 in"
bar = [["0 mm", "0 mm"], ["40 mm", "0 mm"], ["40 mm", "30 mm"], ["20 mm", "30 mm"]]
beam = []
fingers = ["1 in", "2 in"]
radii = ["1/8 in", "1/16 in"]
lift = "25 mm"
bed_depth = "70 mm"
bed_height = "50 mm"
leaf_depth = "30 mm"
leaf_thickness = "10 mm"
most_angle = "110 deg"
may_stop_short = "2 mm"
side_gap = "0.5 mm"
ends_open = false
behind_open = true
rated = { thickness = "1 mm", length = "20 in", ultimate_ksi = 60 }
"""
    )
    (tool,) = shop.tools
    assert tool == LeafBrake(
        name="mine",
        length=508.0,
        bar=((0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (20.0, 30.0)),
        beam=(),
        widths=(25.4, 50.8),
        radii=(25.4 / 16, 25.4 / 8),
        lift=25.0,
        bed_depth=70.0,
        bed_height=50.0,
        leaf_depth=30.0,
        leaf_thickness=10.0,
        most_angle=math.radians(110),
        short=2.0,
        side_gap=0.5,
        ends_open=False,
        behind_open=True,
        capacity=tool.capacity,
    )
    assert tool.capacity.ultimate == pytest.approx(413.685, abs=0.01)


def test_press_brake_costs_accuracy_springback():
    shop = read(
        """
[[press_brakes]]
name = "press"
segments = ["50 mm", "100 mm"]
force_kn = 300

[bend_costs]
by_hand = "120 s"

[bend_accuracy]
sight = "1/64 in"
k = 0.03

[[springback]]
alloy = "6061-T6"
thickness = "0.040 in"
inside_radius = "1/8 in"
bent_to = "93 deg"
sprang_to = "90 deg"
"""
    )
    (press,) = shop.tools
    assert isinstance(press, PressBrake)
    assert press.force == 300e3
    assert shop.costs.by_hand == 120.0
    assert shop.capability.sight == pytest.approx(25.4 / 64)
    assert shop.capability.k == 0.03
    assert shop.sprung[0].bent_to == pytest.approx(math.radians(93))


def test_all_mistakes_are_told_at_once():
    found = problems(
        """
[[leaf_brakes]]
name = "a"
lift = 30
leaf_dept = "40 mm"
bar = [["1 mm", "0 mm"], ["40 mm", "0 mm"], ["40 mm", "30 mm"]]
fingers = ["25 mm", "4 ft"]
length = "24 in"

[[leaf_brakes]]
name = "a"

[bend_costs]
by_hnd = "3 s"
"""
    )
    text = "\n".join(found)
    assert all(p.startswith("SHOP-020") for p in found)
    for words in (
        "leaf_dept",
        "Did you mean `leaf_depth`",
        "doesn't begin at the nose",
        "longer than the tool",
        "two tools are called",
        "by_hnd",
        "`30` is no text",
    ):
        assert words in text


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('[leaf_brakes]\nname = "a"', "isn't a list of tables"),
        ("[[vises]]\nradii = []", "no nose radius"),
        ('[[vises]]\nradii = ["-1 mm"]', "too small"),
        ('[[hand_blocks]]\nmost_angle = "300 deg"', "no tool bends so far"),
        ('[[leaf_brakes]]\nbar = [["0 mm"], ["1 mm", "0 mm"], ["1 mm", "1 mm"]]', "bar"),
        ('[[leaf_brakes]]\nrated = { thickness = "1 mm" }', "both be stated"),
        ('[bend_accuracy]\nk = "0.03"', "no plus/minus of k"),
        ('[[springback]]\nalloy = "6061-T6"', "it is missing"),
        ("[leaf_brake]\n", "Did you mean `leaf_brakes`"),
    ],
)
def test_mistakes(text, words):
    assert any(words in p for p in problems(text)), problems(text)
