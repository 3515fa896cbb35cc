"""Matched parts of a place: which holes go where on the other's blank, and how they are drilled."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from blankwright.base.errors import BadInput, Problem
from blankwright.base.findings import worst_first
from blankwright.develop.checks.common import mm
from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import Formed, form
from blankwright.fit.place import PartOfPlace, Place
from blankwright.geom.pose import Point3
from blankwright.handbook.drills import find_drill
from blankwright.handbook.edge import edge_distance, least_pitch
from blankwright.handbook.rivets import diameter_of
from blankwright.handbook.screws import screw
from blankwright.holes.matched import AskedMatch, How, match_holes
from blankwright.holes.matched_card import MatchedPair
from blankwright.holes.matched_checks import check_matches
from blankwright.holes.matched_order import drilling_order, temporary_fasteners
from blankwright.holes.position_error import Placed
from blankwright.jobs.findings_json import SHORT, findings_json
from blankwright.jobs.project import Project
from blankwright.part.model import DrawnHole, Part


def own_prefix(place: str, name: str = "") -> str:
    """Return how the names begin of holes that a place has put into part files."""
    return f"matched-{place}-{name}-" if name else f"matched-{place}-"


def matched_pairs(
    project: Project, place_name: str, *, afresh: bool = False
) -> tuple[MatchedPair, ...]:
    """Carry over all holes that a place file asks to be matched.

    Args:
        project: where the parts are
        place_name: name of the place
        afresh: whether holes that this place has put into part files count as not there

    Raises:
        BadInput: with every problem of the files
        FileProblem: when a file is missing
        NotPossible: when a part can't be developed
    """
    from blankwright.files.placefile_holes import THE_PART, MatchStated, read_matched
    from blankwright.jobs.fit_open import open_fit, place_path

    fit = open_fit(project, place_name)
    text = place_path(project, place_name).read_text(encoding="utf-8")
    parts: dict[str, PartOfPlace] = {THE_PART: fit.place.part, **fit.place.others}
    read = _Parts(
        project, fit.place, fit.part, fit.formed, own_prefix(place_name) if afresh else ""
    )

    def pair(stated: MatchStated) -> MatchedPair:
        first = read.placed(stated.first, parts[stated.first])
        other = read.placed(stated.other, parts[stated.other])
        names = _holes_named(place_name, stated, first)
        asked = _asked(place_name, stated, first, names)
        matches = match_holes(first, other, asked)
        good = [i for i, m in enumerate(matches) if m.how is not How.NO_METAL]
        points: list[Point3] = [matches[i].at for i in good]
        return MatchedPair(
            name=stated.name,
            first=first,
            other=other,
            asked=asked,
            matches=matches,
            order=tuple(good[i] for i in drilling_order(points)),
            fasteners=tuple(good[i] for i in temporary_fasteners(points)),
            findings=worst_first(check_matches(stated.name, other, asked, matches)),
            other_part=read.part(parts[stated.other]),
            other_file=parts[stated.other].file,
            other_variant=parts[stated.other].variant,
            drill=stated.pilot or stated.final,
            note=stated.note,
        )

    return tuple(pair(stated) for stated in read_matched(text, place_name, parts))


class _Parts:
    """Parts of a place, each read and formed once; holes whose names begin so are left out."""

    def __init__(
        self, project: Project, place: Place, part: Part, formed: Formed, without: str
    ) -> None:
        self.project = project
        self.without = without
        self.made: dict[tuple[str, str], tuple[Part, Formed]] = {}
        if not self._named(part):
            self.made[place.part.file, place.part.variant] = (part, formed)

    def _named(self, part: Part) -> tuple[DrawnHole, ...]:
        """Return the holes of a part that are left out."""
        return tuple(h for h in part.holes if self.without and h.name.startswith(self.without))

    def _made(self, part: PartOfPlace) -> tuple[Part, Formed]:
        key = (part.file, part.variant)
        if key not in self.made:
            from blankwright.files.partfile import read_part
            from blankwright.jobs.shop_coupons import coupons_of

            path = self.project.parts_folder / f"{part.file}.toml"
            read = read_part(path, variant=part.variant)
            if left_out := self._named(read):
                kept = tuple(hole for hole in read.holes if hole not in left_out)
                read = replace(read, holes=kept)
            self.made[key] = (read, form(develop_blank(read, coupons_of(self.project))))
        return self.made[key]

    def part(self, part: PartOfPlace) -> Part:
        """Return a part as stated."""
        return self._made(part)[0]

    def placed(self, name: str, part: PartOfPlace) -> Placed:
        """Return a part where it is in the place."""
        label = part.file if name == "part" else name
        return Placed(name=label, formed=self._made(part)[1], frame=part.frame)


def _holes_named(place: str, stated: Any, first: Placed) -> tuple[str, ...]:
    names = [hole.name for hole in first.formed.blank.holes if hole.diameter is not None]
    found: list[str] = []
    problems: list[Problem] = []
    for wanted in stated.holes:
        mine = [n for n in names if wanted in (n, n.partition("[")[0])]
        if not mine:
            problems.append(
                Problem(
                    code="MATCH-001",
                    where=f"{place}, matched.{stated.name}.holes",
                    got=f"{first.name} has no round hole `{wanted}`",
                    allowed=", ".join(dict.fromkeys(n.partition("[")[0] for n in names)),
                )
            )
        found += [n for n in mine if n not in found]
    if problems:
        raise BadInput(*problems)
    return tuple(found)


def _asked(place: str, stated: Any, first: Placed, names: tuple[str, ...]) -> AskedMatch:
    holes = {hole.name: hole for hole in first.formed.blank.holes}
    own = max(holes[name].diameter or 0.0 for name in names)
    final = find_drill(stated.final).diameter if stated.final else own
    pilot = find_drill(stated.pilot).diameter if stated.pilot else 0.0
    if stated.rivet:
        fastener = diameter_of(stated.rivet)
    elif stated.screw:
        fastener = screw(stated.screw).body
    else:
        fastener = final
    if pilot > final + 1e-6 or fastener > final + 1e-6:
        raise BadInput(
            Problem(
                code="MATCH-002",
                where=f"{place}, matched.{stated.name}",
                got=f"a pilot of {mm(pilot)} and a fastener of {mm(fastener)} for a finished hole"
                f" of {mm(final)}",
                allowed="pilot and fastener no larger than the finished hole",
                fix='State final = "#30", say',
            )
        )
    return AskedMatch(
        holes=names,
        final=final,
        pilot=pilot,
        fastener=fastener,
        reach=stated.reach,
        edge_distance=edge_distance(fastener).value,
        pitch=least_pitch(fastener).value,
        tolerances=stated.tolerances,
    )


def pair_result(pair: MatchedPair) -> dict[str, Any]:
    """Return matched parts as plain values, mm and degrees."""
    rank = {index: n + 1 for n, index in enumerate(pair.order)}
    return {
        "name": pair.name,
        "from": pair.first.name,
        "to": pair.other.name,
        "final": _n(pair.asked.final),
        "pilot": _n(pair.asked.pilot),
        "clearance": _n(pair.asked.clearance),
        "temporary_fasteners": [pair.matches[i].hole for i in pair.fasteners],
        "holes": [
            {
                "hole": m.hole,
                "how": m.how.value,
                "on_blank": None if math.isnan(m.point[0]) else [_n(m.point[0]), _n(m.point[1])],
                "place": m.place,
                "error": _n(m.error),
                "gap": _n(m.gap),
                "tilt": _n(math.degrees(m.tilt)),
                "edge_distance": _n(m.edge),
                "pilot_order": rank.get(i),
                "meets": [
                    {"hole": x.name, "off": _n(x.off), "what": x.what.value, "slot": _n(x.length)}
                    for x in m.meets
                ],
            }
            for i, m in enumerate(pair.matches)
        ],
        "findings": findings_json(pair.findings, SHORT),
        "note": pair.note,
    }


def _n(value: float) -> float | None:
    return None if math.isnan(value) else round(value, 9) + 0.0


__all__ = ["MatchedPair", "matched_pairs", "own_prefix", "pair_result"]
