"""`blankwright check`: say what is wrong with parts."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from blankwright.base.errors import BlankwrightError
from blankwright.cli.shared import (
    STOP,
    json_option,
    plain,
    print_findings,
    print_json,
    project_option,
)
from blankwright.jobs.items import chosen
from blankwright.jobs.part_state import state_of
from blankwright.jobs.project import find_project
from blankwright.jobs.shop_coupons import coupons_of


@click.command()
@click.argument("parts", nargs=-1)
@project_option
@json_option
def command(parts: tuple[str, ...], folder: Path, as_json: bool) -> None:
    """Check PARTS, or all, and say what is wrong with each and what to do.

    Nothing is written.
    """
    project = find_project(folder)
    coupons = coupons_of(project)
    result: dict[str, object] = {}
    status = 0
    for item in chosen(project, parts):
        try:
            state = state_of(item.read(), coupons)
        except BlankwrightError as error:
            status = max(status, error.exit_status)
            result[item.name] = {"problems": plain(error.problems)}
            if not as_json:
                click.secho(item.name, bold=True)
                click.echo(str(error), err=True)
            continue
        if state.blocked:
            status = max(status, STOP)
        result[item.name] = {"findings": plain(state.findings), "blocked": state.blocked}
        if not as_json:
            count = len(state.findings)
            word = "stop" if state.blocked else f"{count} finding{'s' if count > 1 else ''}"
            click.secho(
                f"{item.name}: {word if state.findings else 'nothing to report'}", bold=True
            )
            print_findings(state.findings)
    if as_json:
        print_json(result)
    sys.exit(status)
