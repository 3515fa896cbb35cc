"""A fit's report told in lines of text."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from blankwright.base.units import show_mm
from blankwright.fit.motion import Travel
from blankwright.fit.place import Place
from blankwright.fit.space import FAR, RestPair
from blankwright.jobs.fit_ends import End, way_word
from blankwright.jobs.fit_findings import show_travel

if TYPE_CHECKING:
    from blankwright.fit.chance import Chance
    from blankwright.geom.pose import Point3
    from blankwright.jobs.fit_report import FitReport
    from blankwright.jobs.fit_sprung import SprungWay


def told(place: Place, report: FitReport) -> Iterator[str]:
    """Yield the report line by line, without its findings.

    Args:
        place: the place
        report: what is known of the fit
    """
    yield "At rest:"
    for pair in report.rest:
        yield f"  {pair.wall}: {state(pair)} ({pair.near.feature or 'part'}, {where(pair)})"
    for way in report.ways:
        side = way.section.way_in or "any side"
        yield f"Way in, section {way.section.name}, from {side}: {way.verdict.value}"
        for k, step in enumerate(way.steps, 1):
            yield f"  {k}. {step.text}"
        if way.answer.way is not None:
            least = way.answer.way.under_way
            yield (
                "  Least clearance under way, more than is to be kept off:"
                f" {show_mm(max(0.0, least.least))} (surely {show_mm(max(0.0, least.surely))})"
            )
        check = report.solid.get(way.section.name)
        if check is not None and check.free:
            if check.wall:
                yield (
                    f"  The whole part goes along it: {show_mm(check.least)} to {check.wall}"
                    f" (surely {show_mm(check.surely)})"
                )
            if check.leans:
                yield f"  It leans on {', '.join(check.leans)} and may slide along it"
    for sprung in report.sprung:
        yield from _sprung(sprung)
    for travel in report.travels:
        yield from _travel(travel)
    for end in report.ends:
        yield from told_end(place, end)


def state(pair: RestPair) -> str:
    """Return how the part and a neighbour stand to each other, in words."""
    over = f" over {pair.area:.0f} mm²" if pair.area >= 0.5 else ""
    if pair.gap < 0:
        return f"squeezed {show_mm(-pair.gap)}{over}"
    return f"touches{over}" if pair.gap <= 1e-3 else f"{show_mm(pair.gap)} clear"


def where(pair: RestPair) -> str:
    """Return where part and neighbour are nearest, in the place's frame."""
    return f"at {_point(pair.near.part_point)}"


def _point(p: Point3) -> str:
    return ", ".join(f"{v + 0.0:.1f}" for v in (round(v, 1) + 0.0 for v in p)) + " mm"


def _sprung(sprung: SprungWay) -> Iterator[str]:
    answer = sprung.answer
    yield f"Way in when it may be sprung, section {sprung.section.name}: {answer.verdict.value}"
    for k, step in enumerate(sprung.steps, 1):
        yield f"  {k}. {step}"
    if math.isfinite(answer.enough):
        yield (
            f"  Sprung {show_mm(answer.enough)} is enough;"
            f" up to {show_mm(answer.none_at)} there is no way"
        )
    if sprung.solid is not None and sprung.solid.free and sprung.solid.wall:
        yield (
            f"  The whole part goes along it: {show_mm(sprung.solid.least)} to {sprung.solid.wall}"
        )


def _travel(travel: Travel) -> Iterator[str]:
    yield f"Motion {travel.motion.name}:"
    unit = travel.motion.unit
    for contact in travel.contacts:
        verb = "stopped by" if contact.stops else "rubs on"
        yield f"  {verb} {contact.wall} at {show_travel(contact.travel, unit)} ({contact.feature})"
    if travel.opening_area:
        last = travel.open_area[travel.inside][-1]
        yield (
            f"  opening clear: {travel.open_area[0]:.0f} mm² shut,"
            f" {last:.0f} mm² open, of {travel.opening_area:.0f} mm²"
        )


def told_end(place: Place, end: End) -> Iterator[str]:
    """Yield what holds the part where it stands, a heading first."""
    yield f"What holds it {end.name}:"
    if end.pressed:
        pads = [f"{p.wall} ({show_mm(-p.gap)} deep, {p.area:.0f} mm²)" for p in end.pressed]
        yield f"  pressed by {', '.join(pads)}"
    free = []
    for room in end.rooms:
        word = way_word(place, room.direction)
        if math.isfinite(room.travel):
            play = f"after {show_mm(room.travel)}" if room.travel else "at once"
            yield f"  {word}: {room.wall}, {play}"
        else:
            free.append(word)
    if free:
        yield f"  nothing hard within {show_mm(FAR, 0)}: {', '.join(free)}"
    for held in end.held:
        for k, step in enumerate(held.steps, 1):
            yield f"  {held.force.name}, the way out {k}. {step.text}"
        if math.isfinite(held.enough_lift):
            yield f"  {held.force.name}: comes out when lifted {show_mm(held.enough_lift)}"
        else:
            yield f"  {held.force.name}: stays up to a lift of {show_mm(held.least_lift)} at least"


def told_chance(chance: Chance) -> Iterator[str]:
    """Yield the chance of a fit line by line: the least likely gaps, what matters most there."""
    yield f"Chance that all fits at rest: {100 * chance.all_fit:.1f} %"
    ranked = sorted(chance.spreads, key=lambda s: (s.chance, s.worst - s.low, s.name))
    for spread in ranked[:4]:
        allowed = f"{show_mm(spread.low)} or more"
        if math.isfinite(spread.high):
            allowed = f"{show_mm(spread.low)} to {show_mm(spread.high)}"
        yield (
            f"  {spread.name}: {show_mm(spread.gap)}, worst case {show_mm(spread.worst)} to"
            f" {show_mm(spread.widest)}; allowed {allowed}; fits {100 * spread.chance:.1f} %"
        )
    for size, share in chance.matters[:4]:
        if share >= 0.01:
            yield f"  {size} makes {100 * share:.0f} % of the spread of {ranked[0].name}"
    how = "measured anew" if chance.exact else "of what each size does alone"
    yield f"  {chance.trials} random trials, {how}; below zero: squeezed"


__all__ = ["state", "told", "told_chance", "told_end", "where"]
