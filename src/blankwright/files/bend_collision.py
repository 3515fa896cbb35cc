"""A second opinion on a bend plan: it is played through with the collision library.

Nothing of the planner's own geometry is used but the tool's sections and where the part lies: the
part comes as the triangles of `develop`, formed at each angle by the law of bending, and the
library says whether it runs into the tool. Before a plan is printed it must pass.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from blankwright.base.errors import OurBug, Problem
from blankwright.bending.plan import BendPlan, Step
from blankwright.bending.sections import Body, Role
from blankwright.bending.sweep import play
from blankwright.develop.blank import Blank
from blankwright.develop.formed import Formed, form
from blankwright.develop.mesh import mesh_of
from blankwright.geom.pose import Array, Pose

ANGLES = 13
"""States of one stroke that are looked at."""

_MORE = 0.1
"""The library's bodies are this much smaller than the planner lets sheet give way [mm]."""

_WIDE = 4000.0
"""How far what runs the whole length reaches to either side [mm]."""


def prove_plan(plan: BendPlan, angles: int = ANGLES) -> int:
    """Play every step of a plan through; return how many states were looked at.

    Raises:
        OurBug: when the part runs into a tool
    """
    looked = 0
    for number, step in enumerate(plan.steps, 1):
        for angle, bodies, parts in _states(plan, step, angles):
            looked += 1
            for place, solid in parts:
                for body, thing in bodies:
                    if not _counts(step, place, body):
                        continue
                    if meshes_meet(solid, thing):
                        raise _failed(number, step, place, body, angle)
    return looked


def _failed(number: int, step: Step, place: str, body: Body, angle: float) -> OurBug:
    return OurBug(
        Problem(
            code="BENDPLAN-090",
            where=f"step {number}, {' and '.join(step.bends)} on the {step.tool.name}",
            got=f"played through with another library, {place} runs into the {body.name} at"
            f" {math.degrees(angle):.1f}°",
            fix="The plan was not kept. Report this with the part file: it is our bug",
        )
    )


def _counts(step: Step, place: str, body: Body) -> bool:
    """Say whether a place of the part must keep clear of a body.

    The bend itself is formed by the tool. The flats at the bend lie against bed, leaf and die; near
    the bend the sheet is still forming, see `ways`.
    """
    tree = step.way.lay.tree
    if place in {tree.bends[j].label for j in step.way.lay.group}:
        return False
    near = {tree.names[f] for f, _ in step.way.lay.sides}
    return place not in near or body.role in (Role.RUN, Role.BEAM)


def _states(
    plan: BendPlan, step: Step, angles: int
) -> Iterator[tuple[float, list[tuple[Body, Any]], list[tuple[str, Any]]]]:
    stroke = step.way.stroke
    slack = play(plan.blank.thickness) + _MORE
    for i in range(angles):
        angle = stroke.angle * i / (angles - 1)
        formed = formed_in_step(plan.blank, step, angle)
        place = tool_pose(step, formed, angle)
        parts = [
            (mesh.name, mesh_object(place.points(mesh.points), mesh.triangles))
            for mesh in mesh_of(formed)
        ]
        yield angle, body_objects(step, angle, slack), parts


def formed_in_step(blank: Blank, step: Step, angle: float) -> Formed:
    """Return the part in a step at some angle bent through [rad]."""
    tree = step.way.lay.tree
    state = {bend.name: float(step.before >> j & 1) for j, bend in enumerate(tree.bends)}
    for name in step.bends:
        state[name] = angle / blank.bend_by_name[name].angle
    return form(blank, state)


def tool_pose(step: Step, formed: Formed, angle: float) -> Pose:
    """Return how a formed part is placed in the tool frame at some angle [rad]."""
    held = step.held[0]
    pose = formed.flats[held].inverse().then(step.way.lay.frame)
    share = step.way.set_up.share
    if share == 1.0:
        return pose
    # In a V the held side rises too: seen from the punch, over the bend's middle, it turns back.
    stroke = step.way.stroke
    turn = angle * share
    if angle < 1e-6:
        return pose.then(Pose(origin=(0.0, -stroke.allowance / 2, 0.0)))
    outer = stroke.allowance / angle - stroke.k * stroke.thickness + stroke.thickness
    c, s = math.cos(turn), math.sin(turn)
    back = Pose((1.0, 0.0, 0.0), (0.0, c, -s), (0.0, s, c), (0.0, -outer * s, outer * (1 - c)))
    return pose.then(back)


def body_objects(step: Step, angle: float, slack: float) -> list[tuple[Body, Any]]:
    """Return the tool's bodies at an angle [rad], each smaller all round by `slack` [mm]."""
    found = []
    for body in step.way.set_up.bodies:
        corners = shrunk(body.corners, slack)
        if len(corners) < 3:
            continue
        if body.role is Role.LEAF:
            corners = _turned(corners, step.way.set_up.hinge, angle)
        if body.role is Role.DIE:
            corners = corners + np.array((0.0, step.way.set_up.opening / 2 * math.tan(angle / 2)))
        if body.role in (Role.RUN, Role.BOARD):
            x0, x1 = step.bar
        else:
            x0, x1 = (max(-_WIDE, min(_WIDE, x)) for x in body.along(step.way.lay.middle))
        found.append((body, prism_object(corners, x0 + slack, x1 - slack)))
    return found


def _turned(corners: Array, hinge: float, angle: float) -> Array:
    c, s = math.cos(angle), math.sin(angle)
    y, z = corners[:, 0] - hinge, corners[:, 1]
    return np.column_stack((c * y - s * z + hinge, s * y + c * z))


def shrunk(corners: Array, by: float) -> Array:
    """Return a convex polygon with each side moved in [mm]; no corners when nothing is left."""
    kept = corners
    for i in range(len(corners)):
        a, b = corners[i], corners[(i + 1) % len(corners)]
        size = float(np.hypot(*(b - a)))
        if size < 1e-9:
            continue
        normal = np.array(((b[1] - a[1]) / size, (a[0] - b[0]) / size))
        kept = _cut(kept, normal, float(normal @ a) - by)
        if len(kept) < 3:
            return np.empty((0, 2))
    return kept


def _cut(polygon: Array, normal: Array, most: float) -> Array:
    kept = []
    over = polygon @ normal - most
    for i in range(len(polygon)):
        j = (i + 1) % len(polygon)
        if over[i] <= 0:
            kept.append(polygon[i])
        if over[i] * over[j] < 0:
            share = over[i] / (over[i] - over[j])
            kept.append(polygon[i] + share * (polygon[j] - polygon[i]))
    return np.array(kept) if kept else np.empty((0, 2))


def prism_object(corners: Array, x0: float, x1: float) -> Any:
    """Return a convex section (y, z), run from x0 to x1 [mm], as a solid of the library."""
    import fcl

    n = len(corners)
    points = np.concatenate([np.column_stack((np.full(n, x), corners)) for x in (x0, x1)])
    faces: list[int] = [n, *reversed(range(n)), n, *range(n, 2 * n)]
    for i in range(n):
        j = (i + 1) % n
        faces += [4, i, j, n + j, n + i]
    return fcl.CollisionObject(
        fcl.Convex(points, n + 2, np.array(faces, dtype=np.int32)), fcl.Transform()
    )


def mesh_object(points: Array, triangles: Any) -> Any:
    """Return triangles as a surface of the library."""
    import fcl

    model = fcl.BVHModel()
    model.beginModel(len(points), len(triangles))
    model.addSubModel(np.ascontiguousarray(points), np.ascontiguousarray(triangles))
    model.endModel()
    return fcl.CollisionObject(model, fcl.Transform())


def solid_object(points: Array, faces: Sequence[Sequence[int]]) -> Any:
    """Return a convex solid of the library: corners (n, 3) [mm], and faces by corner numbers."""
    import fcl

    flat: list[int] = []
    for face in faces:
        flat += [len(face), *face]
    return fcl.CollisionObject(
        fcl.Convex(points, len(faces), np.array(flat, dtype=np.int32)), fcl.Transform()
    )


def meshes_meet(a: Any, b: Any) -> bool:
    """Say whether two things of the library meet."""
    import fcl

    return bool(fcl.collide(a, b, fcl.CollisionRequest(), fcl.CollisionResult()))
