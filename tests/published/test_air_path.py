"""Flow through openings and perforated plates, against numbers from outside the project."""

from __future__ import annotations

import math

import pytest

from blankwright.files import air_losses as losses
from blankwright.holes.air import AirPath, AirPiece, flow_at, sharp_opening_loss, thin_plate_loss

# Free area against Idelchik's thin sharp-edged plate (formula from memory, high confidence; numbers
# worked from it in the project's reference values) and the table of Blevins 1984 as the library
# `fluids` 1.3.1 has it (run when the reference values were gathered).
PLATES = [
    (0.2, 51.291, 52.0),
    (0.3, 18.534, 17.0),
    (0.4, 8.232, 7.7),
    (0.5, 3.999, 3.8),
    (0.6, 1.993, 2.0),
    (0.7, 0.964, 1.1),
    (0.8, 0.416, 0.53),
    (0.9, 0.129, 0.08),
]


@pytest.mark.parametrize(("free", "idelchik", "blevins"), PLATES)
def test_perforated_plates(free, idelchik, blevins):
    assert thin_plate_loss(free) == pytest.approx(idelchik, abs=0.001)
    assert losses.perforated("p", 1000.0, free, 4.0, 0.8).loss(5.0) == pytest.approx(blevins)


def test_square_edge_grill():
    """Blevins 1984 by the docstring of `fluids.square_edge_grill`: 5.296 at 0.45 open."""
    thick = losses.perforated("p", 1000.0, 0.45, 1.0, 3.0)
    assert thick.loss(5.0) == pytest.approx(5.296296, abs=1e-6)


def test_entrances():
    """Rennels and Hudson 2012 by the docstrings of `fluids`: 0.57 sharp, 0.09839 rounded."""
    assert losses.inlet("i", 1000.0).loss(5.0) == pytest.approx(0.57)
    area = math.pi * 100.0**2 / 4
    rounded = losses.inlet("i", area, radius=23.5)
    assert rounded.loss(5.0) == pytest.approx(0.09839534618360923)


def test_sharp_opening():
    """Cd of a sharp-edged orifice: 0.60 to 0.62, classical; Kirchhoff π/(π+2) = 0.6110 (from
    memory, high confidence)."""
    cd = 1 / math.sqrt(sharp_opening_loss())
    assert cd == pytest.approx(0.6110, abs=1e-4)
    assert 0.60 <= cd <= 0.62


def path(*pieces):
    return AirPath(name="p", pieces=pieces, density=1.225, density_source="stated")


def test_orifice_flow():
    """Q = Cd·A·√(2Δp/ρ), worked in the reference values: 10 cm², 50 Pa, 1.225 kg/m³, Cd 0.61 gives
    0.00551 m³/s."""
    opening = AirPiece(name="o", area=10e-4, loss=lambda v: 1 / 0.61**2, source="Cd 0.61")
    assert flow_at(path(opening), 50.0).flow == pytest.approx(0.00551, abs=5e-6)
    ours = losses.opening("o", 1000.0)
    assert flow_at(path(ours), 50.0).flow == pytest.approx(0.00551, rel=0.005)


def test_two_openings_in_series():
    """Two equal openings in series act as one of A/√2 (worked in the reference values)."""
    a, b = losses.opening("a", 1000.0), losses.opening("b", 1000.0)
    one, two = flow_at(path(a), 80.0), flow_at(path(a, b), 80.0)
    assert two.effective_area == pytest.approx(one.effective_area / math.sqrt(2))


def test_standard_atmosphere():
    """1.225 kg/m³ at sea level (definition of the U.S. Standard Atmosphere 1976); 0.9093 kg/m³ at
    3000 m (its table; from memory, high confidence)."""
    assert losses.standard_air(0.0)[0] == pytest.approx(1.225, abs=1e-4)
    assert losses.standard_air(3000.0)[0] == pytest.approx(0.9093, abs=2e-4)
