"""The two example books come in, and what they say can be worked with."""

import json
from pathlib import Path

import pytest

from blankwright.book.dump import dump
from blankwright.book.migrate import NEWEST, version_of
from blankwright.book.store import make_book
from blankwright.jobs.book_hardware import shelf
from blankwright.jobs.book_keep import import_book
from blankwright.jobs.book_open import book_at
from blankwright.jobs.book_record import print_record
from blankwright.jobs.book_tasks import batches_of, chain_of, what_next
from book_story import evening, make_project

BOOKS = sorted((Path(__file__).parents[3] / "examples" / "books").glob("*.json"))


def test_there_are_two() -> None:
    assert [path.stem for path in BOOKS] == ["tarn-200-014", "tarn-200-021"]


@pytest.mark.parametrize("path", BOOKS, ids=lambda path: path.stem)
def test_an_example_book(path: Path, tmp_path: Path, nowhere: str) -> None:
    """They are of version 2, and fill a new book of the newest whole, with their history."""
    root = make_project(tmp_path / "tarn")
    make_book(nowhere).close()
    with book_at(root, nowhere) as book:
        assert import_book(book, evening(20), path).whole
        stated = json.loads(path.read_text(encoding="utf-8"))
        assert stated["version"] == "0002"
        with book.read() as reader:
            assert version_of(reader.connection) == NEWEST
            now = dump(reader)
        for name, rows in stated["tables"].items():
            kept = [
                {column: row[column] for column in old}
                for row, old in zip(now[name], rows, strict=True)
            ]
            assert kept == rows, name
        found = what_next(book, evening(20))
        assert any(s.can_be_done for s in found)
        chain = chain_of(book, evening(20))
        assert chain.length > 0
        assert len(chain.times) == len(found)
        assert batches_of(book, waits_over=True).proved
        shelf(book, evening(20))
        assert print_record(book, evening(20), root / "record.pdf").pages >= 3
