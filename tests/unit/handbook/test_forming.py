import math

import pytest

from blankwright.base.errors import NotPossible
from blankwright.handbook.forming import (
    air_bend_radius,
    angle_in_tool,
    brake_force,
    radius_after,
    radius_in_tool,
    springback_ratio,
    v_opening,
)
from blankwright.handbook.tolerances import (
    general_angle,
    general_edge,
    general_length,
    grade_width,
)


def test_a_sharp_bend_does_not_spring() -> None:
    assert springback_ratio(0.0, 1.0, 300.0, 70000.0) == 1.0
    assert angle_in_tool(1.5, 0.0, 1.0, 300.0, 70000.0) == 1.5


def test_the_middle_of_the_sheet_keeps_its_length() -> None:
    for radius in (0.5, 3.0, 20.0):
        after = radius_after(radius, 1.0, 270.0, 69000.0)
        held = angle_in_tool(math.pi / 2, radius, 1.0, 270.0, 69000.0)
        assert held * (radius + 0.5) == pytest.approx(math.pi / 2 * (after + 0.5))
        assert held > math.pi / 2


def test_the_tool_radius_is_found_again() -> None:
    for radius in (0.0, 0.5, 3.0, 20.0, 100.0):
        after = radius_after(radius, 1.0, 270.0, 69000.0)
        assert radius_in_tool(after, 1.0, 270.0, 69000.0) == pytest.approx(radius, abs=1e-9)


def test_a_huge_radius_has_a_tool_radius_under_the_elastic_limit() -> None:
    found = radius_in_tool(1e5, 1.0, 270.0, 69000.0)
    assert found < 0.5 * 69000 / 270
    assert radius_after(found, 1.0, 270.0, 69000.0) == pytest.approx(1e5, rel=1e-6)


def test_wholly_elastic_is_said() -> None:
    with pytest.raises(NotPossible, match="SPRING-001"):
        springback_ratio(0.5 * 69000 / 270, 1.0, 270.0, 69000.0)
    assert springback_ratio(0.4999 * 69000 / 270, 1.0, 270.0, 69000.0) > 0


@pytest.mark.parametrize(
    "sizes", [(-1.0, 1.0, 1.0, 1.0), (1.0, 0.0, 1.0, 1.0), (1.0, 1.0, 0.0, 1.0)]
)
def test_impossible_sizes(sizes: tuple[float, float, float, float]) -> None:
    with pytest.raises(NotPossible, match="SPRING-002"):
        springback_ratio(*sizes)
    with pytest.raises(NotPossible, match="SPRING-002"):
        radius_in_tool(*sizes)


def test_force_goes_with_strength_and_thickness_squared() -> None:
    steel, _ = brake_force(1.0, 8.0)
    assert brake_force(2.0, 8.0)[0] == pytest.approx(4 * steel)
    assert brake_force(1.0, 16.0)[0] == pytest.approx(steel / 2)
    sixty_ksi = 60 * 6.894757293168
    assert brake_force(1.0, 8.0, sixty_ksi)[0] == pytest.approx(steel)
    assert brake_force(1.0, 8.0, sixty_ksi / 2)[0] == pytest.approx(steel / 2)
    with pytest.raises(NotPossible, match="FORCE-001"):
        brake_force(1.0, 0.0)


def test_v_openings() -> None:
    assert v_opening(1.0)[:2] == (6.0, 8.0)
    assert air_bend_radius(10.0)[0] == pytest.approx(1.6)


def test_steps_of_tolerances_take_their_upper_end_in() -> None:
    assert general_length(0.5).value == 0.1
    assert general_length(3.0).value == 0.1
    assert general_length(6.0).value == 0.1
    assert general_length(6.000001).value == 0.2
    assert grade_width(6.0, "IT7").value == pytest.approx(0.012)
    assert grade_width(6.01, "IT7").value == pytest.approx(0.015)
    assert general_angle(10.0).value == pytest.approx(math.radians(1))
    assert general_angle(10.1).value == pytest.approx(math.radians(0.5))
    assert general_edge(2.0, "c").value == 0.4


@pytest.mark.parametrize("size", [0.49, 4000.1, 0.0, -1.0])
def test_no_tolerance_is_said(size: float) -> None:
    with pytest.raises(NotPossible, match="TOLERANCE-001"):
        general_length(size)


def test_empty_cells_have_no_tolerance() -> None:
    with pytest.raises(NotPossible, match="TOLERANCE-001"):
        general_length(2.0, "v")
    with pytest.raises(NotPossible, match="TOLERANCE-001"):
        grade_width(350.0, "IT12")
