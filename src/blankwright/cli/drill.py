"""`blankwright drill`: the ladder from pilot to final hole with the shop's drills."""

from __future__ import annotations

import math
from pathlib import Path

import click

from blankwright.cli.shared import (
    json_option,
    print_findings,
    print_json,
    project_option,
    table,
)
from blankwright.handbook.drills import all_drills
from blankwright.holes.drill_rack import DrillRack
from blankwright.holes.ladder import AskedHole, Ladder, plan_ladder
from blankwright.jobs.holes_drilling import (
    default_project,
    ladder_result,
    read_hole_size,
    read_stack,
    shop_drills,
)


@click.command()
@click.argument("final")
@click.option("--pilot", default="", help="The hole that is there, such as '#40'. [default: none]")
@click.option(
    "--stack", default="0.040 in", show_default=True, help="Sheets: '0.032 in + 0.063 in'."
)
@click.option("--steel", is_flag=True, help="The sheets are steel.")
@click.option("--holes", default=1, show_default=True, type=click.IntRange(1), help="How many.")
@click.option("--over", default="", help="How much larger the hole may be, such as '0.002 in'.")
@click.option("--under", default="", help="How much smaller the hole may be.")
@click.option("--step-drill", is_flag=True, help="Use a step drill where one fits.")
@project_option
@json_option
def command(
    final: str,
    pilot: str,
    stack: str,
    steel: bool,
    holes: int,
    over: str,
    under: str,
    step_drill: bool,
    folder: Path,
    as_json: bool,
) -> None:
    """Plan the passes to the hole FINAL, such as '#11' or '0.1895 in'.

    With the drills that the project's shop.toml lists under [drills], or all there are.
    """
    project = default_project(folder)
    rack = DrillRack(drills=all_drills()) if project is None else shop_drills(project)
    asked = AskedHole(
        final=read_hole_size(final),
        pilot=read_hole_size(pilot) if pilot else 0.0,
        stack=read_stack(stack),
        material="steel" if steel else "aluminium",
        plus=read_stack(over)[0] if over else math.inf,
        minus=read_stack(under)[0] if under else math.inf,
        holes=holes,
        use_step_drill=step_drill,
    )
    ladder = plan_ladder(asked, rack)
    if as_json:
        print_json(ladder_result(ladder))
        return
    show_ladder(ladder)


def show_ladder(ladder: Ladder, indent: str = "") -> None:
    """Print a ladder."""
    table(
        (f"{indent}pass", "tool", "hole after it", "opens by", "strokes"),
        [
            (
                f"{indent}{i + 1}",
                one.tool if one.kind.value in one.tool else f"{one.tool} {one.kind.value}",
                f"{one.diameter:.3f} mm",
                f"{one.step:.3f} mm",
                str(one.strokes * ladder.holes),
            )
            for i, one in enumerate(ladder.passes)
        ],
    )
    click.echo(
        f"{indent}in all: passes {len(ladder.passes)}, holes {ladder.holes}, strokes"
        f" {ladder.strokes}"
    )
    if ladder.reached is not None:
        low, high = ladder.reached
        click.echo(f"{indent}likely hole: {low:.3f} to {high:.3f} mm")
    click.echo(f"{indent}then deburr both sides of every sheet, parts taken apart")
    print_findings(ladder.findings)
