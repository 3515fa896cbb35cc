"""The job book in a real browser: written, looked at, taken back; on a tablet and wide."""

from __future__ import annotations

from pathlib import Path

import pytest

import book_story
from blankwright.jobs.book_open import book_at, start_book

pytestmark = [pytest.mark.browser, pytest.mark.slow]

SIZES = [(1440, 900), (820, 1180)]
VIEWS = ["", "/log", "/hardware", "/deviations", "/inspection", "/history"]


@pytest.fixture
def project(tmp_path: Path) -> Path:
    root = book_story.make_project(tmp_path / "tarn")
    start_book(root, book_story.evening(0), airplane="Tarn 200", builder="Ida Berg", serial="014")
    with book_at(root) as book:
        book_story.ida(book)
    return root


def test_an_evening_in_the_shop(open_page, tmp_path: Path) -> None:
    photo = tmp_path / "drill.jpg"
    photo.write_bytes(book_story.photo(33))
    page = open_page("/")
    page.get_by_role("link", name="Job book").click()
    page.get_by_role("button", name="Begin battery-tray: drill").click()
    assert page.get_by_text("begun").is_visible()
    page.get_by_label("What was done").fill("Drilled the floor #40")
    page.get_by_label("Minutes").fill("25")
    page.get_by_label("Task").select_option(label="battery-tray: drill")
    page.get_by_label("Photos").set_input_files(photo)
    page.get_by_role("button", name="Save").click()
    first = page.locator(".bw-log > li").first
    assert "Drilled the floor #40" in first.inner_text()
    picture = first.locator("img")
    assert picture.evaluate("i => i.decode().then(() => i.naturalWidth)") == 640
    page.get_by_role("link", name="What next").click()
    page.get_by_role("button", name="Done: battery-tray: drill").click()
    assert page.get_by_role("button", name="Begin battery-tray: deburr").is_visible()
    page.get_by_role("link", name="History").click()
    page.get_by_role("button", name="Take back: task 2 done").click()
    page.get_by_role("link", name="What next").click()
    assert page.get_by_role("button", name="Done: battery-tray: drill").is_visible()


def test_by_keyboard(open_page) -> None:
    page = open_page("/book/log")
    page.get_by_label("What was done").focus()
    page.keyboard.type("typed without a mouse")
    for _ in range(5):
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.wait_for_load_state()
    assert "typed without a mouse" in page.locator(".bw-log > li").first.inner_text()


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize(("width", "height"), SIZES)
def test_axe_finds_nothing_serious_and_nothing_runs_over(
    open_page, width: int, height: int, light: str
) -> None:
    axe = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="the accessibility checker is missing"
    ).Axe()
    found = []
    for view in VIEWS:
        page = open_page(f"/book{view}", width, height, color_scheme=light)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, view
        for violation in axe.run(page).response["violations"]:
            if violation["impact"] in ("serious", "critical"):
                nodes = [node["html"][:160] for node in violation["nodes"][:3]]
                found.append(f"{view}: {violation['id']}: {nodes}")
    assert found == []
