import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from blankwright.base.errors import NotPossible
from blankwright.develop.setback import (
    inside_setback,
    outermost_setback,
    outside_setback,
    setback,
    setback_step,
)
from blankwright.part.model import DrawnTo

radii = st.floats(0, 100)
thicknesses = st.floats(0.1, 10)
open_angles = st.floats(math.radians(1), math.radians(179))


@settings(derandomize=True, deadline=None)
@given(open_angles, radii, thicknesses)
def test_the_mold_line_is_where_the_outside_faces_meet(a: float, r: float, t: float) -> None:
    """Bend round a centre at (0, r+t) over a face on the x axis: meet the turned face with it."""
    # The far tangent point of the outside arc, and the direction of the leg's face there.
    x, y = (r + t) * math.sin(a), (r + t) * (1 - math.cos(a))
    along = y / math.sin(a)
    corner = x - along * math.cos(a)
    assert outside_setback(a, r, t) == pytest.approx(corner, rel=1e-6, abs=1e-6)


@settings(derandomize=True, deadline=None)
@given(open_angles, radii, thicknesses)
def test_inside_and_outside_differ_by_the_sheet(a: float, r: float, t: float) -> None:
    difference = outside_setback(a, r, t) - inside_setback(a, r)
    assert difference == pytest.approx(math.tan(a / 2) * t, rel=1e-9, abs=1e-9)


@settings(derandomize=True, deadline=None)
@given(st.floats(math.pi / 2, math.pi), radii, thicknesses)
def test_the_outermost_line_is_the_arcs_own_extent(a: float, r: float, t: float) -> None:
    reached = max((r + t) * math.sin(a * step / 1000) for step in range(1001))
    assert outermost_setback(a, r, t) == pytest.approx(reached, rel=1e-5)


def test_at_90_degrees_both_are_r_plus_t() -> None:
    assert outside_setback(math.pi / 2, 3.0, 1.0) == pytest.approx(4.0)
    assert outermost_setback(math.pi / 2, 3.0, 1.0) == pytest.approx(4.0)


def test_180_degrees() -> None:
    assert math.isinf(outside_setback(math.pi, 3.0, 1.0))
    assert math.isinf(inside_setback(math.pi, 3.0))
    assert inside_setback(math.pi, 0.0) == 0.0
    assert outermost_setback(math.pi, 3.0, 1.0) == 4.0


def test_by_what_a_dimension_is_drawn_to() -> None:
    a = math.radians(120)
    assert setback(DrawnTo.OUTSIDE_MOLD_LINE, a, 3.0, 1.0) == outside_setback(a, 3.0, 1.0)
    assert setback(DrawnTo.INSIDE_MOLD_LINE, a, 3.0, 1.0) == inside_setback(a, 3.0)
    assert setback(DrawnTo.TANGENT_LINE, a, 3.0, 1.0) == 0.0
    assert setback(DrawnTo.OUTSIDE_OF_BEND, a, 3.0, 1.0) == 4.0


@pytest.mark.parametrize("drawn_to", [DrawnTo.OUTSIDE_MOLD_LINE, DrawnTo.INSIDE_MOLD_LINE])
def test_no_mold_line_at_180(drawn_to: DrawnTo) -> None:
    with pytest.raises(NotPossible, match=f"SETBACK-001.*{drawn_to.value}.*outside of the bend"):
        setback(drawn_to, math.pi, 3.0, 1.0)


def test_outside_of_a_shallow_bend() -> None:
    with pytest.raises(NotPossible, match=r"SETBACK-002.*less than 90°"):
        setback(DrawnTo.OUTSIDE_OF_BEND, math.radians(89), 3.0, 1.0)


@pytest.mark.parametrize("angle", [0.0, -1.0, 3.2, math.nan])
@pytest.mark.parametrize("drawn_to", list(DrawnTo))
def test_impossible_angles(angle: float, drawn_to: DrawnTo) -> None:
    with pytest.raises(NotPossible, match="SETBACK-003"):
        setback(drawn_to, angle, 3.0, 1.0)


@pytest.mark.parametrize("drawn_to", list(DrawnTo))
def test_trails(drawn_to: DrawnTo) -> None:
    step = setback_step("bend left: setback", drawn_to, math.pi / 2, 3.0, 1.0)
    assert step.value == setback(drawn_to, math.pi / 2, 3.0, 1.0)
    assert step.formula.startswith("SB = ")
    assert step.source
