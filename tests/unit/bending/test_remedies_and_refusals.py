"""What is said and tried when no order works."""

from __future__ import annotations

import pytest

import bend_shops
import samples
from bend_shops import block, brake, planned, vise
from blankwright.base.findings import Level
from blankwright.bending.part_edits import with_leg_height
from blankwright.bending.plan import plan_bends
from blankwright.bending.remedies import Remedies
from blankwright.bending.remedy_kinds import Remedy
from blankwright.bending.tools import Shop
from blankwright.bending.words import findings_of
from blankwright.develop.develop import develop_blank
from blankwright.jobs.bending_scene import refusal_scenes, step_scenes


def tried(part, *tools):
    plan = plan_bends(develop_blank(part), Shop(tools=tools, stated=True))
    assert not plan.found
    found = Remedies(part, plan).tried()
    return plan, {kind: [t for t in found if t.remedy is kind] for kind in Remedy}


def test_moulding_is_named_and_not_said_to_work():
    _, found = tried(bend_shops.zed(12.0), brake())
    (mould,) = found[Remedy.MOULD]
    assert mould.works is None
    assert mould.verdict == "named, not searched"


def test_a_higher_flange_is_tried_past_a_short_ones_few_times_its_height():
    """The leaf is 45 deep: a rise of 12 must become higher than that, four times its height."""
    part = bend_shops.zed(12.0)
    _, found = tried(part, brake())
    (works,) = [t for t in found[Remedy.HIGHER] if t.works]
    assert works.about == "rise"
    assert 45.0 < works.size < 60.0
    assert planned(with_leg_height(part, "rise", works.size + 0.1), brake()).found
    assert not planned(with_leg_height(part, "rise", works.size - 1.5), brake()).found


def test_walls_of_one_height_are_lowered_together():
    part = samples.tray(returns=False, width=90.0, depth=70.0, height=140.0)
    _, found = tried(part, brake())
    alone = [t for t in found[Remedy.LOWER] if "together" not in t.text]
    together = [t for t in found[Remedy.LOWER] if "together" in t.text]
    assert alone
    assert not any(t.works for t in alone)
    assert any(t.works and t.size < 140.0 for t in together)


def test_a_block_is_made_for_a_radius_that_no_tool_has():
    part = samples.part(
        samples.flat("base", 80.0, 60.0),
        [samples.bend("roll", "base", "back", 80.0, 60.0, radius=21.0)],
    )
    plan, found = tried(part, brake(), block())
    (suited,) = found[Remedy.SUITED]
    assert suited.works
    # The block has the radius that the bend has while it is held.
    assert f"radius {plan.aims['roll'].radius:.2f} mm" in suited.text
    (finding, *_) = findings_of(plan)
    assert "no nose of" in finding.got


def test_why_not_names_every_tool():
    part = samples.angle(width=300.0)
    plan = plan_bends(develop_blank(part), Shop(tools=(brake(length=200.0), vise()), stated=True))
    (finding, *_) = findings_of(plan)
    assert "the bend is 300 mm long, the tool takes 200 mm" in finding.got
    assert "Not on the vise: the bend is 300 mm long, the tool takes 150 mm" in finding.got


def test_what_only_getting_in_and_out_forbids_is_not_said_to_be_proved():
    """A tube closes round the bar: every stroke is clear, but it comes off the end alone."""
    part = bend_shops.tube(side=40.0)
    small = {
        "leaf_depth": 8.0,
        "bar": ((0.0, 0.0), (16.0, 0.0), (16.0, 10.0), (7.0, 10.0)),
        "beam": (),
        "widths": (),
        "bed_depth": 20.0,
        "bed_height": 14.0,
    }
    shut, open_ = (
        plan_bends(develop_blank(part), Shop(tools=(brake(ends_open=e, **small),), stated=True))
        for e in (False, True)
    )
    assert open_.found
    assert not shut.found
    assert sorted(n for some in shut.if_it_goes_in for n in some) == ["a", "b", "c"]
    (finding, *_) = findings_of(shut)
    assert finding.level is Level.ASK
    assert "straight, not tilted" in finding.limit


@pytest.mark.parametrize(("part", "tool"), [(bend_shops.zed(12.0), brake())])
def test_strokes_that_clash_are_a_stop(part, tool):
    plan = plan_bends(develop_blank(part), Shop(tools=(tool,), stated=True))
    assert plan.if_it_goes_in == ()
    (finding, *_) = findings_of(plan)
    assert finding.level is Level.STOP


def test_the_page_shows_what_is_in_the_way():
    plan = planned(bend_shops.zed(12.0))
    assert step_scenes(plan) == []
    scenes = refusal_scenes(plan)
    assert len(scenes) == len(plan.blocking.bends) == 2
    for scene in scenes:
        assert "runs into the" in scene["told"][0]["text"]
        assert {body["role"] for body in scene["bodies"]} >= {"lifts", "swings", "stays"}
