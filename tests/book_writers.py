"""What writes into a book from a process of its own; importable by name, as `spawn` needs it."""

from __future__ import annotations

import json
import random
from pathlib import Path

from blankwright.book import records as r
from blankwright.book.history import history
from blankwright.book.store import make_book
from blankwright.jobs import book_hardware as hw
from blankwright.jobs.book_log import log
from blankwright.jobs.book_open import book_at
from book_fixtures import NOW

EACH = 40


def write(folder: Path, address: str, who: str, seed: int, told: Path) -> None:
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
    told.write_text(json.dumps(numbers))


def make(address: str, n: int) -> None:
    book = make_book(address)
    with book.change(f"mine {n}", who=str(n), at=NOW) as change:
        change.add(r.Task, title=f"task {n}")
    book.close()
