import statistics

import pytest

from blankwright.files.collision import MeshCollider
from blankwright.fit.planner import Planner, SpaceWay
from blankwright.fit.solid import Solid, drawn_out
from blankwright.geom.loop import Loop
from blankwright.geom.pose import Pose
from blankwright.geom.region import Region


def box(name: str, low: tuple[float, float, float], high: tuple[float, float, float]) -> Solid:
    base = Region(Loop.rectangle(low[0], low[1], high[0], high[1]))
    return Solid(
        name=name, material="metal", pieces=(drawn_out(name, base, low[2], high[2], Pose()),)
    )


def hooked_plate() -> Solid:
    stem = Region(Loop.rectangle(-0.5, -30, 0.5, 0))
    hook = Region(Loop.rectangle(0.5, -30, 9, -29))
    return Solid(
        name="",
        material="metal",
        pieces=(
            drawn_out("plate", stem, -20, 20, Pose()),
            drawn_out("hook", hook, -20, 20, Pose()),
        ),
    )


def slotted(width: float) -> tuple[Solid, ...]:
    half = width / 2
    return (
        box("left", (-100, 2, -100), (-half, 3, 100)),
        box("right", (half, 2, -100), (100, 3, 100)),
        box("front", (-half, 2, -100), (half, 3, -24)),
        box("back", (-half, 2, 24), (half, 3, 100)),
    )


def plan(
    part: Solid, walls: tuple[Solid, ...], seed: int, most: int
) -> tuple[SpaceWay | None, int]:
    planner = Planner(
        part,
        MeshCollider(part, walls),
        [w.name for w in walls],
        ((-100.0, 2.0, -100.0), (100.0, 3.0, 100.0)),
        (0.0, 1.0, 0.0),
        seed=seed,
    )
    return planner.plan(lambda: True, most), planner.tried


def test_a_hooked_plate_is_got_through_a_slot_and_the_way_is_free() -> None:
    part, walls = hooked_plate(), slotted(12)
    way, _ = plan(part, walls, 4, 100_000)
    assert way is not None
    assert way.least >= 0
    collider = MeshCollider(part, walls)
    assert not any(collider.hits_any(pose) for pose in way.poses)
    # It begins at rest and ends wholly over the sheet.
    start, end = way.poses[0].points(part.triangles[0]), way.poses[-1].points(part.triangles[0])
    assert start == pytest.approx(part.triangles[0], abs=1e-9)
    assert end[:, 1].min() > 3.0


def test_a_plate_wider_than_its_slot_is_not_found() -> None:
    part = hooked_plate()
    way, tried = plan(part, (*slotted(12)[:2], box("lid", (-6, 2, -100), (6, 3, 100))), 1, 4_000)
    assert way is None
    assert tried >= 4_000


def test_it_stops_when_told_to() -> None:
    part, walls = hooked_plate(), slotted(12)
    planner = Planner(
        part,
        MeshCollider(part, walls),
        [w.name for w in walls],
        ((-100.0, 2.0, -100.0), (100.0, 3.0, 100.0)),
        (0.0, 1.0, 0.0),
    )
    assert planner.plan(lambda: False) is None
    assert planner.tried <= 1


@pytest.mark.slow
def test_the_median_seed_needs_few_placements() -> None:
    counts = []
    for seed in range(5):
        way, tried = plan(hooked_plate(), slotted(12), seed, 200_000)
        counts.append(tried if way is not None else 200_000)
    assert statistics.median(counts) < 60_000
