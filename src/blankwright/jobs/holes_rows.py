"""Rivet rows of a part: for the traveler, the command line, the page and the result document."""

from __future__ import annotations

from typing import Any

from blankwright.base.findings import Finding
from blankwright.holes.fasteners import facts_of, metal_of
from blankwright.holes.joint import pounds_force
from blankwright.holes.row_card import Section, drilling_section, field_section, row_section
from blankwright.holes.row_checks import joint_of_row
from blankwright.jobs.holes_drilling import row_ladders, shop_drills
from blankwright.jobs.part_state import PartState
from blankwright.jobs.project import Project
from blankwright.part.model import Part


def hole_sections(state: PartState, project: Project) -> tuple[Section, ...]:
    """Return what holes add to the traveler of a part.

    Raises:
        BadInput: when the shop file's drills can't be read
    """
    part = state.part
    found = [row_section(part, state.blank), field_section(part)]
    if part.rivets:
        ladders = row_ladders(part, shop_drills(project))
        found.append(drilling_section([(one.row, one.ladder, one.problem) for one in ladders]))
    return tuple(section for section in found if section is not None)


def hole_findings(state: PartState) -> tuple[Finding, ...]:
    """Return what the checks found about holes, rows and fields, the worst first."""
    return tuple(f for f in state.findings if f.code.startswith(("HOLE", "ROW", "FIELD")))


def rows_of(state: PartState) -> list[dict[str, Any]]:
    """Return the rivet rows of a part as plain values, mm, N and lb."""
    return [_row(state, i) for i in range(len(state.part.rivets))]


def fields_of_part(part: Part) -> list[dict[str, Any]]:
    """Return the fields of holes of a part as plain values, mm and mm²."""
    return [
        {
            "name": field.name,
            "flat": field.flat,
            "count": len(field.holes),
            "diameter": _n(field.diameter),
            "pitch": _n(field.pitch),
            "pattern": "staggered" if field.staggered else "square",
            "margin": _n(field.margin),
            "area": _n(field.area),
            "open_area": _n(field.open_area),
            "open_area_by_cut": _n(field.open_area_by_cut),
        }
        for field in part.fields
    ]


def _row(state: PartState, index: int) -> dict[str, Any]:
    row = state.part.rivets[index]
    facts = facts_of(row, state.part.sheet.thickness)
    joint = joint_of_row(state.part, row, state.blank)
    hole, shop = facts.hole, facts.shop
    return {
        "name": row.name,
        "flat": row.flat,
        "fastener": row.fastener.value,
        "size": row.size,
        "metal": metal_of(row),
        "part_number": facts.number,
        "head": row.head.value,
        "count": row.count,
        "lines": [
            {
                "holes": list(line.holes),
                "pitches": [_n(p) for p in line.pitches],
                "edge_distance": _n(line.edge),
                "dodged": list(line.dodged),
            }
            for line in row.lines
        ],
        "line_distance": _n(row.line_distance),
        "diameter": _n(facts.diameter),
        "pilot": row.pilot,
        "hole": None
        if hole is None
        else {
            "drill": hole.drill.name,
            "diameter": _n(hole.drill.diameter),
            "least": _n(hole.least),
            "most": _n(hole.most),
        },
        "grip": _n(facts.grip),
        "length": None if facts.length is None else _n(facts.length.length),
        "buy": facts.buy,
        "shop_head": None
        if shop is None
        else {
            "width": _n(shop.width),
            "least_width": _n(shop.least_width),
            "height": _n(shop.height),
        },
        "joint": {
            "per_rivet": _n(joint.per_rivet),
            "per_rivet_lb": _n(pounds_force(joint.per_rivet)),
            "row": _n(joint.row),
            "complete": joint.complete,
            "members": [
                {"name": m.name, "load": _n(m.load), "source": m.source} for m in joint.members
            ],
            "splice_wants": joint.splice,
            "missing": list(joint.missing),
            "assumed": joint.assumed,
        },
        "sources": list(facts.sources),
        "missing": list(facts.missing),
        "note": row.note,
    }


def _n(value: float) -> float:
    return round(value, 9) + 0.0
