"""Strength of single fasteners: MIL-HDBK-5, AC 43.13-1B, IFI-114. Pounds and inches as printed."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from blankwright.base.errors import NotPossible
from blankwright.handbook.fastener_strength import (
    blind_shear,
    bolt_shear,
    flush_load,
    rivet_metal,
    solid_shear,
)
from blankwright.handbook.joints import nominal_hole
from blankwright.holes.joint import SheetOfJoint, joint_of
from blankwright.part.rivets import Fastener, HeadStyle, RivetRow, RowLine

IN = 25.4
LBF = 4.4482216152605

ROW = RivetRow(
    name="r",
    flat="f",
    fastener=Fastener.SOLID,
    size="3/32",
    lines=(RowLine(holes=("r[1]", "r[2]"), pitches=(20.0,)),),
)


def sheets(*inches, alloy="2024-T3"):
    return tuple(
        SheetOfJoint(name=f"s{i}", alloy=alloy, thickness=t * IN) for i, t in enumerate(inches)
    )


@pytest.mark.parametrize(
    ("metal", "rivet", "pounds"),
    [
        # MIL-HDBK-5 Table 8.1.2(b), FROM MEMORY (medium): 28, 34 and 41 ksi.
        ("B", "1/8", 363),
        ("B", "5/32", 556),
        ("5056-H321", "3/16", 802),
        ("D", "1/8", 442),
        ("2017-T31", "5/32", 675),
        ("DD", "1/8", 531),
        ("2024-T31", "5/32", 815),
        ("DD", "3/16", 1175),
    ],
)
def test_other_metals(metal, rivet, pounds):
    """Loads remembered apart from the strengths: the two must agree within half a percent."""
    fact = solid_shear(rivet, metal)
    assert fact.value / LBF == pytest.approx(pounds, rel=0.005)
    assert fact.status == "MEMORY medium"


@pytest.mark.parametrize("rivet", ["1/16", "3/32", "1/8", "5/32", "3/16", "1/4"])
def test_ad_is_thirty_ksi(rivet):
    """2117-T3 Fsu = 30 ksi (MIL-HDBK-5 Table 8.1.2(b)); 217 and 388 lb are READ."""
    area = math.pi * (nominal_hole(rivet) / IN) ** 2 / 4
    assert solid_shear(rivet, "AD").value / LBF == pytest.approx(30_000 * area, rel=0.005)
    metal = rivet_metal("2117")
    assert metal is not None
    assert metal.code == "AD"


def test_a_metal_that_no_table_has_is_refused():
    with pytest.raises(NotPossible, match="RIVET-005"):
        solid_shear("1/8", "monel")
    joint = joint_of(replace(ROW, metal="monel"), sheets(0.040, 0.040), 100.0)
    assert joint.members == ()
    assert "no shear strength is printed here" in joint.missing[0]


@pytest.mark.parametrize(
    ("process", "thickness", "pounds"),
    [
        ("dimpled", 0.032, 217),
        ("dimpled", 0.050, 217),
        ("countersunk", 0.032, 178),
        ("countersunk", 0.040, 193),
        ("countersunk", 0.050, 193),
        ("countersunk", 0.063, 216),
    ],
)
def test_flush_rivets(process, thickness, pounds):
    """3/32 MS20426AD in 2024-T3, ultimate: READ. Between two rows the thinner holds."""
    found = flush_load("3/32", "AD", "2024-T3", thickness * IN, process)
    assert found.ultimate / LBF == pytest.approx(pounds)


@pytest.mark.parametrize(
    ("rivet", "metal", "alloy", "thickness"),
    [
        ("1/8", "AD", "2024-T3", 0.040),
        ("3/32", "DD", "2024-T3", 0.040),
        ("3/32", "AD", "2024-T3 clad", 0.040),
        ("3/32", "AD", "6061-T6", 0.040),
        ("3/32", "AD", "2024-T3", 0.025),
    ],
)
def test_flush_rivets_that_no_table_has_are_refused(rivet, metal, alloy, thickness):
    with pytest.raises(NotPossible, match="RIVET-006"):
        flush_load(rivet, metal, alloy, thickness * IN, "countersunk")


def test_a_countersunk_row_bears_what_its_own_table_says():
    row = replace(ROW, head=HeadStyle.COUNTERSUNK, metal="AD")
    joint = joint_of(row, sheets(0.040, 0.063), 100.0)
    assert joint.members[0].name == "countersunk head in s0"
    assert joint.per_rivet / LBF == pytest.approx(193)
    assert joint.complete
    # The head in the far sheet: that sheet's row counts.
    far = joint_of(replace(row, head_here=False), sheets(0.040, 0.063), 100.0)
    assert far.per_rivet / LBF == pytest.approx(216)


def test_a_flush_row_without_a_table_says_that_it_is_an_upper_limit():
    row = replace(ROW, size="1/8", head=HeadStyle.COUNTERSUNK, metal="AD")
    joint = joint_of(row, sheets(0.050, 0.050), 100.0)
    assert not joint.complete
    assert "worked as protruding" in joint.missing[0]


def test_metal_taken_for_granted_is_said():
    assert "AD (2117-T3)" in joint_of(ROW, sheets(0.040), 100.0).assumed
    assert joint_of(replace(ROW, metal="AD"), sheets(0.040), 100.0).assumed == ""
    numbered = replace(ROW, part_number="MS20470DD3-4")
    assert joint_of(numbered, sheets(0.063), 100.0).assumed == ""
    shear = joint_of(numbered, sheets(0.063), 100.0).members
    assert any(m.load == pytest.approx(solid_shear("3/32", "DD").value) for m in shear)


@pytest.mark.parametrize(
    ("metal", "rivet", "pounds"),
    [
        # IFI-114 grades 10, 30 and 51, FROM MEMORY (medium).
        ("5050", "1/8", 120),
        ("5050", "5/32", 190),
        ("steel", "1/8", 260),
        ("steel", "3/16", 540),
        ("stainless steel", "1/8", 420),
        ("stainless steel", "3/16", 950),
    ],
)
def test_blind_rivets(metal, rivet, pounds):
    fact = blind_shear(rivet, metal)
    assert fact.value / LBF == pytest.approx(pounds)
    assert "from memory" in fact.source


def test_blind_rivets_without_a_metal_are_refused():
    with pytest.raises(NotPossible, match="RIVET-005"):
        blind_shear("1/8", "")
    with pytest.raises(NotPossible, match="RIVET-005"):
        blind_shear("1/8", "5056")
    row = replace(ROW, fastener=Fastener.BLIND, size="1/8")
    assert "metal is not stated" in joint_of(row, sheets(0.040), 100.0).missing[0]


def test_bolt():
    """AN-3 single shear 2,126 lb: AC 43.13-1B p. 4-38, READ. 75 ksi on a shank of .190: DERIVED."""
    assert bolt_shear("AN3-4A", "10-32").value / LBF == pytest.approx(2126)
    assert bolt_shear("AN3", "10-32").value / LBF == pytest.approx(
        75_000 * math.pi * 0.190**2 / 4, rel=0.001
    )
    for bolt, screw in (("AN3-4A", "8-32"), ("AN30-4", "10-32"), ("", "10-32")):
        with pytest.raises(NotPossible, match="RIVET-007"):
            bolt_shear(bolt, screw)


def test_thin_sheet_governs_blind_rivets_and_bolts():
    """Bearing at the body: 1/8 × .025 × 1.6·63 ksi (MIL-HDBK-5H, memory) = 315 lb, under 420."""
    row = replace(ROW, fastener=Fastener.BLIND, size="1/8", metal="stainless steel")
    joint = joint_of(row, sheets(0.025, 0.063), 100.0)
    assert joint.members[0].name == "bearing of s0"
    assert joint.per_rivet / LBF == pytest.approx(0.125 * 0.025 * 1.6 * 63_000, rel=1e-6)
