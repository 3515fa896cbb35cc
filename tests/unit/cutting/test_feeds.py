"""Feeds and speeds: stated numbers first, limits of machine and cutter, sources in the trail."""

from dataclasses import replace

import pytest

from blankwright.base.errors import NotPossible
from blankwright.base.findings import Level
from blankwright.cutting.feeds import cutting_speed, feeds_for, spindle_speed, table_feed
from blankwright.cutting.machine import CutterKind
from blankwright.cutting.stock import Material
from blankwright.handbook.table import table
from cutting_samples import BIT, DRILL_30, MACHINE, PEN, SPOT


def test_speed_and_feed_are_inverse_to_one_another():
    for diameter in (1.0, 3.175, 6.35):
        assert cutting_speed(spindle_speed(150.0, diameter), diameter) == pytest.approx(150.0)
    assert table_feed(10_000, 2, 0.02) == 400.0


def test_every_number_has_a_source_and_practice_is_called_practice():
    feeds = feeds_for(BIT, Material.ALUMINIUM, MACHINE)
    assert all(step.source for step in feeds.trail)
    assert any("common practice, no source" in step.source for step in feeds.trail)


def test_stated_numbers_win_and_name_their_source():
    own = replace(BIT, chip_load=0.03, surface_speed=200.0, step=0.5, source="maker's leaflet")
    feeds = feeds_for(own, Material.ALUMINIUM, MACHINE)
    assert feeds.step == 0.5
    assert feeds.rpm == round(200_000 / 3.141592653589793 / 3.175)
    assert feeds.feed == int(feeds_rpm(own) * 0.03)
    assert sum("maker's leaflet" in step.source for step in feeds.trail) == 3


def feeds_rpm(cutter):
    return spindle_speed(cutter.surface_speed, cutter.diameter)


def test_a_slow_spindle_takes_the_feed_down_with_it():
    slow = feeds_for(BIT, Material.BOARD, replace(MACHINE, most_rpm=9000.0))
    fast = feeds_for(BIT, Material.BOARD, MACHINE)
    assert slow.rpm == 9000
    assert slow.feed / slow.rpm == pytest.approx(fast.feed / fast.rpm, rel=0.01)


def test_a_spindle_that_cannot_turn_slowly_is_told():
    feeds = feeds_for(DRILL_30, Material.ALUMINIUM, replace(MACHINE, least_rpm=14_000.0))
    (finding,) = feeds.findings
    assert (finding.code, finding.level) == ("CUT-011", Level.ASK)


def test_a_cutter_slower_than_the_slowest_spindle_stops_the_file():
    feeds = feeds_for(replace(BIT, most_rpm=6000.0), Material.ALUMINIUM, MACHINE)
    assert [f.code for f in feeds.findings if f.blocks] == ["CUT-010"]


def test_a_chip_too_thin_is_told():
    slow = replace(MACHINE, most_feed=60.0)
    assert "CUT-012" in [f.code for f in feeds_for(BIT, Material.ALUMINIUM, slow).findings]


def test_steel_is_refused_unless_the_cutter_states_its_numbers():
    with pytest.raises(NotPossible, match="CUT-013"):
        feeds_for(BIT, Material.STEEL, MACHINE)
    own = replace(BIT, chip_load=0.005, surface_speed=40.0, step=0.1)
    assert feeds_for(own, Material.STEEL, MACHINE).step == 0.1


def test_machine_limits_hold():
    tight = replace(MACHINE, most_feed=100.0, most_plunge=20.0)
    for cutter in (BIT, DRILL_30, SPOT, PEN):
        feeds = feeds_for(cutter, Material.BOARD, tight)
        assert feeds.feed <= 100
        assert feeds.plunge <= 20


def test_a_pen_needs_no_spindle():
    assert feeds_for(PEN, Material.ALUMINIUM, MACHINE).rpm == 0


def test_the_table_gets_gentler_with_smaller_cutters_and_covers_all_kinds():
    numbers = table("cutting-feeds")
    for material in ("aluminium", "board", "plastic"):
        rows = [
            row
            for row in numbers.rows
            if row.values["material"] == material and row.values["cutter"] == "router bit"
        ]
        chips = [numbers.inner(row, "chip") for row in rows]
        assert chips == sorted(chips)
        for kind in (CutterKind.ROUTER_BIT, CutterKind.DRILL, CutterKind.SPOT_DRILL):
            assert any(
                row.values["cutter"] == kind.value and row.values["material"] == material
                for row in numbers.rows
            )
