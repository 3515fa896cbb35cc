"""`blankwright trail`: where a part's numbers come from."""

from __future__ import annotations

from pathlib import Path

import click

from blankwright.base.units import System, show
from blankwright.cli.shared import json_option, print_json, project_option, units_option
from blankwright.jobs.items import chosen
from blankwright.jobs.part_state import state_of
from blankwright.jobs.project import find_project
from blankwright.jobs.shop_coupons import coupons_of


@click.command()
@click.argument("part")
@click.option("--about", default="", help="Only numbers whose name has this word in it.")
@project_option
@units_option
@json_option
def command(part: str, about: str, folder: Path, units: str, as_json: bool) -> None:
    """Show where the numbers of PART come from: inputs, formula, table row, source."""
    project = find_project(folder)
    system = System(units)
    for item in chosen(project, (part,)):
        state = state_of(item.read(), coupons_of(project))
        steps = [step for step in state.trail if about.lower() in step.name.lower()]
        if as_json:
            print_json({"part": item.name, "trail": steps})
            continue
        click.secho(f"{item.name}: {state.part.title}", bold=True)
        if not steps:
            click.echo(f"No number of it has {about!r} in its name.")
        for step in steps:
            click.echo(f"{step.name} = {show(step.value, step.kind, system)}")
            click.echo(f"    {step.formula}")
            for name, value, kind in step.inputs:
                click.echo(f"    {name} = {show(value, kind, system)}")
            if step.source:
                click.echo(f"    source: {step.source}")
