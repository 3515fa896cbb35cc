"""`blankwright page`: open the page in the browser."""

from __future__ import annotations

from pathlib import Path

import click

from blankwright.cli.shared import project_option
from blankwright.jobs.project import find_project


@click.command()
@project_option
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="0 takes a free one.")
@click.option("--no-browser", is_flag=True, help="Do not open the browser.")
def command(folder: Path = Path(), port: int = 0, no_browser: bool = False) -> None:
    """Open the project's page in the browser. It can be reached from this computer only."""
    project = find_project(folder)
    from blankwright.page.app import serve

    serve(project.root, port=port, open_browser=not no_browser)
