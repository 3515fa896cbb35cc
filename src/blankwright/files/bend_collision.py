"""A second opinion on a bend plan: it is played through with the collision library.

Nothing of the planner's own geometry is used but the tool's sections and where the part lies: the
part comes as the triangles of `develop`, formed at each angle by the law of bending, and the
library says whether it runs into the tool. Before a plan is printed it must pass.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from blankwright.base.errors import OurBug, Problem
from blankwright.bending.plan import BendPlan, Step
from blankwright.bending.sections import Body, Role
from blankwright.bending.sweep import play
from blankwright.develop.mesh import mesh_of
from blankwright.files.bend_bodies import body_objects, formed_in_step, tool_pose
from blankwright.files.bend_in_out import in_and_out
from blankwright.files.collision import mesh_object, objects_meet

ANGLES = 13
"""States of one stroke that are looked at."""

_MORE = 0.1
"""The library's bodies are this much smaller than the planner lets sheet give way [mm]."""


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
                    if objects_meet(solid, thing):
                        raise _failed(number, step, place, body, f"{math.degrees(angle):.1f}°")
        count, met = in_and_out(plan.blank, step, play(plan.blank.thickness) + _MORE)
        looked += count
        for place, body, stage in met:
            raise _failed(number, step, place, body, stage.value)
    return looked


def _failed(number: int, step: Step, place: str, body: Body, when: str) -> OurBug:
    return OurBug(
        Problem(
            code="BENDPLAN-090",
            where=f"step {number}, {' and '.join(step.bends)} on the {step.tool.name}",
            got=f"played through with another library, {place} runs into the {body.name}: {when}",
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
