"""A bend plan as moving sections for the page: what is drawn, and the numbers it moves by."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from blankwright.bending.plan import BendPlan, Step
from blankwright.bending.section_picture import REACH, part_sections
from blankwright.bending.sections import Role
from blankwright.bending.settings import setting_of
from blankwright.bending.stages import Stage
from blankwright.bending.trials import cover_of
from blankwright.bending.words import (
    angle_words,
    bar_words,
    held_words,
    names,
    refusal_words,
    sight_words,
    stop_words,
    turn_words,
    way_words,
)
from blankwright.geom.pose import Array

_FAR = 140.0
"""More of the part than this before or behind the bend is not drawn [mm]."""


def step_scenes(plan: BendPlan) -> list[dict[str, Any]]:
    """Return each step of a plan as plain values for a moving picture.

    Returns:
        For each step: ``title``; ``told``: label and text of what to set; ``box``: least y, least
        z, greatest y, greatest z [mm]; ``bodies``: name, role, corners; ``held`` and ``free``:
        corners of the part's sections before the stroke; ``stroke``: the numbers that the law of
        bending takes [mm, rad].
    """
    return [_scene(plan, step, number) for number, step in enumerate(plan.steps, 1)]


def refusal_scenes(plan: BendPlan) -> list[dict[str, Any]]:
    """Return what is in the way where no order works, as `step_scenes` does for steps.

    One for each blocking bend that some tool takes: in the way and state where least is in the way.
    """
    found: list[dict[str, Any]] = []
    for refusal in plan.blocking.refusals if plan.blocking else ():
        way = next(
            (
                way
                for way in plan.rooms.ways
                if way.lay.group == refusal.group
                and way.tool == refusal.tool
                and way.lay.parent_held == refusal.parent_held
            ),
            None,
        )
        if way is None:
            continue
        tool = plan.shop.tools[way.tool]
        step = Step(
            bends=tuple(way.lay.tree.bends[j].name for j in refusal.group),
            tool=tool,
            way=way,
            run=way.need,
            widths=(),
            bar=cover_of(way, tool),
            nose=way.nose,
            put_in=Stage.IN_FRONT,
            take_out=Stage.OUT_FRONT,
            before=refusal.before,
            cost=0.0,
            turn_over=False,
            turn_round=False,
            change_bar=False,
            change_nose=False,
            change_tool=False,
        )
        scene = _scene(plan, step, len(found) + 1)
        scene["title"] = f"{names(step.bends)} can't be made, {tool.name}"
        scene["told"] = [{"label": "In the way", "text": refusal_words(plan, refusal)}]
        found.append(scene)
    return found


def _scene(plan: BendPlan, step: Step, number: int) -> dict[str, Any]:
    stroke, set_up = step.way.stroke, step.way.set_up
    # The bend's own strip comes last, flat: the page bends it.
    sections = part_sections(plan, step, 0.0, whole=_FAR)[:-1]
    if stroke.share < 1.0:
        # There the picture's sections lie about the bend's middle; the page puts them so itself.
        half = np.array((stroke.allowance / 2, 0.0))
        sections = [(held, p + half) for held, p in sections]
    behind, above, under = REACH
    return {
        "title": f"{number}. {names(step.bends)}, {step.tool.name}",
        "told": [{"label": label, "text": text} for label, text in told(plan, step, number)],
        "box": [-behind - 10.0, -under - 20.0, behind + 30.0, above + 20.0],
        "bodies": [
            {"name": body.name, "role": _moves(body.role), "corners": _corners(body.corners)}
            for body in set_up.bodies
        ],
        "held": [_corners(p) for held, p in sections if held],
        "free": [_corners(p) for held, p in sections if not held],
        "stroke": {
            "angle": stroke.angle,
            "rest": step.way.lay.first.angle,
            "allowance": stroke.allowance,
            "kt": stroke.k * stroke.thickness,
            "thickness": stroke.thickness,
            "hinge": stroke.hinge,
            "share": stroke.share,
            "opening": stroke.opening,
            "lift": min(set_up.lift, 40.0),
        },
    }


def told(plan: BendPlan, step: Step, number: int) -> Sequence[tuple[str, str]]:
    """Return what to do in a step: label and text."""
    setting = setting_of(plan, step)
    rows = [
        ("Before it", turn_words(step, number == 1)),
        ("Hold", held_words(step).removeprefix("hold ")),
        ("Angle", angle_words(setting)),
        ("Nose", f"{step.nose:.1f} mm, {bar_words(step)}"),
        ("Sight line", sight_words(step, setting)),
        ("Stop", stop_words(step, setting)),
    ]
    ways = way_words(step)
    return (*rows, ("In and out", ways)) if ways else rows


def _moves(role: Role) -> str:
    """Say how a body moves in the picture."""
    if role in (Role.RUN, Role.BEAM):
        return "lifts"
    return {Role.LEAF: "swings", Role.DIE: "rises"}.get(role, "stays")


def _corners(corners: Array) -> list[list[float]]:
    return [[round(float(y), 3), round(float(z), 3)] for y, z in corners]
