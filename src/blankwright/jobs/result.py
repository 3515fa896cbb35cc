"""The result of one part as a JSON document; its shape is in ``docs/result.md``."""

from __future__ import annotations

import json
import math
from typing import Any

from blankwright import __version__
from blankwright.base.units import degrees
from blankwright.develop.blank import BlankBend
from blankwright.develop.mass import mass_of
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.loop import Loop
from blankwright.geom.vec import Point
from blankwright.handbook.materials import density
from blankwright.jobs.findings_json import findings_json
from blankwright.jobs.holes_rows import fields_of_part, rows_of
from blankwright.jobs.part_state import PartState

FORMAT = 1
"""Number of the document's shape; it goes up when a key changes its meaning or goes."""

_DIGITS = 9


def result_json(state: PartState) -> bytes:
    """Return a part's result as a JSON document, mm and degrees; same input, same bytes."""
    return (json.dumps(result_of(state), indent=1, ensure_ascii=False) + "\n").encode("utf-8")


def result_of(state: PartState) -> dict[str, Any]:
    """Return a part's result as plain values, mm and degrees."""
    part, blank = state.part, state.blank
    return {
        "format": FORMAT,
        "blankwright": __version__,
        "units": {"length": "mm", "angle": "deg", "mass": "kg"},
        "part": {
            "name": part.name,
            "title": part.title,
            "drawing": part.drawing,
            "hand": part.hand,
            "alloy": part.sheet.alloy,
            "thickness": _n(part.sheet.thickness),
        },
        "sizes": [
            {
                "name": size.name,
                "typed": size.text,
                "kind": size.kind,
                "value": _in_kind(size.value, size.kind),
                "plus_minus": None
                if size.plus_minus is None
                else _in_kind(size.plus_minus, size.kind),
                "origin": size.origin.value,
                "line": size.line,
            }
            for size in part.sizes
        ],
        "blank": {
            "size": [_n(x) for x in blank.size],
            "area": _n(blank.outline.area),
            "outer": _loop(blank.outline.outer),
            "openings": [_loop(loop) for loop in blank.outline.holes],
            "flats": [
                {
                    "name": flat.name,
                    "bend": flat.bend,
                    "outer": _loop(flat.region.outer),
                    "openings": [_loop(loop) for loop in flat.region.holes],
                }
                for flat in blank.flats
            ],
            "bends": [_bend(bend) for bend in blank.bends],
            "holes": [
                {
                    "name": hole.name,
                    "kind": hole.kind.value,
                    "flat": hole.flat,
                    "center": _p(hole.center),
                    "diameter": None if hole.diameter is None else _n(hole.diameter),
                    "drill": hole.drill,
                    "note": hole.note,
                }
                for hole in blank.holes
            ],
        },
        "rivets": rows_of(state),
        "fields": fields_of_part(part),
        "formed": _formed(state),
        "findings": [
            {**plain, "at": None if f.at is None else _p(f.at), "overridden": f.overridden}
            for f, plain in zip(state.findings, findings_json(state.findings), strict=True)
        ],
        "trail": [
            {
                "name": step.name,
                "value": _in_kind(step.value, step.kind),
                "kind": step.kind,
                "formula": step.formula,
                "inputs": [
                    {"name": name, "value": _in_kind(value, kind), "kind": kind}
                    for name, value, kind in step.inputs
                ],
                "source": step.source,
            }
            for step in state.trail
        ],
    }


def _formed(state: PartState) -> dict[str, Any]:
    least, most = state.formed.box
    known = density(state.part.sheet.alloy)
    mass = mass_of(state.formed, known.value if known else 0.0)
    return {
        "box": [[_n(x) for x in least], [_n(x) for x in most]],
        "volume": _n(mass.volume),
        "mass": None if known is None else _n(mass.mass),
        "center": [_n(x) for x in mass.center],
        "inertia": None if known is None else [[_n(x) for x in row] for row in mass.inertia],
        "density_source": None if known is None else known.source,
    }


def _bend(bend: BlankBend) -> dict[str, Any]:
    return {
        "name": bend.name,
        "parent": bend.parent,
        "leg": bend.leg,
        "direction": "up" if bend.up else "down",
        "angle": _n(degrees(bend.angle)),
        "inside_radius": _n(bend.inside_radius),
        "allowance": _n(bend.allowance),
        "neutral_axis_factor": _n(bend.k),
        "setback": _n(bend.setback) if math.isfinite(bend.setback) else None,
        "parent_tangent": _edge(bend.parent_tangent),
        "leg_tangent": _edge(bend.leg_tangent),
        "center_line": _edge(bend.center_line),
        "sight_line_parent_clamped": _edge(bend.sight_line(bend.parent)),
        "sight_line_leg_clamped": _edge(bend.sight_line(bend.leg)),
        "last": bend.last,
    }


def _loop(loop: Loop) -> list[dict[str, Any]]:
    return [_edge(edge) for edge in loop.edges]


def _edge(edge: Edge) -> dict[str, Any]:
    if isinstance(edge, Line):
        return {"line": [_p(edge.start), _p(edge.end)]}
    assert isinstance(edge, Arc)
    return {
        "arc": [_p(edge.start), _p(edge.end)],
        "center": _p(edge.center),
        "radius": _n(edge.radius),
        "sweep": _n(degrees(edge.sweep)),
    }


def _p(p: Point) -> list[float]:
    return [_n(p[0]), _n(p[1])]


def _n(value: float) -> float:
    return round(value, _DIGITS) + 0.0


def _in_kind(value: float, kind: str) -> float:
    return _n(degrees(value) if kind == "angle" else value)
