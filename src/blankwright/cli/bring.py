"""`blankwright bring`: bring in a part drawn elsewhere."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from blankwright.cli.shared import json_option, plain, print_findings, print_json, project_option
from blankwright.jobs.bring_in import (
    BroughtIn,
    Renewed,
    bring_again,
    drawing_for,
    keep,
    look_at,
    read_drawing,
)
from blankwright.jobs.bring_in_asked import Asked, Candidate, read_bend_asked
from blankwright.jobs.project import find_project
from blankwright.jobs.shop_coupons import coupons_of

_LINES = "Such as `layer CUT`, `line type CENTER`, `colour 1`, `layer 0, closed lines`. Repeatable."


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--keep", "keeps", is_flag=True, help="Write the part file that is shown.")
@click.option("--again", is_flag=True, help="Take a changed drawing for the parts taken from it.")
@click.option("--title", default="", help="Title of the part. [default: the file's name]")
@click.option("--name", default="", help="Name of the part file. [default: from the title]")
@click.option("--drawing", default="", help="Drawing number and revision.")
@click.option("--alloy", default="", help="Alloy and temper, such as 6061-T6.")
@click.option("--thickness", default="", help="Thickness of the sheet, with its unit.")
@click.option("--units", default="", help="Unit of the drawing: mm, cm, m, in, ft or thou.")
@click.option("--outline", multiple=True, help=f"Lines that are the outline. {_LINES}")
@click.option("--openings", multiple=True, help="Lines that are openings, when not the same.")
@click.option("--bend-lines", multiple=True, help="Lines that are bend lines.")
@click.option("--tangent-lines", multiple=True, help="Lines that are bend tangent lines.")
@click.option("--leave-out", multiple=True, help="A point on a line that is none of these: X, Y.")
@click.option("--bend", "bends", multiple=True, help="A bend: `bend-1: up 90 deg R 1/8 in`.")
@click.option("--every-bend", default="", help="All other bends: `up 90 deg R 1/8 in`.")
@click.option("--k", "k", default="", help="Neutral-axis factor. [default: empirical formula]")
@click.option("--closes", default="", help="Widest gap to close. [default: 0.02 mm]")
@click.option("--fit", default="", help="How far arcs may stand off other curves. [0.005 mm]")
@click.option("--reach", default="", help="How far bend lines may end short of the edge. [0.5 mm]")
@click.option("--no-rounds", is_flag=True, help="Leave circles drawn as short lines as they are.")
@click.option("--relieve", is_flag=True, help="Take out the metal where two bends overlap.")
@click.option("--part-at", default="", help="A point on the metal of the part meant: X, Y.")
@click.option("--root-at", default="", help="A point on the flat that stays put: X, Y or X, Y, Z.")
@click.option("--layout", default="", help="Sheet to read in place of the model space.")
@click.option("--solid", default="", help="The one solid that is meant.")
@click.option(
    "--seen-from",
    type=click.Choice(["+x", "-x", "+y", "-y", "+z", "-z"]),
    default=None,
    help="Where the face side of a solid's root flat looks to.",
)
@project_option
@json_option
def command(
    file: Path,
    keeps: bool,
    again: bool,
    bends: tuple[str, ...],
    every_bend: str,
    seen_from: str | None,
    folder: Path,
    as_json: bool,
    **stated: Any,
) -> None:
    """Bring in a part drawn elsewhere: a bent solid (STEP) or a flat drawing (DXF).

    What FILE holds, what each line is taken for and the part file that would be written are
    shown. Nothing is guessed: what FILE does not say is asked for. --keep writes the part file,
    from which the part is made like any other.
    """
    project = find_project(folder)
    coupons = coupons_of(project)
    if again:
        sys.exit(_again(bring_again(project, file, write=keeps, coupons=coupons), keeps, as_json))
    asked = Asked(**stated, seen_from=seen_from or "")
    for text in bends:
        name, bend = read_bend_asked(text)
        asked = replace(asked, bends={**asked.bends, name: bend})
    if every_bend:
        asked = replace(asked, every_bend=read_bend_asked(every_bend)[1])
    data = read_drawing(file)
    brought = look_at(data, file.name, asked, drawing=drawing_for(project, file), coupons=coupons)
    if as_json:
        print_json(_as_json(brought))
    else:
        _show(brought)
    status = 0 if brought.candidates else 2
    ready = bool(brought.candidates) and all(c.ready for c in brought.candidates)
    if any(candidate.problems for candidate in brought.candidates):
        status = 2
    if not keeps and not as_json and ready and sys.stdin.isatty():
        keeps = click.confirm("Write it?")
    if keeps:
        names = keep(project, brought)
        if not as_json:
            for name in names:
                click.secho(f"Kept: {project.parts_folder / name}.toml", bold=True)
    elif not as_json and status == 0:
        click.echo("Nothing was written." + (" --keep writes it." if ready else ""))
    sys.exit(status)


def _as_json(brought: BroughtIn) -> dict[str, Any]:
    value: dict[str, Any] = plain(replace(brought, data=b""))
    del value["data"]
    for row, candidate in zip(value["candidates"], brought.candidates, strict=True):
        row["ready"] = candidate.ready
    return value


def _show(brought: BroughtIn) -> None:
    for name, problems in brought.refused:
        click.secho(f"{name}: no sheet part", bold=True)
        for problem in problems:
            click.echo(f"  {problem}", err=not brought.candidates)
    for candidate in brought.candidates:
        _show_candidate(candidate)


def _show_candidate(candidate: Candidate) -> None:
    click.secho(f"{candidate.name}, as it is understood:", bold=True)
    for line in candidate.told:
        click.echo(f"  {line}")
    click.echo()
    click.secho("The part file:", bold=True)
    for line in candidate.text.rstrip("\n").split("\n"):
        click.echo(f"  {line}".rstrip())
    click.echo()
    if candidate.questions:
        click.secho("To be stated first:", bold=True)
        for question in candidate.questions:
            click.echo(f"  {question.key}: {question.ask} (such as {question.example})")
    for problem in candidate.problems:
        click.echo(str(problem), err=True)
    if candidate.findings:
        click.secho("What the checks find:", bold=True)
        print_findings(candidate.findings)


def _again(renewed: tuple[Renewed, ...], keeps: bool, as_json: bool) -> int:
    status = 2 if any(one.problems for one in renewed) else 0
    if as_json:
        print_json(
            {
                one.name: {
                    "changed": one.changed,
                    "problems": plain(one.problems),
                    "findings": plain(one.state.findings) if one.state else [],
                }
                for one in renewed
            }
        )
        return status
    for one in renewed:
        word = "the drawing has changed" if one.changed else "the drawing has not changed"
        click.secho(f"{one.name}: {word}", bold=True)
        for problem in one.problems:
            click.echo(f"  {problem}", err=True)
        if one.state is not None:
            width, height = one.state.blank.size
            click.echo(
                f"  blank {width:.2f} × {height:.2f} mm, {len(one.state.blank.bends)} bends,"
                f" {len(one.state.blank.outline.holes)} openings"
            )
            print_findings(one.state.findings)
    if status:
        click.echo("Nothing was written.")
    elif keeps:
        click.echo("The part files stand for the drawing as it is now.")
    else:
        click.echo("Nothing was written. --keep takes the drawing as it is now.")
    return status
