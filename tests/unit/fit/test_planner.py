"""Both planners on the same questions; what they find is swept densely, worked out another way."""

import itertools
import math
import statistics
from collections.abc import Callable

import numpy as np
import pytest

from blankwright.files import planner_ompl
from blankwright.files.collision import MeshCollider
from blankwright.fit.placements import Placements, SpaceWay
from blankwright.fit.planner import Planner
from blankwright.fit.solid import Solid
from blankwright.geom.pose import Pose
from slotted_plates import box, hooked_plate, lidded, placements, slotted

Plan = Callable[[Placements, int, int], SpaceWay | None]


def own(places: Placements, seed: int, most: int) -> SpaceWay | None:
    return Planner(places, seed=seed).plan(lambda: True, most)


def library(places: Placements, seed: int, most: int) -> SpaceWay | None:
    return planner_ompl.library_way(places, lambda: True, most, seed=seed)


PLANNERS = [
    pytest.param(own, id="own"),
    pytest.param(
        library,
        id="library",
        marks=pytest.mark.skipif(
            not planner_ompl.is_installed(),
            reason="the planning library (extra: planning) is not installed here",
        ),
    ),
]
both = pytest.mark.parametrize("plan", PLANNERS)


def between(a: Pose, b: Pose, t: float, middle: np.ndarray) -> Pose:
    """Evenly turning, the part's middle going straight: by the axis of the turn between."""
    turn = b.matrix()[:3, :3] @ a.matrix()[:3, :3].T
    angle = math.acos(max(-1.0, min(1.0, (np.trace(turn) - 1) / 2)))
    turned = a
    if angle > 1e-9:
        axis = np.array(
            (turn[2, 1] - turn[1, 2], turn[0, 2] - turn[2, 0], turn[1, 0] - turn[0, 1])
        ) / (2 * math.sin(angle))
        turned = a.then(Pose.turn((0.0, 0.0, 0.0), triple(axis), angle * t))
    here = triple(middle)
    wanted = np.array(a(here)) * (1 - t) + np.array(b(here)) * t
    return turned.then(Pose(origin=triple(wanted - np.array(turned(here)))))


def triple(v: np.ndarray) -> tuple[float, float, float]:
    x, y, z = (float(c) for c in v)
    return (x, y, z)


def least_on(way: SpaceWay, part: Solid, walls: tuple[Solid, ...], pieces: int) -> float:
    collider = MeshCollider(part, walls)
    corners = part.triangles[0]
    middle = (corners.min(axis=0) + corners.max(axis=0)) / 2
    least = math.inf
    for a, b in itertools.pairwise(way.poses):
        for k in range(pieces + 1):
            pose = between(a, b, k / pieces, middle)
            assert not collider.hits_any(pose)
            least = min(least, *(collider.near(pose, w.name).distance for w in walls))
    return least


@both
def test_a_hooked_plate_is_got_through_a_slot_and_the_way_is_free(plan: Plan) -> None:
    part, walls = hooked_plate(), slotted(12)
    way = plan(placements(part, walls), 7, 200_000)
    assert way is not None
    assert 0 < way.surely <= way.least
    assert least_on(way, part, walls, 300) >= way.surely
    # It begins at rest and ends wholly over the sheet.
    start, end = way.poses[0].points(part.triangles[0]), way.poses[-1].points(part.triangles[0])
    assert start == pytest.approx(part.triangles[0], abs=1e-9)
    assert end[:, 1].min() > 3.0


@both
def test_under_a_closed_slot_nothing_is_found(plan: Plan) -> None:
    places = placements(hooked_plate(), lidded())
    assert plan(places, 1, 4_000) is None
    assert places.tried >= 4_000


@both
def test_the_same_seed_finds_the_same_way(plan: Plan) -> None:
    ways = [plan(placements(hooked_plate(), slotted(12)), 7, 200_000) for _ in range(2)]
    assert ways[0] is not None
    assert ways[0] == ways[1]


@both
@pytest.mark.slow
def test_a_part_that_lies_on_something_may_leave_it(plan: Plan) -> None:
    part = hooked_plate()
    walls = (*slotted(12), box("bed", (-60, -40, -60), (60, -30, 60)))
    way = plan(placements(part, walls), 7, 300_000)
    assert way is not None
    first = way.poses[0].points(part.triangles[0]) - part.triangles[0]
    assert 0 < float(np.linalg.norm(first, axis=1).max()) <= 0.05 + 1e-9
    assert least_on(way, part, walls, 200) >= way.surely > 0


def test_it_stops_when_told_to() -> None:
    places = placements(hooked_plate(), slotted(12))
    assert Planner(places).plan(lambda: False) is None
    assert places.tried <= 1


@pytest.mark.skipif(
    not planner_ompl.is_installed(),
    reason="the planning library (extra: planning) is not installed here",
)
def test_the_library_stops_when_told_to() -> None:
    places = placements(hooked_plate(), slotted(12))
    assert planner_ompl.library_way(places, lambda: False) is None
    assert places.tried <= 10


@both
@pytest.mark.slow
def test_the_median_seed_needs_few_placements(plan: Plan) -> None:
    counts = []
    for seed in range(1, 6):
        places = placements(hooked_plate(), slotted(12))
        way = plan(places, seed, 200_000)
        counts.append(places.tried if way is not None else 200_000)
    assert statistics.median(counts) < 60_000
