"""Feeds and speeds against figures that handbooks and makers print.

Sources, all from memory: speeds and feeds of high-speed drills as drill makers' handbooks and
Army TC 9-524 print them (high confidence); chip loads as makers of router bits print them, and
speeds of carbide in wrought aluminium from Machinery's Handbook (medium confidence). The numbers
below are typed from those, not read from the program's tables.
"""

from dataclasses import replace

import pytest

from blankwright.base.units import from_inches
from blankwright.cutting.feeds import cutting_speed, feeds_for
from blankwright.cutting.machine import Cutter, CutterKind, Machine
from blankwright.cutting.stock import Material
from blankwright.handbook.table import table

ANY_SPEED = Machine(
    name="ideal",
    travel=(1000.0, 1000.0, 100.0),
    zero=(0.0, 0.0, 50.0),
    least_rpm=1.0,
    most_rpm=60_000.0,
    most_feed=10_000.0,
    most_plunge=10_000.0,
)

FEET_A_MINUTE = {  # high-speed drills
    "aluminium": (200, 300),
    "board": (300, 400),
    "plastic": (100, 150),
}
TURN = {  # feed of a drill in a turn, in inches, by diameter
    3 / 32: (0.001, 0.002),
    7 / 64: (0.001, 0.002),
    5 / 32: (0.002, 0.004),
    3 / 16: (0.002, 0.004),
}
CHIP = {  # router bits, inches for each edge
    ("aluminium", 1 / 8): (0.003, 0.005),
    ("aluminium", 1 / 4): (0.005, 0.007),
    ("board", 1 / 8): (0.004, 0.007),
    ("board", 1 / 4): (0.013, 0.016),
    ("plastic", 1 / 8): (0.002, 0.004),
    ("plastic", 1 / 4): (0.006, 0.009),
}


def cutter(kind, diameter_in):
    flutes = 2 if kind is CutterKind.DRILL else 1
    return Cutter(number=1, name="it", kind=kind, diameter=from_inches(diameter_in), flutes=flutes)


def feet(feeds, diameter_in):
    return cutting_speed(feeds.rpm, from_inches(diameter_in)) / from_inches(12.0) * 1000


@pytest.mark.parametrize("material", FEET_A_MINUTE)
@pytest.mark.parametrize("diameter_in", TURN)
def test_drills_run_no_faster_than_printed(material, diameter_in):
    feeds = feeds_for(cutter(CutterKind.DRILL, diameter_in), Material(material), ANY_SPEED)
    least, greatest = FEET_A_MINUTE[material]
    assert feet(feeds, diameter_in) <= greatest
    # Careful, but no slower than two thirds of the least that is printed.
    assert feet(feeds, diameter_in) >= least / 1.6


@pytest.mark.parametrize("diameter_in", TURN)
def test_drills_feed_within_the_printed_range(diameter_in):
    feeds = feeds_for(cutter(CutterKind.DRILL, diameter_in), Material.ALUMINIUM, ANY_SPEED)
    least, greatest = (from_inches(length) for length in TURN[diameter_in])
    assert least <= feeds.feed / feeds.rpm * 1.001
    assert feeds.feed / feeds.rpm <= greatest


@pytest.mark.parametrize(("material", "diameter_in"), CHIP)
def test_router_bits_cut_no_coarser_than_printed(material, diameter_in):
    feeds = feeds_for(cutter(CutterKind.ROUTER_BIT, diameter_in), Material(material), ANY_SPEED)
    assert feeds.feed / feeds.rpm <= from_inches(CHIP[material, diameter_in][1])


def test_router_bits_run_slower_in_aluminium_than_printed_for_carbide():
    for diameter_in in (1 / 16, 1 / 8, 1 / 4):
        bit = cutter(CutterKind.ROUTER_BIT, diameter_in)
        assert feet(feeds_for(bit, Material.ALUMINIUM, ANY_SPEED), diameter_in) <= 1000


def test_a_chip_over_what_is_printed_is_asked_about():
    bit = cutter(CutterKind.ROUTER_BIT, 1 / 8)
    coarse = replace(bit, chip_load=from_inches(0.006))
    codes = [f.code for f in feeds_for(coarse, Material.ALUMINIUM, ANY_SPEED).findings]
    assert codes == ["CUT-017"]
    fine = replace(bit, chip_load=from_inches(0.005))
    assert feeds_for(fine, Material.ALUMINIUM, ANY_SPEED).findings == ()


def test_the_tables_hold_what_is_typed_here():
    speeds = table("cutting-speeds-printed")
    for row in speeds.rows:
        if row.values["cutter"] == "drill":
            typed = FEET_A_MINUTE[str(row.values["material"])]
            assert (float(row.values["least"]), float(row.values["greatest"])) == typed
    chips = table("cutting-chips-printed")
    for row in chips.rows:
        if row.values["cutter"] == "router bit":
            typed = CHIP[str(row.values["material"]), float(row.values["up_to"])]
            assert (float(row.values["least"]), float(row.values["greatest"])) == typed
    for row in (*speeds.rows, *chips.rows):
        assert row.status.startswith("MEMORY")
