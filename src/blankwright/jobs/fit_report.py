"""The whole question: does it fit at rest, in motion, going in, and does it stay?"""

from __future__ import annotations

import math
from dataclasses import dataclass

from blankwright.base.findings import Finding, worst_first
from blankwright.fit.decide import Held, WayIn, held, question_of, way_in
from blankwright.fit.motion import Travel, along
from blankwright.fit.search import Verdict
from blankwright.fit.space import RestPair, Room, at_rest, rooms
from blankwright.geom.pose import Pose
from blankwright.jobs.fit_open import Fit
from blankwright.jobs.fit_solid import SolidCheck, pose_of, with_solid

SIDES = (
    (1.0, 0.0, 0.0),
    (-1.0, 0.0, 0.0),
    (0.0, 1.0, 0.0),
    (0.0, -1.0, 0.0),
    (0.0, 0.0, 1.0),
    (0.0, 0.0, -1.0),
)


@dataclass(frozen=True, kw_only=True)
class FitReport:
    """All that is known of a fit.

    Args:
        place: name of the place
        part: name of the part
        rest: clearance or squeeze to every neighbour at rest
        rooms: how far the part can move each way from rest
        ways: the way in, by section
        solid: the ways checked with the whole solid, by section; no entry where there is no way
        held: what forces do
        travels: motions
        end_rooms: how far the part can move each way at the end of each motion
        findings: the worst first
    """

    place: str
    part: str
    rest: tuple[RestPair, ...]
    rooms: tuple[Room, ...]
    ways: tuple[WayIn, ...]
    solid: dict[str, SolidCheck]
    held: tuple[Held, ...]
    travels: tuple[Travel, ...]
    end_rooms: tuple[tuple[Room, ...], ...]
    findings: tuple[Finding, ...]

    @property
    def blocked(self) -> bool:
        """Whether anything says stop."""
        return any(finding.blocks for finding in self.findings)


def fit_report(fit: Fit, *, way_from: str = "", squeeze: bool = False) -> FitReport:
    """Answer everything that a place asks.

    Args:
        fit: part and place
        way_from: side to come in from, in the section's words, instead of the stated one
        squeeze: whether the part may be sprung past metal by the place's stated millimetres

    Raises:
        BadInput: when a section misses the part, or has no such side
    """
    from blankwright.jobs.fit_findings import findings_of

    place = fit.place
    rest = at_rest(place, fit.solid, fit.collider)
    ways, solid, holds = [], {}, []
    sprung = place.spring.squeeze if squeeze and place.spring else 0.0
    for plane in place.sections:
        part, walls = fit.cut(plane)
        side = _side(fit, plane.name, way_from) if way_from else None
        question, near = question_of(place, plane, part, walls, side=side, squeeze=sprung)
        way = way_in(plane, question, near, part.features)
        ways.append(way)
        if way.answer.way is not None:
            solid[plane.name] = with_solid(fit, way)
        middle = plane.frame.inverse()(fit.center)
        for force in place.forces:
            if force.section == plane.name:
                base, _ = question_of(place, plane, part, walls)
                center = (middle[0], middle[1])
                holds.append(held(base, force, center, part.features, plane.words))
    travels = tuple(along(place, fit.solid, fit.collider, m) for m in place.motions)
    report = FitReport(
        place=place.name,
        part=fit.part.name,
        rest=rest,
        rooms=rooms(place, fit.collider, Pose(), SIDES),
        ways=tuple(ways),
        solid=solid,
        held=tuple(holds),
        travels=travels,
        end_rooms=tuple(
            rooms(place, fit.collider, t.motion.at(_just_before(t.end)), SIDES) for t in travels
        ),
        findings=(),
    )
    from dataclasses import replace

    return replace(report, findings=worst_first(findings_of(fit, report)))


def _just_before(end: float) -> float:
    return math.copysign(max(0.0, abs(end) - 1e-3), end)


def _side(fit: Fit, section: str, word: str) -> tuple[float, float]:
    from blankwright.base.errors import BadInput, Problem

    plane = next(p for p in fit.place.sections if p.name == section)
    words = plane.words
    sides = {
        words.right: (1.0, 0.0),
        words.left: (-1.0, 0.0),
        words.up: (0.0, 1.0),
        words.down: (0.0, -1.0),
        "any": (0.0, 0.0),
    }
    if word not in sides:
        raise BadInput(
            Problem(
                code="FIT-011",
                where=f"{fit.place.name}, section {section}",
                got=f"it has no side `{word}`",
                allowed=", ".join(sides),
            )
        )
    return sides[word]


def undecided(report: FitReport) -> tuple[WayIn, ...]:
    """Return the ways in that stay undecided."""
    return tuple(w for w in report.ways if w.verdict is Verdict.UNDECIDED)


__all__ = ["SIDES", "FitReport", "SolidCheck", "fit_report", "pose_of", "undecided"]
