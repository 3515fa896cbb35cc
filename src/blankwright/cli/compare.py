"""`blankwright compare`: hold a blank against somebody else's flat drawing."""

from __future__ import annotations

import math
import sys
from pathlib import Path
from typing import Any

import click

from blankwright.cli.shared import json_option, print_json, project_option
from blankwright.jobs.bring_in_asked import Asked
from blankwright.jobs.compare_flat import WITHIN, Held, blank_of_solid, hold_against, picture_of
from blankwright.jobs.items import chosen
from blankwright.jobs.part_state import state_of
from blankwright.jobs.project import find_project
from blankwright.jobs.shop_coupons import coupons_of

_SOLIDS = (".step", ".stp")


@click.command()
@click.argument("part")
@click.argument("flat", type=click.Path(path_type=Path))
@click.option("--within", default=WITHIN, show_default=True, help="How much may differ.")
@click.option("--units", default="", help="Unit of FLAT, where it states none.")
@click.option("--outline", multiple=True, help="Lines of FLAT that are the outline.")
@click.option("--openings", multiple=True, help="Lines of FLAT that are openings.")
@click.option("--bend-lines", multiple=True, help="Lines of FLAT that are bend lines.")
@click.option("--part-at", default="", help="A point on the metal of the part meant: X, Y.")
@click.option("--closes", default="", help="Widest gap to close. [default: 0.02 mm]")
@click.option("--layout", default="", help="Sheet of FLAT to read in place of the model space.")
@click.option("--k", "k", default="", help="Of a STEP file: neutral-axis factor.")
@click.option("--solid", default="", help="Of a STEP file: the one solid that is meant.")
@click.option("--picture", type=click.Path(path_type=Path), help="Draw both into this SVG file.")
@project_option
@json_option
def command(
    part: str,
    flat: Path,
    within: str,
    picture: Path | None,
    folder: Path,
    as_json: bool,
    **stated: Any,
) -> None:
    """Hold PART's blank against FLAT, a flat drawing (DXF) of the same part by somebody else.

    PART is a part of the project, or a STEP file. FLAT is laid over the blank, turned over if need
    be, and what differs is listed with its place. Nothing is written but the picture. Ends with 1
    when something differs by more than it may.
    """
    asked = Asked(**stated)
    if part.lower().endswith(_SOLIDS):
        blank = blank_of_solid(Path(part), asked)
    else:
        project = find_project(folder)
        (item,) = chosen(project, (part,))
        blank = state_of(item.read(), coupons_of(project)).blank
    held = hold_against(blank, flat, asked, within)
    if picture is not None:
        from blankwright.files.svg_out import drawing_svg
        from blankwright.files.whole import write_whole

        write_whole(picture, drawing_svg(picture_of(held, f"{part} and {flat.name}")))
    if as_json:
        print_json(_as_json(held))
    else:
        _show(held, picture)
    sys.exit(0 if held.agrees else 1)


def _show(held: Held, picture: Path | None) -> None:
    for line in held.told:
        click.echo(f"  {line}")
    if held.agrees:
        click.secho("They agree.", bold=True)
    else:
        count = len(held.compared.differences)
        click.secho(f"{count} difference{'s' if count > 1 else ''}:", bold=True)
    for number, difference in enumerate(held.compared.differences, start=1):
        x, y = difference.at
        click.echo(f"  {number}. {difference.what} at ({x:.2f}, {y:.2f}) mm: {difference.got}")
    if picture is not None:
        click.echo(f"Drawn: {picture}")


def _as_json(held: Held) -> dict[str, Any]:
    compared = held.compared
    move = compared.move
    return {
        "agrees": held.agrees,
        "within": held.within,
        "worst": compared.worst,
        "turned_over": move.flip,
        "turn": math.degrees(move.angle),
        "shift": [move.dx, move.dy],
        "openings": compared.openings,
        "bends": compared.bends,
        "k": compared.k,
        "differences": [
            {
                "what": d.what,
                "got": d.got,
                "at": list(d.at),
                "by": None if math.isinf(d.by) else d.by,
            }
            for d in compared.differences
        ],
        "told": list(held.told),
    }
