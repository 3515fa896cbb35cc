"""What a moving solid surely keeps, against closed forms."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from blankwright.files.collision import MeshCollider
from blankwright.fit.surely import CLOSE, Passing, Stretch, kept_along, leaning
from blankwright.geom.pose import Pose
from slotted_plates import box


def slide(x: float, y: float, z: float) -> Stretch:
    return Stretch(lambda t: Pose(origin=(x * t, y * t, z * t)), math.hypot(x, y, z))


def turn(by: float, reach: float) -> Stretch:
    return Stretch(lambda t: Pose.turn((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), by * t), reach * abs(by))


def test_a_pin_thinner_than_any_step_is_not_slipped_past() -> None:
    # The part runs 400 mm past a pin of 0.01 mm that stands 0.2 mm into its way.
    part = box("", (0, 0, 0), (5, 5, 1))
    pin = box("pin", (203.117, 4.8, 0.4), (203.127, 9, 0.41))
    kept = kept_along(MeshCollider(part, (pin,)), ["pin"], [slide(400, 0, 0)])
    assert kept.passing is Passing.MEETS
    assert kept.wall == "pin"
    # And one that stands 0.03 mm clear is told as clear, by no more than it is.
    pin = box("pin", (203.117, 5.03, 0.4), (203.127, 9, 0.41))
    kept = kept_along(MeshCollider(part, (pin,)), ["pin"], [slide(400, 0, 0)])
    assert kept.passing is Passing.FREE
    assert 0.03 - CLOSE <= kept.surely <= 0.03 <= kept.least + 1e-9
    assert kept.looks < 2000


def test_a_turning_corner_passes_at_its_distance() -> None:
    part = box("", (0, -40, 0), (30, 0, 1))
    wall = box("wall", (50.6, -60, 0), (52, 60, 1))
    reach = math.hypot(30, 40)
    kept = kept_along(MeshCollider(part, (wall,)), ["wall"], [turn(math.pi / 2, reach)])
    # The corner (30, −40) reaches x = 50, turned atan(40/30); the wall's face is x = 50.6.
    assert kept.surely <= 0.6 <= kept.least + 1e-9
    assert kept.least == pytest.approx(0.6, abs=0.02)
    assert kept.surely == pytest.approx(0.6, abs=0.02)
    assert kept.share == pytest.approx(math.atan2(40, 30) / (math.pi / 2), abs=0.03)


def test_grazing_is_too_near_to_tell() -> None:
    part = box("", (0, 0, 0), (5, 5, 1))
    wall = box("wall", (20, 5.004, 0), (21, 9, 1))
    world = MeshCollider(part, (wall,))
    kept = kept_along(world, ["wall"], [slide(40, 0, 0)], floor=0.02)
    assert kept.passing is Passing.UNSURE
    assert kept.surely == 0.0
    assert kept_along(world, ["wall"], [slide(40, 0, 0)]).passing is Passing.FREE


def test_too_few_looks_claim_nothing() -> None:
    part = box("", (0, 0, 0), (5, 5, 1))
    wall = box("wall", (20, 5.03, 0), (21, 9, 1))
    kept = kept_along(MeshCollider(part, (wall,)), ["wall"], [slide(40, 0, 0)], most=4)
    assert kept.passing is Passing.UNSURE


def test_what_it_leans_on_is_slid_along_and_what_it_goes_into_is_met() -> None:
    part = box("", (0, 0, 0), (10, 10, 1))
    bed = box("bed", (-50, -50, -2), (50, 50, 0))
    walls = (bed, box("far", (40, 0, 0), (41, 1, 1)))
    world = MeshCollider(part, walls)
    leant = leaning(world, part, walls, ["bed", "far"])
    assert list(leant) == ["bed"]
    along = kept_along(world, ["bed"], [slide(8, 0, 0)], shifts=leant)
    assert along.passing is Passing.FREE
    into = kept_along(world, ["bed"], [slide(8, 0, -0.1)], shifts=leant)
    assert into.passing is Passing.MEETS


def test_a_part_without_walls_is_free() -> None:
    part = box("", (0, 0, 0), (10, 10, 1))
    assert kept_along(MeshCollider(part, ()), [], [slide(1, 0, 0)]).passing is Passing.FREE


@settings(max_examples=40, derandomize=True, deadline=None)
@given(
    gap=st.floats(0.01, 20),
    side=st.floats(-60, 60),
    length=st.floats(1, 300),
    wide=st.floats(0.05, 20),
)
def test_a_slide_past_a_block_keeps_what_plane_geometry_says(
    gap: float, side: float, length: float, wide: float
) -> None:
    part = box("", (0, 0, 0), (5, 5, 1))
    block = box("block", (side, 5 + gap, 0), (side + wide, 30 + gap, 1))
    kept = kept_along(MeshCollider(part, (block,)), ["block"], [slide(length, 0, 0)])
    # Across x the part sweeps from 0 to 5 + length.
    aside = max(0.0, side - (5 + length), -(side + wide))
    true = math.hypot(aside, gap)
    assert kept.passing is Passing.FREE
    assert kept.surely <= true + 1e-6
    assert kept.least >= true - 1e-6
    assert kept.least - kept.surely <= max(CLOSE, 0.02 * kept.least) + 1e-9
