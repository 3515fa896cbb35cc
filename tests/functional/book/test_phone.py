"""The phone's page: let in by code only, writes entries only, and nothing twice."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path

import pytest
from httpx import Response
from starlette.testclient import TestClient

import book_story
from blankwright.jobs.book_log import log_page
from blankwright.jobs.book_open import BookAt
from blankwright.jobs.book_tasks import all_tasks
from blankwright.page.phone import (
    COOKIE,
    HOURS_LET_IN,
    MOST_BODY,
    MOST_WRONG,
    Door,
    create_phone_app,
)
from book_story import evening, task

HOST = "192.168.1.20:8621"


@dataclass
class Room:
    """A phone and a computer in one room."""

    book: BookAt
    shown: list[str] = field(default_factory=list)
    at: float = 0.0

    def __post_init__(self) -> None:
        self.door = Door(
            self.shown.append,
            frozenset({HOST}),
            lambda: evening(9) + timedelta(hours=self.at),
        )
        self.door.new_code()
        address = str(self.book.book.engine.url.render_as_string(hide_password=False))
        if self.book.book.file is not None:
            address = str(self.book.book.file)
        else:
            address = f"{address.replace('+psycopg', '')}&airplane={self.book.book.schema}"
        app = create_phone_app(self.book.project.root, address, self.door)
        self.phone = TestClient(
            app, base_url=f"http://{HOST}", headers={"origin": f"http://{HOST}"}
        )

    def go_in(self) -> Response:
        return self.phone.post("/code", data={"code": self.shown[-1]})

    def slip(self) -> str:
        (found,) = re.findall(r'name="slip" value="([^"]+)"', self.phone.get("/").text)
        return str(found)

    def send(self, photos: tuple[bytes, ...] = (), **said: str) -> Response:
        files = [("photo", (f"{n}.jpg", data, "image/jpeg")) for n, data in enumerate(photos)]
        return self.phone.post("/entry", data={"slip": self.slip(), **said}, files=files or None)

    @property
    def entries(self) -> int:
        return log_page(self.book).total


@pytest.fixture
def room(shop: BookAt) -> Iterator[Room]:
    book_story.ida(shop)
    made = Room(shop)
    with made.phone:
        yield made


def test_ten_seconds_code_words_photo_save(room: Room) -> None:
    assert 'name="code"' in room.phone.get("/").text
    assert "What was done" in room.go_in().text
    number = task(room.book, "battery-tray: drill")
    answer = room.send(
        (book_story.photo(10), book_story.photo(20)),
        text="Drilled the floor, größer als gedacht",
        minutes="30",
        task=str(number),
        done="yes",
        helpers="Bo",
    )
    assert (answer.status_code, "Kept: entry 3." in answer.text) == (200, True)
    line = log_page(room.book).lines[0]
    assert (line.entry.text, line.entry.minutes, line.entry.helpers, line.entry.who) == (
        "Drilled the floor, größer als gedacht",
        30,
        "Bo",
        "Ida Berg",
    )
    assert len(line.photos) == 2
    assert next(t for t in all_tasks(room.book) if t.id == number).state.value == "done"


def test_a_size_measured_at_the_airplane(room: Room) -> None:
    assert 'value="battery-tray.bay_width = "' in room.go_in().text
    answer = room.send((), text="gauged", measured="battery-tray.bay_width = 186,2 mm")
    assert answer.status_code == 400
    assert 'value="battery-tray.bay_width = 186,2 mm"' in answer.text  # nothing typed is lost
    assert room.entries == 2
    answer = room.send((), text="gauged", measured="battery-tray.bay_width = 186.2 mm ± 0.2 mm")
    assert answer.status_code == 200
    (line, *_) = log_page(room.book).lines
    one = line.measurements[0]
    assert (one.size, one.value, one.plus_minus) == ("bay_width", "186.2 mm", "0.2 mm")


def test_only_a_photo_is_enough(room: Room) -> None:
    room.go_in()
    assert room.send((book_story.photo(5),)).status_code == 200
    assert room.entries == 3


def test_without_the_code_nothing_is_shown_and_nothing_written(room: Room) -> None:
    for answer in (
        room.phone.get("/"),
        room.phone.post("/entry", data={"text": "x", "slip": "a"}),
        room.phone.post("/entry", data={"text": "x"}, cookies={COOKIE: "made up"}),
    ):
        assert "battery-tray" not in answer.text
        assert 'name="code"' in answer.text
    assert room.entries == 2


def test_a_few_wrong_codes_and_there_is_a_new_one(room: Room) -> None:
    first = room.shown[-1]
    wrong = "000000" if first != "000000" else "111111"
    for _ in range(MOST_WRONG):
        assert room.phone.post("/code", data={"code": wrong}).status_code == 403
    assert len(room.shown) == 2
    if room.shown[-1] != first:
        assert room.phone.post("/code", data={"code": first}).status_code == 403
    assert room.go_in().status_code == 200
    assert room.phone.post("/code", data={"code": ""}).status_code == 403


def test_the_code_may_be_typed_with_a_gap(room: Room) -> None:
    code = room.shown[-1]
    assert len(code) == 6
    assert "What was done" in room.phone.post("/code", data={"code": f"{code[:3]} {code[3:]}"}).text


def test_a_pass_runs_out(room: Room) -> None:
    room.go_in()
    room.at = HOURS_LET_IN + 0.1
    assert 'name="code"' in room.phone.get("/").text


@pytest.mark.parametrize(
    ("headers", "said"),
    [
        ({"host": "evil.example:8621"}, "Type the address"),
        ({"host": "192.168.1.20"}, "Type the address"),
        ({"origin": "http://evil.example"}, "another page"),
        ({"origin": "null"}, "another page"),
        ({"origin": ""}, "another page"),
        ({"content-length": str(MOST_BODY + 1)}, "too much"),
        ({"content-length": "-5"}, "too much"),
    ],
)
def test_who_comes_from_elsewhere_is_refused(
    room: Room, headers: dict[str, str], said: str
) -> None:
    room.go_in()
    answer = room.phone.post("/entry", data={"text": "x", "slip": "s"}, headers=headers)
    assert (answer.status_code, said in answer.text) == (403, True)
    assert room.entries == 2


def test_a_second_tap_writes_nothing_twice(room: Room) -> None:
    room.go_in()
    slip = room.slip()
    for _ in range(2):
        answer = room.phone.post("/entry", data={"text": "once", "slip": slip})
        assert "Kept: entry 3." in answer.text
    assert room.entries == 3


def test_what_was_typed_is_not_lost_when_the_photo_is_bad(room: Room) -> None:
    room.go_in()
    answer = room.send((b"no photo",), text="long <words> & more", minutes="60")
    assert answer.status_code == 400
    assert "long &lt;words&gt; &amp; more</textarea>" in answer.text
    assert 'value="60" checked' in answer.text
    assert "it can&#x27;t be read as a photo" in answer.text
    assert room.entries == 2
    assert "says nothing" in room.send().text


def test_a_task_that_waits_is_logged_but_not_done(room: Room) -> None:
    room.go_in()
    number = task(room.book, "pan-cover: glue")
    answer = room.send(text="glued", task=str(number), done="yes")
    assert "Kept: entry 3." in answer.text
    assert "not done yet: first: pan-cover: trial fit" in answer.text


def test_odd_forms_do_no_harm(room: Room) -> None:
    room.go_in()
    for said in (
        {"minutes": "many"},
        {"task": "x"},
        {"task": "99999"},
        {"minutes": "-5"},
        {"minutes": "99999"},
    ):
        assert room.send(text="x", **said).status_code == 400
    assert room.phone.get("/../book.sqlite").status_code == 404
    assert room.phone.get("/photos/").status_code == 404
    assert room.entries == 2


def test_headers_close_the_page(room: Room) -> None:
    answer = room.go_in()
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert answer.headers["cache-control"] == "no-store"
    cookie = answer.history[0].headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie


def test_it_listens_only_when_asked_for(project: Path, address: str) -> None:
    """No other command opens a port beyond loopback."""
    source = Path(__file__).parents[3] / "src" / "blankwright"
    naming = [f.name for f in source.rglob("*.py") if "0.0.0.0" in f.read_text(encoding="utf-8")]
    assert sorted(naming) == ["book_phone.py", "phone.py"]


@pytest.mark.slow
def test_the_command_serves_shows_its_code_and_ends(project: Path, empty_sqlite: Path) -> None:
    import shutil
    import subprocess
    import sys
    import urllib.request

    shutil.copy(empty_sqlite, project / "book.sqlite")
    words = ["book", "phone", "--project", str(project), "--listen", "127.0.0.1", "--port", "0"]
    running = subprocess.Popen(
        [sys.executable, "-c", "from blankwright.cli.main import main; main()", *words],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert running.stdout is not None
    try:
        said = [running.stdout.readline() for _ in range(3)]
        (url,) = re.findall(r"http://127\.0\.0\.1:\d+/", said[0])
        assert re.search(r"\d{3} \d{3}", said[1])
        assert "use it at home" in said[2]
        with urllib.request.urlopen(url, timeout=30) as answer:
            assert 'name="code"' in answer.read().decode()
    finally:
        running.terminate()
        running.wait(30)
