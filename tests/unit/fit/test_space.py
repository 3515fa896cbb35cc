"""Distances, squeeze and free travel in space against closed forms and a second library."""

import math

import numpy as np
import pytest

from blankwright.files.collision import MeshCollider
from blankwright.fit.place import Pair, PartOfPlace, Place
from blankwright.fit.room import rooms
from blankwright.fit.solid import Piece, Solid, drawn_out
from blankwright.fit.space import at_rest, squeeze
from blankwright.geom.loop import Loop
from blankwright.geom.pose import Pose
from blankwright.geom.region import Region


def box(
    name: str, low: tuple[float, float, float], high: tuple[float, float, float], of: str = "metal"
) -> Solid:
    base = Region(Loop.rectangle(low[0], low[1], high[0], high[1]))
    return Solid(name=name, material=of, pieces=(drawn_out(name, base, low[2], high[2], Pose()),))


def place_of(*walls: Solid, pairs: tuple[Pair, ...] = ()) -> Place:
    return Place(
        name="p",
        title="",
        sizes=(),
        part=PartOfPlace(file="", variant="", material="metal", frame=Pose()),
        solids=walls,
        pairs=pairs,
        keep_off=0.3,
    )


PART = box("", (0, 0, 0), (10, 20, 1))
SOFT = Pair(name="soft", between=("metal", "felt"), clearance=-0.5, most=0.0)


def test_distances_of_boxes_in_closed_form() -> None:
    walls = (
        box("beside", (12.5, 0, 0), (15, 20, 1)),
        box("corner", (13, 24, 0), (20, 30, 1)),
        box("over", (2, 2, 1.2), (4, 4, 3)),
        box("diagonal", (11, 22, 3), (12, 23, 4)),
    )
    found = {pair.wall: pair for pair in at_rest(place_of(*walls), PART, MeshCollider(PART, walls))}
    assert found["beside"].gap == pytest.approx(2.5, abs=1e-9)
    assert found["corner"].gap == pytest.approx(5.0, abs=1e-9)
    assert found["over"].gap == pytest.approx(0.2, abs=1e-9)
    assert found["over"].short == pytest.approx(0.1, abs=1e-9)
    assert found["diagonal"].gap == pytest.approx(3.0, abs=1e-9)
    for pair in found.values():
        # The points told are that far apart, and on the solids.
        assert math.dist(pair.near.part_point, pair.near.wall_point) == pytest.approx(
            pair.gap, abs=1e-6
        )


def test_nearest_points_are_in_the_place_frame_when_the_part_is_moved() -> None:
    walls = (box("wall", (30, 0, 0), (31, 20, 1)),)
    near = MeshCollider(PART, walls).near(Pose(origin=(5.0, 0.0, 0.0)), "wall")
    assert near.distance == pytest.approx(15.0)
    assert near.part_point[0] == pytest.approx(15.0)
    assert near.wall_point[0] == pytest.approx(30.0)


def test_squeeze_and_contact_area_of_a_plate_on_felt() -> None:
    felt = box("felt", (2, -5, 0.8), (7, 8, 3.0), "felt")
    collider = MeshCollider(PART, (felt,), ("felt",))
    depth, direction = squeeze(PART, felt, collider)
    assert depth == pytest.approx(0.2, abs=1e-6)
    assert direction == pytest.approx((0.0, 0.0, -1.0), abs=1e-3)
    (pair,) = at_rest(place_of(felt, pairs=(SOFT,)), PART, collider)
    assert pair.gap == pytest.approx(-0.2, abs=1e-6)
    assert pair.area == pytest.approx(5 * 8, rel=1e-3)
    assert pair.short == 0.0


def test_a_soft_pair_that_does_not_touch_is_too_loose() -> None:
    felt = box("felt", (2, 2, 1.4), (7, 8, 3.0), "felt")
    (pair,) = at_rest(place_of(felt, pairs=(SOFT,)), PART, MeshCollider(PART, (felt,)))
    assert pair.gap == pytest.approx(0.4)
    assert pair.short == pytest.approx(0.4)


def test_free_travel_each_way() -> None:
    walls = (box("right", (13, 0, 0), (15, 20, 1)), box("under", (0, 0, -2), (10, 20, 0)))
    place = place_of(*walls)
    axes = ((1.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 0.0, -1.0), (0.0, 0.0, 1.0))
    right, left, down, up = rooms(place, MeshCollider(PART, walls), Pose(), axes)
    assert (right.travel, right.wall) == (pytest.approx(3.0, abs=0.01), "right")
    assert left.travel == math.inf
    assert (down.travel, down.wall) == (pytest.approx(0.0, abs=0.01), "under")
    assert up.travel == math.inf


def random_solid(rng: np.random.Generator, name: str) -> Solid:
    """A bent bar: convex wedges in random directions, each sharing a face with the next."""
    wedges = []
    base = rng.uniform(-1, 1, size=(3, 3)) * 4
    for _ in range(4):
        top = base + rng.normal(size=3) * 5
        wedges.append(np.concatenate((base, top)))
        base = top
    return Solid(name=name, material="metal", pieces=(Piece(name, np.array(wedges)),))


@pytest.mark.parametrize("seed", range(10))
def test_distance_and_overlap_agree_with_a_second_library(seed: int) -> None:
    manifold = pytest.importorskip("manifold3d")
    rng = np.random.default_rng(seed)
    a, b = random_solid(rng, "a"), random_solid(rng, "b")
    collider = MeshCollider(a, (b,))

    def hull_union(solid: Solid, pose: Pose) -> object:
        hulls = [
            manifold.Manifold.hull_points(pose.points(wedge).astype(np.float64))
            for wedge in solid.pieces[0].wedges
        ]
        return manifold.Manifold.batch_boolean(hulls, manifold.OpType.Add)

    checked = 0
    for _ in range(8):
        axis = rng.normal(size=3)
        x, y, z = (axis / np.linalg.norm(axis)).tolist()
        pose = Pose.turn((0.0, 0.0, 0.0), (x, y, z), float(rng.uniform(0, math.pi))).then(
            Pose(origin=tuple(rng.uniform(-14, 14, size=3).tolist()))
        )
        one, other = hull_union(a, pose), hull_union(b, Pose())
        overlap = (one ^ other).volume()
        near = collider.near(pose, "b")
        if overlap > 1e-3:
            assert collider.hits(pose, "b") or near.distance == 0.0
            checked += 1
        elif overlap == 0.0:
            gap = one.min_gap(other, 60.0)
            # The wedges' side faces are warped quadrilaterals: mesh and hull differ a little.
            assert near.distance >= gap - 1e-4
            checked += 1
    assert checked >= 6


def test_distances_agree_with_a_second_library_on_plane_faced_solids() -> None:
    manifold = pytest.importorskip("manifold3d")
    rng = np.random.default_rng(11)
    a = box("a", (-3, -2, -0.5), (3, 2, 0.5))
    b = box("b", (-1, -4, -1), (1, 4, 1))
    collider = MeshCollider(a, (b,))

    def solid(s: Solid, pose: Pose) -> object:
        return manifold.Manifold.hull_points(pose.points(s.triangles[0]))

    for _ in range(60):
        axis = rng.normal(size=3)
        x, y, z = (axis / np.linalg.norm(axis)).tolist()
        pose = Pose.turn((0.0, 0.0, 0.0), (x, y, z), float(rng.uniform(0, math.pi))).then(
            Pose(origin=tuple(rng.uniform(-8, 8, size=3).tolist()))
        )
        one, other = solid(a, pose), solid(b, Pose())
        overlap = (one ^ other).volume()
        distance = collider.near(pose, "b").distance
        if overlap > 1e-4:
            assert collider.hits(pose, "b")
        elif overlap == 0.0:
            assert distance == pytest.approx(one.min_gap(other, 60.0), abs=2e-4)
            assert not collider.hits(pose, "b") or distance < 1e-4
