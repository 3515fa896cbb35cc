"""How far a part can be moved each way, in closed form, leaning on something or not."""

import math

import pytest

from blankwright.files.collision import MeshCollider
from blankwright.fit.place import Pair, PartOfPlace, Place
from blankwright.fit.room import rooms
from blankwright.fit.solid import Solid, drawn_out
from blankwright.geom.loop import Loop
from blankwright.geom.pose import Pose
from blankwright.geom.region import Region

SIDES = ((1.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (0.0, 0.0, -1.0))


def block(name: str, least: tuple, greatest: tuple, material: str = "metal") -> Solid:
    region = Region(Loop.rectangle(least[0], least[1], greatest[0], greatest[1]))
    piece = drawn_out(name, region, least[2], greatest[2], Pose())
    return Solid(name=name, material=material, pieces=(piece,))


PART = block("", (0, 0, 0), (40, 30, 2))


def travels(*walls: Solid) -> dict[tuple, tuple[float, str]]:
    place = Place(
        name="p",
        title="",
        sizes=(),
        part=PartOfPlace(file="", variant="", material="metal", frame=Pose()),
        solids=walls,
        pairs=(Pair(name="s", between=("metal", "felt"), clearance=-0.5, most=0.0),),
        keep_off=0.2,
    )
    found = rooms(place, MeshCollider(PART, walls), Pose(), SIDES)
    return {room.direction: (room.travel, room.wall) for room in found}


def test_a_part_that_lies_on_a_floor_slides_to_a_thin_step_and_not_through_it() -> None:
    floor = block("floor", (-50, -50, -1), (90, 80, 0))
    step = block("step", (43.7, -50, 0), (44.0, 80, 0.5))
    found = travels(floor, step)
    assert found[1, 0, 0] == (pytest.approx(3.7, abs=0.01), "step")
    assert found[0, 0, -1] == (0.0, "floor")
    assert math.isinf(found[-1, 0, 0][0])
    assert math.isinf(found[0, 0, 1][0])


def test_the_nearest_of_several_is_told_and_soft_ones_stop_nothing() -> None:
    far = block("far", (49.0, -50, -5), (60, 80, 5))
    near = block("near", (-9.0, 10, -5), (-2.5, 20, 5))
    felt = block("felt", (40.5, 0, 0), (42, 30, 2), "felt")
    found = travels(far, near, felt)
    assert found[1, 0, 0] == (pytest.approx(9.0, abs=0.01), "far")
    assert found[-1, 0, 0] == (pytest.approx(2.5, abs=0.01), "near")


def test_between_two_cheeks_that_it_touches_there_is_no_play() -> None:
    cheeks = [block("a", (-5, 0, -5), (0, 30, 5)), block("b", (40, 0, -5), (45, 30, 5))]
    found = travels(*cheeks)
    assert found[1, 0, 0] == (0.0, "b")
    assert found[-1, 0, 0] == (0.0, "a")
    assert math.isinf(found[0, 0, 1][0])
