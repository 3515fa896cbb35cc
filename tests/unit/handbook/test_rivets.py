from itertools import pairwise

import pytest

from blankwright.base.errors import BadInput, NotPossible
from blankwright.handbook import joints, rivets
from blankwright.handbook.table import table

IN = 25.4


@pytest.mark.parametrize("text", ["1/8", "1/8 in", '1/8"', "4/32", " 1/8 in "])
def test_names(text: str) -> None:
    assert rivets.diameter_of(text) == 3.175


@pytest.mark.parametrize("text", ["", "1/7", "3.2", "1/0", "AD4"])
def test_unknown_names(text: str) -> None:
    with pytest.raises(BadInput, match="RIVET-001"):
        rivets.diameter_of(text)


def test_names_run_up() -> None:
    assert rivets.rivet_names() == ("1/16", "3/32", "1/8", "5/32", "3/16", "1/4")


def test_holes_are_no_smaller_than_the_rivet() -> None:
    for row in table("rivet-holes").rows:
        name = str(row.values["rivet"])
        hole = rivets.hole_for(name, str(row.values["fastener"]))  # type: ignore[arg-type]
        assert hole.least <= hole.most
        assert hole.most >= rivets.diameter_of(name)


def test_no_hole_is_said() -> None:
    with pytest.raises(BadInput, match="no hole is printed for a solid rivet"):
        rivets.hole_for("1/16")
    with pytest.raises(BadInput, match="no 100° head"):
        rivets.head("1/16", "100°")
    with pytest.raises(BadInput, match="no countersink limit"):
        rivets.thinnest_countersink("1/4")


def test_length_covers_the_sum_and_no_more_than_a_step() -> None:
    for name in rivets.rivet_names():
        for grip in (0.5, 1.0, 1.828, 3.3, 6.1):
            up = rivets.rivet_length(name, grip)
            assert up.wanted == pytest.approx(grip + 1.5 * rivets.diameter_of(name))
            assert 0 <= up.length - up.wanted + 1e-9 < IN / 16 + 1e-9
            near = rivets.rivet_length(name, grip, "nearest")
            assert abs(near.length - near.wanted) <= IN / 32 + 1e-9


def test_a_sum_on_the_step_is_not_rounded_up() -> None:
    assert rivets.rivet_length("1/8", 0.0625 * IN).dash == 4


def test_impossible_grip() -> None:
    with pytest.raises(NotPossible, match="RIVET-002"):
        rivets.rivet_length("1/8", 0.0)


@pytest.mark.parametrize(
    ("grip", "code"),
    [(0.020, "41"), (0.062, "41"), (0.0625, "42"), (0.063, "42"), (0.187, "43"), (0.5, "48")],
)
def test_blind_grips(grip: float, code: str) -> None:
    assert rivets.blind_grip("1/8", grip * IN)[0] == code


@pytest.mark.parametrize(("rivet", "grip"), [("1/8", 0.01), ("1/8", 0.6), ("5/32", 0.15)])
def test_blind_grips_that_are_not_printed(rivet: str, grip: float) -> None:
    with pytest.raises(NotPossible, match=r"RIVET-002.*no code is printed"):
        rivets.blind_grip(rivet, grip * IN)


def test_thicker_sheet_takes_no_fewer_rivets_by_look_up() -> None:
    for thickness in (0.030, 0.032, 0.033, 0.036, 0.050):
        row = joints.rivets_per_inch("4-10", thickness * IN, "1/8")
        assert float(row.values["thickness"]) >= thickness - 1e-9  # type: ignore[arg-type]


def test_no_number_is_said() -> None:
    with pytest.raises(NotPossible, match=r"RIVET-004.*larger rivet"):
        joints.rivets_per_inch("4-10", 0.081 * IN, "3/32")


def test_thin_sheet_has_no_bearing_value() -> None:
    assert joints.bearing_load(1.0, 0.18, 100.0) == pytest.approx(18.0)
    with pytest.raises(NotPossible, match="RIVET-003"):
        joints.bearing_load(1.0, 0.17, 100.0)


def test_diameters_for_sheet() -> None:
    least, usual, most, _ = rivets.diameters_for(1.0)
    assert (least, usual, most) == (1.0, 3.0, 3.0)


def test_heads_grow_with_the_rivet() -> None:
    for style in ("100°", "universal"):
        heads = [rivets.head(name, style) for name in ("3/32", "1/8", "5/32", "3/16", "1/4")]  # type: ignore[arg-type]
        for one, other in pairwise(heads):
            assert one.diameter < other.diameter
            assert one.height < other.height
