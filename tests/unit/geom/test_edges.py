"""Lines, arcs, moves and placements against plain trigonometry."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest

from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop
from blankwright.geom.meet import meetings
from blankwright.geom.move import FLIP_X, Move
from blankwright.geom.pose import Pose


def random_arc(rng):
    sweep = rng.choice((-1, 1)) * rng.uniform(0.05, 2 * math.pi)
    center = (rng.uniform(-9, 9), rng.uniform(-9, 9))
    return Arc(center, rng.uniform(0.1, 9), rng.uniform(-7, 7), sweep)


def test_box_holds_the_arc_tightly():
    rng = random.Random(1)
    for _ in range(200):
        arc = random_arc(rng)
        points = [arc.point(i / 2000) for i in range(2001)]
        xs, ys = zip(*points, strict=True)
        expected = (min(xs), min(ys), max(xs), max(ys))
        assert arc.box == pytest.approx(expected, abs=1e-4)
        assert arc.box[0] <= expected[0] + 1e-12
        assert arc.box[3] >= expected[3] - 1e-12


def test_share_finds_the_point_back():
    rng = random.Random(2)
    for _ in range(500):
        arc = random_arc(rng)
        t = rng.random()
        assert arc.share(arc.point(t)) == pytest.approx(t, abs=1e-9)
        line = Line((rng.random(), rng.random()), (rng.random() + 2, rng.random()))
        assert line.share(line.point(t)) == pytest.approx(t, abs=1e-12)


def test_through_and_bulged_agree_with_the_arc():
    rng = random.Random(3)
    for _ in range(300):
        arc = random_arc(rng)
        if abs(arc.sweep) > 6.2:
            continue
        for same in (
            Arc.through(arc.start, arc.end, arc.center, arc.sweep > 0),
            Arc.bulged(arc.start, arc.end, math.tan(arc.sweep / 4)),
        ):
            for t in (0.0, 0.3, 1.0):
                assert math.dist(same.point(t), arc.point(t)) < 1e-6


def test_moves_compose_and_undo():
    rng = random.Random(4)
    for _ in range(200):
        a = Move.turn(rng.uniform(-4, 4), (rng.random(), rng.random()))
        b = Move.shift(rng.random(), rng.random())
        if rng.random() < 0.5:
            a = a.then(FLIP_X)
        p = (rng.uniform(-5, 5), rng.uniform(-5, 5))
        assert a.then(b)(p) == pytest.approx(b(a(p)), abs=1e-12)
        assert a.inverse()(a(p)) == pytest.approx(p, abs=1e-12)
        arc = random_arc(rng)
        moved = arc.moved(a)
        assert math.dist(moved.point(0.37), a(arc.point(0.37))) < 1e-12


def test_poses_compose_and_undo():
    rng = random.Random(5)
    for _ in range(100):
        axis = np.array([rng.gauss(0, 1) for _ in range(3)])
        axis /= np.linalg.norm(axis)
        a = Pose.turn((rng.random(), 1.0, 2.0), tuple(axis), rng.uniform(-4, 4))
        b = Pose(origin=(1.0, rng.random(), -2.0)).then(a)
        p = tuple(rng.uniform(-5, 5) for _ in range(3))
        assert b.inverse()(b(p)) == pytest.approx(p, abs=1e-12)
        assert a.then(b)(p) == pytest.approx(b(a(p)), abs=1e-12)
        many = b.points(np.array([p]))
        assert tuple(many[0]) == pytest.approx(b(p), abs=1e-12)
        assert (b.matrix() @ np.array([*p, 1.0]))[:3] == pytest.approx(np.array(b(p)), abs=1e-12)


def test_meetings_lie_on_both_edges_and_none_is_missed():
    """Against dense sampling: wherever two edges cross, a meeting is near."""
    rng = random.Random(6)
    for _ in range(300):
        a = random_arc(rng)
        b = (
            random_arc(rng)
            if rng.random() < 0.5
            else Line(
                (rng.uniform(-9, 9), rng.uniform(-9, 9)), (rng.uniform(-9, 9), rng.uniform(-9, 9))
            )
        )
        found = meetings(a, b)
        for p in found:
            assert a.distance(p) < 2e-6
            assert b.distance(p) < 2e-6
        off = [math.dist(b.point(i / 4000), a.center) - a.radius for i in range(4001)]
        for i in range(4000):
            p = b.point((i + 0.5) / 4000)
            if off[i] * off[i + 1] < 0 and 0.01 < a.share(p) < 0.99:
                assert min(math.dist(p, q) for q in found) < 0.05


def test_area_and_length_of_a_slot():
    slot = Loop.slot((3.0, 4.0), 20.0, 6.0, 0.7)
    assert slot.area == pytest.approx(14 * 6 + math.pi * 9, rel=1e-12)
    assert slot.length == pytest.approx(2 * 14 + 2 * math.pi * 3, rel=1e-12)
    assert slot.winding((3.0, 4.0)) == 1
    assert slot.reversed().winding((3.0, 4.0)) == -1
    assert slot.winding((30.0, 4.0)) == 0


def test_winding_through_vertices_and_tangents():
    """Rays that graze corners and tops of arcs, where careless counting goes wrong."""
    loop = Loop.slot((0.0, 0.0), 10.0, 4.0)
    for y in (-2.0, 2.0, 0.0, 1e-15, -1e-15):
        assert loop.winding((-20.0, y)) in (0, 0)
    diamond = Loop.polygon([(0, -1), (1, 0), (0, 1), (-1, 0)])
    assert diamond.winding((0.0, 0.0)) == 1
    assert diamond.winding((-5.0, 0.0)) == 0
    assert diamond.winding((-5.0, 1.0)) == 0


def test_open_chain_is_refused():
    with pytest.raises(ValueError, match="open by"):
        Loop((Line((0, 0), (1, 0)), Line((1, 0), (1, 1))))
