"""`blankwright correct`: put what a trial fit taught back into a part file."""

from __future__ import annotations

from pathlib import Path

import click

from blankwright.cli.shared import project_option


@click.command()
@click.argument("part")
@click.argument("size")
@click.argument("value")
@project_option
@click.option("--because", required=True, help='What was found, such as "rubs left, 0.4 mm".')
@click.option("--date", "day", required=True, help="The day of the trial fit, such as 2026-11-25.")
@click.option("--measured", is_flag=True, help="VALUE was measured at the place.")
@click.option(
    "--drawing",
    type=click.Path(path_type=Path, dir_okay=False),
    default=None,
    help="Draw the old and the new blank over each other, as SVG in true size.",
)
def command(
    part: str,
    size: str,
    value: str,
    folder: Path,
    because: str,
    day: str,
    measured: bool,
    drawing: Path | None,
) -> None:
    """Set SIZE of PART to VALUE after a trial fit; date and reason stay in the part file.

    All other lines of the file stay as they are. The next blank follows.
    """
    from blankwright.jobs.fit_correct import Correction, correct_file
    from blankwright.jobs.project import find_project

    project = find_project(folder)
    path = project.parts_folder / f"{part}.toml"
    correction = Correction(size=size, to=value, reason=because, date=day, measured=measured)
    before, after = correct_file(path, correction, drawing)
    (x0, y0), (x1, y1) = before, after
    click.echo(f"{part}: {size} is {value} now. Blank {x0:.2f} × {y0:.2f} mm before,")
    click.echo(f"  {x1:.2f} × {y1:.2f} mm after.")
