"""`blankwright air`: flow through the air paths of a place, and what chokes them."""

from __future__ import annotations

from pathlib import Path

import click

from blankwright.cli.shared import (
    json_option,
    print_findings,
    print_json,
    project_option,
    table,
)
from blankwright.holes.air import Flow
from blankwright.jobs.holes_air import AirResult, air_paths, air_result
from blankwright.jobs.project import find_project


@click.command()
@click.argument("place")
@project_option
@json_option
def command(place: str, folder: Path, as_json: bool) -> None:
    """Work out the air paths that PLACE states: flow and velocity, and what chokes them.

    By engineering correlations, each with its source; good to a fifth at best.
    """
    results = air_paths(find_project(folder), place)
    if as_json:
        print_json([air_result(result) for result in results])
        return
    if not results:
        click.echo("The place states no air path: add [air.NAME].")
    for result in results:
        _show(result)


def _show(result: AirResult) -> None:
    path = result.path
    click.secho(f"{path.name}: {path.density:.3f} kg/m³, {path.density_source}", bold=True)
    flows = (*result.flows, *result.partly)
    table(
        ("  speed", "pressure", "open", "flow", "as good as", "chokes"),
        [
            (
                f"  {flow.speed:.1f} m/s" if flow.speed else "  –",
                f"{flow.pressure:.0f} Pa",
                f"{flow.open_fraction:.0%}",
                f"{flow.flow * 1000:.1f} l/s",
                f"{flow.effective_area * 1e6:.0f} mm² without loss",
                flow.worst.name,
            )
            for flow in flows
        ],
    )
    if result.flows:
        _pieces(max(result.flows, key=lambda flow: flow.pressure))
    for one in result.opened:
        unit = {"length": "mm", "angle": "rad", "number": ""}[one.unit]
        steps = ", ".join(
            f"{t:.1f} {unit}: {f:.0%}" for t, f in zip(one.travel, one.fraction, strict=True)
        )
        click.echo(f"  {one.motion} uncovers {one.area:.0f} mm²; clear at {steps}")
    print_findings(result.findings)


def _pieces(flow: Flow) -> None:
    table(
        ("  piece", "velocity", "loss", "takes", "source"),
        [
            (
                f"  {share.name}",
                f"{share.velocity:.1f} m/s",
                f"{share.coefficient:.2f}",
                f"{share.pressure:.0f} Pa, {share.share:.0%}",
                share.source,
            )
            for share in flow.shares
        ],
    )
