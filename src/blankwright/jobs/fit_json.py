"""A fit's report as plain values, mm and degrees; the same for the command line and the page."""

from __future__ import annotations

import math
from typing import Any

from blankwright.fit.decide import Held, WayIn
from blankwright.fit.motion import Travel
from blankwright.fit.room import Room
from blankwright.fit.space import RestPair
from blankwright.jobs.fit_ends import End
from blankwright.jobs.fit_report import FitReport
from blankwright.jobs.fit_sprung import SprungWay


def report_json(report: FitReport) -> dict[str, Any]:
    """Return a report as plain values."""
    return {
        "place": report.place,
        "part": report.part,
        "rest": [_rest(pair) for pair in report.rest],
        "ways": [_way(way, report) for way in report.ways],
        "sprung": [_sprung(sprung) for sprung in report.sprung],
        "ends": [_end(end) for end in report.ends],
        "motions": [_travel(travel) for travel in report.travels],
        "findings": list(report.findings),
        "blocked": report.blocked,
    }


def _n(value: float) -> float | None:
    return None if not math.isfinite(value) else round(value, 6) + 0.0


def _rest(pair: RestPair) -> dict[str, Any]:
    return {
        "wall": pair.wall,
        "gap": _n(pair.gap),
        "wanted": _n(pair.pair.clearance),
        "short": _n(pair.short),
        "contact_area": _n(pair.area),
        "feature": pair.near.feature,
        "part_point": [_n(v) for v in pair.near.part_point],
        "wall_point": [_n(v) for v in pair.near.wall_point],
    }


def _sprung(sprung: SprungWay) -> dict[str, Any]:
    answer = sprung.answer
    return {
        "section": sprung.section.name,
        "bend": sprung.spring.bend,
        "verdict": answer.verdict.value,
        "most": _n(answer.most),
        "none_at": _n(answer.none_at),
        "enough": _n(answer.enough),
        "steps": list(sprung.steps),
        "stress": _n(sprung.stress),
        "whole_part_free": None if sprung.solid is None else sprung.solid.free,
    }


def _end(end: End) -> dict[str, Any]:
    return {
        "end": end.name,
        "pressed": [_rest(pair) for pair in end.pressed],
        "rooms": [_room(room) for room in end.rooms],
        "held": [_held(held) for held in end.held],
    }


def _room(room: Room) -> dict[str, Any]:
    return {"direction": list(room.direction), "travel": _n(room.travel), "wall": room.wall}


def _way(way: WayIn, report: FitReport) -> dict[str, Any]:
    found = way.answer.found
    result: dict[str, Any] = {
        "section": way.section.name,
        "from": way.section.way_in,
        "verdict": way.verdict.value,
        "slices": way.answer.slices,
        "reached_deg": [_n(math.degrees(t)) for t in found.reached],
    }
    if way.section.name in report.touching:
        result["touching"] = report.touching[way.section.name].value
    if found.narrowest is not None:
        at = found.narrowest
        result["narrowest"] = {
            "tilt_deg": _n(math.degrees(at.turn)),
            "x": _n(at.x),
            "y": _n(at.y),
            "within": _n(found.slack),
        }
    if way.answer.way is not None:
        result["least"] = _n(way.answer.way.under_way.least)
        result["surely"] = _n(way.answer.way.under_way.surely)
        result["steps"] = [
            {
                "text": step.text,
                "tilt_deg": _n(math.degrees(step.end.turn)),
                "x": _n(step.end.x),
                "y": _n(step.end.y),
                "least": _n(step.least),
                "feature": step.feature,
                "wall": step.wall,
            }
            for step in way.steps
        ]
        check = report.solid.get(way.section.name)
        if check is not None:
            result["whole_part"] = {
                "free": check.free,
                "passing": check.passing.value,
                "least": _n(check.least),
                "surely": _n(check.surely),
                "wall": check.wall,
                "leans_on": list(check.leans),
            }
    return result


def _held(held: Held) -> dict[str, Any]:
    return {
        "force": held.force.name,
        "lift": _n(held.force.lift),
        "verdict": {"no way": "held", "a way": "comes out"}.get(
            held.verdict.value, held.verdict.value
        ),
        "stays_up_to": _n(held.least_lift),
        "comes_out_at": _n(held.enough_lift),
        "steps": [step.text for step in held.steps],
    }


def _travel(travel: Travel) -> dict[str, Any]:
    return {
        "motion": travel.motion.name,
        "unit": {"length": "mm", "angle": "rad", "number": "step"}[travel.motion.unit],
        "end": _n(travel.end),
        "travel": [_n(v) for v in travel.travel.tolist()],
        "clearances": {
            wall: [_n(v) for v in values.tolist()] for wall, values in travel.clearances.items()
        },
        "contacts": [
            {
                "wall": c.wall,
                "feature": c.feature,
                "travel": _n(c.travel),
                "stops": c.stops,
            }
            for c in travel.contacts
        ],
        "opening_area": _n(travel.opening_area),
        "open_area": [_n(v) for v in travel.open_area.tolist()],
    }
