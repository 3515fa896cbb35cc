"""`blankwright match`: holes of one part carried to the blanks of those it is riveted to."""

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
from blankwright.jobs.holes_matched import MatchedPair, matched_pairs, pair_result
from blankwright.jobs.holes_matched_files import make_matched, put_into_parts
from blankwright.jobs.project import find_project


@click.command()
@click.argument("place")
@project_option
@json_option
@click.option(
    "--make", is_flag=True, help="Also make DXF and print of each blank with its holes, and a card."
)
@click.option(
    "--into-parts",
    is_flag=True,
    help="Also put holes that may be drilled on the flat into the other parts' files.",
)
def command(place: str, folder: Path, as_json: bool, make: bool, into_parts: bool) -> None:
    """Carry the holes that PLACE asks to be matched onto the other parts' blanks.

    Says which may be drilled on the flat and which on assembly, which to pilot first, where
    temporary fasteners go, and what becomes of holes that are there already. Part files keep their
    comments; holes put in before are renewed.
    """
    project = find_project(folder)
    pairs = matched_pairs(project, place)
    files = make_matched(project, place, pairs) if make else ()
    put_in = put_into_parts(project, place) if into_parts else ()
    if as_json:
        print_json([pair_result(pair) for pair in pairs])
        return
    for pair in pairs:
        _show(pair)
    if not pairs:
        click.echo("The place asks for no matched holes: add [matched.NAME].")
    for path in files:
        click.echo(f"kept {path}")
    for one in put_in:
        what = ", ".join(one.holes) or "no hole"
        done = "put into" if one.changed else "already in"
        click.echo(f"{what}: {done} {one.path}")
        for hole, into in one.left_out:
            click.echo(f"{hole}: left out, it runs into hole {into}")


def _show(pair: MatchedPair) -> None:
    result = pair_result(pair)
    click.secho(f"{pair.name}: {pair.first.name} to {pair.other.name}", bold=True)
    rows = []
    for hole in result["holes"]:
        at = hole["on_blank"]
        rows.append(
            (
                f"  {hole['hole']}",
                hole["how"],
                "–" if at is None else f"{at[0]:.2f}, {at[1]:.2f} mm on {hole['place']}",
                "–" if hole["error"] is None else f"±{hole['error']:.2f} mm",
                "–" if hole["pilot_order"] is None else str(hole["pilot_order"]),
                "yes" if hole["hole"] in result["temporary_fasteners"] else "",
            )
        )
    table(
        ("  hole", "how", "on the other's blank", "may be off", "pilot", "temporary fastener"), rows
    )
    click.echo(f"  may be off by {pair.asked.clearance:.2f} mm to be drilled on the flat")
    print_findings(pair.findings)
