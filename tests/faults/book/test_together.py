"""Two processes write at once: every change is whole, none is lost, no number is used twice."""

import json
import multiprocessing
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest

from blankwright.base.errors import BlankwrightError, FileProblem
from blankwright.book import records as r
from blankwright.book.history import history, take_back
from blankwright.book.store import open_book
from blankwright.jobs import book_hardware as hw
from blankwright.jobs.book_open import book_at, start_book
from book_fixtures import NOW
from book_writers import EACH, make, write


def side_by_side(what: Callable[..., None], many: list[tuple[object, ...]]) -> None:
    """Run it in processes of their own at the same time; all must end well."""
    context = multiprocessing.get_context("spawn")
    processes = [context.Process(target=what, args=arguments) for arguments in many]
    for one in processes:
        one.start()
    for one in processes:
        one.join(240)
        one.kill()
    assert [one.exitcode for one in processes] == [0] * len(processes)


@pytest.mark.slow
def test_two_writers(project: Path, address: str, tmp_path: Path) -> None:
    start_book(project, NOW, address=address, builder="Ida Berg")
    with book_at(project, address) as book:
        hw.enter_item(book, NOW, "nut")
        hw.move_item(book, NOW, "nut", r.MoveKind.COUNTED, 1000)
        with book.change("a counter", NOW) as change:
            change.add(r.Setting, name="count", value="0")
    people = ["Ida", "Bo"]
    side_by_side(
        write, [(project, address, who, n, tmp_path / who) for n, who in enumerate(people)]
    )
    told = {who: json.loads((tmp_path / who).read_text()) for who in people}
    with book_at(project, address) as book, book.read() as reader:
        entries = reader.all(r.Entry)
        assert Counter(e.who for e in entries) == dict.fromkeys(people, EACH)
        for who in people:
            assert [e.id for e in entries if e.who == who] == told[who]
        # A lost update would leave the shared count short.
        assert reader.by(r.Setting, name="count")[0].value == str(2 * EACH)
        (stock,) = hw.shelf(book, NOW).stocks
        assert (stock.in_hand, stock.used) == (1000 - 2 * EACH, 2 * EACH)
        changes = history(reader, last=10_000)
        assert len(changes) == 4 + 2 * 3 * EACH
        assert len({c.note.id for c in changes}) == len(changes)
        # Whoever came second saw what the first had written: the counts follow one another.
        counts = [
            (row.before, row.after)
            for c in reversed(changes)
            for row in c.rows
            if row.table == "setting" and row.before and "value" in row.before
        ]
        assert [after for _, after in counts[:-1]] == [before for before, _ in counts[1:]]


@pytest.mark.slow
def test_two_start_the_same_book_at_once(nowhere: str) -> None:
    side_by_side(make, [(nowhere, n) for n in range(3)])
    book = open_book(nowhere)
    with book.read() as reader:
        assert sorted(t.title for t in reader.all(r.Task)) == ["task 0", "task 1", "task 2"]
        assert sorted(t.id for t in reader.all(r.Task)) == [1, 2, 3]
    book.close()


def test_a_reader_sees_one_moment(address: str) -> None:
    first, second = open_book(address), open_book(address)
    with first.change("one", who="", at=NOW) as change:
        change.add(r.Task, title="one")
    with first.read() as reader:
        assert len(reader.all(r.Task)) == 1
        if second.file is None:
            # SQLite would make the writer wait until the reading is over.
            with second.change("two", who="", at=NOW) as change:
                change.add(r.Task, title="two")
        assert len(reader.all(r.Task)) == 1
        assert len(reader.all(r.ChangeNote)) == 1
    first.close()
    second.close()


def test_two_take_back_the_same_change(address: str) -> None:
    first, second = open_book(address), open_book(address)
    with first.change("one", who="", at=NOW) as change:
        change.add(r.Task, title="one")
    take_back(first, 1, who="", at=NOW)
    with pytest.raises(BlankwrightError, match="BOOK-021"):
        take_back(second, 1, who="", at=NOW)
    first.close()
    second.close()


def test_a_busy_book_is_said(tmp_path: Path, empty_sqlite: Path, monkeypatch) -> None:
    import shutil

    monkeypatch.setattr("blankwright.book.store.WAIT_SECONDS", 0.1)
    path = shutil.copy(empty_sqlite, tmp_path / "book.sqlite")
    first, second = open_book(path), open_book(path)
    with first.raw(), pytest.raises(FileProblem, match=r"BOOK-001.*Another program"):  # noqa: SIM117
        with second.change("x", who="", at=NOW):
            pass
    first.close()
    second.close()


def test_a_read_only_or_spoiled_book_is_said(tmp_path: Path, empty_sqlite: Path) -> None:
    data = bytearray(empty_sqlite.read_bytes())
    for at in range(5000, len(data), 97):
        data[at] ^= 0x5A
    path = tmp_path / "spoiled.sqlite"
    path.write_bytes(data)

    def used() -> None:
        with open_book(path).change("x", who="", at=NOW) as change:
            change.add(r.Task, title="x")
            change.all(r.Entry)

    with pytest.raises(BlankwrightError, match="BOOK-00"):
        used()
    path.write_bytes(empty_sqlite.read_bytes()[:3000])
    with pytest.raises(BlankwrightError, match="BOOK-00"):
        open_book(path)
