"""`blankwright print`: full-size prints of parts, and the printer's own error."""

from __future__ import annotations

from pathlib import Path

import click

from blankwright.cli.shared import json_option, plain, print_json, project_option
from blankwright.jobs.items import chosen
from blankwright.jobs.prints import (
    KINDS,
    keep_printer,
    print_check_sheet,
    print_part,
    print_setup,
    reopened,
)
from blankwright.jobs.project import Project, find_project


@click.command()
@click.argument("parts", nargs=-1)
@project_option
@click.option(
    "--kind",
    type=click.Choice(list(KINDS)),
    default="full",
    show_default=True,
    help="; ".join(f"{kind}: {words}" for kind, words in KINDS.items()) + ".",
)
@click.option("--paper", default="", metavar="PAPER", help="Another paper than the project's.")
@click.option(
    "--check-sheet", is_flag=True, help="Print the sheet to measure the printer's error on."
)
@click.option(
    "--across",
    nargs=2,
    default=("", ""),
    metavar="ASKED MEASURED",
    help='A line across the sheet, and what it measures: "180 mm" "179.4 mm".',
)
@click.option(
    "--along",
    nargs=2,
    default=("", ""),
    metavar="ASKED MEASURED",
    help="The same for a line along the sheet.",
)
@json_option
def command(
    parts: tuple[str, ...],
    folder: Path,
    kind: str,
    paper: str,
    check_sheet: bool,
    across: tuple[str, str],
    along: tuple[str, str],
    as_json: bool,
) -> None:
    """Print the blanks of PARTS, or of all, at full size, to out/prints.

    Papers are A4, A3, A2, A1, A0, Letter, Legal, Tabloid and rolls such as "roll 24 in". Each print
    is read back and measured before it is kept. Print it at 100 %, without "fit to page".

    The printer's own error is entered once: print the check sheet, measure its two bars, and state
    them by --across and --along. Prints are corrected by it from then on.
    """
    project = find_project(folder)
    files: list[Path] = []
    stated = any(across) or any(along)
    if stated:
        keep_printer(project, {"across": across, "down": along})
        project = reopened(project)
    if check_sheet:
        files.append(print_check_sheet(project, paper))
    if parts or not (stated or check_sheet):
        files += [print_part(project, item, kind, paper) for item in chosen(project, parts)]
    if as_json:
        print_json({"files": plain(files), "printer": plain(print_setup(project).printer)})
        return
    for path in files:
        click.echo(f"kept {path}")
    if stated:
        _say_error(project)


def _say_error(project: Project) -> None:
    printer = print_setup(project).printer
    click.echo(
        f"A line of 100 mm comes out as {100 * printer.across:.3f} mm across and "
        f"{100 * printer.along:.3f} mm along the sheet. Prints are corrected by it from now on."
    )
