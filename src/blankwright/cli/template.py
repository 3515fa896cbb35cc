"""`blankwright template`: drill templates and openings, with their placing cards."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from blankwright.cli.shared import (
    json_option,
    print_findings,
    print_json,
    project_option,
    table,
)
from blankwright.jobs.holes_templates import (
    chosen_templates,
    make_template,
    read_project_template,
    template_result,
    template_state,
)
from blankwright.jobs.project import find_project


@click.command()
@click.argument("names", nargs=-1)
@project_option
@json_option
@click.option("--dry", is_flag=True, help="Only say where it goes; make no files.")
def command(names: tuple[str, ...], folder: Path, as_json: bool, dry: bool) -> None:
    """Place the templates NAMES, or all, and make print, DXF and placing card of each.

    A template file in templates/ says what the plate is, which lines of the structure it is
    located from, and what was measured between them. Files go to out/placing-NAME.
    """
    project = find_project(folder)
    results = []
    for path in chosen_templates(project, names):
        files: tuple[Path, ...] = ()
        if dry:
            state = template_state(read_project_template(project, path))
        else:
            state, files = make_template(project, path)
        result = template_result(state)
        results.append(result)
        if as_json:
            continue
        click.secho(f"{result['name']}: {result['title']}", bold=True)
        for side in result["sides"]:
            if side["other_side"]:
                click.echo("  other side of the airplane:")
            table(
                ("  from", "to side", "at one end", "at the other"),
                [
                    (
                        f"  {size['reference']}",
                        side["words"][size["side"]] + (", over it" if size["over"] else ""),
                        f"{abs(size['low']):.2f} mm",
                        f"{abs(size['high']):.2f} mm",
                    )
                    for size in side["sizes"]
                ],
            )
        print_findings(state.findings)
        for file in files:
            click.echo(f"  kept {file}")
    if as_json:
        print_json(results)
    sys.exit(0)
