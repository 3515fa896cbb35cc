"""A bend plan as a JSON document, with poses that the page can play; see ``docs/bending.md``."""

from __future__ import annotations

import json
import math
from typing import Any

from blankwright.base.units import degrees
from blankwright.bending.plan import Step
from blankwright.bending.sections import Body, Role
from blankwright.bending.settings import setting_of
from blankwright.bending.state_names import states_of
from blankwright.bending.words import refusal_words
from blankwright.geom.pose import Pose
from blankwright.jobs.bending_plan import PlannedPart
from blankwright.jobs.findings_json import findings_json

FORMAT = 1
"""Number of the document's shape; it goes up when a key changes its meaning or goes."""

_DIGITS = 6


def plan_json(planned: PlannedPart) -> bytes:
    """Return a plan as a JSON document, mm, degrees and seconds; same input, same bytes."""
    text = json.dumps(plan_document(planned), indent=1, ensure_ascii=False)
    return (text + "\n").encode("utf-8")


def plan_document(planned: PlannedPart) -> dict[str, Any]:
    """Return a plan as plain values: mm, degrees, seconds."""
    plan = planned.plan
    states = states_of(plan)
    return {
        "format": FORMAT,
        "units": {"length": "mm", "angle": "deg", "cost": "s"},
        "part": planned.name,
        "found": plan.found,
        "proved": plan.proved,
        "cost": _n(plan.cost),
        "sets_looked_at": plan.looked_at,
        "shop_stated": plan.shop.stated,
        "tools": [tool.name for tool in plan.shop.tools],
        "steps": [
            {
                **_step(planned, step),
                "before": dict(states[i]),
                "after": dict(states[i + 1]),
            }
            for i, step in enumerate(plan.steps)
        ],
        "expected": [
            {
                "name": e.name,
                "kind": e.kind,
                "value": _kind(e.value, e.kind),
                "plus_minus": _kind(e.plus_minus, e.kind),
                "by_stop": _kind(e.by_stop, e.kind),
                "by_chance": _kind(e.by_chance, e.kind),
                "by_stop_by_chance": _kind(e.by_stop_by_chance, e.kind),
                "most_from": e.most,
            }
            for e in planned.expected
        ],
        "refused": [{"bend": bend, "tool": tool, "why": why} for bend, tool, why in plan.refused],
        "blocking": None
        if plan.blocking is None
        else {
            "bends": [plan.blank.bends[j].name for j in plan.blocking.bends],
            "why": [refusal_words(plan, refusal) for refusal in plan.blocking.refusals],
        },
        "if_it_goes_in": [list(some) for some in plan.if_it_goes_in],
        "tried": [
            {
                "remedy": t.remedy.value,
                "text": t.text,
                "works": t.works,
                "verdict": t.verdict,
                "proved": t.proved,
                "cost": _n(t.cost),
                "size": None if t.size is None else _n(t.size),
                "bend": t.about,
            }
            for t in planned.tried
        ],
        "findings": findings_json(planned.findings),
    }


def _step(planned: PlannedPart, step: Step) -> dict[str, Any]:
    plan = planned.plan
    setting = setting_of(plan, step)
    stroke = step.way.stroke
    return {
        "bends": list(step.bends),
        "tool": step.tool.name,
        "held": list(step.held),
        "face_up": step.face_up,
        "run": _n(step.run),
        "widths": [_n(w) for w in step.widths],
        "bar": [_n(x) for x in step.bar],
        "nose": _n(step.nose),
        "put_in": step.put_in.value,
        "take_out": step.take_out.value,
        "turn_over": step.turn_over,
        "turn_round": step.turn_round,
        "change_bar": step.change_bar,
        "change_nose": step.change_nose,
        "change_tool": step.change_tool,
        "cost": _n(step.cost),
        "angle": _n(degrees(setting.angle)),
        "angle_in_tool": _n(degrees(setting.angle_in_tool)),
        "angle_source": setting.angle_source,
        "mark_on_face": setting.mark_up,
        "sight_lines": [[[_n(c) for c in p] for p in (s.start, s.end)] for s in setting.sight],
        "stop": {
            "against": setting.stop.against.value,
            "name": setting.stop.name,
            "distance": _n(setting.stop.distance),
        },
        "grain": None if setting.grain is None else _n(degrees(setting.grain)),
        "load_share": None if setting.load_share is None else _n(setting.load_share),
        "force_kn": _n(setting.force),
        "tool_pose": _pose(step.way.lay.frame),
        "stroke": {
            "angle": _n(degrees(stroke.angle)),
            "share_at_end": _n(stroke.angle / step.way.lay.first.angle),
            "free_side_swings": stroke.share,
            "hinge": _n(step.way.set_up.hinge),
            "lift": _n(step.way.set_up.lift),
        },
        "bodies": [_body(step, body) for body in step.way.set_up.bodies],
    }


def _body(step: Step, body: Body) -> dict[str, Any]:
    run = body.role in (Role.RUN, Role.BOARD)
    along = step.bar if run else body.along(step.way.lay.middle)
    return {
        "name": body.name,
        "role": body.role.value,
        "section": [[_n(float(y)), _n(float(z))] for y, z in body.corners],
        "along": [_n(x) for x in along] if math.isfinite(along[0]) else None,
    }


def _pose(pose: Pose) -> dict[str, Any]:
    """Return how the held flat's blank frame is placed in the tool frame."""
    return {name: [_n(c) for c in getattr(pose, name)] for name in ("x", "y", "z", "origin")}


def _kind(value: float, kind: str) -> float | None:
    return _n(degrees(value) if kind == "angle" else value)


def _n(value: float) -> float | None:
    return round(value, _DIGITS) + 0.0 if math.isfinite(value) else None
