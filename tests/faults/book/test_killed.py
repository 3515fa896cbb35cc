"""Killed at any moment: the book opens clean, and nothing that was confirmed is lost."""

import os
import random
import select
import signal
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest

import book_story
from blankwright.book import records as r
from blankwright.book.history import history
from blankwright.book.migrate import NEWEST
from blankwright.book.store import make_book
from blankwright.jobs.book_keep import check_book
from blankwright.jobs.book_log import Picture, log
from blankwright.jobs.book_open import book_at, start_book
from book_fixtures import NOW

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")


def writer(folder: Path, address: str, told: int, seed: int) -> None:
    """Write entries for ever; say each one's number only when it is confirmed."""
    dice = random.Random(seed)
    with book_at(folder, address) as book:
        while True:
            pictures = (
                [Picture(data=book_story.photo(dice.randrange(200), (64, 48)), name="p.jpg")]
                if dice.random() < 0.5
                else []
            )
            number = log(book, datetime.now(UTC), f"entry of {seed}", minutes=15, pictures=pictures)
            os.write(told, f"{number}\n".encode())


def killed_once(folder: Path, address: str, seed: int, after: float) -> set[int]:
    """Start a writer, kill it without warning, return the entries that it was told are kept."""
    out, told = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(out)
            writer(folder, address, told, seed)
        finally:
            os._exit(1)
    os.close(told)
    with os.fdopen(out, "rb") as pipe:
        # From its first word on it is surely writing. A child that never speaks (a fork may catch
        # another thread's lock) is only killed, and another one is started for it.
        speaks = bool(select.select([pipe], [], [], 30.0)[0])
        first = pipe.readline() if speaks else b""
        time.sleep(after if speaks else 0.0)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        said = (first + pipe.read()).decode().split("\n")
    return {int(number) for number in said[:-1]}


def proved(folder: Path, address: str, confirmed: set[int]) -> None:
    """The book is whole: what was confirmed is there, and no change is there by half."""
    with book_at(folder, address) as book:
        assert [f for f in check_book(book) if f.blocks] == []
        with book.read() as reader:
            entries = {e.id for e in reader.all(r.Entry)}
            assert confirmed <= entries
            photos = {p.entry_id for p in reader.all(r.Photo)}
            assert photos <= entries
            for past in history(reader, last=10_000):
                touched = [row.table for row in past.rows]
                if "entry" in touched:
                    assert touched in (["entry"], ["entry", "photo"])
            told = {
                row.row_id
                for p in history(reader, last=10_000)
                for row in p.rows
                if row.table == "entry"
            }
            assert told == entries


def killed_often(folder: Path, address: str, times: int) -> int:
    start_book(folder, NOW, address=address, builder="Ida Berg")
    dice = random.Random(200)
    confirmed: set[int] = set()
    killed = 0
    for seed in range(2 * times):
        told = killed_once(folder, address, seed, dice.uniform(0.0, 0.06))
        confirmed |= told
        killed += bool(told)
        if killed == times:
            break
        if seed % 10 == 9:
            proved(folder, address, confirmed)
    assert killed == times
    proved(folder, address, confirmed)
    with book_at(folder, address) as book:
        assert log(book, NOW, "goes on") > max(confirmed)
    return len(confirmed)


def test_killed_eight_times(project: Path, address: str) -> None:
    killed_often(project, address, 8)


@pytest.mark.slow
def test_killed_200_times(project: Path, address: str, kind: str) -> None:
    # PostgreSQL looks after itself when we are killed; our part is the photos and the confirming.
    times = 200 if kind == "sqlite" else 50
    assert killed_often(project, address, times) >= times


@pytest.mark.slow
def test_killed_while_it_is_brought_up(tmp_path: Path) -> None:
    """An old book, killed in mid-migration, is the old one or the new one, and opens."""
    import sqlite3

    script = (Path(__file__).parents[2] / "assets" / "book-version-0001.sql").read_text()
    versions = set()
    dice = random.Random(4)
    for n in range(24):
        path = tmp_path / f"book{n}.sqlite"
        raw = sqlite3.connect(path)
        raw.executescript(script)
        raw.close()
        child = os.fork()
        if child == 0:
            try:
                make_book(path).close()
            finally:
                os._exit(0)
        time.sleep(dice.uniform(0.0, 0.25))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        raw = sqlite3.connect(path)
        versions.add(raw.execute("SELECT version_num FROM alembic_version").fetchone()[0])
        raw.close()
        book = make_book(path)
        with book.read() as reader:
            assert len(reader.all(r.Task)) == 3
            assert reader.get(r.Task, 1).first_hours == 0.5
        book.close()
    assert versions <= {"0001", NEWEST}
