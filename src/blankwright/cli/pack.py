"""`blankwright pack`: lay blanks on the sheets of the rack."""

from __future__ import annotations

import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

import click

from blankwright.cli.shared import (
    STOP,
    json_option,
    plain,
    print_findings,
    print_json,
    project_option,
    table,
)
from blankwright.cutting.packing import Packing
from blankwright.jobs.cutting_pack import PackAsk, PackResult, pack_project, take_from_rack
from blankwright.jobs.project import find_project


@click.command()
@click.argument("parts", nargs=-1)
@project_option
@click.option(
    "--copies",
    multiple=True,
    metavar="PART=COUNT",
    help="How many of a part, where it is not one. May be given again.",
)
@click.option("--on", "on", default="", metavar="STOCK", help="Use this stock only, for templates.")
@click.option(
    "--seconds",
    type=click.FloatRange(0),
    default=20.0,
    show_default=True,
    help="Time to try for better packings; 0 takes the first.",
)
@click.option("--seed", type=int, default=None, help="Start of the random numbers.")
@click.option(
    "--cut",
    is_flag=True,
    help="The sheets of the layout have been cut: take them off the rack, put offcuts on it.",
)
@json_option
def command(
    parts: tuple[str, ...],
    folder: Path,
    copies: tuple[str, ...],
    on: str,
    seconds: float,
    seed: int | None,
    cut: bool,
    as_json: bool,
) -> None:
    """Lay the blanks of PARTS, or of all, on the sheets of rack.toml.

    The layout and a drawing of each sheet go to out/sheets. Press Ctrl-C once to stop with the
    best packing so far. With --cut, PARTS are the titles of the sheets that were cut.
    """
    project = find_project(folder)
    if cut:
        for name in take_from_rack(project, parts):
            click.echo(f"on the rack: {name}")
        return
    ask = PackAsk(names=parts, copies=read_copies(copies), on=on, seconds=seconds, seed=seed)

    def tell(gone: float, packing: Packing, what: str) -> None:
        if not as_json:
            titles = ", ".join(packed.title for packed in packing.sheets)
            use = f"{100 * packing.use:.0f} % used"
            click.echo(f"  {gone:5.1f} s  {titles}: {use}, {what}", err=True)

    with _stop_on_interrupt() as stopped:
        result = pack_project(project, ask, tell=tell, stopped=lambda: bool(stopped))
    if as_json:
        print_json(summary(result))
    else:
        _print(result)
    sys.exit(STOP if any(f.blocks for f in result.findings) or result.left else 0)


def read_copies(pairs: tuple[str, ...]) -> dict[str, int]:
    """Read ``part=count`` pairs. Raises click.BadParameter."""
    counts: dict[str, int] = {}
    for pair in pairs:
        name, equals, count = pair.partition("=")
        if not equals or not count.strip().isdigit():
            raise click.BadParameter(f"{pair!r} is not PART=COUNT, such as bracket=4")
        counts[name.strip()] = int(count)
    return counts


@contextmanager
def _stop_on_interrupt() -> Iterator[list[bool]]:
    """Turn the first Ctrl-C into a wish to stop; the second one breaks off."""
    stopped: list[bool] = []
    before = signal.getsignal(signal.SIGINT)

    def wish(number: int, frame: FrameType | None) -> None:
        stopped.append(True)
        signal.signal(signal.SIGINT, before)
        click.echo("  stopping with the best so far", err=True)

    signal.signal(signal.SIGINT, wish)
    try:
        yield stopped
    finally:
        signal.signal(signal.SIGINT, before)


def summary(result: PackResult) -> dict[str, object]:
    """Return the result as plain numbers and texts."""
    return {
        "seed": result.seed,
        "sheets": [
            {
                "title": packed.title,
                "use": packed.use,
                "parts": [placement.part.name for placement in packed.placements],
                "offcuts": [{"name": o.name, "size": o.size, "area": o.area} for o in offcuts],
            }
            for packed, offcuts in zip(result.sheets, result.offcuts, strict=True)
        ],
        "left": list(result.left),
        "findings": plain(result.findings),
        "files": plain(result.files),
    }


def _print(result: PackResult) -> None:
    rows = []
    for packed, offcuts in zip(result.sheets, result.offcuts, strict=True):
        kept = "; ".join(f"{o.size[0]:.0f} x {o.size[1]:.0f} mm" for o in offcuts) or "-"
        rows.append((packed.title, str(len(packed.placements)), f"{100 * packed.use:.0f} %", kept))
    table(("Sheet", "Parts", "Used", "Offcuts worth keeping"), rows)
    print_findings(result.findings)
    for path in result.files:
        click.echo(f"kept {path}")
