"""Least bend radii as three charts of the trade print them, and where they disagree.

Trade: aluminum trade table 3-1, VII-78, January 2005
(vdocuments.mx/aluminum-min-bend-radiuspdf.html for 2024 and 5052,
bjg-design.com/designbook/shbend.htm for 6061; 7075 from memory, medium).
Maker: airframe maker's data release spec (aircraftextrusion.com/resources/forming-tolerance).
Shop: shop design book (bjg-design.com/designbook/shbend.htm).
FAA: FAA-H-8083-31 Fig. 4-125, one cell (flight-mechanic.com/layout-and-forming-part-two).
"""

import pytest

from blankwright.handbook.bend_radius import RadiusRow, governing, least_bend_radius

IN = 25.4

# Multiples of t, by sheet of 1/64 1/32 1/16 1/8 3/16 1/4 3/8 1/2 in.
TRADE = """
    2024-O | 0 | 0 | 0 | ½ | 1 | 1 | 2½ | 4
    2024-T3 (T4 same) | 2½ | 3 | 4 | 5 | 5 | 6 | 7 | 7½
    5052-O | 0 | 0 | 0 | ½ | 1 | 1 | 1½ | 1½
    5052-H32 | 0 | 0 | 1 | 1½ | 1½ | 1½ | 1½ | 2
    5052-H34 | 0 | 1 | 1½ | 2 | 2 | 2½ | 2½ | 3
    6061-O | 0 | 0 | 0 | 1 | 1 | 1 | 1½ | 2
    6061-T4 | 0 | 0 | 1 | 1½ | 2½ | 3 | 3½ | 4
    6061-T6 | 1 | 1 | 1½ | 2½ | 3 | 3½ | 4½ | 5
    7075-O M | 0 | 0 | 1 | 1 | 1½ | 2½ | 3½ | 4
    7075-T6 M | 3 | 4 | 5 | 6 | 6 | 8 | 9 | 9½
"""
TRADE_THICKNESSES = (1 / 64, 1 / 32, 1 / 16, 1 / 8, 3 / 16, 1 / 4, 3 / 8, 1 / 2)

# Inches.
MAKER_ALLOYS = (
    "5052-O 6061-O",
    "2024-O 6061-T4",
    "7075-O",
    "2024-T3 2024-T4 6061-T6",
    "7075-T6",
    "2024-T85",
)
MAKER = """
    0.016 | 0.030 | 0.030 | 0.030 | 0.060 | 0.090 | 0.250
    0.020 | 0.030 | 0.030 | 0.030 | 0.060 | 0.090 | 0.250
    0.025 | 0.030 | 0.060 | 0.060 | 0.090 | 0.120 | 0.310
    0.032 | 0.030 | 0.060 | 0.060 | 0.120 | 0.160 | 0.440
"""
SHOP_ALLOYS = (
    "6061-T6",
    "5052-H32",
    "5052-H34 6061-T4 2024-O",
    "3003-O 1100-O 6061-O 5052-O",
    "2024-T3",
)
SHOP = """
    .020 | .063 | .063 | .063 | .063 | .063
    .025 | .094 | .063 | .063 | .031 | .094
    .032 | .094 | .063 | .063 | .031 | .125
    .040 | .125 | .063 | .094 | .063 | .188
    .050 | .156 | .094 | .094 | .063 | .188
    .063 | .188 | .094 | .125 | .063 | .250
    .080 | .281 | .125 | .156 | .094 | .344
    .090 | .312 | .156 | .188 | .094 | .375
    .125 | .500 | .188 | .250 | .125 | .562
"""


def number(text: str) -> float:
    return float(text.replace("½", ".5"))


def lines(text: str) -> list[list[str]]:
    return [line.split(" | ") for line in (raw.strip() for raw in text.strip().splitlines())]


def row_of(source: str, alloy: str, thickness_in: float) -> RadiusRow:
    (row,) = [
        row for row in least_bend_radius(alloy, thickness_in * IN) if row.source.startswith(source)
    ]
    return row


@pytest.mark.parametrize("line", lines(TRADE), ids=lambda line: line[0])
def test_trade_table(line: list[str]) -> None:
    alloys = line[0].replace("(T4 same)", "2024-T4").removesuffix(" M").split()
    assert len(line) == 9
    for alloy in alloys:
        for thickness, printed in zip(TRADE_THICKNESSES, line[1:], strict=True):
            row = row_of("Aluminum trade table", alloy, thickness)
            assert row.radius == pytest.approx(number(printed) * thickness * IN)
            assert row.status == ("MEMORY medium" if line[0].endswith("M") else "READ")


def check_inches(source: str, text: str, heads: tuple[str, ...]) -> int:
    cells = 0
    for line in lines(text):
        thickness = float(line[0])
        for alloys, printed in zip(heads, line[1:], strict=True):
            for alloy in alloys.split():
                row = row_of(source, alloy, thickness)
                assert row.radius == row.best == pytest.approx(float(printed) * IN)
                assert row.thickness == pytest.approx(thickness * IN)
                cells += 1
    return cells


def test_maker_chart() -> None:
    assert check_inches("Chart of an airframe maker", MAKER, MAKER_ALLOYS) == 40


def test_shop_book() -> None:
    assert check_inches("Shop design book", SHOP, SHOP_ALLOYS) == 90


def test_faa_cell() -> None:
    assert row_of("FAA-H-8083-31 vol. 1 Fig. 4-125", "2024-T3", 0.040).radius == pytest.approx(
        0.16 * IN
    )


def test_disagreement_2024_t3_040() -> None:
    """FAA .16; trade 3t to 4t, .12 to .16; AC 4-6 between 2t and 5t, .08 to .20; shop .188."""
    thickness = 0.040
    rows = least_bend_radius("2024-T3", thickness * IN)
    radii = {row.source.split(" ")[0]: row.radius / IN for row in rows}
    assert radii["FAA-H-8083-31"] == pytest.approx(0.16)
    assert 0.12 - 1e-9 <= radii["Aluminum"] <= 0.16 + 1e-9
    assert 0.08 - 1e-9 <= radii["AC"] <= 0.20 + 1e-9
    assert radii["Shop"] == pytest.approx(0.188)
    # The largest governs, and never less than the handbook's own worked example.
    assert governing("2024-T3", thickness * IN).radius == pytest.approx(max(radii.values()) * IN)
    assert governing("2024-T3", thickness * IN).radius >= 0.16 * IN


def test_disagreement_6061_t6_040() -> None:
    """Maker (.032 row) .12; trade 1t to 1½t, .04 to .06; shop .125; AC 4-6 ½t to 2t, .02 to .08."""
    rows = least_bend_radius("6061-T6", 0.040 * IN)
    radii = {row.source.split(" ")[0]: row.radius / IN for row in rows}
    assert 0.04 - 1e-9 <= radii["Aluminum"] <= 0.06 + 1e-9
    assert 0.02 - 1e-9 <= radii["AC"] <= 0.08 + 1e-9
    assert radii["Shop"] == pytest.approx(0.125)
    # The maker's chart ends at .032, and nothing is carried beyond its end.
    assert "Chart" not in radii
    assert row_of("Chart of an airframe maker", "6061-T6", 0.032).radius == pytest.approx(0.12 * IN)
    assert governing("6061-T6", 0.040 * IN).radius == pytest.approx(0.125 * IN)
