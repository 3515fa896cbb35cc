"""Rivet rows held against printed rules, tables and worked examples; sources beside each."""

from __future__ import annotations

import pytest

from blankwright.base.units import from_inches as inch
from blankwright.handbook.drilling import oversize, reaming, step_rule
from blankwright.handbook.inner import POUND_FORCE
from blankwright.handbook.screws import plate_nut, screw
from blankwright.holes.drill_rack import DrillRack, Reamer
from blankwright.holes.fasteners import facts_of, finished_hole, limits_of
from blankwright.holes.joint import SheetOfJoint, joint_of
from blankwright.holes.ladder import AskedHole, plan_ladder
from blankwright.jobs.part_state import state_of_text
from blankwright.part.rivets import Fastener, HeadStyle, RivetRow, RowLine, StackSheet


def row(size="1/8", fastener=Fastener.SOLID, count=10, **more):
    names = tuple(f"r[{i}]" for i in range(count))
    line = RowLine(holes=names, pitches=(inch(1.0),) * (count - 1))
    return RivetRow(name="r", flat="f", fastener=fastener, size=size, lines=(line,), **more)


@pytest.mark.parametrize(
    ("size", "drill"), [("3/32", "#40"), ("1/8", "#30"), ("5/32", "#21"), ("3/16", "#11")]
)
def test_holes_of_solid_rivets(size, drill):
    """Common US aircraft rivet hole table; from memory, high confidence."""
    assert finished_hole(Fastener.SOLID, size).drill.name == drill


@pytest.mark.parametrize(
    ("size", "drill", "least", "most"),
    [("3/32", "#41", 0.096, 0.100), ("1/8", "#30", 0.128, 0.132), ("5/32", "#20", 0.160, 0.164)],
)
def test_holes_of_blind_rivets(size, drill, least, most):
    """Army TM 10-5410-221 Table 4-3, read."""
    hole = finished_hole(Fastener.BLIND, size)
    assert (hole.drill.name, hole.least, hole.most) == (
        drill,
        pytest.approx(inch(least)),
        pytest.approx(inch(most)),
    )


def test_limits_of_layout():
    """Edge distance 2 D protruding (AC 43.13-1B par. 4-57c, read) and 2½ D countersunk; pitch at
    least 3 D (Navy 14018, read); lines three quarters of the pitch (study guide, read) and 2½ D at
    least (Army TM 10-5410-229, read); a rivet 2 D and a dimple 3 D from a bend: common practice,
    no source."""
    d = inch(1 / 8)
    plain = limits_of(d, HeadStyle.PROTRUDING, inch(1.0))
    assert plain.edge.value == pytest.approx(2 * d)
    assert plain.pitch.value == pytest.approx(3 * d)
    assert plain.line.value == pytest.approx(0.75 * inch(1.0))
    assert limits_of(d, HeadStyle.PROTRUDING, inch(0.375)).line.value == pytest.approx(2.5 * d)
    assert plain.bend.value == pytest.approx(2 * d)
    flush = limits_of(d, HeadStyle.DIMPLED)
    assert flush.edge.value == pytest.approx(2.5 * d)
    assert flush.bend.value == pytest.approx(3 * d)


def test_length_grip_and_heads():
    """L = grip + 1½ D (FAA-H-8083-31; Navy 14018, read), in sixteenths; 0.032 and 0.040 with 1/8 in
    make 0.2595, the next is -5. Shop head 1½ D by ½ D (FAA Fig. 4-76; AC 43.13-1B, read): 1/8 in
    .188 by .063 (1940s repair manual, read); at least 1.3 D wide (MIL-HDBK-5H par. 8.1.2, read)."""
    facts = facts_of(row(stack=(StackSheet(thickness=inch(0.040)),)), inch(0.032))
    assert facts.grip == pytest.approx(inch(0.072))
    assert facts.length.dash == 5
    assert facts.length.wanted == pytest.approx(inch(0.2595))
    assert facts.shop.width == pytest.approx(inch(0.188), abs=inch(0.0006))
    assert facts.shop.height == pytest.approx(inch(0.063), abs=inch(0.0006))
    assert facts.shop.least_width == pytest.approx(inch(1.3 / 8))


@pytest.mark.parametrize(
    ("grip", "code"), [(0.062, "41"), (0.063, "42"), (0.125, "42"), (0.126, "43"), (0.250, "44")]
)
def test_grip_of_blind_rivets(grip, code):
    """IFI-114 size 4, read; Army TM 10-5410-221 Table 4-3 agrees."""
    facts = facts_of(
        row(fastener=Fastener.BLIND, stack=(StackSheet(thickness=inch(grip - 0.032)),)),
        inch(0.032),
    )
    assert facts.grip_code == code


def sheets(*thicknesses, alloy="2024-T3"):
    return tuple(SheetOfJoint(name=f"s{i}", alloy=alloy, thickness=inch(t))
                 for i, t in enumerate(thicknesses))  # fmt: skip


def test_shear_of_ad_rivets():
    """217 and 388 lb single shear for 3/32 and 1/8 AD: MIL-HDBK-5 Table 8.1.2(b) as quoted by
    builders, read."""
    for size, pounds in (("3/32", 217), ("1/8", 388)):
        joint = joint_of(row(size), sheets(0.063, 0.063), inch(10))
        assert joint.members[0].name == "shear of the rivet"
        assert joint.per_rivet == pytest.approx(pounds * POUND_FORCE)
        assert joint.row == pytest.approx(10 * pounds * POUND_FORCE)


def test_bearing():
    """P = D·t·Fbr (MIL-HDBK-5H par. 8.1.2, read): .1285 × .040 at 100 ksi is 514 lb. Here Fbr is
    1.6 Ftu (AC 43.13-1B notes, read): 63 ksi (from memory, medium) makes .1285 × .025 × 100.8 ksi =
    323.8 lb, under the rivet's 388."""
    joint = joint_of(row(), sheets(0.025, 0.040), inch(10))
    assert joint.members[0].name == "bearing of s0"
    assert joint.per_rivet / POUND_FORCE == pytest.approx(0.1285 * 0.025 * 1.6 * 63e3, rel=1e-6)


def test_splice_of_the_advisory_circular():
    """AC 43.13-1B par. 4-58g, read: clad 2024, .032 in, 10 in wide, 1/8 AD: 4.9/in from Table 4-10
    times 75 % makes 37 rivets."""
    joint = joint_of(row(), sheets(0.032, 0.032, alloy="2024-T3 clad"), inch(10))
    assert joint.splice == 37


@pytest.mark.parametrize(("count", "wanted"), [(37, False), (36, True)])
def test_splice_as_a_finding(count, wanted):
    """The same example through a part file: 37 rivets pass, 36 do not."""
    text = f"""
title = "Splice"
[sheet]
alloy = "2024-T3 clad"
thickness = "0.032 in"
[flats.plate]
outline = {{ rectangle = ["16 in", "2 in"] }}
[rivets.seam]
on = "plate"
between = [["1/2 in", "1 in"], ["{0.5 + 10 * (count - 1) / count} in", "1 in"]]
rivet = "1/8 in"
kind = "solid"
count = {count}
splice = true
stack = [{{ thickness = "0.032 in", alloy = "2024-T3 clad" }}]
"""
    codes = {f.code for f in state_of_text(text, "splice").findings}
    assert ("ROW-022" in codes) is wanted


def test_screws():
    """Bodies .060 + .013 n of ASME B1.1, and 1/4; clearance drills of the machinists' handbook;
    from memory, high confidence. Plate nuts: MS21047, from memory, medium confidence."""
    for name, number in (("6-32", 6), ("8-32", 8), ("10-32", 10)):
        assert screw(name).body == pytest.approx(inch(0.060 + 0.013 * number))
    assert screw("8-32").close.name == "#18"
    assert screw("10-32").free.name == "#7"
    assert all(screw(n).free.diameter > screw(n).close.diameter > screw(n).body
               for n in ("6-32", "8-32", "10-32", "1/4-28"))  # fmt: skip
    assert plate_nut("8-32").spread == pytest.approx(inch(0.688))


def test_reaming():
    """Leave 0.003 to 0.007 in for the reamer: FAA-H-8083-30, from memory, high confidence."""
    assert reaming("left for the reamer, least").value == pytest.approx(inch(0.003))
    assert reaming("left for the reamer, most").value == pytest.approx(inch(0.007))
    drills = finished_hole(Fastener.SOLID, "3/16").drill
    asked = AskedHole(
        final=drills.diameter + inch(0.005), plus=inch(0.001), minus=0.0,
        pilot=inch(0.17), stack=(1.6,),
    )  # fmt: skip
    reamer = Reamer(name="r", diameter=asked.final)
    ladder = plan_ladder(asked, DrillRack(drills=(drills,), reamers=(reamer,)))
    assert [one.tool for one in ladder.passes] == ["#11", "r"]


def test_oversize():
    """Drilled holes: 1/8 in comes out .001 to .0045 large, 1/4 in .0025 to .0065: machinists'
    handbook, from memory, medium confidence."""
    assert oversize(inch(1 / 8)).most == pytest.approx(inch(0.0045))
    assert oversize(inch(1 / 4)).least == pytest.approx(inch(0.0025))
    middle = oversize(inch(3 / 16))
    assert middle.most == pytest.approx(inch((0.0045 + 0.0065) / 2))
    assert oversize(inch(0.03)) is None


def test_steps():
    """Common practice, no source: a table of our own that says so."""
    rule = step_rule("aluminium", inch(0.032))
    assert rule.status == "PRACTICE"
    assert rule.step == pytest.approx(inch(0.032))
