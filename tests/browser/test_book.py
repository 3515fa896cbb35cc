"""The job book in a real browser: written, looked at, taken back; on a tablet and wide."""

from __future__ import annotations

from pathlib import Path

import pytest

import book_story
from blankwright.jobs.book_open import book_at, start_book

pytestmark = [pytest.mark.browser, pytest.mark.slow]

SIZES = [(1440, 900), (820, 1180)]
VIEWS = [
    "",
    "/tasks",
    "/tasks?which=all&part=pan-cover",
    "/tasks?do=task-add",
    "/tasks?do=task-change&no=5",
    "/tasks?do=task-need&no=5",
    "/tasks?do=task-done&no=14",
    "/tasks?do=task-drop&no=5",
    "/order",
    "/order?do=stands",
    "/log",
    "/log?do=entry-change&no=1",
    "/parts",
    "/parts?do=part-add",
    "/parts?do=part-change&no=2",
    "/keep?check=1",
    "/hardware",
    "/hardware?do=hardware-item&no=1",
    "/hardware?do=hardware-move&no=2",
    "/hardware?do=hardware-takes",
    "/deviations",
    "/deviations?do=deviation-open",
    "/deviations?do=deviation-close&no=2",
    "/inspection",
    "/inspection?do=stage-seen&no=1",
    "/inspection?do=recurring-add",
    "/inspection?do=recurring-change&no=1",
    "/lots?kept=1",
    "/lots?do=lot-add",
    "/lots?do=lot-use&no=1",
    "/history",
]


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
    page.get_by_label("Time").fill("25")
    page.get_by_label("Task").select_option(label="battery-tray: drill")
    page.get_by_label("Photos").set_input_files(photo)
    page.get_by_role("button", name="Save").click()
    first = page.locator(".bw-log > li").first
    assert "Drilled the floor #40" in first.inner_text()
    picture = first.locator("img")
    assert picture.evaluate("i => i.decode().then(() => i.naturalWidth)") == 640
    page.get_by_role("link", name="What next").click()
    page.get_by_role("link", name="Done, it took: battery-tray: drill").click()
    page.wait_for_function("() => document.activeElement?.matches('input[type=text]')")
    page.keyboard.type("1:10")  # the field for the time has the keyboard already
    page.keyboard.press("Enter")
    page.get_by_text("Written down.").wait_for()
    page.get_by_role("link", name="Log", exact=True).click()
    assert "70 min" in page.locator(".bw-log > li").first.inner_text()
    page.get_by_role("link", name="What next").click()
    assert page.get_by_role("button", name="Begin battery-tray: deburr").is_visible()
    page.get_by_role("link", name="History").click()
    page.get_by_role("button", name="Take back: task 3 done").click()
    page.get_by_role("link", name="What next").click()
    page.get_by_role("button", name="Done: battery-tray: drill").wait_for()


def test_by_keyboard(open_page) -> None:
    page = open_page("/book/log")
    page.get_by_label("What was done").focus()
    page.keyboard.type("typed without a mouse")
    for _ in range(4):
        page.keyboard.press("Tab")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert "typed without a mouse" in page.locator(".bw-log > li").first.inner_text()


def test_a_deviation_from_first_word_to_last_by_touch(open_page) -> None:
    page = open_page("/book/deviations", 820, 1180, has_touch=True)
    page.get_by_role("link", name="New deviation").tap()
    page.get_by_label("What differs").fill("Flange 2° open")
    page.get_by_label("Parts").fill("no such part")
    page.get_by_role("button", name="Write it down").tap()
    # What is refused comes back as it was typed.
    assert "BOOK-053" in page.get_by_role("alert").inner_text()
    assert page.get_by_label("What differs").input_value() == "Flange 2° open"
    page.get_by_label("Parts").fill("battery-tray")
    page.get_by_role("button", name="Write it down").tap()
    assert "Written down" in page.get_by_role("status").inner_text()
    page.get_by_role("link", name="Ask about deviation 3").tap()
    page.get_by_label("Who was asked").fill("the designer")
    page.get_by_role("button", name="Write it down").tap()
    page.get_by_role("link", name="Close deviation 3").tap()
    page.get_by_label("On what ground").fill("too early")
    page.get_by_role("button", name="Close it, on my word").tap()
    assert "BOOK-075" in page.get_by_role("alert").inner_text()
    page.get_by_role("link", name="Answer of the designer").tap()
    page.get_by_label("What was said").fill("Rivet it.")
    page.get_by_role("button", name="Write it down").tap()
    page.get_by_role("link", name="Change deviation 3").tap()
    page.get_by_label("Why").fill("spring back")
    page.get_by_role("button", name="Save").tap()
    page.get_by_role("link", name="Close deviation 3").tap()
    page.get_by_label("On what ground").fill("Letter")
    page.get_by_role("button", name="Close it, on my word").tap()
    row = page.get_by_role("row").filter(has_text="Flange 2° open")
    for said in ("spring back", "battery-tray", "“Rivet it.”", "by Ida Berg: Letter"):
        assert said in row.inner_text()


def test_lots_stages_and_hardware_by_keyboard(open_page) -> None:
    page = open_page("/book/lots")

    def press(role: str, name: str) -> None:
        key = page.get_by_role(role, name=name)
        key.focus()
        enter()

    def enter() -> None:
        with page.expect_navigation():
            page.keyboard.press("Enter")

    def in_a_field() -> None:
        """Nobody types before the field has the keyboard; a test does."""
        page.wait_for_function("() => document.activeElement.matches('input, select, textarea')")

    press("link", "New lot")
    in_a_field()
    for word in ("2024-T3 sheet 0.032 in", "K-31"):
        page.keyboard.type(word)  # the first field has the keyboard already
        page.keyboard.press("Tab")
    enter()
    press("link", "Part from it: lot 2")
    page.get_by_role("combobox").focus()
    page.keyboard.type("pan")
    press("button", "Write it down")
    assert "pan-cover" in page.get_by_role("row").filter(has_text="K-31").inner_text()
    page.goto(page.url.replace("/lots?kept=1", "/inspection"))
    press("link", "Seen: control run")
    in_a_field()
    page.keyboard.type("the inspector")
    enter()
    row = page.get_by_role("row").filter(has_text="before pan-cover goes in")
    assert "the inspector" in row.inner_text()
    page.goto(page.url.replace("/inspection?kept=1", "/hardware"))
    press("link", "Write down: MS21059L06")
    # It takes for granted that what is missing was ordered; another Enter writes it down.
    assert page.get_by_label("What happened").input_value() == "ordered"
    enter()
    press("link", "Write down: MS21059L06")
    assert page.get_by_label("What happened").input_value() == "arrived"
    enter()
    cells = page.get_by_role("row").filter(has_text="MS21059L06").first.inner_text().split("\t")
    assert [cell.strip() for cell in cells[2:]] == ["18 each", "0", "20", "0", "", "0"]


def test_a_task_by_hand_and_the_order_it_comes_in(open_page) -> None:
    page = open_page("/book/tasks", 820, 1180, has_touch=True)
    page.get_by_role("link", name="New task").tap()
    page.get_by_label("What is to do").fill("rig the cables")
    page.get_by_label("On which part").select_option(label="pan-cover")
    page.get_by_label("Expected").fill("2 h")
    page.get_by_label("How the airplane must lie").fill("inverted")
    page.get_by_label("After tasks").fill("16")
    page.get_by_role("button", name="Write it down").tap()
    row = page.get_by_role("row").filter(has_text="rig the cables")
    assert "after 16 pan-cover: inspect" in row.inner_text()
    page.get_by_role("link", name="Order", exact=True).tap()
    chain = page.get_by_role("region", name="Critical chain")
    assert "rig the cables" in chain.get_by_role("row").last.inner_text()
    page.get_by_role("link", name="How things stand").tap()
    page.get_by_label("Work a day").fill("3")
    page.get_by_role("button", name="Save").tap()
    page.get_by_text("Written down.").wait_for()
    assert "Shop hours a day: 3" in page.locator("main").inner_text()
    page.get_by_role("link", name="Keep").tap()
    with page.expect_download() as waiting:
        page.get_by_role("link", name="Builder's record, A4").tap()
    assert waiting.value.suggested_filename.endswith("-record-A4.pdf")
    assert Path(waiting.value.path()).read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize(("width", "height"), SIZES)
def test_axe_finds_nothing_serious_and_nothing_runs_over(
    open_page, width: int, height: int, light: str
) -> None:
    axe = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="the accessibility checker is missing"
    ).Axe()
    rules = (Path(__file__).parent / "looks.js").read_text(encoding="utf-8")
    page = open_page("/book", width, height, color_scheme=light)
    home = page.url
    found = []
    for view in VIEWS:
        page.goto(home + view)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, view
        for violation in axe.run(page).response["violations"]:
            if violation["impact"] in ("serious", "critical"):
                nodes = [node["html"][:160] for node in violation["nodes"][:3]]
                found.append(f"{view}: {violation['id']}: {nodes}")
        if light == "light":
            found += [f"{view}: {one}" for one in page.evaluate(rules, [16, 44])]
    assert found == []
