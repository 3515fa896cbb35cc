"""Checks of bends: radius, room to clamp and form, grain, relief."""

from __future__ import annotations

import math
from collections.abc import Iterator

from blankwright.base.findings import Finding, Level
from blankwright.base.units import show_angle
from blankwright.develop.blank import BlankBend, ReliefSpot
from blankwright.develop.checks.common import PRACTICE, Checked, leg_flat_length, mm
from blankwright.geom import vec
from blankwright.handbook.bend_radius import governing
from blankwright.handbook.edge import least_flange_flat, least_flat_between_bends
from blankwright.handbook.relief import relief_diameter

_NEAR_GRAIN = math.radians(20)
"""A bend within this of the grain runs along it."""

_ROUNDED = 0.02
"""Tables print 1/16 in as .063: a radius under the limit by less than this is at it [mm]."""

_LARGE_RELIEF = 12.7
"""A relief wider than this is made known [mm]; common practice."""

_EMPTY = 1e-3
"""A flat smaller than this has vanished [mm²]."""


def check_bends(checked: Checked) -> Iterator[Finding]:
    """Report everything about bends and the flats they leave."""
    for bend in checked.blank.bends:
        yield from _radius(checked, bend)
        yield from _flange(checked, bend)
        yield from _grain(checked, bend)
        if not bend.regions:
            yield Finding(
                code="BEND-004",
                level=Level.STOP,
                place=f"bend {bend.name}",
                got="no metal is left across the bend",
                limit="some metal from tangent line to tangent line",
                source="geometry of this part",
                fix="Make the relief or the cut-out smaller, or move the leg along the edge",
                at=bend.center_line.point(0.5),
            )
        if bend.last:
            yield Finding(
                code="BEND-007",
                level=Level.NOTE,
                place=f"bend {bend.name}",
                got=f"bend it last: {bend.last}",
                source="part file",
            )
    yield from _between(checked)
    yield from _vanished(checked)
    yield from _relief(checked)


def _radius(checked: Checked, bend: BlankBend) -> Iterator[Finding]:
    sheet = checked.part.sheet
    least = governing(sheet.alloy, sheet.thickness)
    if not least.rows or bend.inside_radius >= least.radius - _ROUNDED:
        return
    under_all = bend.inside_radius < least.best - _ROUNDED
    yield Finding(
        code="BEND-001",
        level=Level.STOP if under_all else Level.ASK,
        place=f"bend {bend.name}",
        got=f"inside radius {mm(bend.inside_radius)} is under the least for {sheet.alloy},"
        f" {mm(sheet.thickness)}" + ("; the sheet is likely to crack" if under_all else ""),
        limit=f"{mm(least.best)} is the smallest that any table allows"
        if under_all
        else f"{mm(least.radius)} by the strictest table; {mm(least.best)} by the mildest"
        + (f" ({least.best_source})" if least.best_source != least.source else ""),
        source=least.best_source if under_all else least.source,
        fix=f"Bend to at least {mm(least.radius)}, or bend a coupon of this sheet and look at it"
        " under a glass",
        at=bend.center_line.point(0.5),
    )


def _flange(checked: Checked, bend: BlankBend) -> Iterator[Finding]:
    if any(other.parent == bend.leg for other in checked.blank.bends):
        return  # what is between bends is `_between`'s matter
    limit = least_flange_flat(checked.blank.thickness)
    length = leg_flat_length(checked, bend)
    if 0.0 < length < limit.value:  # one with no flat at all is `_vanished`'s matter
        yield Finding(
            code="BEND-002",
            level=Level.ASK,
            place=f"flat {bend.leg}",
            got=f"the flange is flat for only {mm(length)} beyond its bend",
            limit=f"{mm(limit.value)} ({limit.rule})",
            source=limit.source,
            fix="Make the flange higher and trim it after bending, or form it over a block",
            at=bend.leg_tangent.point(0.5),
        )


def _between(checked: Checked) -> Iterator[Finding]:
    """Hold bends on one flat that run side by side against what a clamp needs."""
    blank = checked.blank
    limit = least_flat_between_bends(blank.thickness)
    for flat in blank.flats:
        lines = [
            (bend.name, bend.parent_tangent if bend.parent == flat.name else bend.leg_tangent)
            for bend in blank.bends
            if flat.name in (bend.parent, bend.leg)
        ]
        for i, (a, line) in enumerate(lines):
            for b, other in lines[i + 1 :]:
                d, e = line.direction(), other.direction()
                if abs(vec.cross(d, e)) > math.sin(math.radians(10)):
                    continue
                shares = sorted(line.share(p) for p in (other.start, other.end))
                if shares[1] <= 1e-9 or shares[0] >= 1 - 1e-9:
                    continue
                gap = min(line.distance(p) for p in (other.start, other.point(0.5), other.end))
                if gap < limit.value:
                    yield Finding(
                        code="BEND-003",
                        level=Level.ASK,
                        place=f"bend {a} and bend {b}",
                        got=f"only {mm(gap)} of flat {flat.name} is left between them",
                        limit=f"{mm(limit.value)} ({limit.rule})",
                        source=limit.source,
                        fix="Look at the bend plan; make the flat wider, or bend over bars in the"
                        " vise",
                        at=vec.middle(line.point(0.5), other.point(0.5)),
                    )


def _vanished(checked: Checked) -> Iterator[Finding]:
    if checked.part.source is not None:
        return  # bends of a solid may meet in a line, or end the part
    for flat in checked.blank.flats:
        if flat.region.area < _EMPTY:
            yield Finding(
                code="FLAT-001",
                level=Level.STOP,
                place=f"flat {flat.name}",
                got="nothing is left of it between its bend tangent lines",
                limit="dimensions greater than the setbacks at its bends",
                source="setback: FAA-H-8083-31 vol. 1 ch. 4",
                fix="Make it larger or the inside radius smaller, and check what its dimensions"
                " are drawn to",
                at=flat.place((0.0, 0.0)),
            )


def _large_relief(spot: ReliefSpot, source: str) -> Finding:
    return Finding(
        code="RELIEF-003",
        level=Level.NOTE,
        place=spot.name,
        got=f"the relief is {mm(spot.size)} wide and takes that much of the metal beside the bend",
        limit=f"{mm(_LARGE_RELIEF)}, above which a drawing as a rule states its own ({source})",
        source=PRACTICE,
        fix="Look at the drawing: a roll often has a small relief or none. State it there, such as"
        ' end_relief = { round = "1/4 in" } or "none"',
        at=spot.point,
    )


def _grain(checked: Checked, bend: BlankBend) -> Iterator[Finding]:
    grain = checked.blank.grain
    if grain is None:
        return
    d = bend.center_line.direction()
    between = math.acos(min(1.0, abs(d[0] * math.cos(grain) + d[1] * math.sin(grain))))
    if between < _NEAR_GRAIN:
        yield Finding(
            code="BEND-005",
            level=Level.NOTE,
            place=f"bend {bend.name}",
            got=f"the bend line runs {show_angle(between)} off the grain, that is along it",
            limit="across the grain, or a larger radius",
            source=PRACTICE,
            fix="Turn the blank on the sheet, or bend to a larger radius",
            at=bend.center_line.point(0.5),
        )


def _relief(checked: Checked) -> Iterator[Finding]:
    for spot in checked.blank.reliefs:
        wanted, source = relief_diameter(checked.blank.thickness, spot.inside_radius)
        if spot.size >= wanted - 1e-3:
            if spot.size > _LARGE_RELIEF:
                yield _large_relief(spot, source)
            continue
        missing = spot.size == 0.0
        yield Finding(
            code="RELIEF-001" if missing else "RELIEF-002",
            level=Level.ASK,
            place=spot.name,
            got="there is no relief: the corner may tear when it is bent"
            if missing
            else f"the relief is {mm(spot.size)} wide",
            limit=f"{mm(wanted)}",
            source=source,
            fix="Let the relief follow the handbook's rule, or drill it that large",
            at=spot.point,
        )
