"""`blankwright rivets`: the rivet rows of parts, what goes in, and how they are drilled up."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from blankwright.base.units import show_mm
from blankwright.cli.drill import show_ladder
from blankwright.cli.shared import json_option, print_findings, print_json, project_option, table
from blankwright.jobs.holes_drilling import ladder_result, row_ladders, shop_drills
from blankwright.jobs.holes_rows import fields_of_part, rows_of
from blankwright.jobs.items import chosen
from blankwright.jobs.part_state import state_of
from blankwright.jobs.project import find_project
from blankwright.jobs.shop_coupons import coupons_of


@click.command()
@click.argument("parts", nargs=-1)
@project_option
@json_option
def command(parts: tuple[str, ...], folder: Path, as_json: bool) -> None:
    """Show the rivet rows and fields of holes of PARTS, or of all that have any.

    Count, pitch, length, grip, shop head, hole, what a row carries by the handbook's tables, and
    the passes to drill it up. A check, never an approval.
    """
    project = find_project(folder)
    coupons, rack = coupons_of(project), shop_drills(project)
    results: dict[str, object] = {}
    status = 0
    for item in chosen(project, parts):
        state = state_of(item.read(), coupons)
        if not state.part.rivets and not state.part.fields:
            continue
        rows, fields = rows_of(state), fields_of_part(state.part)
        ladders = row_ladders(state.part, rack)
        found = [f for f in state.findings if f.code.startswith(("ROW", "FIELD"))]
        if any(f.blocks for f in found):
            status = 1
        if as_json:
            for row, one in zip(rows, ladders, strict=True):
                row["drilling"] = None if one.ladder is None else ladder_result(one.ladder)
            results[item.name] = {"rivets": rows, "fields": fields}
            continue
        click.secho(item.name, bold=True)
        if rows:
            table(
                ("  row", "on", "count", "what", "hole", "grip", "buy", "pitch", "carries, each"),
                [_row(row) for row in rows],
            )
        for one in ladders:
            click.echo(f"  drilling up row {one.row.name}:")
            if one.ladder is None:
                click.echo(f"    {one.problem}")
            else:
                show_ladder(one.ladder, "    ")
        for field in fields:
            click.echo(
                f"  field {field['name']}: {field['count']} holes Ø {show_mm(field['diameter'])},"
                f" pitch {show_mm(field['pitch'])}, {field['open_area']:.1%} of"
                f" {field['area']:.0f} mm² open"
            )
        print_findings(found)
    if as_json:
        print_json(results)
    sys.exit(status)


def _row(row: dict) -> tuple[str, ...]:  # type: ignore[type-arg]
    pitches = [p for line in row["lines"] for p in line["pitches"]]
    pitch = "–"
    if pitches:
        low, high = min(pitches), max(pitches)
        pitch = show_mm(low) if high - low < 0.005 else f"{low:.2f} to {show_mm(high)}"
    hole = row["hole"]["drill"] if row["hole"] else "?"
    joint = row["joint"]
    carries = "–"
    if joint["members"]:
        carries = ("" if joint["complete"] else "at most ") + f"{int(joint['per_rivet'])} N"
    return (
        f"  {row['name']}",
        row["flat"],
        str(row["count"]),
        f"{row['fastener']} {row['size']}, {row['head']}",
        f"{row['pilot']} then {hole}" if row["pilot"] else hole,
        show_mm(row["grip"]),
        row["buy"] or "–",
        pitch,
        carries,
    )
