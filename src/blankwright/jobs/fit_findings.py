"""What a fit's answers mean, as findings."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from blankwright.base.findings import Finding, Level
from blankwright.base.units import show_angle, show_mm
from blankwright.fit.search import Verdict
from blankwright.fit.steps import shifted
from blankwright.fit.surely import Passing

if TYPE_CHECKING:
    from blankwright.fit.decide import Held, WayIn
    from blankwright.fit.motion import Travel
    from blankwright.fit.space import RestPair
    from blankwright.jobs.fit_report import FitReport
    from blankwright.jobs.fit_sprung import SprungWay

_COMPUTED = "computed from part file and place file"


def findings_of(report: FitReport) -> Iterator[Finding]:
    """Return the findings of a fit."""
    for pair in report.rest:
        yield from _rest(pair)
    for way in report.ways:
        yield from _way(way, report)
    for end in report.ends:
        for held in end.held:
            yield _held(held, end.name)
    for travel in report.travels:
        yield from _travel(travel)
    for sprung in report.sprung:
        yield from _sprung(sprung)


def _rest(pair: RestPair) -> Iterator[Finding]:
    wanted = pair.pair
    place = f"{pair.near.feature or 'part'} to {pair.wall}, at rest"
    if pair.gap < wanted.clearance - 1e-6:
        soft = wanted.is_soft
        got = _state(pair.gap)
        limit = (
            f"a squeeze of {show_mm(-wanted.clearance)} at most"
            if soft
            else f"{show_mm(wanted.clearance)} clear at least"
        )
        yield Finding(
            code="FIT-001" if pair.gap < 0 and not soft else "FIT-002",
            level=Level.STOP if pair.gap < 0 and not soft else Level.ASK,
            place=place,
            got=got,
            limit=limit,
            source=f"pair {wanted.name} of the place file",
            fix=f"Gain {show_mm(pair.short)}: ask `fit --sizes` which size to change",
        )
    elif pair.gap > wanted.most + 1e-6 and wanted.is_soft is False and wanted.most < math.inf:
        yield _loose(pair, place)


def _loose(pair: RestPair, place: str) -> Finding:
    return Finding(
        code="FIT-003",
        level=Level.ASK,
        place=place,
        got=f"{show_mm(pair.gap)} clear",
        limit=f"{show_mm(pair.pair.most)} clear at most",
        source=f"pair {pair.pair.name} of the place file",
        fix=f"Close up {show_mm(pair.short)}",
    )


def _way(way: WayIn, report: FitReport) -> Iterator[Finding]:
    side = way.section.way_in or "any side"
    place = f"way in, section {way.section.name}"
    found = way.answer.found
    if way.verdict is Verdict.NO_WAY:
        low, high = found.reached
        most = way.section.most_turn
        tilts = "" if most >= math.pi else f", tilted up to {show_angle(most)} either way"
        yield Finding(
            code="FIT-004",
            level=Level.STOP,
            place=place,
            got=f"there is no way in from {side}{_even(report, way)}; from rest the part can at"
            f" most be tilted {show_angle(-low)} clockwise and {show_angle(high)} anticlockwise",
            limit=f"a way that keeps the clearances of the place file{tilts}",
            source="proved by the search in this section",
            fix="Shorten what hooks, open the place, or come in from another side",
        )
    elif way.verdict is Verdict.BLOCKED_AT_REST:
        yield Finding(
            code="FIT-005",
            level=Level.STOP,
            place=place,
            got="the part is not free at rest, so there is no way from there",
            limit="the clearances of the place file",
            source=_COMPUTED,
            fix="Mend what the findings at rest say first",
        )
    elif way.verdict is Verdict.UNDECIDED:
        at = found.narrowest
        where = ""
        if at is not None:
            x, y = at.x - way.question.middle[0], at.y - way.question.middle[1]
            moved = shifted(x, y, way.section.words) or "not moved"
            where = f", narrowest when tilted {show_angle(at.turn)}, its middle {moved} from rest"
        yield Finding(
            code="FIT-006",
            level=Level.ASK,
            place=place,
            got=f"undecided to within {show_mm(found.slack, 3)}{where}",
            limit="a way, or a proof that there is none",
            source="search in this section",
            fix="Open the narrowest spot a little, or try it with a paper model",
        )
    else:
        yield from _found_way(way, report, place)


def _even(report: FitReport, way: WayIn) -> str:
    """Say whether touching metal would make a way."""
    verdict = report.touching.get(way.section.name)
    if verdict is Verdict.NO_WAY:
        return ", even where metal may touch"
    if verdict is Verdict.WAY:
        return "; where metal may touch there is one, nearer than is wanted"
    return ""


def _found_way(way: WayIn, report: FitReport, place: str) -> Iterator[Finding]:
    assert way.answer.way is not None
    for near in way.near:
        yield Finding(
            code="FIT-007",
            level=Level.NOTE,
            place=f"{place}, {near.wall}",
            got=f"at rest it is {_state(near.got)}, so the way keeps no more from it",
            limit=f"{_state(near.wanted)} wanted",
            source=_COMPUTED,
        )
    check = report.solid.get(way.section.name)
    if check is not None and check.passing is Passing.MEETS:
        yield _whole_meets(
            place, check.wall, "Add a section through that spot, or ask `fit --space`"
        )
    elif check is not None and check.passing is Passing.UNSURE:
        yield Finding(
            code="FIT-009",
            level=Level.ASK,
            place=place,
            got=f"in the section it goes; the whole part comes so near to {check.wall}"
            f" ({show_mm(check.least, 3)}) that it can't be told whether it touches",
            limit="the whole part surely free all the way",
            source="the way of the section, checked with the whole solid",
            fix="Open that spot a little, or try it with a paper model",
        )


def _state(gap: float) -> str:
    return f"squeezed {show_mm(-gap)}" if gap < 0 else f"{show_mm(gap)} clear"


def _held(held: Held, where: str) -> Finding:
    place = f"force {held.force.name}, {where}"
    lift = show_mm(held.force.lift)
    if held.verdict is Verdict.NO_WAY:
        more = (
            f"; lifted {show_mm(held.enough_lift)} it comes out"
            if math.isfinite(held.enough_lift)
            else f"; it is held up to a lift of {show_mm(held.least_lift)} at least"
        )
        return Finding(
            code="FIT-020",
            level=Level.NOTE,
            place=place,
            got=f"held: shaken {lift} it stays{more}",
            source="proved by the search in its section, friction left out",
        )
    if held.verdict is Verdict.WAY:
        return Finding(
            code="FIT-021",
            level=Level.STOP,
            place=place,
            got=f"it comes out by itself when shaken {lift}",
            limit=f"held; it stays up to {show_mm(held.least_lift)}",
            source="a way found by the search in its section, friction left out",
            fix="Hook it deeper, or secure it; don't count on friction",
        )
    return Finding(
        code="FIT-022",
        level=Level.ASK,
        place=place,
        got="undecided whether it stays",
        limit="held",
        source="search in its section",
        fix="Secure it",
    )


def _travel(travel: Travel) -> Iterator[Finding]:
    motion = travel.motion
    place = f"motion {motion.name}"
    stop = travel.stop
    tight = travel.first_tight
    if stop is not None:
        yield Finding(
            code="FIT-030",
            level=Level.NOTE,
            place=place,
            got=f"{stop.wall} stops it at {show_travel(stop.travel, motion.unit)}"
            + (f" ({stop.feature})" if stop.feature else ""),
            limit=f"{show_travel(motion.length, motion.unit)} stated",
            source=_COMPUTED,
        )
    if tight is not None and (stop is None or tight[0] != stop.wall):
        yield Finding(
            code="FIT-031",
            level=Level.ASK,
            place=f"{place}, {tight[0]}",
            got=f"nearer than wanted from {show_travel(tight[1], motion.unit)} on",
            limit=f"{show_mm(travel.wanted[tight[0]])} clear",
            source="place file",
            fix="Ask `fit --sizes` which size to change",
        )


def show_travel(value: float, unit: str) -> str:
    """Return a travel in words; units as `Motion.unit`."""
    if unit == "length":
        return show_mm(value)
    return show_angle(value) if unit == "angle" else f"step {value:.2f}"


def _sprung(sprung: SprungWay) -> Iterator[Finding]:
    answer, spring = sprung.answer, sprung.spring
    place = f"way in sprung, section {sprung.section.name}"
    if answer.verdict is not Verdict.WAY:
        proved = answer.verdict is Verdict.NO_WAY
        yield Finding(
            code="FIT-041",
            level=Level.STOP if proved else Level.ASK,
            place=place,
            got=f"{answer.verdict.value}, the leg beyond bend {spring.bend} sprung up to"
            f" {show_mm(answer.most)}",
            limit="a way on which metal may touch",
            source="proved by the search in this section" if proved else "search in this section",
            fix="Let it spring farther, if its metal bears it, or shorten what hooks",
        )
        return
    check = sprung.solid
    if check is not None and check.passing is Passing.MEETS:
        yield _whole_meets(place, check.wall, "Add a section through that spot")
    assert spring.yield_stress is not None
    over = sprung.stress > spring.yield_stress
    yield Finding(
        code="FIT-040",
        level=Level.ASK if over else Level.NOTE,
        place=place,
        got=f"sprung {show_mm(answer.enough)}, which is enough, the sheet is bent to"
        f" {sprung.stress:.0f} MPa",
        limit=f"{spring.yield_stress:.0f} MPa, where it stays bent",
        source=f"3·E·t·f/(2·L²), a strip held at one end; {spring.source}",
        fix="Spring a longer stretch, or less" if over else "",
    )


def _whole_meets(place: str, wall: str, fix: str) -> Finding:
    return Finding(
        code="FIT-008",
        level=Level.STOP,
        place=place,
        got=f"in the section it goes, but the whole part meets {wall}",
        limit="the whole part free all the way",
        source="the way of the section, checked with the whole solid",
        fix=fix,
    )
