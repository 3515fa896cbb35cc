"""A slice tells the truth at every turn of its range, by exact distances.

In a surely free region the part keeps off every wall at every turn of the range; out of the maybe
free regions it comes nearer than it may at every turn. Checked by shapely at random states.
"""

import math

import numpy as np
import pytest
import shapely
from shapely import affinity

from blankwright.fit.planar import Barrier, PlanarQuestion, Wall
from blankwright.fit.slices import Shapes


def bent_strip(rng: np.random.Generator, corners: int, thickness: float) -> shapely.Polygon:
    line = shapely.LineString(np.cumsum(rng.normal(size=(corners, 2)) * 9, axis=0))
    return line.buffer(thickness / 2, cap_style="flat", join_style="round", quad_segs=3)


def question(seed: int) -> PlanarQuestion:
    rng = np.random.default_rng(seed)
    walls = tuple(
        Wall(
            name=f"wall {i}",
            shape=affinity.translate(bent_strip(rng, 4, 1.2), *rng.uniform(-25, 25, 2)),
            keep_off=(0.0, 0.5, -0.3)[i],
            error=0.01,
        )
        for i in range(3)
    )
    return PlanarQuestion(part=bent_strip(rng, 4, 1.0), walls=walls, part_error=0.01)


def gap(q: PlanarQuestion, turn: float, x: float, y: float) -> float:
    """Least distance over what is to be kept off; below zero when too near."""
    part = affinity.rotate(q.part, turn, origin=q.middle, use_radians=True)
    part = affinity.translate(part, x - q.middle[0], y - q.middle[1])
    least = math.inf
    for wall in q.walls:
        shape = wall.shape
        if wall.keep_off < 0:
            # What another wall backs can't be squeezed from behind.
            others = shapely.union_all([w.shape for w in q.walls if w is not wall])
            free = shape.boundary.difference(others.buffer(0.01, join_style="mitre"))
            shape = shape.difference(free.buffer(-wall.keep_off, quad_segs=32))
        distance = part.distance(shape)
        if distance == 0.0 and part.intersection(shape).area > 0:
            distance = -1.0
        least = min(least, distance - max(0.0, wall.keep_off))
    return least


@pytest.mark.parametrize("seed", range(8))
def test_surely_and_maybe_free_hold_over_the_whole_range(seed: int) -> None:
    q = question(seed)
    shapes = Shapes(q)
    rng = np.random.default_rng(seed + 100)
    for half in (0.02, 0.004, 0.0005):
        turn = rng.uniform(-math.pi, math.pi)
        sure = shapely.union_all(shapes.surely_free(turn, half))
        maybe = shapely.union_all(shapes.maybe_free(turn, half))
        assert sure.difference(maybe.buffer(1e-5)).area < 1e-6
        for _ in range(200):
            x, y = rng.uniform(q.domain[0], q.domain[2])
            at = rng.uniform(turn - half, turn + half)
            point = shapely.Point(x, y)
            if sure.contains(point):
                assert gap(q, at, x, y) > -1e-6
            if not maybe.intersects(point):
                # Chords of round corners may be off by a hair of the clearance kept.
                assert gap(q, at, x, y) < 0.003


def test_slices_close_in_on_each_other() -> None:
    q = question(3)
    shapes = Shapes(q)
    doubt = []
    for half in (0.02, 0.002, 0.0002):
        sure = shapely.union_all(shapes.surely_free(0.3, half))
        maybe = shapely.union_all(shapes.maybe_free(0.3, half))
        doubt.append(maybe.area - sure.area)
    assert doubt[0] > doubt[1] > doubt[2]
    assert doubt[2] < doubt[0] / 5


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_barrier_cuts_the_states_on_the_right_side(sign: float) -> None:
    from dataclasses import replace

    q = question(1)
    point = (q.middle[0] + 5.0, q.middle[1] + 2.0)
    barrier = Barrier(toward=(0.0, -sign), point=point, lift=3.0)
    shapes = Shapes(replace(q, barriers=(barrier,)))
    turn, half = 0.7, 0.003
    sure = shapely.union_all(shapes.surely_free(turn, half))
    maybe = shapely.union_all(shapes.maybe_free(turn, half))
    rng = np.random.default_rng(5)
    for _ in range(300):
        x, y = rng.uniform(-40, 40, 2)
        at = rng.uniform(turn - half, turn + half)
        arm = np.array(point) - np.array(q.middle)
        height = y + math.sin(at) * arm[0] + math.cos(at) * arm[1]
        lifted = sign * (height - point[1])
        if sure.contains(shapely.Point(x, y)):
            assert lifted <= 3.0 + 1e-9
        if lifted <= 3.0 and gap(q, at, x, y) > 0.003:
            assert maybe.intersects(shapely.Point(x, y))
