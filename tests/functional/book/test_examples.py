"""The two example books come in, and what they say can be worked with."""

from pathlib import Path

import pytest

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
def test_an_example_book(path: Path, tmp_path: Path) -> None:
    root = make_project(tmp_path / "tarn")
    make_book(root / "book.sqlite").close()
    with book_at(root) as book:
        assert import_book(book, evening(20), path).whole
        found = what_next(book, evening(20))
        assert any(s.can_be_done for s in found)
        chain = chain_of(book, evening(20))
        assert chain.length > 0
        assert len(chain.times) == len(found)
        assert batches_of(book, waits_over=True).proved
        shelf(book, evening(20))
        assert print_record(book, evening(20), root / "record.pdf").pages >= 3
