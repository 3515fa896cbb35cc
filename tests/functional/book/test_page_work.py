"""Tasks, their order, parts and keeping, on the page: the same as by the commands."""

import io
import json
import re
import zipfile
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pypdfium2
import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

import book_story
from blankwright.book import records as r
from blankwright.book.dump import dump
from blankwright.files.book_backup import read_backup
from blankwright.files.book_csv import read_tables
from blankwright.jobs import book_tasks
from blankwright.jobs.book_hours import hours_by
from blankwright.jobs.book_log import log_page
from blankwright.jobs.book_needs import Needs, add_need
from blankwright.jobs.book_open import book_at, start_book
from blankwright.page import book_view
from blankwright.page.book_keep_html import GIVEN
from blankwright.page.guard import Guard
from book_story import evening, task

HOST = "127.0.0.1:8620"
AT = evening(10)


@pytest.fixture
def client(project: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[TestClient]:
    start_book(project, evening(0), airplane="Tarn 200", builder="Ida Berg", serial="014")
    with book_at(project) as book:
        book_story.ida(book)
    monkeypatch.setattr(book_view, "now", lambda: AT)
    app = FastAPI()
    book_view.book_routes(app, project)
    headers = {"origin": f"http://{HOST}"}
    with TestClient(Guard(app, 8620), base_url=f"http://{HOST}", headers=headers) as found:
        yield found


def plain(text: str) -> str:
    """A page as it is read."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", text)).split())


def test_the_order_is_that_of_the_commands(client: TestClient, project: Path) -> None:
    said = plain(client.get("/book/order").text)
    with book_at(project) as book:
        chain = book_tasks.chain_of(book, AT)
        batches = book_tasks.batches_of(book)
        titles = {t.id: t.title for t in book_tasks.all_tasks(book)}
        hours = hours_by(book)[-1]
    at = -1
    for link in chain.links:  # in order, each with its work
        at = said.find(f"{link.task} {titles[link.task]} {chain.hours[link.task]:.1f}", at + 1)
        assert at > 0, titles[link.task]
    assert f"{chain.work:.1f} h of work" in said
    for batch in batches.batches:
        assert " ".join(f"{n} {titles[n]}" for n in batch.tasks) in said
    assert "no order takes less" in said
    assert f"all {hours.expected:.1f} {hours.left:.1f} {hours.taken:.1f}" in said


def test_how_things_stand_is_said_at_once_or_not_at_all(client: TestClient, project: Path) -> None:
    words = {"position": "inverted", "setup": "", "shop_hours": "2,5", "turn_hours": "1"}
    assert client.post("/book/stands", data={**words, "setup_hours": "x"}).status_code == 400
    assert "lies: upright" not in plain(client.get("/book/order").text)
    shown = client.post("/book/stands", data={**words, "setup_hours": "0"})
    assert "The airplane lies: inverted" in plain(shown.text)
    assert "Shop hours a day: 2.5" in plain(shown.text)
    assert "The airplane lies inverted" in plain(client.get("/book").text)


def test_tasks_are_chosen_by_part_and_state(client: TestClient) -> None:
    def shown(query: str) -> list[str]:
        text = client.get(f"/book/tasks?{query}").text
        return re.findall(r"<tr><td>\d+</td><td>([^<]+)<", text)

    assert "battery-tray: cut" not in shown("")
    assert shown("which=done") == ["battery-tray: measure the place", "battery-tray: cut"]
    assert len(shown("part=pan-cover&which=all")) == 6
    assert shown("part=pan-cover") == shown("part=pan-cover&which=open")
    assert len(shown("which=all")) == 16


def test_done_with_its_time_and_why_it_is_done_anyway(client: TestClient, project: Path) -> None:
    with book_at(project) as book:
        ready, waits = task(book, "battery-tray: drill"), task(book, "pan-cover: glue")
    form = client.get(f"/book/tasks?do=task-done&no={ready}").text
    assert 'name="anyway"' not in form
    form = client.get(f"/book/tasks?do=task-done&no={waits}").text
    assert "The book says that it waits: first: pan-cover: trial fit" in plain(form)
    assert 'name="anyway"' in form
    refused = client.post("/book/task-done", data={"no": waits, "minutes": "30"})
    assert refused.status_code == 400
    with book_at(project) as book:
        assert log_page(book).total == 2  # nothing of it was kept, the log entry neither
    words = {"no": waits, "minutes": "30", "anyway": "glued at the meeting", "text": ""}
    assert client.post("/book/task-done", data=words).status_code == 200
    with book_at(project) as book:
        line = log_page(book).lines[0]
        assert (line.entry.text, line.entry.minutes) == ("Done: pan-cover: glue", 30)
        (cure,) = book_tasks.what_cures(book, AT)
        assert cure.title == "pan-cover: glue"
    assert "Cures what until pan-cover: glue" in plain(client.get("/book").text)


def test_a_measurement_is_written_down_and_an_entry_corrected(
    client: TestClient, project: Path
) -> None:
    assert 'value="battery-tray.bay_width = "' in client.get("/book").text
    words = {
        "text": "gauged again",
        "measured": "battery-tray.bay_width = 7-5/16 in +/- 0.3 mm",
        "reason": "with primer",
        "place": "tunnel",
    }
    assert client.post("/book/entry", data=words).status_code == 200
    with book_at(project) as book:
        (line, *_) = log_page(book).lines
    one = line.measurements[0]
    assert (one.value, one.plus_minus, one.reason) == ("7-5/16 in", "0.3 mm", "with primer")
    assert line.entry.place == "tunnel"
    number = line.entry.id
    form = client.get(f"/book/log?do=entry-change&no={number}").text
    assert ">gauged again</textarea>" in form
    client.post("/book/entry-change", data={"no": number, "text": "gauged twice", "minutes": "5"})
    said = plain(client.get("/book/log").text)
    assert "5 min · no. 3 Correct gauged twice" in said
    assert "gauged again" not in said
    assert "entry 3: corrected" in plain(client.get("/book/history").text)


def test_a_file_that_cannot_be_read_is_said_and_all_others_are_made(
    client: TestClient, project: Path
) -> None:
    (project / "parts" / "clip.toml").write_text("title = ", encoding="utf-8")
    text = book_story.TRAY.replace("Battery tray", "Second tray")
    (project / "parts" / "second-tray.toml").write_text(text, encoding="utf-8")
    answer = client.post("/book/plan", data={})
    assert answer.status_code == 400
    assert "BOOK-066 clip: its tasks were left alone" in plain(answer.text)
    assert "second-tray" in plain(client.get("/book/parts").text)


def test_needs_in_a_circle_leave_the_page_usable(client: TestClient, project: Path) -> None:
    """A circle can come in with an import; it is named, and the pages are shown still."""
    with book_at(project) as book:
        first, last = task(book, "pan-cover: cut"), task(book, "pan-cover: inspect")
        with book.change("as an import may", AT) as change:
            change.add(r.Need, task_id=first, kind=r.NeedKind.TASK, needed_task_id=last)
    for page in ("", "/tasks", "/order", "/hardware"):
        assert client.get(f"/book{page}").status_code == 200
    answer = client.post("/book/task-need", data={"no": last, "after": "3"})
    assert "BOOK-030" in plain(answer.text)
    assert "pan-cover: cut →" in plain(answer.text)


def test_what_is_given_out_is_the_book(client: TestClient, project: Path, tmp_path: Path) -> None:
    with book_at(project) as book, book.read() as reader:
        tables = dump(reader)
    for name in GIVEN:
        assert f"/book/give/{name}" in client.get("/book/keep").text
    backup = tmp_path / "backup.zip"
    answer = client.get("/book/give/backup.zip")
    assert "attachment" in answer.headers["content-disposition"]
    backup.write_bytes(answer.content)
    found = read_backup(backup)
    assert (found.tables, len(found.photos)) == (tables, 2)
    assert json.loads(client.get("/book/give/book.json").content)["tables"] == tables
    with zipfile.ZipFile(io.BytesIO(client.get("/book/give/book-csv.zip").content)) as pack:
        pack.extractall(tmp_path / "csv")
    csv = read_tables(tmp_path / "csv")
    assert {name: len(rows) for name, rows in csv.items()} == {
        name: len(rows) for name, rows in tables.items()
    }
    for paper, width in (("A4", 595), ("Letter", 612)):
        document = pypdfium2.PdfDocument(client.get(f"/book/give/record-{paper}.pdf").content)
        assert round(document[0].get_size()[0]) == width
        document.close()
    assert client.get("/book/give/book.sqlite").status_code == 404
    assert client.get("/book/give/..%2fbook.sqlite").status_code == 404


def test_the_check_and_a_backup_say_which_photo_is_missing(
    client: TestClient, project: Path
) -> None:
    assert "every photo is as it was kept" in plain(client.get("/book/keep?check=1").text)
    with book_at(project) as book, book.read() as reader:
        photo = reader.all(r.Photo)[0]
    (project / "photos" / photo.file).unlink()
    assert "PHOTO-003" in plain(client.get("/book/keep?check=1").text)
    answer = client.get("/book/give/backup.zip")
    assert (answer.status_code, "PHOTO-003" in answer.text) == (409, True)


def test_the_history_tells_what_a_change_touched(client: TestClient, project: Path) -> None:
    with book_at(project) as book:
        number = task(book, "battery-tray: drill")
    client.post("/book/task-change", data={"no": number, "title": "drill it", "hours": "2 h"})
    said = plain(client.get("/book/history").text)
    assert f"task {number}: changed" in said
    assert f"task {number}, title: battery-tray: drill → drill it" in said
    with book_at(project) as book:
        for n in range(60):
            book_tasks.state_settings(book, AT, {"position": f"turn {n}"})
    first = client.get("/book/history").text
    assert ("turn 59" in first, "turn 5<" in first) == (True, False)
    assert 'href="/book/history?last=100"' in first
    more = client.get("/book/history?last=100").text
    assert "turn 5<" in more
    assert "start the book" in plain(client.get("/book/history?last=100000").text)


def test_a_recurring_item_is_changed_and_ended(client: TestClient, project: Path) -> None:
    shown = client.get("/book/inspection?do=recurring-change&no=1").text
    assert 'name="count0" value="18"' in shown
    words = {"no": "1", "title": "Control run", "cover": "pan-cover", "months": "6"}
    client.post("/book/recurring-change", data={**words, "looking": "30", "count0": "16"})
    said = plain(client.get("/book/inspection").text)
    # 16 screws at 20 s and 30 s are 13 minutes, and half an hour of looking.
    assert "Control run Done Change pan-cover 16 43 2026-01-20 2026-07-31" in said
    client.post(
        "/book/recurring-change",
        data={**words, "looking": "30", "count0": "16", "ended": "yes"},
    )
    said = plain(client.get("/book/inspection").text)
    assert "Control run ended 2026-01-22" in said
    assert "2026-07-31" not in said


def test_a_task_needs_what_was_said_by_hand(client: TestClient, project: Path) -> None:
    with book_at(project) as book:
        number = task(book, "battery-tray: drill")
        add_need(book, AT, number, Needs(stages=[1]))
    said = plain(client.get(f"/book/tasks?do=task-need&no={number}").text)
    assert "battery-tray: drill needs now what after 2 battery-tray: cut Take away" in said
    assert "seen: control run, before pan-cover goes in Take away" in said
