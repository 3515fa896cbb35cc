"""Drill templates of a project: read, placed, checked, made."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from blankwright.base.errors import FileProblem, Problem
from blankwright.base.findings import Finding, worst_first
from blankwright.develop.blank import Blank
from blankwright.develop.develop import develop_blank
from blankwright.holes.placing import Way
from blankwright.holes.template import (
    PlacedTemplate,
    Template,
    other_side,
    place_template,
)
from blankwright.holes.template_checks import check_template
from blankwright.holes.template_sizes import (
    diagonals_of,
    from_point,
    nearest_of_each_kind,
    sizes_from,
)
from blankwright.jobs.findings_json import SHORT, findings_json
from blankwright.jobs.items import Item
from blankwright.jobs.project import Project
from blankwright.part.model import Part

FOLDER = "templates"
"""Where template files are, in the project's folder."""


@dataclass(frozen=True, kw_only=True)
class TemplateState:
    """A template and what follows from it.

    Args:
        placed: among its references
        blank: its plate
        findings: the worst first
    """

    placed: PlacedTemplate
    blank: Blank
    findings: tuple[Finding, ...]

    @property
    def name(self) -> str:
        """Name of its files."""
        return self.placed.template.plate.name


def template_files(project: Project) -> tuple[Path, ...]:
    """Return the template files of a project, sorted by name."""
    return tuple(sorted((project.root / FOLDER).glob("*.toml")))


def chosen_templates(project: Project, names: Sequence[str]) -> tuple[Path, ...]:
    """Return the template files that are named, or all.

    Raises:
        FileProblem: with every name that is none
    """
    every = template_files(project)
    if not names:
        return every
    known = {path.stem: path for path in every}
    problems = [
        Problem(
            code="PROJECT-002",
            where=str(project.root / FOLDER),
            got=f"there is no template {name}",
            allowed=", ".join(known) or "none yet",
            fix="Check the spelling, or write the template file",
        )
        for name in names
        if name.removesuffix(".toml") not in known
    ]
    if problems:
        raise FileProblem(*problems)
    return tuple(known[name.removesuffix(".toml")] for name in names)


def read_project_template(project: Project, path: Path) -> Template:
    """Read a template file of a project; raises as `files.templatefile.read_template`."""
    from blankwright.files.templatefile import read_template

    def parts(name: str, variant: str) -> Part:
        return Item(path=project.parts_folder / f"{name}.toml", variant=variant).read()

    return read_template(path, parts)


def template_state(template: Template) -> TemplateState:
    """Place a template, develop its plate and check both."""
    placed = place_template(template)
    return TemplateState(
        placed=placed,
        blank=develop_blank(template.plate),
        findings=worst_first(check_template(placed)),
    )


def sides_of(state: TemplateState) -> tuple[TemplateState, ...]:
    """Return the template, and the one for the other side where it has one."""
    if not state.placed.template.mirror:
        return (state,)
    placed = other_side(state.placed)
    return (
        state,
        TemplateState(
            placed=placed,
            blank=develop_blank(placed.template.plate),
            findings=worst_first(check_template(placed)),
        ),
    )


def template_outputs(project: Project, state: TemplateState) -> dict[str, bytes]:
    """Return the proved files of a template by name; nothing is written.

    Raises:
        OurBug: when a file fails its proof
    """
    from blankwright.files.template_out import placing_card_pdf, template_dxf, template_pdf
    from blankwright.jobs.prints import print_setup

    setup = print_setup(project)
    files: dict[str, bytes] = {}
    for one in sides_of(state):
        title = one.placed.template.plate.title
        if one.placed.other_side:
            title += ", other side"
        files[f"{one.name}.pdf"] = template_pdf(one.placed, one.blank, title, setup)
        files[f"{one.name}.dxf"] = template_dxf(one.placed, one.blank, title)
        files[f"{one.name}-card.pdf"] = placing_card_pdf(one.placed, one.findings, setup)
    files[f"{state.name}.json"] = (
        json.dumps(template_result(state), indent=1, ensure_ascii=False) + "\n"
    ).encode("utf-8")
    return files


def template_folder(project: Project, path: Path) -> Path:
    """Return the folder of a template's files; its plate, made as a part, has one of its own."""
    return project.out / f"placing-{path.stem}"


def make_template(project: Project, path: Path) -> tuple[TemplateState, tuple[Path, ...]]:
    """Make the files of one template; those of the time before that it has no more are removed.

    Raises:
        BadInput: with every problem of the file
        OurBug: when a file fails its proof; nothing is written then
        FileProblem: when a file can't be written
    """
    from blankwright.jobs.outputs import input_key, write_set

    item = Item(path=path)
    state = template_state(read_project_template(project, path))
    files = template_outputs(project, state)
    folder = template_folder(project, path)
    write_set(folder, input_key(project, item), files, state.findings)
    return state, tuple(folder / name for name in files)


def template_result(state: TemplateState) -> dict[str, Any]:
    """Return a template as plain values, mm."""
    template, network = state.placed.template, state.placed.network
    sides = []
    for one in sides_of(state):
        placed = one.placed
        sides.append(
            {
                "name": one.name,
                "other_side": placed.other_side,
                "words": {
                    side: placed.template.word(side) for side in ("front", "right", "back", "left")
                },
                "sizes": [
                    {
                        "reference": size.reference,
                        "side": size.side,
                        "low": _n(size.low),
                        "high": _n(size.high),
                        "over": size.over,
                    }
                    for size in sizes_from(placed)
                ],
                "diagonals": [
                    {"from": d.start, "to": d.end, "length": _n(d.length), "pair": d.pair}
                    for d in diagonals_of(placed)
                ],
                "holes": [
                    {
                        "name": hole.name,
                        "center": [_n(hole.center[0]), _n(hole.center[1])],
                        "drill": hole.drill,
                        "diameter": _n(hole.diameter or 0.0),
                    }
                    for hole in one.blank.holes
                ],
                "witness": None
                if placed.template.opening is None
                else {
                    name: _n(gap)
                    for name, gap in from_point(placed, placed.template.opening.witness)
                },
                "nearest": [
                    {"kind": kind, "reference": name, "distance": _n(gap)}
                    for kind, name, gap in nearest_of_each_kind(placed)
                ],
            }
        )
    return {
        "format": 1,
        "name": template.name,
        "title": template.plate.title,
        "drawing": template.plate.drawing,
        "paper": template.paper,
        "sides": sides,
        "measured": [
            {
                "name": m.name,
                "from": m.first,
                "to": m.second,
                "distance": _n(m.distance),
                "plus_minus": _n(m.plus_minus),
                "ends": list(m.ends),
                "moved_by": _n(
                    max(abs(network.adjusted[way].residuals[m.name, e]) for e in m.ends)
                ),
            }
            for way in Way
            for m in template.measured.get(way, ())
        ],
        "measured_diagonals": [
            {
                "name": d.name,
                "from": list(d.start),
                "to": list(d.end),
                "distance": _n(d.distance),
                "plus_minus": _n(d.plus_minus),
                "moved_by": _n(abs(network.residuals[d.name])),
            }
            for d in template.diagonals
        ],
        "out_of_square": None if network.lean is None else _n(math.degrees(network.lean)),
        "contradictions": [
            {
                "measured": c.name,
                "end": c.end,
                "said": _n(c.said),
                "others_say": _n(c.others_say),
                "size": _n(c.size),
                "allowed": _n(c.allowed),
                "suspects": list(c.suspects),
            }
            for c in network.contradictions
        ],
        "findings": findings_json(state.findings, SHORT),
    }


def template_part(project: Project, path: Path) -> Part:
    """Return the plate of a template as a part, to be packed and cut like any other."""
    template = read_project_template(project, path)
    return replace(template.plate, name=f"template-{template.plate.name}")


def _n(value: float) -> float:
    return round(value, 9) + 0.0
