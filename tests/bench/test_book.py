"""Speed of the job book; the target is that of issue 9."""

import random

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

import book_story
from blankwright.book import records as r
from blankwright.book.batches import best_batches
from blankwright.book.chain import critical_chain
from blankwright.book.needs import After, Job, Work, standings
from blankwright.jobs.book_log import log_page
from blankwright.jobs.book_open import book_at, start_book
from blankwright.page.book_view import book_routes
from book_fixtures import NOW


@pytest.fixture
def root(tmp_path):
    root = book_story.make_project(tmp_path / "tarn")
    start_book(root, NOW, builder="Ida Berg")
    with book_at(root) as book, book.change("many", NOW) as change:
        ids = change.add_many(
            r.Entry,
            [
                {"at": book_story.evening(n / 10), "minutes": 30, "text": f"evening {n}"}
                for n in range(10_000)
            ],
        )
        change.add_many(
            r.Photo,
            [
                {"entry_id": n, "sha256": f"{n:064x}", "file": f"{n % 256:02x}/{n:064x}.jpg"}
                for n in ids
            ],
        )
    return root


def test_a_page_of_10_000_entries(root, measured):
    with book_at(root) as book:
        measured("log page of 10,000 entries, read", lambda: log_page(book), target="200 ms")
        measured(
            "10,000 entries searched", lambda: log_page(book, text="evening 77"), target="200 ms"
        )
    app = FastAPI()
    book_routes(app, root)
    with TestClient(app) as client:

        def shown():
            assert client.get("/book/log").status_code == 200

        measured("log page of 10,000 entries, served", shown, target="200 ms")


def test_400_parts(measured):
    dice = random.Random(1)
    jobs = {}
    for n in range(1, 4001):
        step = (n - 1) % 10
        firsts = [n - 1] if step else ([dice.randrange(1, n)] if n > 1 and n % 40 == 1 else [])
        jobs[n] = Job(
            number=n,
            title=f"task {n}",
            hours=0.5,
            after=tuple(After(task=first) for first in firsts),
            position=dice.choice(["upright", "inverted"]) if step in (4, 8) else "",
            setup=f"brake {dice.randrange(6)}" if step == 3 else "",
        )
    work = Work(jobs=jobs, position="upright")
    measured("4,000 tasks: what next", lambda: standings(work, NOW), target="-", rounds=3)
    measured("4,000 tasks: chain", lambda: critical_chain(work, NOW), target="-", rounds=3)
    measured("4,000 tasks: batches", lambda: best_batches(work), target="-", rounds=3)
