"""Where the book is kept: one SQLite file in the project folder, or a PostgreSQL server.

SQLite keeps its rollback journal (no side files lie about while nobody writes, and it may be on
any disk) and waits until the disk has the data. Writers begin with the write lock, so two never
work from the same old state; PostgreSQL gets one lock per book to the same end.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from sqlalchemy import Connection, create_engine, event, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, OperationalError
from sqlalchemy.pool import NullPool

from blankwright.base.errors import BadInput, FileProblem, Problem
from blankwright.book.change import Change, Reader

if TYPE_CHECKING:
    from sqlalchemy import Engine

FILE_NAME: Final = "book.sqlite"
WAIT_SECONDS: Final = 30
"""How long a writer waits for the one before it [s]."""


class Book:
    """An open job book."""

    def __init__(self, engine: Engine, name: str, schema: str, file: Path | None) -> None:
        self.engine = engine
        self.name = name
        """What to call it in messages; holds no password."""
        self.schema = schema
        self.file = file

    @contextmanager
    def read(self) -> Iterator[Reader]:
        """Look into the book; all that is read in it belongs to one moment."""
        with self._connected(writes=False) as connection:
            yield Reader(connection)

    @contextmanager
    def change(self, what: str, *, who: str, at: datetime) -> Iterator[Change]:
        """Change the book: everything done in it is kept, with its history, or nothing is."""
        with self._connected(writes=True) as connection:
            change = Change(connection, what=what, who=who, at=at)
            yield change
            change.finish()

    @contextmanager
    def raw(self) -> Iterator[Connection]:
        """A write transaction without history, for migrations and restoring."""
        with self._connected(writes=True) as connection:
            yield connection

    def close(self) -> None:
        """Let go of it."""
        self.engine.dispose()

    @contextmanager
    def _connected(self, *, writes: bool) -> Iterator[Connection]:
        try:
            with self.engine.connect() as connection:
                if self.file is None and not writes:
                    connection = connection.execution_options(isolation_level="REPEATABLE READ")
                connection = connection.execution_options(book_writes=writes)
                with connection.begin():
                    yield connection
        except DBAPIError as error:
            raise self._trouble(error) from error

    def _trouble(self, error: DBAPIError) -> FileProblem:
        said = str(error.orig).strip()
        locked = "locked" in said or "timeout" in said
        return FileProblem(
            Problem(
                code="BOOK-001" if isinstance(error, OperationalError) else "BOOK-002",
                where=self.name,
                got=f"the book can't be used ({said})",
                fix="Another program has kept it busy; try again"
                if locked
                else "Check that the disk is not full or read-only and the server runs",
            )
        )


def open_book(address: str | Path) -> Book:
    """Open a book that is there, bringing an old one to the newest version first.

    Args:
        address: path of a SQLite file, or a URL ``postgresql://.../database?airplane=name``

    Raises:
        FileProblem: when there is none, or it can't be read
        BadInput: when the address makes no sense
    """
    from blankwright.book.migrate import bring_up

    book = connect(address)
    if book.file is not None and not book.file.is_file():
        raise FileProblem(
            Problem(
                code="BOOK-003",
                where=book.name,
                got="there is no job book here",
                fix="Start one with `blankwright book start`",
            )
        )
    bring_up(book, make=False)
    return book


def make_book(address: str | Path) -> Book:
    """Make a new, empty book, or open the one that is there. Raises as `open_book`."""
    from blankwright.book.migrate import bring_up

    book = connect(address)
    bring_up(book, make=True)
    return book


def connect(address: str | Path) -> Book:
    """Return the book at an address, whatever state it is in. Raises BadInput."""
    given = str(address)
    if "://" not in given:
        return _sqlite(Path(given))
    try:
        url = make_url(given)
    except ArgumentError as error:
        raise _bad_address(given, "it is no database URL") from error
    if url.get_backend_name() == "sqlite" and url.database:
        return _sqlite(Path(url.database))
    if url.get_backend_name() != "postgresql":
        raise _bad_address(url.render_as_string(), "only SQLite and PostgreSQL keep a job book")
    return _postgresql(url)


def _sqlite(file: Path) -> Book:
    engine = create_engine(
        URL.create("sqlite+pysqlite", database=str(file)),
        poolclass=NullPool,
        connect_args={"timeout": WAIT_SECONDS, "check_same_thread": False},
    )

    @event.listens_for(engine, "connect")
    def prepare(connection: Any, record: Any) -> None:
        connection.isolation_level = None  # transactions are begun below, not by the driver
        connection.execute("PRAGMA foreign_keys = ON")
        # EXTRA also syncs the folder after the journal is gone: a confirmed change stays.
        connection.execute("PRAGMA synchronous = EXTRA")

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("book_writes")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return Book(engine, str(file), "", file)


def _postgresql(url: URL) -> Book:
    given = url.query.get("airplane", "blankwright")
    schema = given if isinstance(given, str) else given[0]
    if not re.fullmatch(r"[a-z][a-z0-9_]{0,50}", schema):
        raise _bad_address(
            url.render_as_string(), "airplane=... takes small letters, digits and underscores"
        )
    url = url.difference_update_query(["airplane"]).set(drivername="postgresql+psycopg")
    name = f"{url.render_as_string()} ({schema})"
    try:
        engine = create_engine(
            url,
            poolclass=NullPool,
            connect_args={"connect_timeout": WAIT_SECONDS, "options": f"-csearch_path={schema}"},
        )
    except ImportError as error:
        raise FileProblem(
            Problem(
                code="BOOK-004",
                where=name,
                got="the PostgreSQL driver is not installed",
                fix="Install blankwright[postgres]",
            )
        ) from error

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        if connection.get_execution_options().get("book_writes"):
            connection.execute(
                text("SELECT pg_advisory_xact_lock(hashtext(:book))"), {"book": f"book {schema}"}
            )

    return Book(engine, name, schema, None)


def _bad_address(address: str, got: str) -> BadInput:
    return BadInput(
        Problem(
            code="BOOK-005",
            where=address,
            got=got,
            allowed="a file, or postgresql://user@host/database?airplane=name",
        )
    )
