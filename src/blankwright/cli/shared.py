"""Options and printing that commands share."""

from __future__ import annotations

import dataclasses
import enum
import json
import math
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import click

from blankwright.base.findings import Finding, alike, places_words

STOP = 1
"""Exit status when a check says stop."""

project_option = click.option(
    "--project",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path(),
    help="Project folder, or one inside it. [default: here]",
)

json_option = click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")

units_option = click.option(
    "--units",
    type=click.Choice(["mm", "inch", "both"]),
    default="both",
    show_default=True,
    help="Units of the numbers shown.",
)


def print_json(value: object) -> None:
    """Print any result as JSON."""
    click.echo(json.dumps(plain(value), indent=2, ensure_ascii=False))


def plain(value: object) -> Any:
    """Turn a result into what JSON can hold; numbers that are not finite become text."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, enum.Enum):
        return value.value
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [plain(item) for item in value]
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    if value is None or isinstance(value, str | int | float | bool):
        return value
    return str(value)


def print_findings(findings: Iterable[Finding]) -> None:
    """Print findings, one a paragraph, stops in bold; those alike but for the place, once."""
    for finding, places in alike(findings):
        said = dataclasses.replace(finding, place=places_words(places))
        click.secho(f"  {said}", bold=said.blocks)


def table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> None:
    """Print a plain table with columns as wide as they need to be."""
    lines = [head, *rows]
    widths = [max(len(line[i]) for line in lines) for i in range(len(head))]
    for n, line in enumerate(lines):
        click.echo("  ".join(cell.ljust(w) for cell, w in zip(line, widths, strict=True)).rstrip())
        if n == 0:
            # A head that is set in has its rule set in too.
            rules = ((w, len(h) - len(h.lstrip())) for w, h in zip(widths, head, strict=True))
            click.echo("  ".join(" " * off + "-" * (w - off) for w, off in rules))


Decorator = Callable[[Callable[..., None]], Callable[..., None]]
