"""A part's state as the page needs it."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Mapping, Sequence
from typing import Any

from blankwright.base.errors import Problem
from blankwright.base.findings import Finding, Level
from blankwright.base.quantities import BadText, read_quantity
from blankwright.base.trail import TrailStep
from blankwright.jobs.features import features_of
from blankwright.jobs.part_state import PartState
from blankwright.jobs.scene import dimension_steps, formed_steps
from blankwright.page.problem_json import place_of, problem_json
from blankwright.page.rows import groups_of
from blankwright.part.model import Part, Stated

Json = dict[str, Any]

_WORDS = {"bends": "bend", "flats": "flat", "holes": "hole", "rivets": "hole"}

CAUTIONS = (
    "Sheet edges and burrs cut: gloves for handling, eye protection, and break every edge.",
    "Clamp small work before drilling; drills and hole saws grab thin sheet.",
    "Ear protection and dust mask where you cut and grind; aluminum dust burns.",
    "Cut a coupon first and a paper model before that. A wrong blank is scrap.",
    "The drawing, its designer and your airworthiness authority decide. This page computes; "
    "it does not approve.",
)


def part_json(text: str, state: PartState | None, problems: Sequence[Problem], name: str) -> Json:
    """Return what the card shows: lines, findings, problems and trail.

    Args:
        text: the part file as it is being worked on
        state: what was last read from it, or nothing
        problems: what is wrong with the text now
        name: the part's name
    """
    part = state.part if state else None
    groups = groups_of(text)
    wrong = {place: problem for problem in problems if (place := place_of(problem))}
    for group in groups or ():
        _also(group, part)
        for row in group["rows"]:
            _fill(row, part, wrong)
    return {
        "name": name,
        "title": part.title if part else name,
        "drawing": part.drawing if part else "",
        "alloy": part.sheet.alloy if part else "",
        "thickness": part.sheet.thickness if part else None,
        "text": text,
        "groups": groups,
        "sizes": [row for g in groups or () if g["name"] == "sizes" for row in g["rows"]],
        "findings": _findings(state.findings if state else ()),
        "problems": [problem_json(problem) for problem in problems],
        "files": _files(state, problems),
        "trail": _trail(state) if state else [],
        "lights": _lights(part, state.findings) if part and state else {},
        "features": _features(part) if part else [],
        "cautions": list(CAUTIONS),
    }


def _files(state: PartState | None, problems: Sequence[Problem]) -> str:
    if problems or state is None:
        return "Blocked"
    return "Blocked" if state.blocked else "Free"


def _also(group: Json, part: Part | None) -> None:
    """Note what else on the blank a group stands for: a bend's leg, a pattern's holes."""
    also: list[str] = []
    word, _, name = group["thing"].partition(" ")
    if part is not None and word == "bend":
        also = [f"flat {bend.leg.name}" for bend in part.bends if bend.name == name]
    elif part is not None and word == "hole":
        also = [f"hole {h.name}" for h in part.holes if h.name.startswith(f"{name}[")]
    group["also"] = also


def _fill(row: Json, part: Part | None, wrong: Mapping[str, Problem]) -> None:
    place = row["place"]
    row.setdefault("thing", "")
    row.update(value=None, kind="", origin="", note="", wrong="", trail="")
    problem = wrong.get(place)
    if problem:
        fix = f" {problem.fix}." if problem.fix else ""
        row["wrong"] = f"{problem.got[:1].upper()}{problem.got[1:]}.{fix}"
    if part is None:
        return
    stated = part.stated.get(place)
    if stated is not None:
        row.update(value=stated.value, kind=stated.kind, trail=place)
    if not place.startswith("sizes."):
        return
    # A named size has its step in the trail under its own name, whichever line stands for it.
    steps = place.split(".")
    stands = len(steps) == 2 or steps[-1] in ("drawn", "measured", "drill")
    for size in part.sizes:
        if f"size {size.name}" == row["thing"] and stands and size.text == row["typed"]:
            row.update(
                value=size.value,
                kind=size.kind,
                origin=size.origin.value,
                trail=f"size {size.name}",
            )
        elif f"size {size.name}" == row["thing"] and stands and row["value"] is None:
            # Drawn as well as measured: the one that does not count is worked out all the same.
            with contextlib.suppress(BadText):
                quantity = read_quantity(row["typed"])
                row.update(value=quantity.value, kind=quantity.kind, trail=f"size {size.name}")


def _findings(findings: Sequence[Finding]) -> list[Json]:
    return [
        {
            "key": f"{finding.code}-{i}",
            "code": finding.code,
            "level": finding.level.value,
            "place": finding.place,
            "got": finding.got,
            "limit": finding.limit,
            "source": finding.source,
            "fix": finding.fix,
            "at": list(finding.at) if finding.at else None,
            "overridden": finding.overridden,
        }
        for i, finding in enumerate(findings)
    ]


def counts(findings: Sequence[Finding]) -> Json:
    """Return how many findings of each level stand."""
    standing = [finding for finding in findings if not finding.overridden]
    return {level.value: sum(f.level is level for f in standing) for level in Level}


def _trail(state: PartState) -> list[Json]:
    known = {step.name for step in state.trail}
    drawn = (*dimension_steps(state.blank), *formed_steps(state.formed))
    steps = [_step(step, step.name) for step in (*state.trail, *drawn)]
    for place, stated in state.part.stated.items():
        # A named size has its step already, under its own name.
        if not place.startswith("sizes.") and place not in known:
            steps.append(_stated_step(place, stated, state.part))
    return steps


def _step(step: TrailStep, key: str) -> Json:
    return {
        "key": key,
        "name": step.name,
        "value": step.value,
        "kind": step.kind,
        "formula": step.formula,
        "inputs": [list(one) for one in step.inputs],
        "source": step.source,
    }


def _stated_step(place: str, stated: Stated, part: Part) -> Json:
    values = {size.name: size for size in part.sizes}
    used = [values[name] for name in stated.uses if name in values]
    return {
        "key": place,
        "name": place,
        "value": stated.value,
        "kind": stated.kind,
        "formula": stated.text,
        "inputs": [[size.name, size.value, size.kind] for size in used],
        "source": f"part file line {stated.line}",
    }


def _features(part: Part) -> list[Json]:
    return [
        {
            "key": feature.key,
            "title": feature.title,
            "lines": [
                {
                    "key": line.key,
                    "label": line.label,
                    "typed": line.typed or next(iter(line.choices), ""),
                    "choices": list(line.choices),
                    "may_miss": line.may_miss,
                }
                for line in feature.lines
            ],
        }
        for feature in features_of(part)
    ]


def _lights(part: Part, findings: Sequence[Finding]) -> dict[str, list[str]]:
    """Return what lights up with each thing.

    With a size, all that is built from it; with the place of a finding, all that it names.
    """
    users: dict[str, set[str]] = {}
    for place, stated in part.stated.items():
        thing = _thing(place)
        for name in stated.uses:
            users.setdefault(name, set()).add(thing)
    by_name = {size.name: size for size in part.sizes}
    for size in part.sizes:
        for name in size.uses:
            users.setdefault(name, set()).add(f"size {size.name}")
    lights: dict[str, list[str]] = {}
    for name in by_name:
        found: set[str] = set()
        queue = [f"size {name}"]
        while queue:
            thing = queue.pop()
            for user in users.get(thing.removeprefix("size "), ()) if "size " in thing else ():
                if user and user not in found:
                    found.add(user)
                    queue.append(user)
        lights[f"size {name}"] = sorted(found)
    for hole in part.holes:
        stem = hole.name.split("[")[0]
        if stem != hole.name:
            lights.setdefault(f"hole {stem}", []).append(f"hole {hole.name}")
    for key, things in lights.items():
        members = [m for thing in things if thing in lights for m in lights[thing]]
        lights[key] = list(dict.fromkeys([*things, *members]))
    for place in {finding.place for finding in findings}:
        if place not in lights and (named := _named(place, part)):
            lights[place] = named
    return lights


def _named(place: str, part: Part) -> list[str]:
    """Return the things on the blank that the place of a finding names, such as both of
    ``corner left, front``."""
    words = set(re.findall(r"[\w\[\]-]+", place))
    rows = {row.name for row in part.rivets}
    things = [f"bend {bend.name}" for bend in part.bends if bend.name in words]
    if not place.startswith(("corner", "bend")):
        flats = (part.root.name, *(bend.leg.name for bend in part.bends))
        things += [f"flat {name}" for name in flats if f"flat {name}" in place]
    for hole in part.holes:
        stem = hole.name.split("[")[0]
        if hole.name in words or (stem in words and (stem in rows or f"hole {stem}" in place)):
            things.append(f"hole {hole.name}")
    return [thing for thing in things if thing != place]


def _thing(place: str) -> str:
    table, _, rest = place.partition(".")
    word = _WORDS.get(table)
    return f"{word} {rest.split('.')[0].strip(chr(34))}" if word else ""
