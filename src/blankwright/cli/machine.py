"""`blankwright machine`: make machine files for the sheets of the layout."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import click

from blankwright.base.trail import TrailStep
from blankwright.base.units import trimmed
from blankwright.cli.shared import (
    STOP,
    json_option,
    plain,
    print_findings,
    print_json,
    project_option,
    table,
)
from blankwright.jobs.cutting_machine import machine_files
from blankwright.jobs.project import find_project


@click.command()
@click.argument("sheets", nargs=-1)
@project_option
@click.option("--feeds", is_flag=True, help="Show speeds and feeds, and where each comes from.")
@json_option
def command(sheets: tuple[str, ...], folder: Path, feeds: bool, as_json: bool) -> None:
    """Make machine files for the SHEETS of the layout, or for all, each with its dry run.

    Every file is replayed by two readers before it is kept: the cutter must not enter a part, nor
    leave any of its edge uncut but the tabs, nor come near a clamp. Files go to out/machine.

    Run the dry run above the work first. Wear eye and ear protection; clamp the work.
    """
    made = machine_files(find_project(folder), sheets)
    if as_json:
        print_json(
            {
                file.title: {
                    "files": plain(paths),
                    "findings": plain(file.findings),
                    "trail": plain(file.trail),
                }
                for file, paths in made
            }
        )
    else:
        for file, paths in made:
            if file.blocked:
                click.secho(f"{file.title}: STOP, no file was made", bold=True)
            else:
                click.secho(f"{file.title}: proved by two readers", bold=True)
            print_findings(file.findings)
            if feeds:
                _print_feeds(file.trail)
            for path in paths:
                click.echo(f"kept {path}")
    sys.exit(STOP if any(file.blocked for file, _ in made) else 0)


def _print_feeds(trail: Sequence[TrailStep]) -> None:
    rows = [(step.name, trimmed(step.value, 4), step.formula, step.source) for step in trail]
    table(("Speeds and feeds, mm and minutes", "Value", "By", "Source"), rows)
