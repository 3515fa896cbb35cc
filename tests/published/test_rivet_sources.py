"""Rivets: MIL-HDBK-5, MIL-R-47196A, IFI-114, Army manuals, AC 65-15A, a 1940s repair manual.

Inches and pounds as printed; FROM MEMORY where said.
"""

import math

import pytest

from blankwright.handbook.joints import bearing_load, shear_strength
from blankwright.handbook.rivets import (
    blind_grip,
    diameter_of,
    head,
    hole_for,
    shop_head,
    thinnest_countersink,
)
from blankwright.handbook.table import table

IN = 25.4
LBF = 4.4482216152605


@pytest.mark.parametrize(
    ("rivet", "load", "status"),
    [
        ("1/16", 106, "MEMORY high"),
        ("3/32", 217, "READ"),
        ("1/8", 388, "READ"),
        ("5/32", 596, "MEMORY high"),
        ("3/16", 862, "MEMORY high"),
        ("1/4", 1555, "MEMORY high"),
    ],
)
def test_shear_of_ad_rivets(rivet: str, load: float, status: str) -> None:
    """MIL-HDBK-5 Table 8.1.2(b)."""
    fact = shear_strength(rivet)
    assert fact.value / LBF == pytest.approx(load)
    assert fact.status == status


@pytest.mark.parametrize(
    ("thickness", "dimpled", "countersunk"),
    [
        ("0.032", (217, 209), (178, 132)),
        ("0.040", (217, 209), (193, 153)),
        ("0.063", (217, 209), (216, 213)),
    ],
)
def test_flush_rivet(
    thickness: str, dimpled: tuple[int, int], countersunk: tuple[int, int]
) -> None:
    """3/32 MS20426AD in 2024-T3, ultimate and yield; .032 countersunk is a knife edge."""
    rows = {
        (str(row.values["thickness"]), row.values["process"]): row
        for row in table("rivet-flush").rows
    }
    for process, printed in (("dimpled", dimpled), ("countersunk", countersunk)):
        row = rows[thickness, process]
        assert (row.values["ultimate"], row.values["yields"]) == printed
    assert ("Knife edge" in rows["0.032", "countersunk"].note) is True


def test_bearing() -> None:
    """MIL-HDBK-5H: P = D·t·Fbr; D .1285, t .040 at 100 ksi: 514 lb. DERIVED."""
    load = bearing_load(0.1285 * IN, 0.040 * IN, 100 * 6.894757293168)
    assert load / LBF == pytest.approx(514, abs=0.5)


def test_shop_heads_disagree() -> None:
    """D11. FAA 1.5D × 0.5D; MIL-HDBK-5H ≥ 1.3D × ≥ 0.3D; MIL-R-47196A 3/32: ≥ .122, .038–.050."""
    made = shop_head("3/32")
    d = diameter_of("3/32")
    assert made.width == pytest.approx(1.5 * d)
    assert made.height == pytest.approx(0.5 * d)
    assert made.least_width == pytest.approx(1.3 * d)
    assert made.least_height == pytest.approx(0.3 * d)
    assert made.least_width / IN == pytest.approx(0.122, abs=5e-4)
    assert 0.038 <= made.height / IN <= 0.050
    # A forum prints .187 for 1.5D of 3/32: that is 2D; 1.5D is .141.
    assert made.width / IN == pytest.approx(0.141, abs=5e-4)


@pytest.mark.parametrize(
    ("rivet", "height", "width"),
    [("1/8", 0.063, 0.188), ("5/32", 0.078, 0.234), ("3/16", 0.093, 0.281)],
)
def test_shop_heads_of_the_1940s(rivet: str, height: float, width: float) -> None:
    """Repair manual of the 1940s, par. 14: ½D and 1½D."""
    made = shop_head(rivet)
    assert made.height / IN == pytest.approx(height, abs=0.001)
    assert made.width / IN == pytest.approx(width, abs=0.001)
    row = {str(r.values["rivet"]): r for r in table("shop-head-1940s").rows}[rivet]
    assert (float(str(row.values["height"])), float(str(row.values["width"]))) == (height, width)


@pytest.mark.parametrize(
    ("rivet", "solid", "mm", "older"),
    [
        ("3/32", "#40", 2.489, "#41"),
        ("1/8", "#30", 3.264, "#30"),
        ("5/32", "#21", 4.039, "#22"),
        ("3/16", "#11", 4.851, "#12"),
        ("1/4", "F", 6.528, "1/4 in"),
    ],
)
def test_solid_rivet_holes(rivet: str, solid: str, mm: float, older: str) -> None:
    """Solid FROM MEMORY (high); the older column from a 1940s manual. D12, D12b: they disagree."""
    hole = hole_for(rivet)
    assert hole.drill.name == solid
    assert hole.drill.diameter == pytest.approx(mm, abs=5.1e-4)
    assert hole_for(rivet, "solid, 1940s").drill.name == older


@pytest.mark.parametrize(
    ("rivet", "drill", "least", "most"),
    [
        ("3/32", "#41", 0.096, 0.100),
        ("1/8", "#30", 0.128, 0.132),
        ("5/32", "#20", 0.160, 0.164),
        ("1/4", "F", 0.257, 0.261),
    ],
)
def test_blind_rivet_holes(rivet: str, drill: str, least: float, most: float) -> None:
    """Army TM 10-5410-221 (tentsshelters.tpub.com). The drill makes a hole inside the limits."""
    hole = hole_for(rivet, "blind")
    assert hole.drill.name == drill
    assert (hole.least / IN, hole.most / IN) == pytest.approx((least, most))
    assert hole.least - 1e-9 <= hole.drill.diameter <= hole.most + 1e-9


def test_3_16_blind_hole() -> None:
    """engineerfix.com/what-size-drill-bit-for-a-3-16-rivet."""
    assert hole_for("3/16", "blind").drill.name == "#11"


def test_1_8_blind_hole_by_ifi_114() -> None:
    """D12c: IFI-114 .129–.133, TM .128–.132: both are served by .129 to .132.

    The #30 drill that both name (.1285) is under IFI's least hole by half a thousandth.
    """
    ifi, tm = hole_for("1/8", "blind, IFI-114"), hole_for("1/8", "blind")
    assert (ifi.least / IN, ifi.most / IN) == pytest.approx((0.129, 0.133))
    assert (max(ifi.least, tm.least) / IN, min(ifi.most, tm.most) / IN) == pytest.approx(
        (0.129, 0.132)
    )
    assert ifi.drill.diameter < ifi.least


@pytest.mark.parametrize(
    ("rivet", "least", "most", "code"),
    [
        # IFI-114, size 4
        ("1/8", 0.020, 0.062, "41"),
        ("1/8", 0.063, 0.125, "42"),
        ("1/8", 0.126, 0.187, "43"),
        ("1/8", 0.188, 0.250, "44"),
        # Army TM 10-5410-221 Table 4-3
        ("1/8", 0.251, 0.312, "45"),
        ("1/8", 0.313, 0.375, "46"),
        ("1/8", 0.376, 0.500, "48"),
        ("3/32", 0.020, 0.125, "32"),
        ("3/32", 0.126, 0.250, "34"),
        ("5/32", 0.020, 0.125, "52"),
        ("5/32", 0.188, 0.250, "54"),
        ("5/32", 0.251, 0.375, "56"),
    ],
)
def test_blind_grips(rivet: str, least: float, most: float, code: str) -> None:
    for grip in (least, (least + most) / 2, most):
        assert blind_grip(rivet, grip * IN)[0] == code


def test_countersinks_disagree() -> None:
    """D13: .032 or .040 by kit builders for 3/32, over .051 in the 1940s; .032 is a knife edge.

    FROM MEMORY (medium): 3/32 .032–.040, 1/8 .040–.050, 5/32 .050–.064, 3/16 .064. The upper end
    is used.
    """
    for rivet, thinnest in (("3/32", 0.040), ("1/8", 0.050), ("5/32", 0.064), ("3/16", 0.064)):
        fact = thinnest_countersink(rivet)
        assert fact.value / IN == pytest.approx(thinnest)
        assert fact.status == "MEMORY medium"


@pytest.mark.parametrize(
    ("rivet", "flush", "universal"),
    [
        ("3/32", (0.179, 0.036), (0.187, 0.040)),
        ("1/8", (0.225, 0.042), (0.250, 0.054)),
        ("5/32", (0.286, 0.055), (0.312, 0.067)),
        ("3/16", (0.353, 0.070), (0.375, 0.080)),
        ("1/4", (0.476, 0.095), (0.500, 0.107)),
    ],
)
def test_heads(rivet: str, flush: tuple[float, float], universal: tuple[float, float]) -> None:
    """MS20426 and MS20470, diameter and height; FROM MEMORY (medium)."""
    one, other = head(rivet, "100°"), head(rivet, "universal")
    assert (one.diameter / IN, one.height / IN) == pytest.approx(flush)
    assert (other.diameter / IN, other.height / IN) == pytest.approx(universal)
    # A universal head is two diameters wide.
    assert other.diameter == pytest.approx(2 * diameter_of(rivet), abs=0.02)
    # A 100° cone from the shank to the head's diameter is about that high.
    cone = (one.diameter - diameter_of(rivet)) / 2 / math.tan(math.radians(50))
    assert one.height == pytest.approx(cone, rel=0.06)


def test_deburr() -> None:
    """MIL-R-47196A: no deeper than a tenth of the stock (or .032 in)."""
    rules = {row.values["rule"]: row for row in table("layout-rules").rows}
    assert str(rules["deburr depth, most, share of thickness"].values["factor"]) == "0.1"


def test_dimple_limit() -> None:
    """AC 65-15A ch. 5: dimpling works best up to .040."""
    rules = {row.values["rule"]: row for row in table("layout-rules").rows}
    assert str(rules["dimple, thickest sheet, in"].values["factor"]) == "0.040"
