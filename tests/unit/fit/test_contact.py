"""Where solids touch, how far they overlap, and one inside the other, against figures by hand."""

import math

import numpy as np
import pytest

from blankwright.files.collision import MeshCollider
from blankwright.fit.contact import one_in_other, pressed, touching
from blankwright.fit.place import PartOfPlace, Place
from blankwright.fit.solid import Solid, drawn_out
from blankwright.fit.space import at_rest
from blankwright.geom.loop import Loop
from blankwright.geom.pose import Pose
from blankwright.geom.region import Region


def block(name: str, x0: float, y0: float, z0: float, x1: float, y1: float, z1: float) -> Solid:
    region = Region(Loop.rectangle(x0, y0, x1, y1))
    return Solid(name=name, material="metal", pieces=(drawn_out(name, region, z0, z1, Pose()),))


PLATE = block("", 0, 0, 0, 40, 30, 2)


ASKEW = Pose.turn((3.0, -7.0, 11.0), (1 / 3, 2 / 3, 2 / 3), 0.7)


@pytest.mark.parametrize("pose", [Pose(), ASKEW])
def test_faces_on_each_other_have_the_area_that_they_share(pose: Pose) -> None:
    # 10 … 40 of the plate's x and 5 … 30 of its y lie on the block.
    under = block("under", 10, 5, -3, 60, 50, 0)
    contact = touching(PLATE.moved(pose), under.moved(pose))
    assert contact is not None
    assert contact.area == pytest.approx(30 * 25, rel=1e-3)
    assert contact.middle == pytest.approx(pose((25.0, 17.5, 0.0)), abs=1e-2)


def test_blocks_apart_or_meeting_in_an_edge_alone_do_not_touch() -> None:
    assert touching(PLATE, block("off", 10, 5, -3, 60, 50, -0.5)) is None
    assert touching(PLATE, block("edge", 40, 30, 0, 60, 50, 2)) is None


def test_pressed_in_the_area_is_cut_half_way_down() -> None:
    contact = pressed(PLATE, block("under", 10, 5, -3, 60, 50, 0.4), 0.4, (0.0, 0.0, 1.0))
    assert contact is not None
    assert contact.area == pytest.approx(30 * 25, rel=1e-4)


def test_one_inside_the_other_is_seen_from_either_side() -> None:
    cube = block("cube", -50, -50, -50, 90, 90, 90)
    assert one_in_other(PLATE, cube)
    assert one_in_other(cube, PLATE)
    assert not one_in_other(PLATE, block("beside", 41, 0, 0, 60, 30, 2))
    rng = np.random.default_rng(5)
    for _ in range(40):
        at = rng.uniform(-70, 120, 3)
        inside = bool(((at > -50) & (at < 90 - 1)).all())
        small = block("s", at[0], at[1], at[2], at[0] + 1, at[1] + 1, at[2] + 1)
        corners_in = ((at > -50) & (at + 1 < 90)).all()
        if inside == bool(corners_in) and not (((at < -50) & (at + 1 > -50)).any()):
            assert one_in_other(small, cube) == inside


def test_a_touching_pair_is_told_to_touch_with_its_area() -> None:
    walls = (block("under", 10, 5, -3, 60, 50, 0.0),)
    place = Place(
        name="p",
        title="",
        sizes=(),
        part=PartOfPlace(file="", variant="", material="metal", frame=Pose()),
        solids=walls,
        pairs=(),
        keep_off=0.0,
    )
    part = Solid(name="", material="metal", pieces=PLATE.pieces)
    (pair,) = at_rest(place, part, MeshCollider(part, walls))
    assert math.isclose(pair.gap, 0.0, abs_tol=0.005)
    assert pair.area == pytest.approx(30 * 25, rel=1e-4)
