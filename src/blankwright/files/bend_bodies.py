"""A part in a step, and the tool's bodies, as things of the collision library."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from blankwright.bending.plan import Step
from blankwright.bending.sections import Body, Role
from blankwright.develop.blank import Blank
from blankwright.develop.formed import Formed, form
from blankwright.files.collision import solid_object
from blankwright.geom.pose import Array, Pose

WIDE = 4000.0
"""How far what runs the whole length reaches to either side [mm]."""


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
    found = [(body, body_object(step, body, angle, slack)) for body in step.way.set_up.bodies]
    return [(body, thing) for body, thing in found if thing is not None]


def body_object(
    step: Step,
    body: Body,
    angle: float,
    slack: float,
    along: tuple[float, float] | None = None,
) -> Any:
    """Return one body of the tool; nothing when no more is left of it.

    Args:
        step: the step
        body: one of its tool's
        angle: that leaf and die have come to [rad]
        slack: how much smaller it is all round [mm]
        along: from where to where it runs, where that is not as set up [mm]
    """
    corners = shrunk(body.corners, slack)
    if len(corners) < 3:
        return None
    if body.role is Role.LEAF:
        corners = _turned(corners, step.way.set_up.hinge, angle)
    if body.role is Role.DIE:
        corners = corners + np.array((0.0, step.way.set_up.opening / 2 * math.tan(angle / 2)))
    if along is None:
        is_run = body.role in (Role.RUN, Role.BOARD)
        along = step.bar if is_run else body.along(step.way.lay.middle)
    x0, x1 = (max(-WIDE, min(WIDE, x)) for x in along)
    return prism_object(corners, x0 + slack, x1 - slack)


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
    n = len(corners)
    points = np.concatenate([np.column_stack((np.full(n, x), corners)) for x in (x0, x1)])
    faces = [list(reversed(range(n))), list(range(n, 2 * n))]
    for i in range(n):
        j = (i + 1) % n
        faces.append([i, j, n + j, n + i])
    return solid_object(points, faces)
