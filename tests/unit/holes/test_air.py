"""The air path: losses added up, flow found, what chokes it."""

from __future__ import annotations

import math

import pytest

from blankwright.base.errors import NotPossible
from blankwright.base.quantities import BadText
from blankwright.files import air_losses as losses
from blankwright.files.air_quantities import read_altitude, read_pressure, read_speed
from blankwright.holes.air import (
    AirPath,
    AirPiece,
    check_air,
    flow_at,
    sharp_opening_loss,
    thin_plate_loss,
)

RHO = 1.225


def piece(area, zeta, name="piece", **more):
    return AirPiece(name=name, area=area, loss=lambda v: zeta, source="test", **more)


def path(*pieces, **more):
    return AirPath(name="vent", pieces=pieces, density=RHO, density_source="test", **more)


def test_one_opening_against_its_own_formula():
    flow = flow_at(path(piece(0.001, 2.0)), 100.0)
    assert flow.flow == pytest.approx(0.001 * math.sqrt(2 * 100 / (2.0 * RHO)), rel=1e-12)
    assert flow.effective_area == pytest.approx(0.001 / math.sqrt(2.0))


def test_two_equal_openings_pass_as_much_as_one_of_area_over_root_two():
    one = flow_at(path(piece(0.001, 2.0)), 100.0).flow
    two = flow_at(path(piece(0.001, 2.0, "a"), piece(0.001, 2.0, "b")), 100.0).flow
    assert two == pytest.approx(one / math.sqrt(2), rel=1e-9)


def test_losses_add_up_to_the_pressure_whatever_they_hang_on():
    rough = AirPiece(name="duct", area=0.002, loss=lambda v: 0.3 / v**0.25, source="test")
    flow = flow_at(path(piece(0.001, 2.0, "a"), rough, piece(0.004, 1.0, "b")), 731.0)
    assert sum(s.pressure for s in flow.shares) == pytest.approx(731.0, rel=1e-9)
    assert sum(s.share for s in flow.shares) == pytest.approx(1.0)
    for share, area in zip(flow.shares, (0.001, 0.002, 0.004), strict=True):
        assert share.velocity * area == pytest.approx(flow.flow)


def test_more_pressure_more_flow_and_a_larger_opening_too():
    def q(pressure, area):
        return flow_at(path(piece(area, 2.0), piece(0.002, 1.0)), pressure).flow

    assert q(100, 0.001) < q(200, 0.001) < q(200, 0.0015)
    assert q(400, 0.001) == pytest.approx(2 * q(100, 0.001))


def test_moving_openings():
    gate = path(piece(0.001, 2.0, moves=True), piece(0.004, 1.0))
    flows = [flow_at(gate, 100.0, open_fraction=f).flow for f in (0.0, 0.25, 0.5, 1.0)]
    assert flows[0] == 0.0
    assert flows == sorted(flows)
    half = path(piece(0.0005, 2.0), piece(0.004, 1.0))
    assert flows[2] == pytest.approx(flow_at(half, 100.0).flow)


def test_airspeed_makes_pressure():
    assert path(recovery=0.8, suction=0.1).pressure_at(50.0) == pytest.approx(0.9 * RHO * 2500 / 2)


def test_what_chokes_it():
    choked = path(piece(0.004, 0.5, "inlet"), piece(0.001, 2.7, "grille", kind="perforated"))
    (finding,) = check_air(choked, [flow_at(choked, 300.0)])
    assert finding.code == "AIR-010"
    assert "grille chokes" in finding.got
    even = path(piece(0.001, 1.0, "a"), piece(0.001, 1.0, "b"), piece(0.001, 1.0, "c"))
    assert not list(check_air(even, [flow_at(even, 300.0)]))


def test_fast_air_is_told():
    fast = path(piece(0.001, 0.1))
    assert {f.code for f in check_air(fast, [flow_at(fast, 5000.0)])} == {"AIR-011"}


@pytest.mark.parametrize(
    "wrong",
    [path(), path(piece(0.0, 1.0)), path(piece(0.001, 0.0))],
)
def test_no_flow(wrong):
    with pytest.raises(NotPossible) as caught:
        flow_at(wrong, 100.0)
    assert caught.value.problems[0].code == "AIR-001"


def test_units():
    assert read_speed("100 kt") == pytest.approx(51.4444, abs=1e-4)
    assert read_speed("60 mph") == pytest.approx(26.8224)
    assert read_speed("88 ft/s") == pytest.approx(26.8224)
    assert read_speed("36 km/h") == pytest.approx(10)
    assert read_pressure("1 inH2O") == pytest.approx(249.08891)
    assert read_pressure("1 lb/ft2") == pytest.approx(47.88026, abs=1e-4)
    assert read_altitude("5000 ft") == pytest.approx(1524)
    for text in ("100", "100 knots", "fast", 100):
        with pytest.raises(BadText):
            read_speed(text)
    with pytest.raises(BadText):
        read_altitude("90 deg")


def test_pieces_by_their_formulas():
    """Against coefficients worked here, not by the library."""
    assert losses.outlet("o", 100).loss(5.0) == 1.0
    assert sharp_opening_loss() == pytest.approx(((math.pi + 2) / math.pi) ** 2)
    # A smooth duct, turbulent: Blasius within 3 %.
    duct = losses.duct("d", 1963.5, 50.0, 1000.0, RHO, 1.8e-5)
    reynolds = RHO * 10 * 0.05 / 1.8e-5
    assert duct.loss(10.0) == pytest.approx(0.3164 / reynolds**0.25 * 1000 / 50, rel=0.03)
    # Laminar: 64/Re.
    slow = RHO * 0.1 * 0.05 / 1.8e-5
    assert duct.loss(0.1) == pytest.approx(64 / slow * 1000 / 50, rel=1e-6)
    assert losses.inlet("i", 1000.0).loss(1.0) > losses.inlet("i", 1000.0, radius=10.0).loss(1.0)
    tight = losses.bend("b", 1963.5, 50.0, math.pi / 2, 30.0, RHO, 1.8e-5)
    wide = losses.bend("b", 1963.5, 50.0, math.pi / 2, 150.0, RHO, 1.8e-5)
    mitre = losses.bend("b", 1963.5, 50.0, math.pi / 2, 0.0, RHO, 1.8e-5)
    assert wide.loss(10.0) < tight.loss(10.0) < mitre.loss(10.0)
    fine = losses.screen("s", 1963.5, 0.6, 1.0, RHO, 1.8e-5)
    assert 0 < fine.loss(5.0) < thin_plate_loss(0.6)


def test_disagreeing_sources_are_told():
    plate = losses.perforated("p", 2000.0, 0.9, 4.0, 0.8)
    assert "sources differ" in plate.note
    assert losses.perforated("p", 2000.0, 0.5, 4.0, 0.8).note == ""
