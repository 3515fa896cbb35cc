"""The job of bend plans: a part on the shop's tools, its card, and what to change when none is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.findings import Finding, worst_first
from blankwright.bending.measures import Expected, expected_of
from blankwright.bending.plan import BendPlan, plan_bends
from blankwright.bending.remedies import Remedies
from blankwright.bending.remedy_kinds import Tried
from blankwright.bending.search import Tell, no_tell
from blankwright.bending.tools import Shop, supposed_shop
from blankwright.bending.words import findings_of
from blankwright.develop.coupons import Coupons
from blankwright.files.shopfile import NAME, read_shop
from blankwright.files.shopfile_brakes import bending_shop
from blankwright.files.whole import write_whole
from blankwright.jobs.items import Item
from blankwright.jobs.part_state import PartState, state_of
from blankwright.jobs.project import Project
from blankwright.jobs.shop_coupons import coupons_of

if TYPE_CHECKING:
    from blankwright.develop.blank import Blank

FOLDER = "bend-plans"
"""Folder under `out` that plans go into."""


@dataclass(frozen=True, eq=False, kw_only=True)
class PlannedPart:
    """A part and its bend plan.

    Args:
        name: of the item
        state: the part
        plan: its plan
        expected: what the finished part will measure; none without a plan
        findings: about the plan, the worst first
        tried: what was tried when no order works; none unless asked for
    """

    name: str
    state: PartState
    plan: BendPlan
    expected: tuple[Expected, ...]
    findings: tuple[Finding, ...]
    tried: tuple[Tried, ...] = ()

    @property
    def blocked(self) -> bool:
        """Whether a finding keeps the card from being written."""
        return any(finding.blocks for finding in self.findings)


def shop_of(project: Project) -> Shop:
    """Return the project's bending tools, or the shop that is supposed without a file.

    Raises:
        BadInput: with every problem of the shop file
        FileProblem: when it can't be read
    """
    path = project.root / NAME
    return bending_shop(read_shop(path)) if path.is_file() else supposed_shop()


def plan_item(
    project: Project,
    item: Item,
    *,
    remedies: bool = False,
    tell: Tell = no_tell,
    tell_tried: Callable[[str], None] = lambda _: None,
) -> PlannedPart:
    """Plan the bends of one item.

    Args:
        project: where
        item: what
        remedies: whether to try changes when no order works
        tell: told how far the search is
        tell_tried: told what is being tried

    Raises:
        BadInput: with every problem of part or shop file
        NotPossible: when the part can't be developed, or a check says stop (BENDPLAN-020)
    """
    coupons = coupons_of(project)
    state = state_of(item.read(), coupons)
    return plan_state(
        item.name,
        state,
        shop_of(project),
        coupons,
        remedies=remedies,
        tell=tell,
        tell_tried=tell_tried,
    )


def plan_state(
    name: str,
    state: PartState,
    shop: Shop,
    coupons: Coupons,
    *,
    remedies: bool = False,
    tell: Tell = no_tell,
    tell_tried: Callable[[str], None] = lambda _: None,
) -> PlannedPart:
    """Plan the bends of a part that is developed already; arguments as `plan_item` has them.

    Raises:
        NotPossible: when a check says stop (BENDPLAN-020)
    """
    if state.blocked:
        raise NotPossible(
            Problem(
                code="BENDPLAN-020",
                where=name,
                got="a check says stop, so its bends aren't planned",
                fix="Look at its findings: blankwright check",
            )
        )
    plan = plan_bends(state.blank, shop, tell=tell)
    expected = expected_of(plan, _k_plus_minus(state.blank, coupons)) if plan.found else ()
    tried: tuple[Tried, ...] = ()
    if remedies and not plan.found:
        tried = Remedies(state.part, plan, coupons, tell_tried).tried()
    return PlannedPart(
        name=name,
        state=state,
        plan=plan,
        expected=expected,
        findings=worst_first(findings_of(plan)),
        tried=tried,
    )


def _k_plus_minus(blank: Blank, coupons: Coupons) -> Mapping[str, float]:
    found: dict[str, float] = {}
    for bend in blank.bends:
        match = coupons.best(blank.alloy, blank.thickness, bend.inside_radius, bend.angle)
        if match is not None:
            found[bend.name] = match.k_plus_minus
    return found


def keep_plan(project: Project, planned: PlannedPart) -> tuple[Path, ...]:
    """Play a plan through with another library, and keep its card and JSON under `out`.

    Raises:
        OurBug: when the plan runs into a tool, or the card fails its proof; nothing is kept
        FileProblem: when a file can't be written
    """
    from blankwright.files.bend_cards import bend_card_pdf
    from blankwright.files.bend_collision import prove_plan
    from blankwright.jobs.bending_json import plan_json
    from blankwright.jobs.prints import print_setup

    folder = project.out / FOLDER
    files: dict[str, bytes] = {f"{planned.name}-bend-plan.json": plan_json(planned)}
    if planned.plan.steps and not planned.blocked:
        prove_plan(planned.plan)
        files[f"{planned.name}-bend-plan.pdf"] = bend_card_pdf(
            planned.state.part,
            planned.plan,
            planned.expected,
            planned.findings,
            print_setup(project),
        )
    folder.mkdir(parents=True, exist_ok=True)
    for name, data in files.items():
        write_whole(folder / name, data)
    return tuple(folder / name for name in sorted(files))


def keep_measure_sheet(project: Project) -> Path:
    """Keep the sheet that shows what to measure on bending tools, under `out`.

    Raises:
        OurBug: when it fails its proof
        FileProblem: when it can't be written
    """
    from blankwright.files.bend_cards import measure_sheet_pdf
    from blankwright.jobs.prints import print_setup

    folder = project.out / FOLDER
    data = measure_sheet_pdf(print_setup(project))
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "what-to-measure.pdf"
    write_whole(path, data)
    return path
