"""The job book's pages on the page's own server, in process."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

import book_story
from blankwright.book import records as r
from blankwright.book.store import make_book
from blankwright.jobs.book_log import log_page
from blankwright.jobs.book_open import BookAt, book_at, start_book
from blankwright.jobs.book_tasks import all_tasks
from blankwright.page.book_view import book_routes
from blankwright.page.book_views import ON_A_PAGE
from blankwright.page.guard import Guard
from book_story import evening

HOST = "127.0.0.1:8620"


@dataclass
class Page:
    """A project with its pages."""

    root: Path
    client: TestClient

    def get(self, path: str = "") -> str:
        answer = self.client.get(f"/book{path}")
        assert answer.status_code == 200, answer.text
        return answer.text

    def book(self):
        return book_at(self.root)


def client_of(root: Path) -> TestClient:
    app = FastAPI()
    book_routes(app, root)
    return TestClient(
        Guard(app, 8620), base_url=f"http://{HOST}", headers={"origin": f"http://{HOST}"}
    )


@pytest.fixture
def page(project: Path) -> Iterator[Page]:
    make_book(project / "book.sqlite").close()
    start_book(project, evening(0), airplane="Tarn 200", builder="Ida <Berg>", serial="014")
    with book_at(project) as book:
        book_story.ida(book)
    with client_of(project) as client:
        yield Page(project, client)


def test_the_views_show_what_the_commands_show(page: Page) -> None:
    text = page.get()
    assert re.search(r"<td>battery-tray: drill</td>", text)
    assert "first: pan-cover: trial fit<br>to be seen: control run" in text
    assert "186.4 mm ± 0.3 mm: in the part file, was 7-3/8 in" in page.get("/log")
    assert "plate nut, self-locking" in page.get("/hardware")
    assert "“No load on these walls; go on.”" in page.get("/deviations")
    assert "<b>OPEN</b>" in page.get("/deviations")
    assert "<b>NOT SEEN</b>" in page.get("/inspection")
    assert "start the book" in page.get("/history")
    assert "Ida <Berg>" not in page.get("/history")


def test_write_down_begin_finish_and_take_back(page: Page) -> None:
    number = book_story.task(open_of(page), "battery-tray: drill")
    done = page.client.post("/book/begin", data={"task": number})
    assert "<b>begun</b>" in done.text
    page.client.post(
        "/book/entry",
        data={"text": "<script>x</script> drilled", "minutes": "30", "task": str(number)},
        files=[("photo", ("a.jpg", book_story.photo(7), "image/jpeg"))],
    )
    text = page.get("/log")
    assert "&lt;script&gt;x&lt;/script&gt; drilled" in text
    assert "<script>x" not in text
    (file,) = re.findall(r'/book/small/([^"]+)"', text.partition("</li>")[0])
    small = page.client.get(f"/book/small/{file}")
    assert (small.status_code, small.headers["content-type"]) == (200, "image/jpeg")
    assert page.client.get(f"/book/photo/{file}").content == book_story.photo(7)
    page.client.post("/book/done", data={"task": number})
    with page.book() as book:
        assert all_tasks(book)[number - 1].state is r.TaskState.DONE
        with book.read() as reader:
            newest = max(c.id for c in reader.all(r.ChangeNote))
    page.client.post("/book/take-back", data={"change": newest})
    with page.book() as book:
        assert all_tasks(book)[number - 1].state is r.TaskState.BEGUN


def open_of(page: Page) -> BookAt:
    with page.book() as book:
        return book


def test_what_cannot_be_done_is_said_on_the_page(page: Page) -> None:
    number = book_story.task(open_of(page), "pan-cover: glue")
    answer = page.client.post("/book/done", data={"task": number})
    assert answer.status_code == 400
    assert "BOOK-051" in answer.text
    for action, data in (
        ("done", {}),
        ("done", {"task": "x"}),
        ("entry", {"text": ""}),
        ("take-back", {"change": "9999"}),
    ):
        assert page.client.post(f"/book/{action}", data=data).status_code == 400
    assert page.client.post("/book/approve", data={}).status_code == 404
    assert page.client.get("/book/nothing").status_code == 404


@pytest.mark.parametrize(
    "path",
    [
        "/book/photo/../book.sqlite",
        "/book/photo/%2e%2e/book.sqlite",
        "/book/photo/ab/..%2f..%2fbook.sqlite",
        "/book/small/../../etc",
        "/book/other/aa/" + "a" * 64 + ".jpg",
    ],
)
def test_only_photos_are_given_out(page: Page, path: str) -> None:
    assert page.client.get(path).status_code == 404


def test_from_elsewhere_nothing_is_written(page: Page) -> None:
    for headers in ({"origin": "http://evil.example"}, {"origin": ""}, {"host": "evil.example"}):
        answer = page.client.post("/book/entry", data={"text": "x"}, headers=headers)
        assert answer.status_code == 403
    with page.book() as book:
        assert log_page(book).total == 2


def test_a_project_without_a_book_can_start_one(project: Path) -> None:
    with client_of(project) as client:
        assert "There is no job book in this project yet" in client.get("/book").text
        answer = client.post("/book/start", data={"builder": "Bo Lind"})
        assert "Can be done now" in answer.text
    with book_at(project) as book, book.read() as reader:
        assert {s.value for s in reader.all(r.Setting)} == {"Tarn 200", "Bo Lind"}


def test_10_000_entries_with_photos_stay_quick(shop: BookAt) -> None:
    """Quick because little is read: a few queries whatever the book holds, and by index.

    The time itself is measured in `./dev bench`.
    """
    from sqlalchemy import event, text

    with shop.change("many", evening(0)) as change:
        ids = change.add_many(
            r.Entry,
            [{"at": evening(n / 10), "minutes": 30, "text": f"evening {n}"} for n in range(10_000)],
        )
        change.add_many(
            r.Photo,
            [{"entry_id": n, "sha256": f"{n:064x}", "file": f"{n:064x}.jpg"} for n in ids],
        )
    asked: list[str] = []
    event.listen(
        shop.book.engine, "before_cursor_execute", lambda *given: asked.append(str(given[2]))
    )
    found = log_page(shop, count=ON_A_PAGE)
    assert (found.total, len(found.lines)) == (10_000, ON_A_PAGE)
    assert [line.entry.text for line in found.lines[:2]] == ["evening 9999", "evening 9998"]
    assert all(len(line.photos) == 1 for line in found.lines)
    selects = [query for query in asked if query.lstrip().upper().startswith("SELECT")]
    assert len(selects) <= 7
    deep = log_page(shop, start=9_990, count=ON_A_PAGE)
    assert [line.entry.text for line in deep.lines][-1] == "evening 0"
    if shop.book.file is not None:
        query = "EXPLAIN QUERY PLAN SELECT * FROM entry ORDER BY at DESC, id DESC LIMIT 20"
        with shop.read() as reader:
            plan = str(reader.connection.execute(text(query)).all())
            assert "USING INDEX ix_entry_at" in plan
            query = "EXPLAIN QUERY PLAN SELECT * FROM photo WHERE entry_id IN (1, 2)"
            plan = str(reader.connection.execute(text(query)).all())
            assert "ix_photo_entry_id" in plan
