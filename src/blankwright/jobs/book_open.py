"""Where a project's job book is, and who writes in it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from blankwright.jobs.project import Project, find_project

if TYPE_CHECKING:
    from blankwright.book.change import Change, Reader
    from blankwright.book.store import Book


@dataclass(frozen=True, slots=True)
class BookAt:
    """A project's open job book.

    Args:
        project: the project
        book: its book
        who: who writes; empty takes the builder that the book names
    """

    project: Project
    book: Book
    who: str = ""

    @property
    def photos(self) -> Path:
        """Where photos are kept."""
        return self.project.root / "photos"

    @contextmanager
    def read(self) -> Iterator[Reader]:
        """Look into the book."""
        with self.book.read() as reader:
            yield reader

    @contextmanager
    def change(self, what: str, at: datetime) -> Iterator[Change]:
        """Change the book, all or nothing."""
        from blankwright.book.work import BUILDER, setting

        with self.book.change(what, who=self.who, at=at) as change:
            change.who = change.who or setting(change, BUILDER)
            yield change


@contextmanager
def book_at(
    folder: Path, address: str = "", who: str = "", *, make: bool = False
) -> Iterator[BookAt]:
    """Open the book of the project that a folder is in.

    Args:
        folder: the project folder or one inside it
        address: where the book is kept; empty for ``book.sqlite`` in the project folder
        who: who writes
        make: whether an empty book is made where there is none

    Raises:
        FileProblem: when there is no project, or no book and none is to be made
        BadInput: when the address makes no sense
    """
    from blankwright.book.store import FILE_NAME, make_book, open_book

    project = find_project(folder)
    where = address or project.root / FILE_NAME
    new = make and "://" not in str(where) and not Path(where).exists()
    book = (make_book if make else open_book)(where)
    try:
        yield BookAt(project, book, who)
    except BaseException:
        book.close()
        if new:  # what was to fill it failed: no empty book is left behind
            Path(where).unlink(missing_ok=True)
        raise
    finally:
        book.close()


def start_book(
    folder: Path,
    at: datetime,
    *,
    address: str = "",
    airplane: str = "",
    builder: str = "",
    serial: str = "",
) -> str:
    """Make the job book of a project, or change what it says of airplane and builder.

    Returns:
        where it is kept, without a password
    """
    from blankwright.book import records as r
    from blankwright.book.store import FILE_NAME, make_book
    from blankwright.book.work import AIRPLANE, BUILDER, SERIAL

    project = find_project(folder)
    book = make_book(address or project.root / FILE_NAME)
    try:
        with book.change("start the book", who=builder, at=at) as change:
            known = {s.name: s for s in change.all(r.Setting)}
            title = airplane or ("" if AIRPLANE in known else project.title)
            for name, value in ((AIRPLANE, title), (BUILDER, builder), (SERIAL, serial)):
                if value and name in known:
                    change.put(r.Setting, known[name].id, value=value)
                elif value:
                    change.add(r.Setting, name=name, value=value)
        return book.name
    finally:
        book.close()
