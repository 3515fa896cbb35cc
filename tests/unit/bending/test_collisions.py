"""Gaps and meetings against the collision library, and against plain sums."""

from __future__ import annotations

import math

import numpy as np
import pytest

import bend_shops
import samples
from bend_shops import block, brake, planned, press, vise
from blankwright.bending.clashes import clashes_of
from blankwright.bending.motion import Kind, Motions
from blankwright.bending.plan import Step
from blankwright.bending.sections import Role
from blankwright.bending.selfmeet import solid_gaps
from blankwright.bending.shadows import Sections, cut_shadows, shadows, swept
from blankwright.bending.stages import Stage
from blankwright.bending.sweep import gaps, meets, play
from blankwright.bending.trials import cover_of
from blankwright.develop.mesh import mesh_of
from blankwright.files.bend_bodies import (
    body_objects,
    formed_in_step,
    prism_object,
    shrunk,
    tool_pose,
)
from blankwright.files.bend_collision import prove_plan
from blankwright.files.collision import mesh_object, objects_meet, solid_object


def slab(low, tall):
    return np.concatenate((low, low + np.array((0.0, 0.0, tall))))


def prism(rng, sides=4):
    """A random convex slab anywhere, about 40 across: shape (2n, 3)."""
    angles = np.sort(rng.uniform(0, math.tau, sides))
    flat = np.column_stack((np.cos(angles), np.sin(angles))) * rng.uniform(5, 30)
    low = np.column_stack((flat, np.zeros(sides)))
    points = slab(low, rng.uniform(0.5, 6))
    turn, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    if np.linalg.det(turn) < 0:
        turn[:, 0] = -turn[:, 0]
    return points @ turn.T + rng.uniform(-25, 25, 3)


def faces(n):
    around = [(i, (i + 1) % n, n + (i + 1) % n, n + i) for i in range(n)]
    return [tuple(reversed(range(n))), tuple(range(n, 2 * n)), *around]


def library_distance(a, b):
    """Distance by the library, nought or less where they overlap."""
    import fcl

    request, result = fcl.DistanceRequest(enable_signed_distance=False), fcl.DistanceResult()
    return fcl.distance(a, b, request, result)


def test_solid_gaps_agree_with_the_library():
    """Overlap exactly; apart, the gap by planes is never more than the distance."""
    rng = np.random.default_rng(5)
    pairs = [(prism(rng, 4), prism(rng, 4)) for _ in range(400)]
    a, b = (np.array([pair[i] for pair in pairs]) for i in (0, 1))
    ours = solid_gaps(a, b)
    apart = overlap = 0
    for mine, (p, q) in zip(ours, pairs, strict=True):
        one, two = solid_object(p, faces(4)), solid_object(q, faces(4))
        distance = library_distance(one, two)
        if distance > 1e-3:
            apart += 1
            assert 0 < mine <= distance + 1e-3
        elif abs(mine) > 1e-3:
            overlap += 1
            assert mine < 0
            assert objects_meet(one, two)
    assert apart > 100
    assert overlap > 20


def test_shadows_agree_with_the_library():
    """A piece meets a section run along x, over some stretch, when the library says so."""
    rng = np.random.default_rng(6)
    hits = 0
    for _ in range(300):
        piece = prism(rng, 4)
        corners = section(rng)
        x0 = rng.uniform(-25, 10)
        x1 = x0 + rng.uniform(2, 30)
        cut, there = cut_shadows(piece[None], np.array([x0]), np.array([x1]))
        sections = Sections.of([corners])
        gap = gaps(cut, sections, np.array([0]))[0] if there[0] else math.inf
        meet = objects_meet(solid_object(piece, faces(4)), prism_object(corners, x0, x1))
        if abs(gap) > 0.01:
            assert meet == (gap < 0)
            hits += meet
    assert hits > 40


def section(rng):
    angles = np.sort(rng.uniform(0, math.tau, 5))
    return np.column_stack((np.cos(angles), np.sin(angles))) * rng.uniform(5, 15) + rng.uniform(
        -15, 15, 2
    )


def test_depth_of_overlap_is_the_least_shift():
    square = np.array([[0.0, 0, 0], [10, 0, 0], [10, 10, 0], [0, 10, 0]])
    piece = slab(square, 4.0)
    wall = Sections.of([np.array([(8.0, -5.0), (20.0, -5.0), (20.0, 20.0), (8.0, 20.0)])])
    # Seen along x the piece is 10 by 4; it reaches 2 into the wall.
    assert gaps(shadows(piece[None]), wall, np.array([0]))[0] == pytest.approx(-2.0)


def stroke_numbers():
    plan = planned(bend_shops.zed(60.0))
    return plan.steps[0].way.stroke


@pytest.mark.parametrize("tool", [brake(), press()])
def test_free_side_follows_the_law_of_bending(tool):
    """Motions against `develop.formed`, whose law is the same: points of both faces."""
    plan = planned(samples.channel(web=80.0), tool)
    step = plan.steps[0]
    bend = step.way.lay.first
    lay = step.way.lay
    free = next(f for f, held in lay.sides if not held)
    motions = Motions(
        kind=np.array([int(Kind.SWING)]), numbers=np.array([Motions.row(step.way.stroke, False)])
    )
    spots = np.array([(5.0, 60.0, 0.0), (30.0, 70.0, 0.0), (30.0, 70.0, plan.blank.thickness)])
    for share in (0.001, 0.2, 0.7, 1.0):
        angle = share * step.way.stroke.angle
        formed = formed_in_step(plan.blank, step, angle)
        place = tool_pose(step, formed, angle)
        blank = lay.frame.inverse().points(spots)
        true = place.points(formed.points(blank, lay.tree.names[free]))
        cos, sin, dy, dz = (float(v[0]) for v in motions.at(np.array([0]), np.array([angle])))
        ours = np.column_stack(
            (
                spots[:, 0],
                cos * spots[:, 1] - sin * spots[:, 2] + dy,
                sin * spots[:, 1] + cos * spots[:, 2] + dz,
            )
        )
        assert np.abs(ours - true).max() < 1e-6
    assert bend.angle > 0


@pytest.mark.parametrize("share", [1e-7, 0.3, 1.0])
def test_both_sides_of_a_v_rise_alike_about_the_punch(share):
    """Points as far from the bend's middle on either side are mirror images at every angle."""
    plan = planned(samples.channel(web=80.0), press())
    stroke = plan.steps[0].way.stroke
    numbers = np.array([Motions.row(stroke, False)])
    out = np.array((0.0, 7.0, 33.0))
    found = {}
    for kind, y in (
        (Kind.SWING, stroke.allowance + out),
        (Kind.SWING_HELD, -out),
    ):
        motions = Motions(kind=np.array([int(kind)]), numbers=numbers)
        cos, sin, dy, dz = (
            float(v[0]) for v in motions.at(np.array([0]), np.array([share * stroke.angle]))
        )
        found[kind] = np.column_stack((cos * y + dy, sin * y + dz))
    free, held = found[Kind.SWING], found[Kind.SWING_HELD]
    assert np.abs(free[:, 0] + held[:, 0]).max() < 1e-6
    assert np.abs(free[:, 1] - held[:, 1]).max() < 1e-6
    assert free[0, 0] > 0


@pytest.mark.parametrize(
    ("kind", "share"),
    [
        (Kind.SWING, 1.0),
        (Kind.SWING, 0.5),
        (Kind.SWING_HELD, 0.5),
        (Kind.LEAF_COMES, 1.0),
        (Kind.WITH_LEAF, 1.0),
    ],
)
def test_nothing_moves_faster_than_said(kind, share):
    """The bound that makes the stroke gapless: no point moves more in a step than it allows."""
    from dataclasses import replace

    stroke = replace(stroke_numbers(), share=share, opening=0.0 if share == 1 else 12.0)
    motions = Motions(
        kind=np.array([int(kind)]), numbers=np.array([Motions.row(stroke, share < 1)])
    )
    rng = np.random.default_rng(2)
    points = rng.uniform(-120, 120, (40, 2))
    far = np.hypot(points[:, 0], points[:, 1])
    most = motions.speeds(np.zeros(len(far), dtype=np.int64), far[None])[0]
    angles = np.linspace(0.0, math.radians(125), 400)
    zero = np.zeros(len(angles), dtype=np.int64)
    cos, sin, dy, dz = motions.at(zero, angles)
    y = cos[:, None] * points[:, 0] - sin[:, None] * points[:, 1] + dy[:, None]
    z = sin[:, None] * points[:, 0] + cos[:, None] * points[:, 1] + dz[:, None]
    moved = np.hypot(np.diff(y, axis=0), np.diff(z, axis=0)).max(axis=0)
    assert (moved <= most * (angles[1] - angles[0]) * (1 + 1e-9)).all()


def test_nothing_thinner_than_the_sheet_slips_through():
    """A needle of 0.4 mm that a far point passes in a twentieth of a degree is met."""
    stroke = stroke_numbers()
    far = 300.0
    square = np.array([[0, far, 0], [10, far, 0], [10, far + 0.4, 0], [0, far + 0.4, 0]])
    piece = slab(square, 0.4)[None]
    needle = np.array([(0.0, -0.2), (0.4, -0.2), (0.4, 0.2), (0.0, 0.2)])
    motions = Motions(
        kind=np.array([int(Kind.SWING)]), numbers=np.array([Motions.row(stroke, False)])
    )
    met = 0
    for degrees in np.arange(5.0, 85.0, 7.3):
        angle = math.radians(degrees)
        cos, sin, dy, dz = (float(v[0]) for v in motions.at(np.array([0]), np.array([angle])))
        y, z = far + 0.2, 0.2
        center = np.array((cos * y - sin * z + dy, sin * y + cos * z + dz))
        hit, at, _ = meets(
            shadows(piece),
            Sections.of([needle - (0.2, 0.0) + center]),
            np.array([0]),
            motions,
            np.array([stroke.angle]),
            0.05,
        )
        assert hit[0]
        assert at[0] == pytest.approx(angle, abs=math.radians(0.2))
        met += 1
    assert met == 11


def test_straight_sweep_covers_all_between():
    square = np.array([[0, 0, 0], [10, 0, 0], [10, 2, 0], [0, 2, 0]], dtype=float)
    piece = slab(square, 2.0)[None]
    far = swept(shadows(piece), np.array([(50.0, 0.0)]))
    post = Sections.of([np.array([(25.0, 1.0), (26.0, 1.0), (26.0, 30.0), (25.0, 30.0)])])
    assert gaps(far, post, np.array([0]))[0] < 0
    over = Sections.of([np.array([(25.0, 2.5), (26.0, 2.5), (26.0, 30.0), (25.0, 30.0)])])
    assert gaps(far, over, np.array([0]))[0] == pytest.approx(0.5)


@pytest.mark.parametrize(
    "seed", [0, 3, *(pytest.param(n, marks=pytest.mark.slow) for n in (1, 2, 4, 5))]
)
def test_tables_agree_with_the_library_on_whole_parts(seed):
    """Every way in every state: what the library sees the tables have, deep clashes the library."""
    part = bend_shops.small_random_part(300 + seed, most=3)
    tool = [brake(), brake(leaf_depth=12.0), vise()][seed % 3]
    plan = planned(part, tool)
    rooms = plan.rooms
    seen = checked = 0
    for way in rooms.ways:
        for mask in range(1 << len(plan.blank.bends)):
            if mask & way.mask:
                continue
            found = clashes_of(rooms.tables, way, Stage.STROKE, mask)
            step = _step(plan, way, mask, tool)
            library = _library_sees(plan, step, play(plan.blank.thickness) + 0.15)
            checked += 1
            if library:
                seen += 1
                assert found, f"{way.lay.first.name} {mask:b}: the library sees {library}"
            if found and found[0].depth > 1.5:
                at = found[0].angle
                assert _meets_at(plan, step, at, found[0].place, found[0].body)
    assert checked > 4
    assert seen > 0 or not any(clashes_of(rooms.tables, w, Stage.STROKE, 0) for w in rooms.ways)


def _step(plan, way, mask, tool):
    return Step(
        bends=tuple(plan.blank.bends[j].name for j in way.lay.group),
        tool=tool,
        way=way,
        run=way.need,
        widths=(),
        bar=cover_of(way, tool),
        nose=way.nose,
        put_in=Stage.IN_FRONT,
        take_out=Stage.OUT_FRONT,
        before=mask,
        cost=0.0,
        turn_over=False,
        turn_round=False,
        change_bar=False,
        change_nose=False,
        change_tool=False,
    )


def _parts(plan, step, angle):
    formed = formed_in_step(plan.blank, step, angle)
    place = tool_pose(step, formed, angle)
    return [(m.name, mesh_object(place.points(m.points), m.triangles)) for m in mesh_of(formed)]


def _library_sees(plan, step, slack):
    tree = step.way.lay.tree
    near = {tree.names[f] for f, _ in step.way.lay.sides}
    own = {tree.bends[j].label for j in step.way.lay.group}
    for angle in np.linspace(0.0, step.way.stroke.angle, 9):
        for body, thing in body_objects(step, float(angle), slack):
            for place, solid in _parts(plan, step, float(angle)):
                if place in own or (place in near and body.role not in (Role.RUN, Role.BEAM)):
                    continue
                if objects_meet(solid, thing):
                    return place, body.name, angle
    return None


def _meets_at(plan, step, angle, place, body):
    return any(
        objects_meet(solid, thing)
        for b, thing in body_objects(step, angle, 0.0)
        if b.name == body
        for name, solid in _parts(plan, step, angle)
        if name == place
    )


@pytest.mark.parametrize("tools", [(brake(),), (brake(leaf_depth=10.0), block()), (press(),)])
def test_plans_are_proved_by_the_library(tools):
    plans = [
        planned(part, *tools)
        for part in (samples.channel(), bend_shops.hook(), bend_shops.hat(crown=75.0))
    ]
    assert any(plan.found for plan in plans)
    for plan in plans:
        # Seven states of each stroke, and two ways in and out of a place or more.
        assert prove_plan(plan, 7) >= (7 + 2) * len(plan.steps)


def test_library_catches_a_plan_that_is_wrong():
    """The hook's wall bent before its lip: the second opinion must refuse it."""
    from dataclasses import replace

    from blankwright.base.errors import OurBug

    plan = planned(bend_shops.hook())
    lip = plan.steps[0]
    wrong = replace(plan, steps=(replace(lip, before=1),))
    with pytest.raises(OurBug, match="BENDPLAN-090"):
        prove_plan(wrong)


def test_shrunk_polygon():
    square = np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 4.0), (0.0, 4.0)])
    small = shrunk(square, 1.0)
    assert sorted(map(tuple, small.round(9).tolist())) == [(1, 1), (1, 3), (9, 1), (9, 3)]
    assert len(shrunk(square, 2.5)) == 0
