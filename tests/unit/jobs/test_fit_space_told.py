"""A way through space in words, and the turn between two placements."""

import math

import pytest

from blankwright.fit.place import PartOfPlace, Place
from blankwright.fit.placements import SpaceWay
from blankwright.geom.pose import Pose
from blankwright.jobs.fit_space_told import told_way, turn_of

PLACE = Place(
    name="p",
    title="",
    sizes=(),
    part=PartOfPlace(file="", variant="", material="metal", frame=Pose()),
    solids=(),
    pairs=(),
    keep_off=0.0,
)
MIDDLE = (10.0, 0.0, 0.0)


def told(*poses: Pose) -> list[str]:
    """Tell a way given from outside to rest."""
    way = SpaceWay(poses=tuple(reversed(poses)), least=1.0, surely=1.0, wall="w", tried=1)
    return list(told_way(PLACE, MIDDLE, way))


@pytest.mark.parametrize("angle", [0.3, 1.7, math.pi])
@pytest.mark.parametrize("axis", [(1.0, 0.0, 0.0), (0.0, 0.6, 0.8), (2 / 3, -1 / 3, 2 / 3)])
def test_the_turn_between_two_placements_is_found_back(
    axis: tuple[float, float, float], angle: float
) -> None:
    first = Pose.turn((3.0, 1.0, 2.0), (0.0, 1.0, 0.0), 0.8)
    second = first.then(Pose.turn((-4.0, 0.0, 9.0), axis, angle))
    found, by = turn_of(first, second)
    assert by == pytest.approx(angle, abs=1e-6)
    sign = math.copysign(1.0, sum(a * b for a, b in zip(found, axis, strict=True)))
    if angle < math.pi - 1e-3:
        assert sign > 0
    assert tuple(sign * v for v in found) == pytest.approx(axis, abs=1e-6)


def test_moves_are_told_from_outside_to_rest() -> None:
    away = Pose.turn(MIDDLE, (0.0, 1.0, 0.0), math.radians(30)).then(Pose(origin=(0.0, -4.0, 50.0)))
    near = Pose.turn(MIDDLE, (0.0, 1.0, 0.0), math.radians(30)).then(Pose(origin=(0.0, -4.0, 8.0)))
    assert told(away, near, Pose()) == [
        "Begin turned 30° about +y by the right hand from how it lies at rest; move 42.0 mm -z.",
        "Move 4.0 mm +y and 8.0 mm -z, turning 30° about -y by the right hand.",
    ]
