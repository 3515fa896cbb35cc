"""Edge distance, relief, sheets, materials, paper: look-ups against what the tables print."""

import math

import pytest

from blankwright.base.errors import BadInput, NotPossible
from blankwright.handbook import edge
from blankwright.handbook.materials import density, strength
from blankwright.handbook.paper import POINT, paper, papers
from blankwright.handbook.relief import ReliefSize, relief_diameter
from blankwright.handbook.sheets import nearest_thickness, standard_thicknesses, stock_sizes
from blankwright.handbook.statistics import coverage_factor
from blankwright.handbook.table import table

IN = 25.4


@pytest.mark.parametrize(
    ("thickness", "radius", "rule", "diameter", "says"),
    [
        (0.040, 0.040, ReliefSize.TWICE_RADIUS, 0.125, "up to 0.064 in"),
        (0.064, 0.0, ReliefSize.TWICE_RADIUS, 0.125, "up to 0.064 in"),
        (0.068, 0.05, ReliefSize.TWICE_RADIUS, 0.1875, "up to 0.128 in"),
        (0.128, 0.05, ReliefSize.TWICE_RADIUS, 0.1875, "up to 0.128 in"),
        (0.040, 0.125, ReliefSize.TWICE_RADIUS, 0.250, "twice the radius"),
        (0.040, 0.125, ReliefSize.RADIUS, 0.125, "up to 0.064 in"),
        (0.040, 0.200, ReliefSize.RADIUS, 0.200, "the radius"),
        (0.200, 0.05, ReliefSize.TWICE_RADIUS, 0.1875, "over 0.128 in"),
    ],
)
def test_relief_holes(
    thickness: float, radius: float, rule: ReliefSize, diameter: float, says: str
) -> None:
    found, source = relief_diameter(thickness * IN, radius * IN, rule)
    assert found == pytest.approx(diameter * IN)
    assert says in source
    assert "Folding a box" in source


@pytest.mark.parametrize(("thickness", "radius"), [(0.0, 1.0), (1.0, -1.0), (math.nan, 1.0)])
def test_relief_of_impossible_sizes(thickness: float, radius: float) -> None:
    with pytest.raises(NotPossible, match="RELIEF-010"):
        relief_diameter(thickness, radius)


def test_edge_distance_and_pitch() -> None:
    diameter = 0.125 * IN
    assert edge.edge_distance(diameter).value == pytest.approx(2 * diameter)
    assert edge.edge_distance(diameter, countersunk=True).value == pytest.approx(2.5 * diameter)
    assert edge.edge_distance(diameter).rule == "2 D"
    assert edge.safe_edge_distance(diameter).value == pytest.approx(0.3125 * IN)
    assert edge.safe_edge_distance(diameter, countersunk=True).value == pytest.approx(0.375 * IN)
    assert edge.recommended_edge_distance(diameter).value == pytest.approx(0.3125 * IN)
    assert edge.most_edge_distance(diameter).value == pytest.approx(0.5 * IN)
    assert edge.least_pitch(diameter).value == pytest.approx(0.375 * IN)
    low, high = edge.usual_pitch(diameter)
    assert (low.value, high.value) == (pytest.approx(0.5 * IN), pytest.approx(IN))
    assert edge.most_pitch(diameter).value == pytest.approx(1.25 * IN)


@pytest.mark.parametrize(("pitch", "rows"), [(0.25, 0.3125), (0.5, 0.375), (1.0, 0.75)])
def test_transverse_pitch(pitch: float, rows: float) -> None:
    limit = edge.transverse_pitch(0.125 * IN, pitch * IN)
    assert limit.value == pytest.approx(rows * IN)


def test_rules_of_practice_say_so() -> None:
    for limit in (
        edge.hole_to_bend(1.0),
        edge.cut_out_to_bend(1.0),
        edge.rivet_to_bend(3.175),
        edge.rivet_to_bend(3.175, dimpled=True),
        edge.least_flange_flat(1.0),
        edge.least_flat_between_bends(1.0),
    ):
        assert limit.status == "PRACTICE"
        assert "no source" in limit.source
        assert limit.value > 0
    assert edge.least_flange_over_die(2 * IN).value == pytest.approx(1.375 * IN)


def test_density_whatever_the_temper() -> None:
    found = density("6061-T6")
    assert found is not None
    assert found.value * 1e9 == pytest.approx(0.098 * 27679.90, rel=1e-6)
    assert density("6061-O") == found
    assert density("brass") is None
    assert density("8090-T8") is None


def test_strength_knows_clad_from_bare() -> None:
    bare, clad = strength("2024-T3", 1.0), strength("Alclad 2024-T3", 1.0)
    assert bare is not None
    assert clad is not None
    assert clad.ultimate < bare.ultimate
    assert strength("Alclad 2024-T3", 0.1 * IN) is None
    assert strength("Alclad 6061-T6") is None
    metric = strength("5052-O")
    assert metric is not None
    assert (metric.ultimate, metric.yields) == (170.0, 65.0)


def test_sheets() -> None:
    gauges = standard_thicknesses()
    assert [g.thickness for g in gauges] == sorted(g.thickness for g in gauges)
    near, off = nearest_thickness(1.0)
    assert near.thickness == pytest.approx(0.040 * IN)
    assert off == pytest.approx(0.016)
    sizes = stock_sizes()
    assert all(size.width <= size.length for size in sizes)
    (four_eight,) = (size for size in sizes if size.name == "4 x 8 ft")
    assert (four_eight.width, four_eight.length) == (1219.2, 2438.4)


def test_paper() -> None:
    assert (paper("a4").width, paper("A4").length) == (210.0, 297.0)
    assert (paper("Letter").width, paper("letter").length) == (215.9, 279.4)
    assert pytest.approx(0.352778, abs=5e-7) == POINT
    assert all(size.width < size.length for size in papers())
    with pytest.raises(BadInput, match="PAPER-010"):
        paper("foolscap")


def student_inside(t: float, freedom: float) -> float:
    """Share of Student's distribution inside ± t, by Simpson's rule on its density."""
    log_scale = (
        math.lgamma((freedom + 1) / 2) - math.lgamma(freedom / 2) - math.log(freedom * math.pi) / 2
    )

    def density_at(x: float) -> float:
        return math.exp(log_scale - (freedom + 1) / 2 * math.log1p(x * x / freedom))

    steps = 4000
    width = t / steps
    weights = (1 if i in (0, steps) else 4 if i % 2 else 2 for i in range(steps + 1))
    area = sum(w * density_at(i * width) for i, w in enumerate(weights))
    return 2 * area * width / 3


def test_coverage_factors_leave_five_in_a_hundred_outside() -> None:
    for row in table("student-t").rows:
        freedom, factor = (float(str(row.values[name])) for name in ("freedom", "factor"))
        if math.isinf(freedom):
            inside = math.erf(factor / math.sqrt(2))
        else:
            inside = student_inside(factor, freedom)
        # Three printed decimals move the share by no more than this.
        assert inside == pytest.approx(0.95, abs=6e-5)


def test_coverage_factor_takes_the_wider_interval() -> None:
    assert coverage_factor(1) == 12.706
    assert coverage_factor(2.9) == 4.303
    assert coverage_factor(11) == coverage_factor(10)
    assert coverage_factor(1e6) == 2.0
    assert coverage_factor(math.inf) == 1.960
    with pytest.raises(ValueError, match=r"0\.5 degrees"):
        coverage_factor(0.5)
