"""What is written from the page is what the commands write: the same book, history included."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from datetime import datetime
from html.parser import HTMLParser
from pathlib import Path

import pytest
from click.testing import CliRunner
from fastapi import FastAPI
from starlette.testclient import TestClient

import book_story
from blankwright.book import records as r
from blankwright.book.dump import dump
from blankwright.cli.main import cli
from blankwright.jobs.book_hardware import enter_item, shelf
from blankwright.jobs.book_open import book_at, start_book
from blankwright.page import book_view
from blankwright.page.book_actions import ACTIONS
from blankwright.page.guard import Guard
from book_story import evening

HOST = "127.0.0.1:8620"
AT = evening(20)

BOTH = [
    (
        "deviation-open",
        {
            "what": "Flange 2° open\nat the rear",
            "why": "spring back",
            "drawing": "T200-53-04, view B",
            "parts": "battery-tray, pan-cover",
            "checked": "lies flat when clamped",
        },
        [
            *("deviation", "open", "Flange 2° open\nat the rear", "--why", "spring back"),
            *("--drawing", "T200-53-04, view B", "--part", "battery-tray"),
            *("--part", "pan-cover", "--checked", "lies flat when clamped"),
        ],
    ),
    (
        "deviation-change",
        {
            "no": "3",
            "what": "Flange 3° open",
            "why": "spring back",
            "drawing": "T200-53-04, view B",
            "parts": "pan-cover",
        },
        ["deviation", "change", "3", "--what", "Flange 3° open", "--part", "pan-cover"],
    ),
    (
        "deviation-checked",
        {"no": "3", "checked": "no gap over 0.2 mm"},
        ["deviation", "checked", "3", "no gap over 0.2 mm"],
    ),
    (
        "deviation-ask",
        {"no": "3", "whom": "the designer"},
        ["deviation", "ask", "3", "the designer"],
    ),
    (
        "deviation-answer",
        {"no": "3", "answer": "Rivet it."},
        ["deviation", "answer", "3", "Rivet it."],
    ),
    (
        "deviation-close",
        {"no": "3", "ground": "Letter of the 1st"},
        ["deviation", "close", "3", "Letter of the 1st"],
    ),
    (
        "stage-add",
        {"title": "tank seams", "closes": "wing skin", "major": "Left wing"},
        ["stage", "add", "tank seams", "--closes", "wing skin", "--major", "Left wing"],
    ),
    (
        "stage-change",
        {"no": "2", "title": "tank seams, wet", "closes": "wing skin", "major": "Left wing"},
        ["stage", "change", "2", "--title", "tank seams, wet"],
    ),
    (
        "stage-seen",
        {"no": "2", "by": "club's inspector", "found": "Good."},
        ["stage", "seen", "2", "--by", "club's inspector", "--found", "Good."],
    ),
    (
        "recurring-add",
        {"title": "tank vents", "cover": "", "months": "6", "looking": "1:15", "count0": "12"},
        [
            *("recurring", "add", "tank vents", "--months", "6", "--looking", "1:15"),
            *("--fasteners", "screw in plate nut=12"),
        ],
    ),
    (
        "recurring-done",
        {"no": "2", "minutes": "1.5 h", "found": "clear"},
        ["recurring", "done", "2", "--took", "1.5 h", "--found", "clear"],
    ),
    (
        "recurring-change",
        {
            "no": "2",
            "title": "tank vents",
            "cover": "",
            "months": "12",
            "looking": "75",
            "count0": "14",
            "ended": "",
        },
        [
            *("recurring", "change", "2", "--months", "12"),
            *("--fasteners", "screw in plate nut=14"),
        ],
    ),
    (
        "entry-change",
        {"no": "1", "text": "Blank cut.", "minutes": "0:55", "place": "bench", "helpers": "Bo"},
        ["correct", "1", "--text", "Blank cut.", "--took", "55", "--helped", "Bo"],
    ),
    (
        "task-add",
        {
            "title": "rig the cables",
            "part": "pan-cover",
            "hours": "1:30",
            "position": "inverted",
            "after": "11, 12",
            "cure": "4",
            "parts": "battery-tray",
            "item": "MS21059L06",
            "quantity": "2",
            "stage": "1",
        },
        [
            *("task", "rig the cables", "--part", "pan-cover", "--takes-time", "1.5 h"),
            *("--lies", "inverted", "--after", "11", "--after", "12", "--cured", "4"),
            *("--finished", "battery-tray", "--hardware", "MS21059L06=2", "--stage", "1"),
        ],
    ),
    (
        "task-change",
        {
            "no": "17",
            "title": "rig the control cables",
            "hours": "2 h",
            "major": "Fuselage",
            "position": "inverted",
            "setup": "",
            "place": "",
            "note": "slack",
        },
        [
            *("change", "17", "--title", "rig the control cables", "--takes-time", "2 h"),
            *("--note", "slack"),
        ],
    ),
    ("task-need", {"no": "17", "after": "3"}, ["needs", "17", "--after", "3"]),
    ("task-need-away", {"need": "newest"}, ["needs", "17", "--away", "newest"]),
    (
        "task-done",
        {"no": "3", "minutes": "25", "text": "reamed", "helpers": "Bo", "anyway": ""},
        ["done", "3", "--took", "25", "--log", "reamed", "--helped", "Bo"],
    ),
    ("task-again", {"no": "3"}, ["begin", "3"]),
    ("task-drop", {"no": "17", "why": "bought ready"}, ["drop", "17", "bought ready"]),
    (
        "part-add",
        {
            "name": "canopy-rail",
            "title": "Canopy rail",
            "drawing": "T200-56-02",
            "major": "Cabin",
            "cure_hours": "0",
            "rivets": "24",
            "bought": "yes",
        },
        [
            *("part", "canopy-rail", "--title", "Canopy rail", "--drawing", "T200-56-02"),
            *("--major", "Cabin", "--rivets", "24", "--bought"),
        ],
    ),
    (
        "part-change",
        {
            "no": "1",
            "major": "Fuselage",
            "position": "inverted",
            "cure_hours": "0",
            "treat": "conversion coat and primer",
        },
        ["part", "battery-tray", "--lies", "inverted"],
    ),
    (
        "lot-add",
        {
            "material": "2024-T3 sheet",
            "number": "K-31",
            "bought_from": "club",
            "paper": "3.1",
            "note": "",
        },
        ["lot", "add", "2024-T3 sheet", "K-31", "--from", "club", "--paper", "3.1"],
    ),
    (
        "lot-change",
        {
            "no": "2",
            "material": "2024-T3 sheet",
            "number": "K-32",
            "bought_from": "club",
            "paper": "3.1",
            "note": "",
        },
        ["lot", "change", "2", "--number", "K-32"],
    ),
    (
        "lot-use",
        {"no": "2", "part": "pan-cover", "note": "left half"},
        ["lot", "use", "2", "pan-cover", "--note", "left half"],
    ),
    (
        "hardware-takes",
        {"number": "AN3-5A", "quantity": "6,0", "part": "pan-cover", "grip": "0.4375 in"},
        ["takes", "AN3-5A", "6", "--part", "pan-cover", "--grip", "7/16 in"],
    ),
    (
        "hardware-item",
        {
            "no": "AN3-5A",
            "title": "bolt of the pan",
            "unit": "each",
            "grip": "11.1125 mm",
            "spare_percent": "10",
            "spare_least": "2",
            "pack": "5",
            "note": "",
        },
        ["item", "AN3-5A", "--what", "bolt of the pan", "--spare-least", "2", "--pack", "5"],
    ),
    *(
        (
            "hardware-move",
            {"no": "AN3-5A", "kind": kind, "quantity": many, "due": due, "reference": "no. 9"},
            [kind, "AN3-5A", many, "--reference", "no. 9", *(["--due", due] if due else [])],
        )
        for kind, many, due in (
            ("ordered", "10", "2026-03-20"),
            ("arrived", "7", ""),
            ("cancelled", "1", ""),
            ("used", "2", ""),
            ("counted", "4.5", ""),
        )
    ),
]
"""Each thing as the page's form sends it and as one types it."""


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory, empty_sqlite: Path) -> Path:
    root = book_story.make_project(tmp_path_factory.mktemp("told") / "tarn")
    shutil.copy(empty_sqlite, root / "book.sqlite")
    start_book(root, evening(0), airplane="Tarn 200", builder="Ida <Berg>", serial="014")
    with book_at(root) as book:
        book_story.ida(book, with_photos=False)
    return root


@pytest.fixture
def told(once: Path, tmp_path: Path) -> Path:
    return shutil.copytree(once, tmp_path / "tarn")


@pytest.fixture
def client(told: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[TestClient]:
    monkeypatch.setattr(book_view, "now", lambda: AT)
    app = FastAPI()
    book_view.book_routes(app, told)
    headers = {"origin": f"http://{HOST}"}
    with TestClient(Guard(app, 8620), base_url=f"http://{HOST}", headers=headers) as found:
        yield found


def tables(root: Path) -> dict[str, list[dict[str, object]]]:
    with book_at(root) as book, book.read() as reader:
        return dump(reader)


def with_row(root: Path, words: dict[str, str]) -> dict[str, str]:
    """Fill in the row of an item that is named by its part number, or of the newest need."""
    if words.get("need") == "newest":
        return {"need": newest_need(root)}
    if words.get("no", "1").isdigit():
        return words
    with book_at(root) as book, book.read() as reader:
        return {**words, "no": str(reader.by(r.Hardware, number=words["no"])[0].id)}


def newest_need(root: Path) -> str:
    with book_at(root) as book, book.read() as reader:
        return str(reader.all(r.Need)[-1].id)


def test_page_and_commands_write_the_same_book(
    told: Path, client: TestClient, tmp_path: Path
) -> None:
    other = tmp_path / "other"
    shutil.copytree(told, other)
    for action, words, command in BOTH:
        page = ACTIONS[action][0]
        shown = client.post(f"/book/{action}", data=with_row(told, words))
        assert (shown.status_code, shown.url.path) == (200, f"/book/{page}"), shown.text
        assert 'role="status">Written down' in shown.text
        ends = ["--project", str(other), "--at", AT.isoformat()]
        typed = [newest_need(other) if word == "newest" else word for word in command]
        result = CliRunner().invoke(cli, ["book", *typed, *ends])
        assert result.exit_code == 0, (result.output, result.exception)
        assert tables(told) == tables(other), action
    done = {action for action, _, _ in BOTH}
    assert done == {name for name in ACTIONS if "-" in name} - {"take-back"}
    text = client.get("/book/deviations").text
    assert "lies flat when clamped<br>no gap over 0.2 mm" in text
    assert "“Rivet it.”" in text
    assert "Letter of the 1st" in text
    assert "K-32" in client.get("/book/lots").text


@pytest.mark.parametrize(
    ("action", "words", "code"),
    [
        ("deviation-open", {"what": " ", "why": 'be"cause <b>'}, "BOOK-070"),
        ("deviation-open", {"what": "x", "parts": "battery-tray, no such"}, "BOOK-053"),
        ("deviation-change", {"no": "2", "what": ""}, "BOOK-070"),
        ("deviation-change", {"no": "1", "what": "x"}, "BOOK-074"),
        ("deviation-checked", {"no": "2", "checked": ""}, "BOOK-070"),
        ("deviation-ask", {"no": "2", "whom": ""}, "BOOK-071"),
        ("deviation-answer", {"no": "2", "answer": ""}, "BOOK-072"),
        ("deviation-close", {"no": "2", "ground": ""}, "BOOK-073"),
        ("deviation-close", {"no": "2", "ground": "because"}, "BOOK-075"),
        ("stage-add", {"title": ""}, "BOOK-076"),
        ("stage-change", {"no": "1", "title": ""}, "BOOK-076"),
        ("stage-change", {"no": "99", "title": "x"}, "BOOK-010"),
        ("stage-seen", {"no": "1", "by": ""}, "BOOK-077"),
        ("recurring-add", {"title": "x", "months": "0"}, "BOOK-079"),
        ("recurring-add", {"title": "x", "count0": "2.5"}, "BOOK-081"),
        ("recurring-done", {"no": "1", "minutes": "soon"}, "BOOK-081"),
        ("lot-add", {"material": "sheet", "number": ""}, "BOOK-080"),
        ("lot-change", {"no": "1", "material": "", "number": "1"}, "BOOK-080"),
        ("lot-use", {"no": "1", "part": "no such"}, "BOOK-053"),
        ("lot-use", {"no": "x", "part": "battery-tray"}, "BOOK-081"),
        ("hardware-takes", {"number": "", "quantity": "1"}, "BOOK-055"),
        ("hardware-takes", {"number": "AN3-5A", "quantity": "nan"}, "BOOK-081"),
        ("hardware-takes", {"number": "AN3-5A", "quantity": "1", "grip": "0.4"}, "BOOK-081"),
        ("hardware-takes", {"number": "AN3-5A", "quantity": "-1"}, "BOOK-056"),
        ("hardware-item", {"number": "", "title": "x"}, "BOOK-055"),
        ("hardware-item", {"number": "x", "pack": "-1"}, "BOOK-056"),
        ("hardware-move", {"no": "1", "kind": "stolen", "quantity": "1"}, "BOOK-081"),
        ("hardware-move", {"no": "1", "kind": "used", "quantity": "0"}, "BOOK-056"),
        (
            "hardware-move",
            {"no": "1", "kind": "ordered", "quantity": "1", "due": "2026-02-30"},
            "BOOK-081",
        ),
        ("entry", {"text": "drilled <i>", "minutes": "many"}, "BOOK-081"),
        ("entry", {"text": "gauged", "measured": "battery-tray.bay_width 3 mm"}, "BOOK-081"),
        ("entry", {"text": "gauged", "measured": "battery-tray.depth = 3 mm"}, "BOOK-063"),
        ("entry-change", {"no": "2", "text": " ", "minutes": "1"}, "BOOK-060"),
        ("entry-change", {"no": "2", "text": "x", "minutes": "2000"}, "BOOK-061"),
        ("task-add", {"title": " ", "major": "Wing"}, "BOOK-050"),
        ("task-add", {"title": "x", "after": "3, 99"}, "BOOK-010"),
        ("task-add", {"title": "x", "item": "AN3-5A", "quantity": "1"}, "BOOK-054"),
        ("task-change", {"no": "3", "title": ""}, "BOOK-050"),
        ("task-need", {"no": "3", "after": "9"}, "BOOK-030"),
        ("task-done", {"no": "9", "minutes": "20", "text": "riveted"}, "BOOK-051"),
        ("task-done", {"no": "3", "minutes": "all night"}, "BOOK-081"),
        ("task-drop", {"no": "3", "why": ""}, "BOOK-058"),
        ("part-add", {"name": "", "title": "x"}, "BOOK-059"),
        ("part-change", {"no": "2", "cure_hours": "long"}, "BOOK-081"),
        ("recurring-change", {"no": "1", "title": "", "months": "12"}, "BOOK-076"),
        ("recurring-change", {"no": "1", "title": "x", "months": "0"}, "BOOK-079"),
        (
            "stands",
            {"position": "", "shop_hours": "0", "turn_hours": "1", "setup_hours": "1"},
            "BOOK-052",
        ),
    ],
)
def test_what_is_refused_changes_nothing_and_comes_back_as_typed(
    told: Path, client: TestClient, action: str, words: dict[str, str], code: str
) -> None:
    before = tables(told)
    answer = client.post(f"/book/{action}", data=words)
    assert answer.status_code == 400
    assert f"<b>{code}</b>" in answer.text
    assert tables(told) == before
    form = next((f for f in forms(answer.text) if f.action == f"/book/{action}"), None)
    if form is not None:
        for name, typed in words.items():
            if name in form.free - form.choices:
                assert form.values[name].strip() == typed.strip()
    else:
        # There is nothing left to do it to: the page is shown without the form.
        assert code in ("BOOK-010", "BOOK-074", "BOOK-081")


class Form:
    def __init__(self, action: str) -> None:
        self.action = action
        self.values: dict[str, str] = {}
        self.free: set[str] = set()
        self.choices: set[str] = set()
        self.unlabelled: list[str] = []


class Forms(HTMLParser):
    """The forms of a page, as a browser would fill them."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[Form] = []
        self.within: Form | None = None
        self.labels = 0
        self.area = self.select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "form":
            self.within = Form(given.get("action") or "")
            self.found.append(self.within)
        self.labels += tag == "label"
        if self.within is None or tag not in ("input", "textarea", "select", "option"):
            return
        if tag == "option":
            if self.select and ("selected" in given or self.select not in self.within.values):
                self.within.values[self.select] = given.get("value") or ""
            return
        name = given["name"] or ""
        if given.get("type") != "hidden":
            self.within.free.add(name)
            if not self.labels and not given.get("aria-label"):
                self.within.unlabelled.append(name)
        self.select = name if tag == "select" else ""
        self.within.choices |= {self.select} - {""}
        if tag != "select":
            self.within.values[name] = given.get("value") or ""
        self.area = name if tag == "textarea" else ""

    def handle_data(self, data: str) -> None:
        if self.area and self.within is not None:
            self.within.values[self.area] += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.within = None
        self.labels -= tag == "label"
        if tag == "textarea":
            self.area = ""


def forms(text: str) -> list[Form]:
    reader = Forms()
    reader.feed(text)
    return reader.found


def test_every_key_leads_to_a_form_with_labels_that_sends_what_is_there(
    told: Path, client: TestClient
) -> None:
    """Saving a form just as it is shown, where it changes something, changes nothing."""
    seen = set()
    client.post("/book/plan")  # the tray's file was changed since its tasks were made
    with_keys = ("", "tasks", "log", "parts", "deviations", "inspection", "lots", "hardware")
    for page in with_keys:
        text = client.get(f"/book/{page}").text
        keys = set(re.findall(r'href="(/book/[a-z]+\?do=[^"]+)"', text))
        assert keys
        for key in sorted(keys):
            action = re.search(r"do=([a-z-]+)", key)[1]
            shown = client.get(key.replace("&amp;", "&")).text
            form = next((f for f in forms(shown) if f.action == f"/book/{action}"), None)
            assert form is not None, key
            assert form.free, key
            assert form.unlabelled == [], key
            seen.add(action)
            if action.endswith("-change") or (action == "hardware-item" and "no=" in key):
                before = tables(told)
                saved = client.post(form.action, data=form.values)
                assert saved.status_code == 200, saved.text
                assert tables(told) == before, key
    # These are keys that do it at once, without a form.
    at_once = {"take-back", "task-need-away", "task-again"}
    assert seen == {name for name in ACTIONS if "-" in name} - at_once


def test_a_grip_is_kept_to_its_last_digit(told: Path, client: TestClient) -> None:
    grip = 1.82879987654
    with book_at(told) as book:
        row = enter_item(book, AT, "MS20470AD4-5", grip=grip)
    shown = client.get(f"/book/hardware?do=hardware-item&no={row.id}").text
    form = next(f for f in forms(shown) if f.action == "/book/hardware-item")
    client.post("/book/hardware-item", data={**form.values, "note": "from the club"})
    with book_at(told) as book:
        item = next(s.item for s in shelf(book, AT).stocks if s.item.id == row.id)
    assert (item.grip, item.note) == (grip, "from the club")


def test_what_is_typed_never_becomes_markup(told: Path, client: TestClient) -> None:
    nasty = "\"><script>alert(1)</script>'&amp;"
    for action, names in (
        ("deviation-open", ("what", "why", "drawing", "checked")),
        ("stage-add", ("title", "closes", "major")),
        ("lot-add", ("material", "number", "bought_from", "paper", "note")),
        ("recurring-add", ("title", "cover")),
        ("hardware-item", ("number", "title", "unit", "note")),
        ("task-add", ("title", "major", "position", "setup", "place", "note")),
        ("part-add", ("name", "title", "drawing", "major", "glue", "treat", "closes")),
        ("stands", ("position", "setup", "shop_hours")),
        ("entry", ("text", "place", "helpers")),
    ):
        answer = client.post(f"/book/{action}", data=dict.fromkeys(names, nasty))
        assert answer.status_code == (400 if action == "stands" else 200)
        assert "<script>alert" not in answer.text
    client.post("/book/deviation-ask", data={"no": "3", "whom": nasty})
    pages = ("", "tasks", "order", "log", "parts", "deviations", "inspection", "lots", "hardware")
    for page in (*pages, "history", "keep"):
        text = client.get(f"/book/{page}").text
        assert "<script>alert" not in text
        for key in set(re.findall(r'href="(/book/[a-z]+\?do=[^"]+)"', text)):
            assert "<script>alert" not in client.get(key.replace("&amp;", "&")).text
    for words in ({"do": nasty, "no": nasty}, {"do": "stage-seen", "no": "9" * 30}, {"no": "²"}):
        for page in ("deviations", "inspection", "lots", "hardware", "log", ""):
            shown = client.get(f"/book/{page}", params=words)
            assert shown.status_code == 200
            assert "<script>alert" not in shown.text


def test_a_day_is_one_of_the_shops_clock(told: Path, client: TestClient) -> None:
    words = {"no": "1", "kind": "ordered", "quantity": "3", "due": "2026-05-01"}
    client.post("/book/hardware-move", data=words)
    with book_at(told) as book, book.read() as reader:
        newest = reader.all(r.HardwareMove)[-1]
    assert newest.due == datetime(2026, 5, 1).astimezone()
