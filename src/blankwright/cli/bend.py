"""`blankwright bend`: plan the bends of parts on the shop's tools."""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

import click

from blankwright.base.errors import BlankwrightError
from blankwright.cli.shared import (
    STOP,
    json_option,
    plain,
    print_findings,
    print_json,
    project_option,
    table,
)

if TYPE_CHECKING:
    from blankwright.jobs.bending_plan import PlannedPart

PATIENCE = 1.0
"""Progress is shown past this [s]."""


@click.command()
@click.argument("parts", nargs=-1)
@project_option
@click.option("--remedies", is_flag=True, help="Where no order works, try what to change.")
@click.option("--measure", is_flag=True, help="Write the sheet of what to measure on the tools.")
@json_option
def command(
    parts: tuple[str, ...], folder: Path, remedies: bool, measure: bool, as_json: bool
) -> None:
    """Plan the bends of PARTS, or of all: the order, the tool, what to hold, what to set.

    The tools are those of shop.toml, or a small home shop where it states none. A card and a
    JSON file of each plan go to out/bend-plans; before that the plan is played through with
    another collision library.
    """
    from blankwright.jobs.bending_plan import keep_measure_sheet, keep_plan, plan_item
    from blankwright.jobs.items import chosen
    from blankwright.jobs.project import find_project

    project = find_project(folder)
    if measure:
        click.echo(f"Kept {keep_measure_sheet(project)}", err=as_json)
        if not parts:
            return
    result: dict[str, object] = {}
    status = 0
    for item in chosen(project, parts):
        progress = _Progress(item.name, quiet=as_json)
        try:
            planned = plan_item(
                project,
                item,
                remedies=remedies,
                tell=progress.search,
                tell_tried=progress.trying,
            )
            files = keep_plan(project, planned)
        except BlankwrightError as error:
            status = max(status, error.exit_status)
            result[item.name] = {"problems": plain(error.problems)}
            if not as_json:
                click.secho(item.name, bold=True)
                click.echo(str(error), err=True)
            continue
        if planned.blocked:
            status = max(status, STOP)
        if as_json:
            from blankwright.jobs.bending_json import plan_document

            result[item.name] = plan_document(planned)
        else:
            _show(planned, files)
    if as_json:
        print_json(result)
    sys.exit(status)


class _Progress:
    """Shows how far a search is, once it takes longer than `PATIENCE`."""

    def __init__(self, name: str, *, quiet: bool) -> None:
        self.name, self.quiet, self.begun = name, quiet, time.monotonic()

    def _say(self, text: str) -> None:
        if not self.quiet and time.monotonic() - self.begun > PATIENCE:
            click.echo(f"  {self.name}: {text}", err=True)

    def search(self, done: int, of: int) -> None:
        self._say(f"sets of {done} of {of} bends")

    def trying(self, what: str) -> None:
        self._say(f"trying {what}")


def _show(planned: PlannedPart, files: tuple[Path, ...]) -> None:
    from blankwright.bending.words import minutes, steps_words

    plan = planned.plan
    click.secho(planned.name, bold=True)
    if plan.found and not plan.steps:
        click.echo("  no bends")
    elif plan.found:
        word = "proved best" if plan.proved else "not proved best"
        click.echo(f"  {steps_words(plan)}, {minutes(plan.cost)} reckoned, {word}")
        _show_steps(planned)
        _show_expected(planned)
    print_findings(planned.findings)
    for tried in planned.tried:
        cost = f", {minutes(tried.cost)}" if tried.works else ""
        click.echo(f"  {tried.remedy.value}: {tried.text}: {tried.verdict}{cost}")
    for path in files:
        click.echo(f"  kept {path}")


def _show_steps(planned: PlannedPart) -> None:
    from blankwright.bending.settings import setting_of
    from blankwright.bending.words import (
        angle_words,
        bar_words,
        held_words,
        names,
        stop_words,
        turn_words,
        way_words,
    )

    for number, step in enumerate(planned.plan.steps, 1):
        setting = setting_of(planned.plan, step)
        click.secho(f"  {number}  {names(step.bends)}: {step.tool.name}", bold=True)
        lines = (
            f"{turn_words(step, number == 1)}: {held_words(step)}",
            f"{angle_words(setting)}; nose {step.nose:.1f} mm, {bar_words(step)}",
            f"stop: {stop_words(step, setting)}",
            way_words(step),
        )
        for line in lines:
            if line:
                click.echo(f"     {line}")


def _show_expected(planned: PlannedPart) -> None:
    from blankwright.bending.words import EXPECTED_HEAD, expected_rows

    if planned.expected:
        table(EXPECTED_HEAD, expected_rows(planned.expected))
