"""Files that the job book gives out: the record, a backup, the book as data; each made anew."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

from blankwright.base.errors import BlankwrightError
from blankwright.jobs.book_keep import back_up, export_csv, export_json
from blankwright.jobs.book_open import BookAt, book_at
from blankwright.jobs.book_record import print_record
from blankwright.page.book_html import whole
from blankwright.page.book_keep_html import HERE
from blankwright.page.plain import problems_html

if TYPE_CHECKING:
    from starlette.responses import Response


def _csv(book: BookAt, path: Path) -> None:
    with tempfile.TemporaryDirectory() as folder:
        export_csv(book, Path(folder))
        shutil.make_archive(str(path.with_suffix("")), "zip", folder)


GIVERS: Final[dict[str, Callable[[BookAt, Path, datetime], object]]] = {
    "record-A4.pdf": lambda book, path, at: print_record(book, at, path, paper="A4"),
    "record-Letter.pdf": lambda book, path, at: print_record(book, at, path, paper="Letter"),
    "backup.zip": lambda book, path, at: back_up(book, path),
    "book.json": lambda book, path, at: export_json(book, path),
    "book-csv.zip": lambda book, path, at: _csv(book, path),
}
"""Name of the file to what makes it."""


def given(root: Path, name: str, at: datetime) -> Response:
    """Make a file and return it as a download; what goes wrong is said on the page.

    Args:
        root: the project folder
        name: one of `GIVERS`
        at: now
    """
    from starlette.background import BackgroundTask
    from starlette.responses import FileResponse, HTMLResponse

    folder = Path(tempfile.mkdtemp(prefix="blankwright-"))
    away = BackgroundTask(shutil.rmtree, folder, ignore_errors=True)
    try:
        with book_at(root) as book:
            GIVERS[name](book, folder / name, at)
    except BlankwrightError as error:
        shown = whole("Job book", HERE, (), problems_html(error.problems))
        return HTMLResponse(shown, 409, background=away)
    called = f"{root.name}-{at:%Y-%m-%d}-{name}"
    return FileResponse(folder / name, filename=called, background=away)
