"""Fixtures for every test of the job book: the same suite on SQLite and on PostgreSQL.

The PostgreSQL server is a real one, from the Debian package, in a folder of its own and reached
through a socket only. Where there is none the tests say so; with BLANKWRIGHT_NEED_POSTGRES set,
as in CI, that is a failure.
"""

from __future__ import annotations

import itertools
import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from blankwright.book.store import Book, connect, make_book
from blankwright.jobs.book_open import BookAt, book_at, start_book

NOW = datetime(2026, 3, 2, 19, 40, tzinfo=UTC)
"""The moment at which the tests of the book happen."""

_NUMBERS = itertools.count(1)


def hours(count: float) -> timedelta:
    return timedelta(hours=count)


class Server:
    """A PostgreSQL server for the tests."""

    def __init__(self, programs: Path) -> None:
        self.programs = programs
        self.folder = Path(tempfile.mkdtemp(prefix="bw-pg-", dir="/tmp"))
        self.run_as: list[str] = []
        self.spare: list[str] = []
        self.user = pwd.getpwuid(os.getuid()).pw_name
        if os.getuid() == 0:
            self.user = "postgres"
            self.run_as = ["runuser", "-u", "postgres", "--"]
            shutil.chown(self.folder, "postgres")
        data = self.folder / "data"
        self._call("initdb", "-D", str(data), "-A", "trust", "-E", "UTF8", "--no-sync")
        options = f"-c listen_addresses='' -c unix_socket_directories={self.folder} -c fsync=off"
        self._call(
            "pg_ctl", "-D", str(data), "-w", "-l", str(self.folder / "log"), "-o", options, "start"
        )

    def address(self, airplane: str) -> str:
        return f"postgresql://{self.user}@/postgres?host={self.folder}&airplane={airplane}"

    def used_before(self) -> Iterator[str]:
        """Addresses of books that earlier tests are done with; each is given once."""
        while self.spare:
            yield self.spare.pop()

    def stop(self) -> None:
        self._call("pg_ctl", "-D", str(self.folder / "data"), "-m", "immediate", "stop")
        shutil.rmtree(self.folder, ignore_errors=True)

    def _call(self, program: str, *arguments: str) -> None:
        done = subprocess.run(
            [*self.run_as, str(self.programs / program), *arguments],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            cwd="/",
            check=False,
            env={**os.environ, "LC_ALL": "C.UTF-8"},
        )
        if done.returncode:
            raise RuntimeError(f"{program}: {done.stderr.decode()}")


def _programs() -> Path | None:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/pg_ctl"))
    return found[-1].parent if found else None


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    programs = _programs()
    try:
        import psycopg  # noqa: F401
    except ImportError:
        programs = None
    if programs is None:
        if os.environ.get("BLANKWRIGHT_NEED_POSTGRES"):
            pytest.fail("PostgreSQL is wanted here and not installed (apt-get install postgresql)")
        pytest.skip(
            "PostgreSQL or its driver is not installed: the book's tests ran on SQLite only"
        )
    running = Server(programs)
    yield running
    running.stop()


@pytest.fixture(scope="session")
def empty_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("book") / "book.sqlite"
    make_book(path).close()
    return path


@pytest.fixture(params=["sqlite", "postgresql"])
def kind(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def nowhere(kind: str, request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """An address where no book is yet."""
    if kind == "sqlite":
        return str(tmp_path / "fresh.sqlite")
    return str(request.getfixturevalue("server").address(f"test_{next(_NUMBERS)}"))


@pytest.fixture
def address(kind: str, request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of an empty book."""
    if kind == "sqlite":
        path = tmp_path / "book.sqlite"
        shutil.copy(request.getfixturevalue("empty_sqlite"), path)
        yield str(path)
        return
    server = request.getfixturevalue("server")
    found = next((one for one in server.used_before() if _emptied(one)), "")
    if not found:
        found = server.address(f"test_{next(_NUMBERS)}")
        new = make_book(found)
        with new.read() as reader:
            _AS_NEW[:] = [_shape_of(reader.connection)]
        new.close()
    yield found
    server.spare.append(found)


def _shape_of(connection: Any) -> tuple[list[Any], list[Any]]:
    from sqlalchemy import text

    shape = connection.execute(text(_SHAPE)).all()
    version = connection.execute(text("SELECT * FROM alembic_version")).all()
    return [tuple(row) for row in shape], [tuple(row) for row in version]


_SHAPE = (
    "SELECT table_name, column_name FROM information_schema.columns"
    " WHERE table_schema = current_schema() ORDER BY 1, 2"
)
_AS_NEW: list[object] = []


def _emptied(address: str) -> bool:
    """Make a book of an earlier test as new; return whether that can be done.

    Emptying is far quicker than making one. A book whose tables are not those of a new one, or
    that somebody still writes in, is let alone.
    """
    from sqlalchemy import text
    from sqlalchemy.exc import SQLAlchemyError

    book = connect(address)
    try:
        with book.engine.begin() as connection:
            shape = _shape_of(connection)
            if [shape] != _AS_NEW:
                return False
            connection.execute(text("SET LOCAL lock_timeout = '300ms'"))
            names = {row[0] for row in shape[0]} - {"alembic_version"}
            listed = ", ".join(f'"{name}"' for name in sorted(names))
            connection.execute(text(f"TRUNCATE {listed} RESTART IDENTITY"))
        return True
    except SQLAlchemyError:
        return False
    finally:
        book.close()


@pytest.fixture
def book(address: str) -> Iterator[Book]:
    opened = make_book(address)
    yield opened
    opened.close()


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A project folder with a battery tray."""
    from book_story import make_project

    return make_project(tmp_path / "tarn")


@pytest.fixture
def shop(project: Path, address: str) -> Iterator[BookAt]:
    """An empty book of a project, opened by its builder."""
    start_book(project, NOW, address=address, airplane="Tarn 200", builder="Ida Berg", serial="014")
    with book_at(project, address) as opened:
        yield opened
