"""Each check on a part that just breaks it and on one that just doesn't."""

from __future__ import annotations

import dataclasses
import math

import pytest

import samples
from blankwright.base.findings import Level
from blankwright.develop.checks import check
from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import form
from blankwright.geom.loop import Loop
from blankwright.handbook.edge import (
    edge_distance,
    hole_to_bend,
    least_flange_flat,
    least_pitch,
)
from blankwright.part.model import CornerRule, HoleKind, Relief, ReliefRule

ANGLE = samples.angle(width=80.0, depth=50.0, height=30.0)


def findings(part, code=None):
    blank = develop_blank(part)
    found = check(part, blank, form(blank))
    return [f for f in found if code is None or f.code == code]


def test_plain_angle_has_nothing_to_report():
    assert findings(ANGLE) == []


@pytest.mark.parametrize(("radius", "level"), [(3.175, None), (2.0, Level.ASK), (0.1, Level.STOP)])
def test_radius_between_tables_asks_and_under_all_stops(radius, level):
    found = findings(samples.angle(radius=radius), "BEND-001")
    assert [f.level for f in found] == ([] if level is None else [level])


def test_flange_too_short():
    least = least_flange_flat(1.016).value
    setback = 3.175 + 1.016
    assert findings(samples.angle(height=setback + least + 0.05), "BEND-002") == []
    (found,) = findings(samples.angle(height=setback + least - 0.05), "BEND-002")
    assert found.place == "flat leg"


def test_bends_too_near_each_other():
    part = samples.channel(web=2 * (4.064 + 1.016) + 1.0)
    (found,) = findings(part, "BEND-003")
    assert "1.00 mm" in found.got


def test_vanished_flat_stops():
    part = samples.channel(web=5.0)
    assert [f.level for f in findings(part, "FLAT-001")] == [Level.STOP]


def test_grain_along_a_bend():
    sheet = dataclasses.replace(ANGLE.sheet, grain=0.0)
    assert len(findings(dataclasses.replace(ANGLE, sheet=sheet), "BEND-005")) == 1
    sheet = dataclasses.replace(ANGLE.sheet, grain=math.pi / 2)
    assert findings(dataclasses.replace(ANGLE, sheet=sheet), "BEND-005") == []


def test_relief_missing_and_too_small():
    inset = {"start": 10.0, "end": 60.0}
    assert findings(samples.angle(**inset), "RELIEF-001") == []
    none = samples.angle(**inset, end_relief=Relief(rule=ReliefRule.NONE))
    assert [f.place for f in findings(none, "RELIEF-001")] == [
        "relief leg left end",
        "relief leg right end",
    ]
    small = samples.angle(**inset, end_relief=Relief(rule=ReliefRule.ROUND, size=1.0))
    assert len(findings(small, "RELIEF-002")) == 2


def test_large_relief_is_made_known_and_a_stated_one_is_not():
    """By hand: twice a radius of 20 mm is 40 mm of metal beside the bend."""
    inset = {"start": 20.0, "end": 60.0, "radius": 20.0, "height": 60.0}
    part = samples.angle(width=200.0, depth=100.0, **inset)
    found = findings(part, "RELIEF-003")
    assert len(found) == 2
    assert all("40.00 mm" in f.got for f in found)
    small = Relief(rule=ReliefRule.ROUND, size=3.0)
    assert findings(samples.angle(200.0, 100.0, **inset, end_relief=small), "RELIEF-003") == []


def test_relief_in_the_trail_says_rule_and_inputs():
    """By hand: twice R = 3.175 mm wins over the least, 1/8 in; the part file over both."""
    inset = {"start": 10.0, "end": 60.0}
    steps = {s.name: s for s in develop_blank(samples.angle(**inset)).trail}
    step = steps["relief leg left end: width"]
    assert step.value == pytest.approx(6.35)
    assert step.formula != "as stated"
    assert step.inputs == (("R", 3.175, "length"), ("T", 1.016, "length"))
    stated = Relief(rule=ReliefRule.ROUND, size=3.0)
    steps = {s.name: s for s in develop_blank(samples.angle(**inset, end_relief=stated)).trail}
    assert steps["relief leg left end: width"].formula == "as stated"
    assert steps["relief leg left end: width"].source == "part file"


def test_open_corner_gapes_by_the_diagonal():
    """By hand: inside edges of the legs end at the neighbour's tangent line, R off each way."""
    part = samples.tray(CornerRule.OPEN, returns=False)
    found = findings(part, "CORNER-001")
    assert len(found) == 4
    assert all(f"{3.175 * math.sqrt(2):.2f} mm" in f.got for f in found)
    assert findings(samples.tray(CornerRule.CLOSED, returns=False), "CORNER-001") == []


def test_stated_gap_of_a_closed_corner_is_no_gape():
    part = samples.tray(CornerRule.CLOSED, returns=False, gap=2.0)
    assert findings(part, "CORNER-001") == []
    opened = dataclasses.replace(part, corners=())
    assert len(findings(opened, "CORNER-001")) == 4


def test_flanges_turned_outward_say_what_to_do():
    part = samples.tray(CornerRule.OPEN)
    bends = tuple(
        dataclasses.replace(b, up=False) if b.name.startswith("r") and b.name != "right" else b
        for b in part.bends
    )
    found = findings(dataclasses.replace(part, bends=bends), "CORNER-002")
    assert len(found) == 4
    assert all("corner plate" in f.fix for f in found)


def with_holes(*holes):
    return dataclasses.replace(ANGLE, holes=holes)


def test_hole_near_a_bend_just_in_and_just_out():
    limit = hole_to_bend(1.016).value
    tangent = 50.0 - 4.191
    for slack, count in ((0.01, 0), (-0.01, 1)):
        center = (40.0, tangent - limit - 2.0 - slack)
        assert len(findings(with_holes(samples.hole("h", "web", center, 4.0)), "HOLE-001")) == count


def test_hole_on_a_bend():
    found = findings(with_holes(samples.hole("h", "web", (40.0, 47.0), 3.0)), "HOLE-003")
    assert [f.place for f in found] == ["hole h"]


def test_edge_distance_just_in_and_just_out():
    limit = edge_distance(3.264).value
    for slack, count in ((0.01, 0), (-0.01, 1)):
        hole = samples.hole("h", "web", (40.0, limit + slack), 3.264)
        assert len(findings(with_holes(hole), "HOLE-002")) == count


def test_pitch_just_in_and_just_out():
    limit = least_pitch(3.264).value
    for slack, count in ((0.01, 0), (-0.01, 1)):
        holes = [
            samples.hole(f"h{i}", "web", (30.0 + i * (limit + slack), 20.0), 3.264)
            for i in range(2)
        ]
        assert len(findings(with_holes(*holes), "HOLE-004")) == count


def test_hole_that_opens_into_the_edge():
    assert len(findings(with_holes(samples.hole("h", "web", (40.0, 1.0), 4.0)), "HOLE-005")) == 1


def test_cut_out_that_parts_the_blank():
    cut = samples.hole("gash", "web", (40.0, 20.0), 1.0)
    cut = dataclasses.replace(
        cut, kind=HoleKind.CUT_OUT, loop=Loop.rectangle(-5.0, 18.0, 85.0, 22.0)
    )
    assert [f.level for f in findings(with_holes(cut), "BLANK-011")] == [Level.STOP]


def test_blank_that_overlaps_itself_says_where():
    """Two long legs on the sides of a reentrant corner claim the same metal."""
    outline = Loop.polygon([(0, 0), (100, 0), (100, 50), (50, 50), (50, 100), (0, 100)])
    root = dataclasses.replace(samples.flat("root", 1, 1), outline=outline, edges=tuple("abcdef"))
    bends = [samples.bend("p", "root", "c", 50.0, 30.0), samples.bend("q", "root", "d", 50.0, 30.0)]
    found = findings(samples.part(root, bends), "BLANK-010")
    assert found
    assert all(50 < f.at[0] < 100 and 50 < f.at[1] < 100 for f in found)


def test_unknown_alloy_odd_thickness_and_huge_blank():
    part = samples.part(samples.flat("web", 4000.0, 50.0), alloy="9999-X9", thickness=1.12)
    codes = {f.code: f.level for f in findings(part)}
    assert codes["SHEET-001"] is Level.ASK
    assert codes["SHEET-002"] is Level.NOTE
    assert codes["SHEET-003"] is Level.STOP


def test_override_by_code_and_by_place():
    part = samples.angle(radius=0.1)
    for key in ("BEND-001", "BEND-001 bend leg"):
        (found,) = findings(dataclasses.replace(part, overrides={key: "tried"}), "BEND-001")
        assert found.overridden == "tried"
        assert not found.blocks
    other = dataclasses.replace(part, overrides={"BEND-001 bend other": "tried"})
    assert findings(other, "BEND-001")[0].blocks
