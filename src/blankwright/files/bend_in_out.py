"""A second opinion on putting a part into a tool and taking it out: played with the library."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np

from blankwright.bending.motion import Kind
from blankwright.bending.plan import Step
from blankwright.bending.sections import Body, Role
from blankwright.bending.stages import OUTS, Leg, Stage, legs_of
from blankwright.develop.blank import Blank
from blankwright.develop.mesh import CellMesh, mesh_of
from blankwright.files.bend_bodies import WIDE, body_object, formed_in_step, tool_pose
from blankwright.files.collision import mesh_object, moved_by, objects_meet
from blankwright.geom.pose import Array, Pose

PLACES = 24
"""Places of one straight way that are looked at."""

Met = tuple[str, Body, Stage]
"""The place of the part, the body that it runs into, and when."""


def in_and_out(
    blank: Blank, step: Step, slack: float, places: int = PLACES
) -> tuple[int, list[Met]]:
    """Play how a step's part goes in and comes out; return places looked at, and what met.

    Args:
        blank: of the part
        step: the step
        slack: tools are this much smaller all round [mm]
        places: of each straight way that are looked at
    """
    looked, met = 0, []
    for stage in (step.put_in, step.take_out):
        legs = legs_of(stage, step.way, step.tool)
        assert legs is not None
        angle = step.way.lay.first.angle if stage in OUTS else 0.0
        formed = formed_in_step(blank, step, angle)
        meshes = mesh_of(formed)
        pose = tool_pose(step, formed, angle)
        for leg in legs:
            for at, count in _met_in_leg(step, leg, meshes, pose, slack, places):
                looked += count
                met += [(place, body, stage) for place, body in at]
    return looked, met


def _met_in_leg(
    step: Step, leg: Leg, meshes: tuple[CellMesh, ...], pose: Pose, slack: float, places: int
) -> Iterator[tuple[list[tuple[str, Body]], int]]:
    """Yield what meets at each place of a leg, and that it was looked at."""
    points = {mesh.name: pose.points(mesh.points) for mesh in meshes}
    for body in step.way.set_up.bodies:
        if body.role not in leg.roles:
            continue
        some = [mesh for mesh in meshes if _counts(step, leg, mesh.name, body)]
        if not some:
            continue
        whole = _joined(some, points)
        for shift, turned in _places(step, leg, body, np.concatenate([*points.values()]), places):
            thing = _body(step, leg, body, turned, slack)
            if thing is None:
                break
            if objects_meet(moved_by(whole, shift), thing):
                hit = next(
                    (
                        mesh.name
                        for mesh in some
                        if objects_meet(
                            moved_by(mesh_object(points[mesh.name], mesh.triangles), shift), thing
                        )
                    ),
                    some[0].name,
                )
                yield [(hit, body)], 1
                return
            yield [], 1


def _counts(step: Step, leg: Leg, place: str, body: Body) -> bool:
    """Say whether a place must keep clear of a body in a leg; the rule of the stroke holds here."""
    lay = step.way.lay
    tree = lay.tree
    if place in {tree.bends[j].label for j in lay.group}:
        return False
    near = {tree.names[f]: held for f, held in lay.sides}
    if place not in near:
        return True
    if body.role not in (Role.RUN, Role.BEAM):
        return False
    return leg.near_held if near[place] else leg.near_free


def _joined(meshes: list[CellMesh], points: dict[str, Array]) -> Any:
    corners, triangles, first = [], [], 0
    for mesh in meshes:
        corners.append(points[mesh.name])
        triangles.append(np.asarray(mesh.triangles) + first)
        first += len(points[mesh.name])
    return mesh_object(np.concatenate(corners), np.concatenate(triangles))


def _places(
    step: Step, leg: Leg, body: Body, points: Array, places: int
) -> Iterator[tuple[tuple[float, float, float], float]]:
    """Yield shifts of the part in a straight leg, or angles of the leaf while it comes down."""
    if leg.kind is Kind.LEAF_COMES:
        # It leaves the part when that has sprung back.
        for i in range(places):
            yield (0.0, 0.0, 0.0), step.way.lay.first.angle * i / (places - 1)
        return
    length = math.hypot(*leg.way)
    if length < 1e-9:
        yield (0.0, *leg.shift), 0.0
        return
    # No farther than until it has passed the body.
    both = np.concatenate((points[:, 1:], body.corners))
    needed = float((both.max(axis=0) - both.min(axis=0)).sum())
    share = min(1.0, needed / length)
    for i in range(places):
        go = share * (i / (places - 1)) ** 2  # closer together where it is close
        yield (0.0, leg.shift[0] + go * leg.way[0], leg.shift[1] + go * leg.way[1]), 0.0


def _body(step: Step, leg: Leg, body: Body, angle: float, slack: float) -> Any:
    if body.role in (Role.RUN, Role.BOARD) and leg.whole:
        return body_object(step, body, angle, slack, (-WIDE, WIDE))
    return body_object(step, body, angle, slack)
