import pytest

from blankwright.handbook.alloys import Alloy, read_alloy
from blankwright.handbook.bend_radius import governing, known_alloys, least_bend_radius

IN = 25.4


@pytest.mark.parametrize(
    ("text", "key", "clad"),
    [
        ("6061-T6", "6061-T6", False),
        ("6061 T6", "6061-T6", False),
        ("6061T6", "6061-T6", False),
        ("6061-t6", "6061-T6", False),
        ("AA 6061-T6", "6061-T6", False),
        ("2024-T3 Alclad", "2024-T3", True),
        ("Alclad 2024-T3", "2024-T3", True),
        ("2024-T3, clad", "2024-T3", True),
        ("5052-H32", "5052-H32", False),
        ("2024-O", "2024-O", False),
        ("2024-0", None, False),
        ("4130N", "4130-N", False),
        ("4130 annealed", "4130-annealed", False),
        ("304", "304", False),
        ("brass", None, False),
        ("", None, False),
    ],
)
def test_names_of_alloys(text: str, key: str | None, clad: bool) -> None:
    read = read_alloy(text)
    if key is None:
        assert read is None
    else:
        assert read is not None
        assert (read.key, read.clad) == (key, clad)


def test_an_alloy_says_that_it_is_clad() -> None:
    assert str(Alloy(base="2024", temper="T3", clad=True)) == "2024-T3 clad"


def test_the_largest_of_all_tables_governs() -> None:
    found = governing("6061-T6", 0.040 * IN)
    assert found.known
    assert found.radius == max(row.radius for row in found.rows)
    assert found.radius == pytest.approx(0.125 * IN)
    assert found.source.startswith("Shop design book")
    assert found.best == min(row.best for row in found.rows)


def test_between_rows_the_thicker_is_taken() -> None:
    for thickness in (0.033, 0.036, 0.040):
        (ac43,) = [
            row
            for row in least_bend_radius("6061-T6", thickness * IN)
            if row.source.startswith("AC 43.13-1B")
        ]
        assert ac43.thickness == pytest.approx(0.064 * IN)
        assert ac43.radius == pytest.approx(2 * thickness * IN)


def test_a_row_serves_its_own_thickness() -> None:
    for text in ("0.020", "0.025", "0.032", "0.063", "0.125"):
        thickness = float(text) * IN
        (shop,) = [
            row
            for row in least_bend_radius("2024-T3", thickness)
            if row.source.startswith("Shop design book")
        ]
        assert shop.thickness == pytest.approx(thickness, abs=1e-9)


@pytest.mark.parametrize("alloy", known_alloys())
def test_no_row_is_thinner_than_the_sheet(alloy: str) -> None:
    for thousandths in range(10, 520, 3):
        thickness = thousandths / 1000 * IN
        for row in least_bend_radius(alloy, thickness):
            assert row.thickness >= thickness - 1e-6
            assert 0 <= row.best <= row.radius


def test_the_single_cell_of_a_figure_holds_for_its_gauge_only() -> None:
    def of_figure(thickness: float) -> list[str]:
        rows = least_bend_radius("2024-T3", thickness * IN)
        return [row.source for row in rows if "Fig. 4-125" in row.source]

    assert len(of_figure(0.040)) == 1
    assert of_figure(0.039) == []
    assert of_figure(0.032) == []


def test_clad_is_held_to_the_bare_rows() -> None:
    assert governing("Alclad 2024-T3", 1.016).radius == governing("2024-T3", 1.016).radius
    assert governing("Alclad 2024-T3", 1.016).alloy == "2024-T3 clad"


@pytest.mark.parametrize(
    ("alloy", "thickness", "why"),
    [
        ("brass", 1.0, "no table of least bend radii has the alloy 'brass'"),
        ("6061-T9", 1.0, "no table of least bend radii has the alloy '6061-T9'"),
        ("6061-T6", 15.0, "no table has 6061-T6 thicker than 12.70 mm"),
        ("7075-T6", 13.0, "no table has 7075-T6 thicker than 12.70 mm"),
    ],
)
def test_what_no_table_has_is_said(alloy: str, thickness: float, why: str) -> None:
    found = governing(alloy, thickness)
    assert not found.known
    assert found.rows == ()
    assert found.source == why


@pytest.mark.parametrize("alloy", ["2024-T3", "5052-H32", "6061-T6", "7075-O", "5052-O", "6061-T4"])
def test_fractions_serve_the_gauges_sold_under_them(alloy: str) -> None:
    def served(thickness: float) -> str:
        (row,) = [
            row
            for row in least_bend_radius(alloy, thickness * IN)
            if row.source.startswith("Aluminum trade")
        ]
        return row.source.split(f"{alloy} ")[1].split(":")[0].split(";")[0]

    ends = (0.016, 0.032, 0.064, 0.128, 0.190, 0.258, 0.375, 0.500)
    names = ("1/64", "1/32", "1/16", "1/8", "3/16", "1/4", "3/8", "1/2")
    for end, name, following in zip(ends, names, (*names[1:], ""), strict=True):
        assert served(end) == name
        if following:
            assert served(end + 0.0001) == following
