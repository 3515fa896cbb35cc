"""`blankwright demo`: the main job on the example airplane."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from blankwright.cli.develop import print_outcome
from blankwright.cli.shared import json_option, plain, print_json
from blankwright.jobs.demo import lay_out_demo
from blankwright.jobs.develop_parts import Outcome, develop_parts
from blankwright.jobs.items import chosen


@click.command()
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), default=Path("demo"))
@json_option
def command(folder: Path, as_json: bool) -> None:
    """Lay out the example airplane in FOLDER [default: demo] and develop its parts."""
    project = lay_out_demo(folder)
    items = chosen(project, ())
    count = 0

    def show(outcome: Outcome) -> None:
        nonlocal count
        count += 1
        if not as_json:
            print_outcome(outcome, f"[{count}/{len(items)}]")

    outcomes = develop_parts(project, items, show)
    if as_json:
        print_json({outcome.item.name: plain(outcome) for outcome in outcomes})
    else:
        click.echo(f"\n{project.title}: {len(items)} parts in {project.out}.")
        click.echo(f"Look at one on the page: blankwright page --project {folder}")
    # A part of the example may stop on purpose; only bad input and bugs fail the demo.
    sys.exit(max((o.status for o in outcomes if o.status > 1), default=0))
