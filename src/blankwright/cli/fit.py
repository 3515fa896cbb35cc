"""`blankwright fit`: does a part go into its place, slide, and stay?"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from blankwright.cli.shared import STOP, json_option, print_findings, print_json, project_option

if TYPE_CHECKING:
    from blankwright.jobs.fit_open import Fit
    from blankwright.jobs.fit_report import FitReport
    from blankwright.jobs.project import Project


@click.command()
@click.argument("places", nargs=-1)
@project_option
@click.option("--variant", default=None, help="Try this variant of the part.")
@click.option("--from", "way_from", default="", help="Side to come in from, or `any`.")
@click.option(
    "--sprung",
    is_flag=True,
    help="Where there is no way in, let the part spring as the place file states.",
)
@click.option("--sizes", is_flag=True, help="Say which size to change, and the chance of a fit.")
@click.option(
    "--space",
    type=click.FloatRange(min=0.1),
    default=None,
    metavar="SECONDS",
    help="Look for a way in through space for so long.",
)
@click.option(
    "--planner",
    type=click.Choice(("both", "own", "library")),
    default="both",
    help="Who looks through space: our own planner, then the planning library; or one alone.",
)
@click.option(
    "--picture",
    type=click.Path(path_type=Path, dir_okay=False),
    default=None,
    help="Write the way in, and motions beside it, as SVG pictures.",
)
@json_option
def command(
    places: tuple[str, ...],
    folder: Path,
    variant: str | None,
    way_from: str,
    sprung: bool,
    sizes: bool,
    space: float | None,
    planner: str,
    picture: Path | None,
    as_json: bool,
) -> None:
    """Say for PLACES, or all, whether the part fits: at rest, in motion, going in, staying in.

    A way in that is found is told in steps. That there is none is proved, in the section that
    the place file states.
    """
    from blankwright.jobs.fit_open import open_fit, places_of
    from blankwright.jobs.fit_report import fit_report
    from blankwright.jobs.project import find_project

    project = find_project(folder)
    status = 0
    results: dict[str, object] = {}
    names = places or places_of(project)
    for name in names:
        fit = open_fit(project, name, variant=variant)
        report = fit_report(fit, way_from=way_from, sprung=sprung)
        if report.blocked:
            status = STOP
        result = _plain_report(report)
        if not as_json:
            _show(fit, report)
        if sizes:
            result["sizes"] = _sizes(project, name, variant, fit, as_json)
        if space is not None:
            result["space"] = _space(fit, report, space, planner, as_json)
        if picture is not None:
            _draw(fit, report, picture, several=len(places) != 1)
        results[name] = result
    if as_json:
        print_json(results)
    elif not names:
        click.echo(
            "There are no place files yet, in the folder places. docs/fit.md has one to copy."
        )
    sys.exit(status)


def _show(fit: Fit, report: FitReport) -> None:
    from blankwright.jobs.fit_told import told

    click.secho(f"{report.part} in {report.place}", bold=True)
    for line in told(fit.place, report):
        click.echo(line)
    print_findings(report.findings)


def _plain_report(report: FitReport) -> dict[str, object]:
    from blankwright.jobs.fit_json import report_json

    return report_json(report)


def _sizes(
    project: Project, name: str, variant: str | None, fit: Fit, as_json: bool
) -> dict[str, object]:
    from blankwright.base.units import show
    from blankwright.jobs.fit_sizes import Gaps, changes_for, fit_chance
    from blankwright.jobs.fit_told import told_chance

    gaps = Gaps(project, name, variant, fit)
    changes = changes_for(gaps)
    chance = fit_chance(gaps)
    if not as_json:
        for change in changes:
            click.echo(
                f"  {change.wall}: change {change.size} by {show(change.by, change.kind)}"
                f" to {show(change.to, change.kind)}"
            )
        for line in told_chance(chance):
            click.echo(line)
    return {
        "changes": changes,
        "all_fit": chance.all_fit,
        "matters": chance.matters,
        "spreads": chance.spreads,
        "trials": chance.trials,
        "exact": chance.exact,
    }


def _space(
    fit: Fit, report: FitReport, seconds: float, planner: str, as_json: bool
) -> dict[str, object]:
    from blankwright.base.units import show_mm
    from blankwright.jobs.fit_ends import way_word
    from blankwright.jobs.fit_space import space_answer
    from blankwright.jobs.fit_space_told import told_way

    plane = report.ways[0].section if report.ways else None
    side = (0.0, 0.0, 1.0)
    if plane is not None and plane.side != (0.0, 0.0):
        side = plane.frame.vector((plane.side[0], plane.side[1], 0.0))
    answer = space_answer(fit, side, seconds, planner=planner)
    way = answer.way
    word = way_word(fit.place, side)
    steps = list(told_way(fit.place, fit.center, way)) if way is not None else []
    if not as_json:
        if answer.note:
            click.echo(f"In space: {answer.note}")
        click.echo(f"In space, from {word}: {answer.text}")
        for k, step in enumerate(steps, 1):
            click.echo(f"  {k}. {step}")
        if way is not None:
            click.echo(f"  It surely keeps {show_mm(way.surely, 3)}, least to {way.wall}")
    result: dict[str, object] = {
        "found": way is not None,
        "seconds": seconds,
        "planner": answer.planner,
        "note": answer.note,
    }
    if way is not None:
        result |= {
            "steps": steps,
            "moves": len(way.poses) - 1,
            "least": way.least,
            "surely": way.surely,
            "wall": way.wall,
        }
    return result


def _draw(fit: Fit, report: FitReport, picture: Path, *, several: bool) -> None:
    from blankwright.files.whole import write_whole
    from blankwright.jobs.fit_picture import way_picture
    from blankwright.jobs.fit_plot import travel_plot
    from blankwright.jobs.fit_rest_picture import rest_picture

    at_rest = picture.with_name(f"{picture.stem}-{report.place}-at-rest.svg")
    write_whole(at_rest, rest_picture(fit, report.rest))
    for way in report.ways:
        path = picture
        if several or len(report.ways) > 1:
            path = picture.with_name(f"{picture.stem}-{report.place}-{way.section.name}.svg")
        write_whole(path, way_picture(fit, way))
    for travel in report.travels:
        name = f"{picture.stem}-{report.place}-{travel.motion.name}.svg"
        write_whole(picture.with_name(name), travel_plot(travel))
