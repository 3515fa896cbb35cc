"""`blankwright order`: files for a laser or water-jet service."""

from __future__ import annotations

from pathlib import Path

import click

from blankwright.cli.pack import read_copies
from blankwright.cli.shared import json_option, plain, print_json, project_option
from blankwright.jobs.cutting_order import order_files
from blankwright.jobs.project import find_project


@click.command()
@click.argument("parts", nargs=-1)
@project_option
@click.option(
    "--copies",
    multiple=True,
    metavar="PART=COUNT",
    help="How many of a part, where it is not one. May be given again.",
)
@json_option
def command(parts: tuple[str, ...], folder: Path, copies: tuple[str, ...], as_json: bool) -> None:
    """Make DXF files and order sheets for a service that cuts PARTS, or all.

    One file for each alloy and thickness: closed loops at full size in mm, kerf left to the
    service. They go to out/order.
    """
    files = order_files(find_project(folder), parts, read_copies(copies))
    if as_json:
        print_json(plain(files))
        return
    for path in files:
        click.echo(f"kept {path}")
