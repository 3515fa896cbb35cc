"""`blankwright coupon`: learn the neutral-axis factor from bent test strips."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from pathlib import Path

import click

from blankwright.base.units import System, show
from blankwright.cli.shared import json_option, print_findings, print_json, project_option
from blankwright.jobs.coupon_job import Taught, as_text, keep, learn, taught_by
from blankwright.jobs.project import find_project


@click.command()
@project_option
@click.option("--strip", "strips", multiple=True, help='One strip: "100.0 mm: 51.3 mm, 51.4 mm".')
@click.option("--alloy", default="", help="Alloy and temper, such as 6061-T6.")
@click.option("--thickness", default="", help='As measured, such as "1.01 mm".')
@click.option("--radius", default="", help='Inside radius, such as "1/8 in".')
@click.option("--angle", default="90 deg", show_default=True, help="Angle bent through.")
@click.option("--reading", default="0.1 mm", show_default=True, help="Plus or minus of a reading.")
@click.option("--tool", default="", help="What it was bent on.")
@click.option("--name", default="", help="What to call it.")
@click.option("--date", default=None, help="Day it was measured. [default: today]")
@click.option("--keep", "kept", is_flag=True, help="Write it into the project's coupon file.")
@json_option
def command(
    folder: Path,
    strips: tuple[str, ...],
    alloy: str,
    thickness: str,
    radius: str,
    angle: str,
    reading: str,
    tool: str,
    name: str,
    date: str | None,
    kept: bool,
    as_json: bool,
) -> None:
    """Turn measured legs of bent test strips into k, with its uncertainty.

    Measure each strip before bending, bend it, and measure both legs to the outside of the bend.
    With no --strip, what the project's coupons teach is shown.
    """
    if not strips:
        _print(taught_by(find_project(folder)), as_json)
        return
    missing = [
        f"--{option}"
        for option, value in (("alloy", alloy), ("thickness", thickness), ("radius", radius))
        if not value
    ]
    if missing:
        raise click.UsageError(f"--strip needs {', '.join(missing)} too.")
    day = date or datetime.date.today().isoformat()
    values = (
        ("alloy", alloy),
        ("thickness", thickness),
        ("tool", tool or "not stated"),
        ("inside_radius", radius),
        ("angle", angle),
        ("reading", reading),
    )
    text = as_text(name=name or f"{alloy} {day}", date=day, values=values, strips=strips)
    taught = learn(text, "coupon as stated")
    if kept:
        keep(find_project(folder), text)
    _print(taught, as_json)


def _print(taught: Sequence[Taught], as_json: bool) -> None:
    if as_json:
        print_json(taught)
        return
    if not taught:
        click.echo("The project has no coupons yet. Bend test strips and measure them: --help.")
    for one in taught:
        coupon, learned = one.coupon, one.learned
        strips = len(learned.strip_ks)
        click.secho(f"{coupon.name}: k = {learned.k:.4f} ± {learned.k_plus_minus:.4f}", bold=True)
        click.echo(
            f"  {coupon.material}, {show(coupon.thickness, 'length', System.BOTH)} thick,"
            f" inside radius {show(coupon.inside_radius, 'length', System.BOTH)},"
            f" {strips} strip{'s' if strips > 1 else ''}, {coupon.tool}, {coupon.date}"
        )
        click.echo(
            f"  allowance {show(learned.allowance, 'length', System.BOTH)}"
            f" ± {show(learned.allowance_plus_minus, 'length', System.MM)} (95 %)"
        )
        for left_out in learned.not_counted:
            click.echo(f"  not counted: {left_out}")
        print_findings(one.findings)
