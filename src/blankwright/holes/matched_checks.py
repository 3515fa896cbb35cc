"""Checks of holes that are carried to another part: what becomes of each."""

from __future__ import annotations

import math
from collections.abc import Iterator

from blankwright.base.findings import Finding, Level
from blankwright.base.units import show_angle
from blankwright.develop.checks.common import PRACTICE, mm
from blankwright.handbook.edge import edge_distance, least_pitch
from blankwright.holes.matched import AskedMatch, How, Match, Meets
from blankwright.holes.position_error import Placed

_TILT = math.radians(3)
"""A drill that goes in more askew than this walks [rad]; common practice, no source."""

_APART = 0.2
"""Sheets farther apart than this can't be drawn together by a rivet [mm]; common practice."""


def check_matches(
    name: str, other: Placed, asked: AskedMatch, matches: tuple[Match, ...]
) -> Iterator[Finding]:
    """Report what becomes of holes that are carried over."""
    place = f"matched {name}"
    missed = [m.hole for m in matches if m.how is How.NO_METAL]
    if missed:
        yield Finding(
            code="MATCH-010",
            level=Level.ASK,
            place=place,
            got=f"{', '.join(missed)} meet no metal of {other.name} within {mm(asked.reach)}",
            limit="metal behind every hole",
            source="geometry of this place",
            fix="Check where the parts are in the place, or state a greater reach",
        )
    late = [m for m in matches if m.how is How.ON_ASSEMBLY]
    if late:
        worst = max(m.error for m in late)
        yield Finding(
            code="MATCH-011",
            level=Level.NOTE,
            place=place,
            got=f"{len(late)} of {len(matches)} holes may be off by {mm(worst)}: drill them in"
            f" {other.name} on assembly, through the first part",
            limit=f"{mm(asked.clearance)}, what the final drill takes away",
            source="predicted error: place, bends and angles, root of squares",
            fix="Or pilot smaller, measure the place better, or locate the part from these holes",
        )
    for match in matches:
        yield from _one(place, other, asked, match)


def _one(place: str, other: Placed, asked: AskedMatch, match: Match) -> Iterator[Finding]:
    if match.how is How.NO_METAL:
        return
    here = f"{place}, hole {match.hole}"
    for met in match.meets:
        if met.what is Meets.ELONGATED:
            yield Finding(
                code="MATCH-012",
                level=Level.ASK,
                place=here,
                got=f"it meets hole {met.name} of {other.name} {mm(met.off)} off centre: the two"
                f" make a slot {mm(met.length)} long",
                limit=f"{mm(asked.final)} round",
                source=PRACTICE,
                fix="Shift the part if it can be, or take an oversize fastener as the designer"
                " allows",
                at=match.point,
            )
        elif met.what is Meets.SPOILED_PITCH:
            yield Finding(
                code="MATCH-013",
                level=Level.ASK,
                place=here,
                got=f"hole {met.name} of {other.name} is {mm(met.off)} away, centre to centre",
                limit=mm(asked.pitch),
                source=least_pitch(asked.fastener).source,
                fix="Move one of the two",
                at=match.point,
            )
    if match.spoiled_edge:
        yield Finding(
            code="MATCH-014",
            level=Level.ASK,
            place=here,
            got=f"on {other.name} its edge distance is {mm(match.edge)}",
            limit=mm(asked.edge_distance),
            source=edge_distance(asked.fastener).source,
            fix="Move the hole, or make the other part wider there",
            at=match.point,
        )
    if match.tilt > _TILT:
        yield Finding(
            code="MATCH-015",
            level=Level.ASK,
            place=here,
            got=f"the drill meets {other.name} {show_angle(match.tilt)} askew",
            limit=show_angle(_TILT),
            source=PRACTICE,
            fix="Check where the parts are in the place; drill it on assembly with a bush",
            at=match.point,
        )
    if abs(match.gap) > _APART:
        yield Finding(
            code="MATCH-016",
            level=Level.ASK,
            place=here,
            got=f"the parts stand {mm(match.gap)} apart there"
            if match.gap > 0
            else f"the parts run {mm(-match.gap)} into one another there",
            limit=mm(_APART),
            source=PRACTICE,
            fix="Check where the parts are in the place; a gap wants a shim, not a rivet's pull",
            at=match.point,
        )
