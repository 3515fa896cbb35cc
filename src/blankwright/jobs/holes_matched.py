"""Matched parts of a place: which holes go where on the other's blank, and how they are drilled."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from blankwright.base.errors import BadInput, Problem
from blankwright.base.findings import Finding, Level, worst_first
from blankwright.base.units import show_angle
from blankwright.develop.checks.common import PRACTICE, mm
from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import Formed, form
from blankwright.fit.place import PartOfPlace, Place
from blankwright.geom.pose import Point3
from blankwright.handbook.drills import find_drill
from blankwright.handbook.edge import edge_distance, least_pitch
from blankwright.handbook.rivets import diameter_of
from blankwright.handbook.screws import screw
from blankwright.holes.matched import AskedMatch, How, Match, Meets, match_holes, with_matched_holes
from blankwright.holes.matched_order import drilling_order, temporary_fasteners
from blankwright.holes.position_error import Placed
from blankwright.jobs.project import Project
from blankwright.part.model import Part

_TILT = math.radians(3)
"""A drill that goes in more askew than this walks [rad]; common practice, no source."""

_APART = 0.2
"""Sheets farther apart than this can't be drawn together by a rivet [mm]; common practice."""


@dataclass(frozen=True, kw_only=True)
class MatchedPair:
    """Holes of one part carried to another.

    Args:
        name: its name in the place
        first: the part that has the holes
        other: the part that gets them
        asked: how
        matches: one for each hole, in the order of the first part
        order: which to pilot first, as places in `matches`
        fasteners: which get a temporary fastener, likewise
        findings: the worst first
        other_part: the part that gets them, as stated
        drill: what holes are drilled with on the flat, as typed; empty for the finished size
        note: as typed
    """

    name: str
    first: Placed
    other: Placed
    asked: AskedMatch
    matches: tuple[Match, ...]
    order: tuple[int, ...]
    fasteners: tuple[int, ...]
    findings: tuple[Finding, ...]
    other_part: Part
    drill: str
    note: str = ""


def matched_pairs(project: Project, place_name: str) -> tuple[MatchedPair, ...]:
    """Carry over all holes that a place file asks to be matched.

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
    read = _Parts(project, fit.place, fit.part, fit.formed)

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
            drill=stated.pilot or stated.final,
            note=stated.note,
        )

    return tuple(pair(stated) for stated in read_matched(text, place_name, parts))


class _Parts:
    """Parts of a place, each read and formed once."""

    def __init__(self, project: Project, place: Place, part: Part, formed: Formed) -> None:
        self.project = project
        key = (place.part.file, place.part.variant)
        self.made: dict[tuple[str, str], tuple[Part, Formed]] = {key: (part, formed)}

    def _made(self, part: PartOfPlace) -> tuple[Part, Formed]:
        key = (part.file, part.variant)
        if key not in self.made:
            from blankwright.files.partfile import read_part
            from blankwright.jobs.shop_coupons import coupons_of

            path = self.project.parts_folder / f"{part.file}.toml"
            read = read_part(path, variant=part.variant)
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
        "findings": [
            {"code": f.code, "level": f.level.value, "place": f.place, "got": f.got, "fix": f.fix}
            for f in pair.findings
        ],
        "note": pair.note,
    }


def make_matched(
    project: Project, place_name: str, pairs: Sequence[MatchedPair]
) -> tuple[Path, ...]:
    """Make DXF and full-size print of each other part's blank with the holes drilled on the flat.

    Holes from several pairs that go onto one part are all on its blank. Files go to
    out/matched-PLACE.

    Raises:
        OurBug: when a file fails its proof; nothing is written then
        FileProblem: when a file can't be written
    """
    from blankwright.files.outputs import blank_dxf, blank_pdf
    from blankwright.files.whole import write_whole
    from blankwright.jobs.prints import print_setup
    from blankwright.jobs.shop_coupons import coupons_of

    files: dict[str, bytes] = {}
    setup, coupons = print_setup(project), coupons_of(project)
    by_part: dict[str, list[MatchedPair]] = {}
    for pair in pairs:
        by_part.setdefault(pair.other.name, []).append(pair)
    for name, mine in by_part.items():
        part = mine[0].other_part
        for pair in mine:
            drill = pair.drill
            note = f"matched to {pair.first.name}"
            part = with_matched_holes(part, pair.other, pair.asked, pair.matches, note, drill)
        blank = develop_blank(part, coupons)
        title = f"{part.title or part.name}, matched holes"
        files[f"{name}-matched.dxf"] = blank_dxf(blank, title)
        files[f"{name}-matched.pdf"] = blank_pdf(blank, title, setup)
    results = [pair_result(pair) for pair in pairs]
    files[f"{place_name}-matched.json"] = (
        json.dumps(results, indent=1, ensure_ascii=False) + "\n"
    ).encode("utf-8")
    folder = project.out / f"matched-{place_name}"
    folder.mkdir(parents=True, exist_ok=True)
    for file, data in files.items():
        write_whole(folder / file, data)
    return tuple(folder / file for file in files)


def _n(value: float) -> float | None:
    return None if math.isnan(value) else round(value, 9) + 0.0
