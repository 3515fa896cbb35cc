"""Options, times and printing that the job book's commands share."""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from blankwright.base.errors import BadInput
from blankwright.cli.shared import plain

if TYPE_CHECKING:
    from blankwright.jobs.book_open import BookAt


@dataclass(frozen=True, slots=True)
class Call:
    """What every command of the book is told.

    Args:
        folder: project folder, or one inside it
        address: where the book is; empty for the project folder
        who: who writes
        at: the moment it happens, in the shop's own zone
        as_json: whether to print JSON
    """

    folder: Path
    address: str
    who: str
    at: datetime
    as_json: bool

    @contextmanager
    def book(self, *, make: bool = False) -> Iterator[BookAt]:
        """Open the book."""
        from blankwright.jobs.book_open import book_at

        with book_at(self.folder, self.address, self.who, make=make) as found:
            yield found

    def show(self, value: object, *lines: str) -> None:
        """Print a result: as JSON if that was asked for, else the lines."""
        if self.as_json:
            import json

            click.echo(json.dumps(jsonable(value), indent=2, ensure_ascii=False))
            return
        for line in lines:
            click.echo(line)


PHOTO = click.Path(path_type=Path, exists=True, dir_okay=False)
"""What an option takes that names a photo."""


def book_command(function: Callable[..., None]) -> Callable[..., None]:
    """Give a command the options that all commands of the book have; it gets a `Call` first."""

    @click.option(
        "--project",
        "folder",
        type=click.Path(path_type=Path, file_okay=False),
        default=Path(),
        help="Project folder, or one inside it. [default: here]",
    )
    @click.option(
        "--book",
        "address",
        envvar="BLANKWRIGHT_BOOK",
        default="",
        help="Where the book is: a file, or postgresql://user@host/database?airplane=name."
        " [default: book.sqlite in the project folder]",
    )
    @click.option("--who", default="", help="Who writes. [default: the builder]")
    @click.option("--at", "at_text", default="", help="When, as 2026-03-02 19:40. [default: now]")
    @click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
    @functools.wraps(function)
    def wrapped(
        folder: Path, address: str, who: str, at_text: str, as_json: bool, **given: Any
    ) -> None:
        function(Call(folder, address, who, read_when(at_text), as_json), **given)

    return wrapped


def read_when(typed: str) -> datetime:
    """Return the moment that was typed, in the shop's zone unless it names one; now for nothing."""
    if not typed:
        return datetime.now(UTC).astimezone()
    try:
        found = datetime.fromisoformat(typed)
    except ValueError as error:
        raise click.BadParameter(f"{typed!r} is no time; write 2026-03-02 19:40") from error
    return found.astimezone()


def read_minutes(typed: str) -> int:
    """Return minutes from ``45``, ``1:30``, ``1.5 h`` or ``45 min``; 0 for nothing."""
    from blankwright.jobs.book_typed import minutes_of

    try:
        return minutes_of(typed)
    except BadInput as error:
        raise click.BadParameter(f"{typed!r} is no time span; write 45, 1:30 or 1.5 h") from error


def read_pairs(typed: tuple[str, ...], what: str) -> dict[str, float]:
    """Return ``NUMBER=QUANTITY`` as a mapping."""
    out = {}
    for text in typed:
        name, sign, value = text.rpartition("=")
        try:
            if not sign or not name:
                raise ValueError
            out[name] = float(value)
        except ValueError as error:
            raise click.BadParameter(f"{text!r}: write {what}=QUANTITY") from error
    return out


def local(moment: datetime | None, *, day: bool = False) -> str:
    """Return a moment by the shop's clock; nothing as an empty text."""
    if moment is None:
        return ""
    return moment.astimezone().strftime("%Y-%m-%d" if day else "%Y-%m-%d %H:%M")


def day_after(now: datetime, hours: float) -> str:
    """Return the day so many calendar hours from now, by the shop's clock."""
    return local(now + timedelta(hours=hours), day=True)


def jsonable(value: object) -> Any:
    """As `plain`, with moments as ISO text."""
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, dict):
        return {str(key): jsonable(item) for key, item in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [jsonable(item) for item in value]
    if hasattr(value, "__dataclass_fields__") and not isinstance(value, type):
        return {name: jsonable(getattr(value, name)) for name in value.__dataclass_fields__}
    return plain(value)
