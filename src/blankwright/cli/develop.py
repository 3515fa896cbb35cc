"""`blankwright develop`: make the files of parts."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from blankwright.cli.shared import json_option, plain, print_findings, print_json, project_option
from blankwright.jobs.develop_parts import Outcome, develop_parts
from blankwright.jobs.items import chosen
from blankwright.jobs.project import find_project


@click.command()
@click.argument("parts", nargs=-1)
@project_option
@click.option("--workers", type=click.IntRange(1), default=None, help="Parts at a time.")
@json_option
def command(parts: tuple[str, ...], folder: Path, workers: int | None, as_json: bool) -> None:
    """Make blank, paper model, formed part and traveler of PARTS, or of all.

    Each part gets a folder under out/. Every file is read back and measured before it is kept;
    a check that says stop keeps them from being written. Parts that did not change are left.
    """
    project = find_project(folder)
    items = chosen(project, parts)
    count = 0

    def show(outcome: Outcome) -> None:
        nonlocal count
        count += 1
        if not as_json:
            print_outcome(outcome, f"[{count}/{len(items)}]")

    outcomes = develop_parts(project, items, show, workers)
    if as_json:
        print_json({outcome.item.name: plain(outcome) for outcome in outcomes})
    elif not items:
        click.echo(f"There are no part files in {project.parts_folder} yet.")
    sys.exit(max((outcome.status for outcome in outcomes), default=0))


def print_outcome(outcome: Outcome, mark: str) -> None:
    """Print what became of one part."""
    name, made = outcome.item.name, outcome.made
    if made is None:
        click.secho(f"{mark} {name}: not made", bold=True)
        for problem in outcome.problems:
            click.echo(f"  {problem}", err=True)
        return
    if made.unchanged:
        click.echo(f"{mark} {name}: unchanged")
    elif made.blocked:
        click.secho(f"{mark} {name}: STOP, no files were made", bold=True)
    else:
        click.echo(f"{mark} {name}: {len(made.files)} files proved and kept in {made.folder}")
    print_findings(made.findings)
