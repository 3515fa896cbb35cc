"""Motions with closed forms."""

import math

import numpy as np
import pytest
import shapely
from shapely import affinity

from blankwright.files.collision import MeshCollider
from blankwright.fit.motion import along
from blankwright.fit.place import Motion, Opening, Pair, PartOfPlace, Place
from blankwright.fit.solid import Solid, drawn_out
from blankwright.geom.loop import Loop
from blankwright.geom.pose import Pose
from blankwright.geom.region import Region


def box(
    name: str, low: tuple[float, float, float], high: tuple[float, float, float], of: str = "metal"
) -> Solid:
    base = Region(Loop.rectangle(low[0], low[1], high[0], high[1]))
    return Solid(name=name, material=of, pieces=(drawn_out(name, base, low[2], high[2], Pose()),))


def place_of(*walls: Solid, opening: Opening | None = None) -> Place:
    return Place(
        name="p",
        title="",
        sizes=(),
        part=PartOfPlace(file="", variant="", material="metal", frame=Pose()),
        solids=walls,
        pairs=(Pair(name="soft", between=("metal", "felt"), clearance=-0.5, most=0.0),),
        keep_off=0.5,
        openings={} if opening is None else {opening.name: opening},
    )


def test_a_slide_is_stopped_where_the_faces_meet() -> None:
    part = box("", (0, 0, 0), (10, 20, 1))
    walls = (
        box("stop", (10, 33.25, 0), (11, 34, 1)),
        box("strip", (2, 0, 0.9), (8, 60, 2), "felt"),
    )
    walls = (*walls, box("far", (100, 0, 0), (101, 1, 1)))
    part = box("", (0, 0, 0), (10.5, 20, 1))
    motion = Motion(name="open", frame=Pose(), slide=(0.0, 1.0, 0.0), travel=30.0)
    travel = along(place_of(*walls), part, MeshCollider(part, walls, ("strip",)), motion)
    assert len(travel.travel) >= 200
    assert travel.stop is not None
    assert travel.stop.wall == "stop"
    assert travel.stop.travel == pytest.approx(13.25, abs=1e-6)
    assert travel.end == travel.stop.travel
    assert [c.wall for c in travel.contacts] == ["strip", "stop"]
    assert not travel.contacts[0].stops
    before = travel.travel < 13.0
    assert travel.clearances["stop"][before] == pytest.approx(13.25 - travel.travel[before])
    # Wanted 0.5 clear: told from the first position past 12.75.
    assert travel.first_tight is not None
    wall, at = travel.first_tight
    assert wall == "stop"
    assert 12.75 <= at <= 12.75 + 2 * (travel.travel[1] - travel.travel[0])


def test_a_hinged_plate_meets_a_post_at_the_angle_of_the_triangle() -> None:
    # Hinged about z at the origin, the plate's upper face is y = 0; the post's corner is at
    # (30·cos 40°, 30·sin 40°): the face meets it when turned 40°.
    part = box("", (0, -1, 0), (50, 0, 10))
    a = math.radians(40)
    x, y = 30 * math.cos(a), 30 * math.sin(a)
    walls = (box("post", (x - 6, y, 0), (x, y + 9, 10)),)
    motion = Motion(name="turn", frame=Pose(), turn=math.radians(75))
    travel = along(place_of(*walls), part, MeshCollider(part, walls), motion)
    assert travel.stop is not None
    # The post's other corner is farther round: the nearer in angle meets first.
    other = math.atan2(y, x - 6)
    assert travel.stop.travel == pytest.approx(min(a, other), abs=1e-6)
    k = int(np.searchsorted(travel.travel, 0.3))
    theta = float(travel.travel[k])
    expected = 30 * math.sin(a - theta)
    assert travel.clearances["post"][k] == pytest.approx(expected, abs=1e-6)


def test_the_opening_is_uncovered_as_the_part_slides_off_it() -> None:
    part = box("", (0, 0, 0), (40, 30, 1))
    hole = Opening(
        name="web.vent", frame=Pose(), outline=((5.0, 5.0), (25.0, 5.0), (25.0, 15.0), (5.0, 15.0))
    )
    motion = Motion(
        name="open", frame=Pose(), slide=(1.0, 0.0, 0.0), travel=30.0, opening="web.vent"
    )
    far = (box("far", (200, 0, 0), (201, 1, 1)),)
    travel = along(place_of(*far, opening=hole), part, MeshCollider(part, far), motion)
    expected = 10.0 * np.clip(travel.travel - 5.0, 0.0, 20.0)
    assert travel.open_area == pytest.approx(expected, abs=1e-6)
    assert travel.opening_area == 200.0


def test_a_stated_path_runs_through_its_placements() -> None:
    path = (((10.0, 0.0, 0.0), 0.0), ((10.0, 5.0, 0.0), math.pi / 2))
    motion = Motion(name="path", frame=Pose(origin=(1.0, 2.0, 3.0)), path=path)
    assert motion.length == 2.0
    start = motion.at(0.0)((4.0, 2.0, 3.0))
    middle = motion.at(1.0)((4.0, 2.0, 3.0))
    end = motion.at(2.0)((4.0, 2.0, 3.0))
    assert start == pytest.approx((4.0, 2.0, 3.0))
    assert middle == pytest.approx((14.0, 2.0, 3.0))
    # 3 mm out along x, turned a quarter about the reference, then shifted.
    assert end == pytest.approx((11.0, 10.0, 3.0))


def test_the_shadow_turns_with_a_part_hinged_in_the_plane_of_the_opening() -> None:
    part = box("", (0, 0, 0), (30, 30, 1))
    hole = Opening(
        name="w.o", frame=Pose(), outline=((2.0, 2.0), (12.0, 2.0), (12.0, 12.0), (2.0, 12.0))
    )
    motion = Motion(name="turn", frame=Pose(), turn=math.pi / 2, opening="w.o")
    travel = along(place_of(opening=hole), part, MeshCollider(part, ()), motion)
    square = shapely.Polygon(hole.outline)
    for k in (0, 60, 120, len(travel.travel) - 1):
        turned = affinity.rotate(
            shapely.box(0, 0, 30, 30), float(travel.travel[k]), origin=(0, 0), use_radians=True
        )
        expected = square.area - square.intersection(turned).area
        assert travel.open_area[k] == pytest.approx(expected, abs=1e-6)


def test_a_part_that_lies_on_a_wall_slides_along_it_to_the_next_one() -> None:
    part = box("", (0, 0, 0), (10, 20, 1))
    walls = (box("bed", (-5, -5, -2), (50, 60, 0)), box("stop", (0, 27, 0), (10, 28, 2)))
    motion = Motion(name="open", frame=Pose(), slide=(0.0, 1.0, 0.0), travel=30.0)
    travel = along(place_of(*walls), part, MeshCollider(part, walls), motion)
    assert travel.stop is not None
    assert travel.stop.wall == "stop"
    assert travel.stop.travel == pytest.approx(7.0, abs=1e-6)


def roller(radius: float) -> Solid:
    rim = Region(Loop.circle((0.0, radius), radius))
    return Solid(name="", material="metal", pieces=(drawn_out("rim", rim, 0.0, 10.0, Pose()),))


def test_an_edge_that_rolls_does_not_slip() -> None:
    # The point that touches the plane at rest runs on a cycloid.
    r = 4.0
    motion = Motion(name="roll", frame=Pose(origin=(0.0, r, 0.0)), turn=-2.5, roll=(-r, 0.0, 0.0))
    for theta in (0.0, -0.3, -1.0, -2.5):
        x, y, z = motion.at(theta)((0.0, 0.0, 7.0))
        assert x == pytest.approx(-r * theta + r * math.sin(theta))
        assert y == pytest.approx(r - r * math.cos(theta))
        assert z == pytest.approx(7.0)
    assert motion.unit == "angle"
    assert motion.length == -2.5


def test_a_rolling_edge_is_stopped_where_its_rim_meets_a_post() -> None:
    r = 4.0
    part = roller(r)
    walls = (box("bed", (-60, -3, -5), (60, 0, 15)), box("post", (14, 0, 0), (16, 20, 10)))
    motion = Motion(name="roll", frame=Pose(origin=(0.0, r, 0.0)), turn=-4.0, roll=(-r, 0.0, 0.0))
    travel = along(place_of(*walls), part, MeshCollider(part, walls), motion)
    assert travel.stop is not None
    assert travel.stop.wall == "post"
    # The middle has gone 14 − 4 mm; chords stand 0.005 mm off the rim.
    assert travel.stop.travel == pytest.approx(-10.0 / r, abs=0.01 / r)
    # It rolls on the bed all along and never off it.
    assert travel.clearances["bed"].max() <= 0.006
    wall, at = travel.first_tight or ("", 0.0)
    assert (wall, at) == ("bed", 0.0)


def test_turning_clockwise_is_stopped_as_turning_the_other_way() -> None:
    stops = []
    for sign in (1.0, -1.0):
        part = box("", (0, min(0.0, -sign), 0), (50, max(0.0, -sign), 10))
        a = math.radians(40)
        x, y = 30 * math.cos(a), 30 * math.sin(a)
        low, high = sorted((sign * y, sign * (y + 9)))
        walls = (box("post", (x, low, 0), (x + 6, high, 10)),)
        motion = Motion(name="turn", frame=Pose(), turn=sign * math.radians(75))
        travel = along(place_of(*walls), part, MeshCollider(part, walls), motion)
        assert travel.stop is not None
        assert travel.first_tight is not None
        stops.append((abs(travel.stop.travel), abs(travel.first_tight[1]), travel.inside.sum()))
    assert stops[0][0] == pytest.approx(stops[1][0], abs=1e-6)
    assert stops[0][1:] == pytest.approx(stops[1][1:])
    assert stops[0][1] < stops[0][0]
