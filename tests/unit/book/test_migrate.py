"""The migrations make exactly what the program reads, and bring old books along."""

import shutil
import sqlite3
from dataclasses import fields
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from blankwright.base.errors import FileProblem
from blankwright.book import records as r
from blankwright.book.history import history, take_back
from blankwright.book.migrate import NEWEST, bring_up, version_of
from blankwright.book.store import Book, connect, make_book, open_book
from blankwright.book.tables import KINDS, METADATA, TABLES
from book_fixtures import NOW

OLD = Path(__file__).parents[2] / "assets" / "book-version-0001.sql"


def test_the_tables_are_those_that_the_migrations_make(book: Book) -> None:
    with book.read() as reader:
        context = MigrationContext.configure(
            reader.connection, opts={"compare_type": True, "compare_server_default": False}
        )
        assert compare_metadata(context, METADATA) == []
        assert version_of(reader.connection) == NEWEST


def test_records_have_the_columns_of_their_tables() -> None:
    for name, kind in KINDS.items():
        assert {f.name for f in fields(kind)} == set(TABLES[name].c.keys()), name


@pytest.fixture
def old_book(tmp_path: Path) -> Path:
    """A book as version 1 of the book wrote it, kept as text."""
    path = tmp_path / "old.sqlite"
    raw = sqlite3.connect(path)
    raw.executescript(OLD.read_text(encoding="utf-8"))
    raw.close()
    return path


def rows(path: Path) -> dict[str, list[tuple[object, ...]]]:
    raw = sqlite3.connect(path)
    names = [n for (n,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    found = {n: raw.execute(f'SELECT * FROM "{n}" ORDER BY 1').fetchall() for n in names}
    raw.close()
    return found


def test_a_version_1_book_opens_with_all_it_held(old_book: Path) -> None:
    before = rows(old_book)
    assert sum(map(len, before.values())) > 40
    book = open_book(old_book)
    after = rows(old_book)
    for name, held in before.items():
        if name == "alembic_version":
            assert after[name] == [(NEWEST,)]
        elif name == "photo":
            assert after[name] == [(*row, "") for row in held]
        elif name == "task":
            assert [row[:-1] for row in after[name]] == held
            assert [row[-1] for row in after[name]] == [0.5, 1.0, 0.8]
        elif name == "measurement":
            assert [row[:-1] for row in after[name]] == held
            assert [row[-1] for row in after[name]] == [""]
        elif name == "part":
            assert after[name] == [(*row, 0) for row in held]
        elif name == "yearly":
            assert after[name] == [(*row, None) for row in held]
        else:
            assert after[name] == held, name
    with book.read() as reader:
        for kind in KINDS.values():
            reader.all(kind)
        photo = reader.all(r.Photo)[0]
        assert photo.taken_at == ""
        assert len(history(reader)) == 6
    book.close()


def test_the_old_book_is_kept_beside(old_book: Path) -> None:
    before = old_book.read_bytes()
    open_book(old_book).close()
    assert (old_book.parent / "old.version-0001.sqlite").read_bytes() == before


def test_a_removal_made_in_version_1_comes_back_in_the_newest(old_book: Path) -> None:
    book = open_book(old_book)
    with book.read() as reader:
        (removal,) = (p for p in history(reader) if p.note.what == "wrong photo out")
        assert len(reader.all(r.Photo)) == 1
    take_back(book, removal.note.id, who="Ida", at=NOW)
    with book.read() as reader:
        assert [(p.id, p.taken_at) for p in reader.all(r.Photo)] == [(1, ""), (2, "")]
    book.close()


def test_a_newer_book_is_left_alone(address: str) -> None:
    book = connect(address)
    with book.raw() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '0099'")
    with pytest.raises(FileProblem, match=r"BOOK-007 .*version 0099, newer"):
        open_book(address)
    with book.read() as reader:
        assert version_of(reader.connection) == "0099"
    book.close()


def test_step_by_step_equals_at_once(nowhere: str, tmp_path: Path) -> None:
    book = connect(nowhere)
    bring_up(book, make=True, to="0001")
    with book.read() as reader:
        assert version_of(reader.connection) == "0001"
    bring_up(book, make=False)
    with book.read() as reader:
        context = MigrationContext.configure(reader.connection, opts={"compare_type": True})
        assert compare_metadata(context, METADATA) == []
    book.close()


def test_no_book_and_no_book_of_ours(tmp_path: Path) -> None:
    with pytest.raises(FileProblem, match="BOOK-003"):
        open_book(tmp_path / "none.sqlite")
    other = tmp_path / "other.sqlite"
    raw = sqlite3.connect(other)
    raw.execute("CREATE TABLE task (x)")
    raw.close()
    kept = shutil.copy(other, tmp_path / "kept.sqlite")
    with pytest.raises(FileProblem, match="BOOK-006"):
        make_book(other)
    assert Path(kept).read_bytes() == other.read_bytes()
    noise = tmp_path / "noise.sqlite"
    noise.write_bytes(b"not a database at all, but long enough to look at" * 100)
    with pytest.raises(FileProblem, match="BOOK-00"):
        open_book(noise)
