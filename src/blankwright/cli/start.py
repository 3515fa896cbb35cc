"""`blankwright start`: make a project folder."""

from __future__ import annotations

from pathlib import Path

import click

from blankwright.cli.shared import json_option, print_json
from blankwright.jobs.project import PAPERS, start_project


@click.command()
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@click.option("--title", default="", help="What you build. [default: the folder's name]")
@click.option("--paper", type=click.Choice(PAPERS), default="A4", help="Paper of your printer.")
@json_option
def command(folder: Path, title: str, paper: str, as_json: bool) -> None:
    """Make a project folder: one airplane, or one set of parts.

    What is in the folder already is left as it is.
    """
    project = start_project(folder, title, paper)
    if as_json:
        print_json({"root": str(project.root), "title": project.title, "paper": project.paper})
        return
    click.echo(f"Project {project.title} in {project.root}.")
    click.echo(f"Write part files in {project.parts_folder}, or open the page: blankwright page")
