"""Density and weight of sheet, strengths, paper sizes.

Weights: sanghvioverseasinc.com/blog/aluminum-sheet-weight-calculation-chart.
Paper: mainthebest.com, colorcopiesusa.com, distromedia.com.
"""

import pytest

from blankwright.handbook.materials import density, strength
from blankwright.handbook.paper import POINT, paper
from blankwright.handbook.sheets import standard_thicknesses, stock_sizes
from blankwright.handbook.table import table

IN = 25.4
LB = 0.45359237
KSI = 6.894757293168


@pytest.mark.parametrize(
    ("alloy", "printed", "metric"),
    [
        # lb/in³ FROM MEMORY (high), MIL-HDBK-5; g/cm³ beside
        ("2024-T3", 0.100, 2.78),
        ("6061-T6", 0.098, 2.70),
        ("5052-H32", 0.097, 2.68),
        ("7075-T6", 0.101, 2.81),
        # both figures FROM MEMORY (medium; 4130 high)
        ("1100-O", 0.098, 2.71),
        ("3003-O", 0.099, 2.73),
        ("4130N", 0.283, 7.85),
        ("301", 0.286, 7.9),
        ("304", 0.29, 8.0),
        ("321", 0.286, 7.9),
    ],
)
def test_density(alloy: str, printed: float, metric: float) -> None:
    fact = density(alloy)
    assert fact is not None
    assert fact.value == pytest.approx(printed * LB / IN**3)
    # D16: handbook and metric figures differ in the third digit (6061: .098 against .0975).
    assert fact.value * 1e6 == pytest.approx(metric, rel=0.006)


@pytest.mark.parametrize(
    ("thickness", "printed"),
    [
        (0.020, 13.96),
        (0.025, 17.45),
        (0.032, 22.34),
        (0.040, 27.92),
        (0.050, 34.91),
        (0.063, 43.98),
        (0.080, 55.85),
        (0.090, 62.83),
        (0.125, 87.26),
    ],
)
def test_weight_of_a_sheet(thickness: float, printed: float) -> None:
    """12 × 4 ft with 0.101 lb/in³, the density of 2014; pounds."""
    fact = density("2014-T6")
    assert fact is not None
    (sheet,) = (size for size in stock_sizes() if size.name == "4 x 12 ft")
    pounds = fact.value * sheet.width * sheet.length * thickness * IN / LB
    assert pounds == pytest.approx(printed, abs=0.0051)
    kept = {float(str(row.values["thickness"])): row for row in table("sheet-weight").rows}
    assert float(str(kept[thickness].values["weight"])) == printed


def test_weight_of_the_thinnest_sheet_as_printed_and_as_computed() -> None:
    """.016 is printed as 11.19; the density that fits all other rows gives 11.17. Both shown."""
    assert round(0.101 * 48 * 144 * 0.016, 2) == 11.17
    printed = {str(row.values["thickness"]): row for row in table("sheet-weight").rows}
    assert printed["0.016"].values["weight"] == "11.19"


@pytest.mark.parametrize(
    ("thickness", "weights"),
    [
        (0.016, (0.230, 0.226, 0.223, 0.233)),
        (0.040, (0.576, 0.564, 0.559, 0.582)),
        (0.063, (0.907, 0.889, 0.880, 0.916)),
        (0.125, (1.800, 1.764, 1.746, 1.818)),
    ],
)
def test_weight_of_a_square_foot(thickness: float, weights: tuple[float, ...]) -> None:
    """144·t·ρ, DERIVED, for 2024, 6061, 5052, 7075; pounds."""
    for alloy, printed in zip(("2024-O", "6061-O", "5052-O", "7075-O"), weights, strict=True):
        fact = density(alloy)
        assert fact is not None
        pounds = fact.value * (12 * IN) ** 2 * thickness * IN / LB
        assert pounds == pytest.approx(printed, abs=5.1e-4)


@pytest.mark.parametrize(
    ("series", "printed"),
    [
        ("stock", ".016 .020 .025 .032 .040 .050 .063 .071 .080 .090 .100 .125"),
        ("AC 43.13-1B", ".016 .020 .025 .032 .036 .040 .051 .064 .081 .091 .102 .128"),
    ],
)
def test_thicknesses(series: str, printed: str) -> None:
    """D15: stock FROM MEMORY (high); the older series READ in AC 43.13-1B."""
    found = [gauge.thickness for gauge in standard_thicknesses() if gauge.series == series]
    assert found == pytest.approx([float(text) * IN for text in printed.split()])


@pytest.mark.parametrize(
    ("alloy", "thickness", "ultimate", "yields", "modulus"),
    [
        # MIL-HDBK-5H FROM MEMORY (medium-high and medium), across the grain, ksi
        ("2024-T3", 0.040, 63, 42, 10500),
        ("Alclad 2024-T3", 0.040, 59, 39, 10500),
        ("6061-T6", 0.040, 42, 35, 9900),
        ("7075-T6", 0.040, 76, 67, 10300),
        # inch edition FROM MEMORY (high)
        ("5052-H32", 0.040, 31, 23, 10100),
        ("5052-H34", 0.040, 34, 26, 10100),
    ],
)
def test_strength(
    alloy: str, thickness: float, ultimate: float, yields: float, modulus: float
) -> None:
    found = strength(alloy, thickness * IN)
    assert found is not None
    assert (found.ultimate, found.yields, found.modulus) == pytest.approx(
        (ultimate * KSI, yields * KSI, modulus * KSI)
    )
    assert found.status.startswith("MEMORY")


@pytest.mark.parametrize(
    ("alloy", "ultimate", "yields"),
    [("5052-O", 170, 65), ("5052-H36", 255, 200)],
)
def test_metric_strength_of_5052(alloy: str, ultimate: float, yields: float) -> None:
    """scribd.com/document/614092988, Table 3.3-1M, MPa."""
    found = strength(alloy)
    assert found is not None
    assert (found.ultimate, found.yields, found.modulus) == (ultimate, yields, 70300)


@pytest.mark.parametrize(
    ("alloy", "ultimate", "yields"), [("5052-H32", 215, 160), ("5052-H34", 235, 180)]
)
def test_two_editions_of_5052_agree(alloy: str, ultimate: int, yields: int) -> None:
    """31/23 and 34/26 ksi against 215/160 and 235/180 MPa: within half a ksi."""
    found = strength(alloy)
    assert found is not None
    assert found.ultimate == pytest.approx(ultimate, abs=0.5 * KSI)
    assert found.yields == pytest.approx(yields, abs=0.5 * KSI)
    kept = {row.values["alloy"]: row for row in table("strength-5052-metric").rows}
    assert (kept[alloy].values["ftu"], kept[alloy].values["fty"]) == (ultimate, yields)


@pytest.mark.parametrize(
    ("name", "width", "length"),
    [
        # common practice, no source, but for the last, which is the stockist's
        ("2 x 4 ft", 609.6, 1219.2),
        ("4 x 4 ft", 1219.2, 1219.2),
        ("4 x 8 ft", 1219.2, 2438.4),
        ("1000 x 2000 mm", 1000, 2000),
        ("1250 x 2500 mm", 1250, 2500),
        ("1500 x 3000 mm", 1500, 3000),
        ("4 x 12 ft", 1219.2, 3657.6),
    ],
)
def test_sheet_sizes(name: str, width: float, length: float) -> None:
    (size,) = (size for size in stock_sizes() if size.name == name)
    assert (size.width, size.length) == pytest.approx((width, length))
    assert ("no source" in size.source) == (name != "4 x 12 ft")


@pytest.mark.parametrize(
    ("name", "width", "length"),
    [
        ("A0", 841, 1189),
        ("A1", 594, 841),
        ("A2", 420, 594),
        ("A3", 297, 420),
        ("A4", 210, 297),
        ("Letter", 215.9, 279.4),
        ("Legal", 215.9, 355.6),
        ("ANSI B", 279.4, 431.8),
        ("ANSI C", 431.8, 558.8),
        ("ANSI D", 558.8, 863.6),
        ("ANSI E", 863.6, 1117.6),
    ],
)
def test_paper(name: str, width: float, length: float) -> None:
    size = paper(name)
    assert (size.width, size.length) == pytest.approx((width, length), abs=1e-9)


def test_points() -> None:
    """1 point is 0.352778 mm; A4 is 595.276 × 841.890 points."""
    assert pytest.approx(0.352778, abs=5e-7) == POINT
    a4 = paper("A4")
    assert a4.width / POINT == pytest.approx(595.276, abs=5e-4)
    assert a4.length / POINT == pytest.approx(841.890, abs=5e-4)


def test_inches_of_the_a_series() -> None:
    """Printed to a hundredth: A0 33.11 × 46.81, A4 8.27 × 11.69."""
    for name, inches in (("A0", (33.11, 46.81)), ("A3", (11.69, 16.54)), ("A4", (8.27, 11.69))):
        size = paper(name)
        assert (size.width / IN, size.length / IN) == pytest.approx(inches, abs=0.0051)
