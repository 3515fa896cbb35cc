"""What is measured on the airplane: a size of a part, or of the place that it goes into."""

from __future__ import annotations

import contextlib
import functools
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from blankwright.base.errors import BadInput, BlankwrightError
from blankwright.book import records as r
from blankwright.book.change import Change, Reader
from blankwright.jobs.book_find import bad_input, part_named
from blankwright.jobs.fit_open import places_of
from blankwright.jobs.project import Project

if TYPE_CHECKING:
    from blankwright.part.model import Size

PLACE = "place "
"""What stands before the name of a place, where a part or a place can be named."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A size measured on the airplane, as typed.

    Args:
        part: name of the part whose size it is, or of the place: ``place battery-bay``; the name
            of a place does alone where no part has it
        size: name of the size
        value: with its unit
        plus_minus: with its unit; empty if not stated
        reason: why it was measured
    """

    part: str
    size: str
    value: str
    plus_minus: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Home:
    """The file that a measured size belongs to.

    Args:
        part: the part, or nothing
        place: name of the place; empty for a part
        file: path of the file in the project folder; empty for a part without one
    """

    part: r.Part | None
    place: str
    file: str

    @property
    def label(self) -> str:
        """What it is called in messages."""
        return f"{PLACE}{self.place}" if self.part is None else self.part.name

    def path(self, project: Project) -> Path | None:
        """Where its file is, or nothing when there is none."""
        path = project.root / self.file
        return path if self.file and path.is_file() else None


def home_named(project: Project, reader: Reader, name: str) -> Home:
    """Return the part or the place of a name. Raises BadInput when there is neither."""
    places = places_of(project)
    wanted = name.removeprefix(PLACE).strip()
    known = reader.by(r.Part, name=name) or reader.by(r.Part, file=f"parts/{name}.toml")
    if known or wanted not in places:
        # A file of two hands or several variants stands for parts that share its sizes.
        part = known[0] if known else part_named(reader, name)
        return Home(part=part, place="", file=part.file)
    return Home(part=None, place=wanted, file=f"places/{wanted}.toml")


def home_of(reader: Reader, measurement: r.Measurement) -> Home:
    """Return the part or place that a measurement in the book belongs to."""
    if measurement.part_id is None:
        place = measurement.place
        return Home(part=None, place=place, file=f"places/{place}.toml")
    part = reader.get(r.Part, measurement.part_id)
    return Home(part=part, place="", file=part.file)


def known_sizes(project: Project) -> tuple[str, ...]:
    """Return every size that can be measured, as it is typed: ``battery-tray.bay_width``.

    Formulas are among them. Files that can't be read have none.
    """
    files = [*project.part_files, *(project.root / "places").glob("*.toml")]
    found: list[str] = []
    for path in sorted(files, key=lambda path: path.stem):
        with contextlib.suppress(OSError):
            state = path.stat()
            found += _names_in(path, state.st_mtime_ns, state.st_size)
    return tuple(dict.fromkeys(found))


@functools.lru_cache(maxsize=4096)
def _names_in(path: Path, changed_at: int, size: int) -> tuple[str, ...]:
    """The sizes of a file as it is now; read again only once it has changed."""
    try:
        sizes = tomllib.loads(path.read_text(encoding="utf-8-sig")).get("sizes", {})
    except (OSError, ValueError):
        return ()
    return tuple(f"{path.stem}.{name}" for name in sizes) if isinstance(sizes, dict) else ()


def sizes_in(text: str, home: Home, path: Path) -> Mapping[str, Size]:
    """Return the sizes of a part or place by name.

    Raises:
        BadInput: with what is wrong with the file
    """
    if home.part is not None:
        from blankwright.files.partfile import read_part_text

        return {
            s.name: s
            for s in read_part_text(text, path.stem, file=str(path), folder=path.parent).sizes
        }
    from blankwright.files.partfile.opened import opened

    found = opened(text, str(path))
    worked, _ = found.sizes()
    found.problems.raise_if_any()
    return dict(worked.sizes)


def add_measurement(project: Project, change: Change, entry: int, one: Measured) -> int:
    """Write a measurement into the book, as part of a log entry; return its number.

    A size that its file doesn't have, or a value that can't be this size, is refused at once: on
    the airplane it can be measured again, a week later it can't. A file that can't be read just
    now refuses nothing.

    Raises:
        BadInput: when it can't be a measurement of that size
    """
    home = home_named(project, change, one.part)
    _check(project, home, one)
    return change.add(
        r.Measurement,
        entry_id=entry,
        part_id=home.part.id if home.part else None,
        place=home.place,
        size=one.size,
        value=one.value,
        plus_minus=one.plus_minus,
        reason=one.reason,
        state=r.SizeState.IN_BOOK,
    )


def check_typed(one: Measured) -> None:
    """Refuse what is no quantity with its unit. Raises BadInput."""
    from blankwright.base.quantities import BadText, read_quantity

    for text in (one.value, *([one.plus_minus] if one.plus_minus else [])):
        try:
            read_quantity(text)
        except BadText as error:
            raise BadInput(error.at(f"{one.part}, size {one.size}")) from error


def _check(project: Project, home: Home, one: Measured) -> None:
    from blankwright.base.quantities import read_quantity
    from blankwright.files.partfile.syntax import read_text

    path = home.path(project)
    if path is None:
        return
    try:
        sizes = sizes_in(read_text(path), home, path)
    except BlankwrightError:
        return
    where = f"{home.label}, size {one.size}"
    if one.size not in sizes:
        raise bad_input(
            "BOOK-063", where, "its file has no such size", f"Sizes: {', '.join(sizes) or 'none'}"
        )
    kind = sizes[one.size].kind
    for text in (one.value, *([one.plus_minus] if one.plus_minus else [])):
        if read_quantity(text).kind != kind:
            raise bad_input(
                "BOOK-065", where, f"{text!r} is no {kind}", f"Write it as {_example(kind)}"
            )


def _example(kind: str) -> str:
    return {"length": "186.4 mm", "angle": "89.5 deg"}.get(kind, "3")
