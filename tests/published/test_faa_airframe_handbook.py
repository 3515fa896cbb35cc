"""FAA-H-8083-31 Airframe Handbook vol. 1 ch. 4: allowance, setback, the U channel, folding a box.

Copies read: flight-mechanic.com/layout-and-forming-part-two, -three, -four;
aircraftsystemstech.com/2017/06/making-straight-line-bends.html and /p/folding-box.html.
Inches, as printed.
"""

import math

import pytest

from blankwright.base.units import MM_PER_INCH
from blankwright.develop.allowance import (
    RadiusConstant,
    bend_allowance_empirical,
    bend_allowance_neutral_axis,
    k_of_allowance,
)
from blankwright.develop.develop import develop_blank
from blankwright.develop.setback import outside_setback
from blankwright.handbook.bend_radius import least_bend_radius
from blankwright.handbook.edge import (
    most_edge_distance,
    recommended_edge_distance,
    safe_edge_distance,
    transverse_pitch,
)
from blankwright.handbook.relief import ReliefSize, relief_diameter
from blankwright.handbook.rivets import rivet_length, shop_head
from samples import channel

IN = MM_PER_INCH
RIGHT = math.pi / 2


def test_formula_2() -> None:
    """BA = (0.01743·R + 0.0078·T)·N, N in degrees."""
    for r, t, n in ((0.16, 0.040, 90), (0.25, 0.25, 160), (0.125, 0.032, 37)):
        printed = (0.01743 * r + 0.0078 * t) * n
        faa = bend_allowance_empirical(r, t, math.radians(n), RadiusConstant.FAA)
        assert faa == pytest.approx(printed, rel=1e-12)


def test_formula_2_with_the_charts_constant() -> None:
    """The FAA chart's cell for R 5/32, T .040 is 0.003034 in a degree: it fits 0.01745 (D1)."""
    one_degree = math.radians(1)
    assert round(bend_allowance_empirical(0.15625, 0.040, one_degree), 4) == 0.0030
    chart = bend_allowance_empirical(0.156, 0.040, one_degree)
    other = bend_allowance_empirical(0.156, 0.040, one_degree, RadiusConstant.FAA)
    assert round(chart, 6) == pytest.approx(0.003034, abs=1.1e-6)
    assert abs(chart - 0.003034) < abs(other - 0.003034)


def test_constants_differ_by_half_a_thousandth() -> None:
    """D1: at R = 0.25, 90° the difference is 0.0005 in. DERIVED."""
    faa = bend_allowance_empirical(0.25, 0.04, RIGHT, RadiusConstant.FAA)
    assert bend_allowance_empirical(0.25, 0.04, RIGHT) - faa == pytest.approx(0.0005, abs=5e-5)


def test_formula_1() -> None:
    """BA(90°) = 2π(R + T/2)/4: the neutral axis in the middle."""
    for r, t in ((0.16, 0.040), (0.25, 0.063)):
        printed = 2 * math.pi * (r + t / 2) / 4
        assert bend_allowance_neutral_axis(r, t, RIGHT, 0.5) == pytest.approx(printed, rel=1e-12)


def test_equivalent_k() -> None:
    """0.0078/0.0174533 = 0.4469; 0.4475 with 0.01743. DERIVED."""
    allowance = bend_allowance_empirical(0.16, 0.04, RIGHT)
    assert k_of_allowance(allowance, 0.16, 0.04, RIGHT) == pytest.approx(0.4469, abs=5e-5)
    assert pytest.approx(0.4475, abs=5e-5) == 0.0078 / RadiusConstant.FAA.value


class TestUChannel:
    """Figs. 4-124 to 4-131: 2024-T3, T .040, two 90° bends, mold lines 1.00, 2.00, 1.00."""

    def test_least_radius(self) -> None:
        rows = least_bend_radius("2024-T3", 0.040 * IN)
        (figure,) = [row for row in rows if "Fig. 4-125" in row.source]
        assert figure.radius / IN == pytest.approx(0.16)

    def test_setback(self) -> None:
        assert outside_setback(RIGHT, 0.16, 0.040) == pytest.approx(0.2)

    def test_flats(self) -> None:
        back = outside_setback(RIGHT, 0.16, 0.040)
        assert 1.00 - back == pytest.approx(0.8)
        assert 2.00 - 2 * back == pytest.approx(1.6)

    def test_allowance(self) -> None:
        """Printed 0.27, cut off from 0.279 (R .160) or rounded from 0.273 (R 5/32)."""
        assert bend_allowance_empirical(0.160, 0.040, RIGHT) == pytest.approx(0.2794, abs=5e-5)
        faa = bend_allowance_empirical(0.160, 0.040, RIGHT, RadiusConstant.FAA)
        assert faa == pytest.approx(0.27907, abs=5e-6)
        faa = bend_allowance_empirical(0.15625, 0.040, RIGHT, RadiusConstant.FAA)
        assert faa == pytest.approx(0.27319, abs=5e-6)
        assert math.floor(bend_allowance_empirical(0.160, 0.040, RIGHT) * 100) / 100 == 0.27
        middle = bend_allowance_neutral_axis(0.160, 0.040, RIGHT, 0.5)
        assert middle == pytest.approx(0.28274, abs=5e-6)

    def test_total_width_as_printed_and_as_its_own_formula_gives_it(self) -> None:
        """D2: printed 3.74 with BA cut off to 0.27; unrounded 3.758. Both shown."""
        printed = 0.8 + 1.6 + 0.8 + 2 * math.floor(0.27907 * 100) / 100
        assert printed == pytest.approx(3.74)
        faa = bend_allowance_empirical(0.160, 0.040, RIGHT, RadiusConstant.FAA)
        assert 0.8 + 1.6 + 0.8 + 2 * faa == pytest.approx(3.7581, abs=5e-5)

    def test_total_width_of_the_developed_blank(self) -> None:
        """The whole program on the handbook's part: 3.758 ± 0.001, less than the 4 of the sum."""
        blank = develop_blank(channel())
        _, depth = blank.size
        assert depth / IN == pytest.approx(3.758, abs=0.001)
        assert depth / IN < 1.00 + 2.00 + 1.00
        widths = []
        for name in ("front", "web", "back"):
            box = blank.flat_by_name[name].region.box
            widths.append((box[3] - box[1]) / IN)
        assert widths == pytest.approx([0.8, 1.6, 0.8])

    def test_sight_line(self) -> None:
        """One radius from the tangent line under the nose: 0.800 + 0.160 = 0.960. DERIVED."""
        blank = develop_blank(channel())
        bend = blank.bend_by_name["front"]
        sight = bend.sight_line(bend.leg)
        edge = blank.flat_by_name[bend.leg].region.box[1]
        assert (sight.start[1] - edge) / IN == pytest.approx(0.960)


def test_setback_chart_reading() -> None:
    """D3: R + T = .183, chart reading 0.435; 135° (T .063, R .12, memory medium): 0.4418."""
    formula = outside_setback(math.radians(135), 0.12, 0.063)
    assert formula == pytest.approx(0.4418, abs=5e-5)
    assert formula == pytest.approx(0.435, rel=0.016)


def test_builders_figure() -> None:
    """D4: .025 sheet, R 1/4, 90°: a builder prints 0.413 in, the formula gives 0.4097.

    The figures differ by three thousandths; the formula is used.
    """
    faa = bend_allowance_empirical(0.25, 0.025, RIGHT, RadiusConstant.FAA)
    assert faa == pytest.approx(0.4097, abs=1e-4)
    assert faa == pytest.approx(0.413, abs=0.004)


@pytest.mark.parametrize(
    ("thickness", "least"),
    [(0.016, 0.125), (0.040, 0.125), (0.064, 0.125), (0.072, 0.1875), (0.128, 0.1875)],
)
def test_relief_holes(thickness: float, least: float) -> None:
    """1/8 to .064, 3/16 from .072 to .128 (copies print 3/160)."""
    assert relief_diameter(thickness * IN, 0.0)[0] / IN == pytest.approx(least)


def test_relief_holes_by_the_radius() -> None:
    """D17: about twice the radius in one paragraph; the radius, not under 1/8, in the next."""
    assert relief_diameter(0.04 * IN, 0.16 * IN)[0] / IN == pytest.approx(0.32)
    by_radius = relief_diameter(0.04 * IN, 0.16 * IN, ReliefSize.RADIUS)
    assert by_radius[0] / IN == pytest.approx(0.16)
    by_radius = relief_diameter(0.04 * IN, 0.10 * IN, ReliefSize.RADIUS)
    assert by_radius[0] / IN == pytest.approx(0.125)


def test_rivet_length() -> None:
    """L = grip + 1½ D. AD4 in .032 + .040: 0.2595, so 5/16 (-5) up or 1/4 (-4) nearest."""
    up = rivet_length("1/8", 0.072 * IN)
    assert up.wanted / IN == pytest.approx(0.2595)
    assert (up.diameter_dash, up.dash, up.length / IN) == (4, 5, pytest.approx(0.3125))
    nearest = rivet_length("1/8", 0.072 * IN, "nearest")
    assert (nearest.dash, nearest.length / IN) == (4, pytest.approx(0.25))


def test_rivet_dash_numbers() -> None:
    """MS20470AD4-7 is 1/8 × 7/16 (AC 43.13-1B Fig. 4-4)."""
    grip = 7 / 16 - 1.5 / 8
    length = rivet_length("1/8", grip * IN)
    assert (length.diameter_dash, length.dash) == (4, 7)


def test_shop_head() -> None:
    """Fig. 4-76: 1½ D wide, ½ D high."""
    head = shop_head("1/8")
    assert (head.width / IN, head.height / IN) == (pytest.approx(0.1875), pytest.approx(0.0625))


def test_edge_distance_and_transverse_pitch() -> None:
    """Not over 4D, 2½D recommended; 75 % of the pitch, not under 2½D.

    Safe distances of Figs. 4-79 and 4-80 are FROM MEMORY (high): 1/16 in beyond the least.
    """
    d = IN / 8
    assert recommended_edge_distance(d).value == pytest.approx(2.5 * d)
    assert most_edge_distance(d).value == pytest.approx(4 * d)
    assert safe_edge_distance(d).value == pytest.approx(2 * d + IN / 16)
    assert safe_edge_distance(d, countersunk=True).value == pytest.approx(2.5 * d + IN / 16)
    assert transverse_pitch(d, 6 * d).value == pytest.approx(4.5 * d)
    assert transverse_pitch(d, 3 * d).value == pytest.approx(2.5 * d)
