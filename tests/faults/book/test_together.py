"""Two processes write at once: every change is whole, none is lost, no number is used twice."""

import multiprocessing
import random
from collections import Counter
from pathlib import Path

import pytest

from blankwright.base.errors import BlankwrightError, FileProblem
from blankwright.book import records as r
from blankwright.book.history import history, take_back
from blankwright.book.store import make_book, open_book
from blankwright.jobs import book_hardware as hw
from blankwright.jobs.book_log import log
from blankwright.jobs.book_open import book_at, start_book
from book_fixtures import NOW

EACH = 40


def write(folder: Path, address: str, who: str, seed: int, done) -> None:
    """Log, use up hardware and change one shared task, over and over."""
    dice = random.Random(seed)
    numbers = []
    with book_at(folder, address, who) as book:
        for n in range(EACH):
            numbers.append(log(book, NOW, f"{who} {n}", minutes=1))
            hw.move_item(book, NOW, "nut", r.MoveKind.USED, 1)
            with book.change(f"{who} counts {n}", NOW) as change:
                setting = change.by(r.Setting, name="count")[0]
                change.put(r.Setting, setting.id, value=str(int(setting.value) + 1))
            if dice.random() < 0.1:
                with book.read() as reader:
                    assert history(reader, last=5)
    done.put((who, numbers))


def test_two_writers(project: Path, address: str) -> None:
    start_book(project, NOW, address=address, builder="Ida Berg")
    with book_at(project, address) as book:
        hw.enter_item(book, NOW, "nut")
        hw.move_item(book, NOW, "nut", r.MoveKind.COUNTED, 1000)
        with book.change("a counter", NOW) as change:
            change.add(r.Setting, name="count", value="0")
    context = multiprocessing.get_context("spawn")
    done = context.Queue()
    people = ["Ida", "Bo"]
    writers = [
        context.Process(target=write, args=(project, address, who, n, done))
        for n, who in enumerate(people)
    ]
    for one in writers:
        one.start()
    told = dict(done.get(timeout=240) for _ in writers)
    for one in writers:
        one.join(60)
        assert one.exitcode == 0
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


def make(address: str, n: int, done) -> None:
    book = make_book(address)
    with book.change(f"mine {n}", who=str(n), at=NOW) as change:
        change.add(r.Task, title=f"task {n}")
    book.close()
    done.put(n)


def test_two_start_the_same_book_at_once(nowhere: str) -> None:
    context = multiprocessing.get_context("spawn")
    done = context.Queue()
    makers = [context.Process(target=make, args=(nowhere, n, done)) for n in range(3)]
    for one in makers:
        one.start()
    for _ in makers:
        done.get(timeout=120)
    for one in makers:
        one.join(60)
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
    with pytest.raises(BlankwrightError, match="BOOK-00"):
        book = open_book(path)
        with book.change("x", who="", at=NOW) as change:
            change.add(r.Task, title="x")
            change.all(r.Entry)
    path.write_bytes(empty_sqlite.read_bytes()[:3000])
    with pytest.raises(BlankwrightError, match="BOOK-00"):
        open_book(path)
