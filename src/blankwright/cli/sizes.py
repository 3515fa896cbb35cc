"""`blankwright sizes`: a part's sizes, as typed and worked out."""

from __future__ import annotations

from pathlib import Path

import click

from blankwright.base.units import System, show
from blankwright.cli.shared import json_option, print_json, project_option, table, units_option
from blankwright.jobs.items import chosen
from blankwright.jobs.project import find_project


@click.command()
@click.argument("part")
@project_option
@units_option
@json_option
def command(part: str, folder: Path, units: str, as_json: bool) -> None:
    """Show the named sizes of PART: as typed, worked out, drawn or measured."""
    system = System(units)
    for item in chosen(find_project(folder), (part,)):
        stated = item.read()
        if as_json:
            print_json({"part": item.name, "sizes": stated.sizes})
            continue
        click.secho(f"{item.name}: {stated.title}", bold=True)
        table(
            ("size", "as typed", "value", "plus/minus", "from", "line"),
            [
                (
                    size.name,
                    size.text,
                    show(size.value, size.kind, system),
                    "" if size.plus_minus is None else show(size.plus_minus, size.kind, system),
                    size.origin.value,
                    str(size.line),
                )
                for size in stated.sizes
            ],
        )
