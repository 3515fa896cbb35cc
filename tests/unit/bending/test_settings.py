"""What to set: springback, sight line, stop, capacity, words."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

import bend_shops
import samples
from bend_shops import RADII, block, brake, planned, press, shop
from blankwright.bending.aims import UNKNOWN, aim_of
from blankwright.bending.plan import plan_bends
from blankwright.bending.settings import Against, setting_of
from blankwright.bending.tools import Capacity, Sprung
from blankwright.bending.words import angle_words, findings_of, refusal_words
from blankwright.develop.develop import develop_blank
from blankwright.handbook.forming import angle_in_tool, radius_in_tool
from blankwright.handbook.materials import strength


def test_overbend_follows_the_handbook_formula():
    blank = develop_blank(samples.angle())
    (bend,) = blank.bends
    found = aim_of(bend, blank)
    alloy = strength("6061-T6", blank.thickness)
    radius = radius_in_tool(3.175, 1.016, alloy.yields, alloy.modulus)
    wanted = angle_in_tool(math.pi / 2, radius, 1.016, alloy.yields, alloy.modulus)
    assert found.angle == pytest.approx(wanted)
    # The formula's middle fibre and the neutral fibre of the allowance differ by a hair.
    assert found.radius == pytest.approx(radius, abs=0.02)
    assert "Gardiner 1957" in found.source


def test_the_shops_own_bends_win():
    blank = develop_blank(samples.angle())
    (bend,) = blank.bends
    mine = Sprung(
        alloy="6061-T6",
        thickness=1.016,
        inside_radius=3.175,
        bent_to=math.radians(94.5),
        sprang_to=math.radians(90.0),
    )
    found = aim_of(bend, blank, (mine,))
    assert found.angle == pytest.approx(math.radians(94.5))
    assert "the shop's own" in found.source
    other = replace(mine, alloy="2024-T3")
    assert "Gardiner" in aim_of(bend, blank, (other,)).source


def test_unknown_alloy_is_asked_about():
    part = replace(samples.angle(), sheet=replace(samples.angle().sheet, alloy="mystery metal"))
    plan = planned(part)
    assert plan.aims["leg"].source == UNKNOWN
    assert "BENDPLAN-010" in {f.code for f in findings_of(plan)}


def test_sight_line_lies_one_radius_in_from_the_held_side():
    plan = planned(samples.channel())
    for step in plan.steps:
        bend = plan.blank.bend_by_name[step.bends[0]]
        (line,) = setting_of(plan, step).sight
        y = bend.place.inverse()(line.start)[1]
        held_at = 0.0 if bend.parent in step.held else bend.allowance
        assert abs(y - held_at) == pytest.approx(bend.inside_radius)


def test_stop_is_the_edge_that_lies_farthest_behind():
    """Held by its leg, that leg's tip is against the stop: leg on the blank less the sight line."""
    plan = planned(samples.channel())
    step = next(s for s in plan.steps if s.bends[0] in s.held)
    stop = setting_of(plan, step).stop
    assert stop.against is Against.EDGE
    bend = plan.blank.bend_by_name[step.bends[0]]
    flat = 25.4 - bend.setback  # straight part of the leg
    assert stop.distance == pytest.approx(flat + bend.inside_radius, abs=1e-6)


def test_stop_against_a_bend_made_before():
    """The tray's second wall, floor held: the first wall's outside lies against the stop."""
    plan = planned(samples.tray(returns=False))
    step = plan.steps[1]
    assert step.held == ("floor",)
    stop = setting_of(plan, step).stop
    assert stop.against is Against.BEND
    assert stop.name == plan.steps[0].bends[0]
    bend = plan.blank.bend_by_name[step.bends[0]]
    # Outside to the tangent line of a floor drawn 120 over its walls, then the radius.
    assert stop.distance == pytest.approx(120.0 - bend.setback + bend.inside_radius, abs=1e-6)


def test_too_much_for_the_tool_is_refused_with_figures():
    weak = brake(capacity=Capacity(thickness=0.5, length=100.0, ultimate=310.0))
    plan = planned(samples.channel(), weak)
    assert not plan.found
    assert any("times what the tool is rated for" in why for _, _, why in plan.refused)


def test_radius_that_no_nose_has():
    plan = planned(samples.channel(radius=12.0), brake(radii=(0.8, 1.6)))
    assert not plan.found
    assert "no nose of" in plan.refused[0][2]


def test_press_needs_force_and_a_leg_that_reaches_the_shoulders():
    plan = planned(samples.channel(web=80.0), press(opening=8.0))
    assert len(plan.steps) == 2
    for step in plan.steps:
        # 575·T²/V tons a foot on mild steel of 60 ksi, here 2024-T3 on 80 mm.
        assert 5 < setting_of(plan, step).force < 30
    short = planned(samples.angle(height=8.0), press(opening=20.0))
    assert "shoulders of the V" in short.refused[0][2]
    feeble = planned(samples.angle(), press(force=1.0))
    assert "BENDPLAN-013" in {f.code for f in findings_of(feeble)}


def test_grain_along_the_bend_is_noted():
    part = samples.angle()
    along = replace(part, sheet=replace(part.sheet, grain=0.0))
    across = replace(part, sheet=replace(part.sheet, grain=math.pi / 2))
    assert "BENDPLAN-012" in {f.code for f in findings_of(planned(along))}
    assert "BENDPLAN-012" not in {f.code for f in findings_of(planned(across))}


def test_no_order_says_what_hits_what_where_and_by_how_much():
    plan = planned(bend_shops.zed(12.0))
    (finding, *_) = findings_of(plan)
    assert finding.code == "BENDPLAN-001"
    text = refusal_words(plan, plan.blocking.refusals[0])
    assert "runs into the" in text
    assert " mm, " in text


def test_nose_that_differs_is_noted():
    plan = plan_bends(develop_blank(samples.angle()), shop(brake(radii=(2.5,), radius_off=0.3)))
    assert plan.found
    assert "BENDPLAN-011" in {f.code for f in findings_of(plan)}
    assert len(RADII) > 1


def test_under_a_punch_the_mark_is_the_middle_of_the_bend():
    """Both sides of a V swing alike: the punch stands over the middle of the bend's metal."""
    part = samples.angle(height=40.0)
    for tools, share in (((press(),), None), ((brake(),), 1.0)):
        plan = planned(part, *tools)
        setting = setting_of(plan, plan.steps[0])
        bend = plan.blank.bends[0]
        wanted = bend.allowance / 2 if share is None else bend.inside_radius
        assert setting.sight_in == pytest.approx(wanted)
        held = plan.steps[0].held[0]
        line = bend.parent_tangent if held == bend.parent else bend.leg_tangent
        (sight,) = setting.sight
        assert line.distance(sight.point(0.5)) == pytest.approx(wanted)


def test_tabs_on_one_line_tell_why_they_do_not_go_together():
    part = samples.part(
        samples.flat("web", 200.0, 90.0),
        [
            samples.bend("a", "web", "back", 200.0, 30.0, radius=1.6, end=80.0),
            samples.bend("b", "web", "back", 200.0, 30.0, radius=1.6, start=110.0),
        ],
    )
    short = planned(part, brake(widths=(25.0, 30.0, 40.0)))
    words = [refusal_words(short, refusal) for refusal in short.blocking.refusals]
    assert any("a and b together" in w and "makes 95.0 mm at most" in w for w in words), words
    whole = planned(part, brake(widths=(25.0, 30.0, 40.0, 100.0)))
    assert [step.bends for step in whole.steps] == [("a", "b")]


def test_a_hem_is_squeezed_not_bent_past_itself():
    part = samples.part(
        samples.flat("base", 80.0, 60.0),
        [samples.bend("hem", "base", "back", 80.0, 10.0, radius=1.6, angle=175.0)],
    )
    plan = planned(part, block())
    (step,) = plan.steps
    words = angle_words(setting_of(plan, step))
    assert "squeeze" in words
    assert "bend to" not in words
