"""The whole question: does it fit at rest, in motion, going in, and does it stay?"""

from __future__ import annotations

from dataclasses import dataclass, replace

from blankwright.base.errors import BadInput, Problem
from blankwright.base.findings import Finding, worst_first
from blankwright.fit.decide import Held, WayIn, question_of, way_in
from blankwright.fit.motion import Travel, along
from blankwright.fit.search import Verdict, search
from blankwright.fit.space import RestPair, at_rest
from blankwright.jobs.fit_ends import End, ends_of
from blankwright.jobs.fit_open import Fit
from blankwright.jobs.fit_solid import SolidCheck, pose_of, with_solid
from blankwright.jobs.fit_sprung import SprungWay, sprung_way


@dataclass(frozen=True, kw_only=True)
class FitReport:
    """All that is known of a fit.

    Args:
        place: name of the place
        part: name of the part
        rest: clearance or squeeze to every neighbour at rest
        ways: the way in, by section
        solid: the ways checked with the whole solid, by section; no entry where there is no way
        touching: where there is no way, what the search says when metal may touch, by section
        travels: motions
        ends: what holds the part: at rest, and at the end of each motion
        sprung: the way in of a part that may be sprung, where asked for, by section without a way
        findings: the worst first
    """

    place: str
    part: str
    rest: tuple[RestPair, ...]
    ways: tuple[WayIn, ...]
    solid: dict[str, SolidCheck]
    touching: dict[str, Verdict]
    travels: tuple[Travel, ...]
    ends: tuple[End, ...]
    sprung: tuple[SprungWay, ...]
    findings: tuple[Finding, ...]

    @property
    def held(self) -> tuple[Held, ...]:
        """What forces do at rest."""
        return self.ends[0].held

    @property
    def blocked(self) -> bool:
        """Whether anything says stop."""
        return any(finding.blocks for finding in self.findings)


def fit_report(fit: Fit, *, way_from: str = "", sprung: bool = False) -> FitReport:
    """Answer everything that a place asks.

    Args:
        fit: part and place
        way_from: side to come in from, in the section's words, instead of the stated one
        sprung: whether to let the part be sprung where there is no way without

    Raises:
        BadInput: when a section misses the part, or has no such side; when the place does not
            state what springs
    """
    from blankwright.jobs.fit_findings import findings_of

    place = fit.place
    rest = at_rest(place, fit.solid, fit.collider)
    if sprung and place.spring is None:
        raise BadInput(
            Problem(
                code="PLACE-011",
                where=f"{place.name}, spring",
                got="the place does not say what springs",
                allowed="[spring] with bend, squeeze and length",
            )
        )
    ways, solid, touching, sprung_ways = [], {}, {}, []
    for plane in place.sections:
        if way_from:
            plane = replace(plane, way_in=way_from, side=_side(fit, plane.name, way_from))
        part, walls = fit.cut(plane)
        question, near = question_of(place, plane, part, walls)
        way = way_in(plane, question, near, part.features)
        ways.append(way)
        if way.answer.way is not None:
            solid[plane.name] = with_solid(fit, way)
        if way.verdict is Verdict.NO_WAY:
            closer, _ = question_of(place, plane, part, walls, touching=True)
            touching[plane.name] = search(closer, most_slices=3000).verdict
        if sprung and way.verdict in (Verdict.NO_WAY, Verdict.UNDECIDED):
            sprung_ways.append(sprung_way(fit, plane))
    travels = tuple(along(place, fit.solid, fit.collider, m) for m in place.motions)
    report = FitReport(
        place=place.name,
        part=fit.part.name,
        rest=rest,
        ways=tuple(ways),
        solid=solid,
        touching=touching,
        travels=travels,
        ends=ends_of(fit, rest, travels),
        sprung=tuple(sprung_ways),
        findings=(),
    )
    return replace(report, findings=worst_first(findings_of(report)))


def _side(fit: Fit, section: str, word: str) -> tuple[float, float]:
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


__all__ = ["FitReport", "SolidCheck", "fit_report", "pose_of", "undecided"]
