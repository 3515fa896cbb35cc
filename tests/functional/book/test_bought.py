"""The list to order follows from part files and places: sheet, rivets, screws, nuts, strips."""

import shutil
from pathlib import Path

import pytest

from blankwright.book import records as r
from blankwright.jobs.book_hardware import move_item, shelf
from blankwright.jobs.book_inspection import add_yearly, yearly_times
from blankwright.jobs.book_open import BookAt, book_at, start_book
from blankwright.jobs.book_plan import plan
from blankwright.jobs.book_tasks import all_tasks, what_next
from book_story import evening, make_project

TARN = Path(__file__).parents[3] / "examples" / "tarn200"

DOUBLER = """\
title = "Doubler"

[sheet]
alloy = "2024-T3"
thickness = "0.032 in"

[flats.plate]
outline = { rectangle = ["100 mm", "60 mm"] }

[rivets.upper]
on = "plate"
along = "back"
edge_distance = "10 mm"
rivet = "1/8"
kind = "solid"
count = 5
stack = [{ thickness = "0.040 in", alloy = "6061-T6" }]

[rivets.cover]
on = "plate"
along = "front"
edge_distance = "10 mm"
screw = "8-32"
count = 4
stack = [{ thickness = "0.040 in", alloy = "6061-T6" }]
"""


def needed(book: BookAt) -> dict[str, tuple[float, str]]:
    return {s.item.number: (s.needed, s.item.unit) for s in shelf(book, evening(0)).stocks}


@pytest.fixture
def shop_with(tmp_path: Path, empty_sqlite: Path):
    def made(root: Path) -> Path:
        shutil.copy(empty_sqlite, root / "book.sqlite")
        start_book(root, evening(0), builder="Ida Berg")
        return root

    return made


def test_rows_become_part_numbers_and_hold_their_task_up(tmp_path: Path, shop_with) -> None:
    root = shop_with(make_project(tmp_path / "tarn"))
    path = root / "parts" / "doubler.toml"
    path.write_text(DOUBLER, encoding="utf-8")
    with book_at(root) as book:
        done = plan(book, evening(0), ["doubler"])
        assert done.unread == ()
        # 0.032 + 0.040 + 1.5 x 1/8 = 0.2595 in, next 1/16: 5/16 (shared reference values, 4.1).
        assert needed(book) == {
            "2024-T3 sheet 0.032 in": (0.006, "m²"),
            "MS20470AD4-5": (5, "each"),
            "screw 8-32, protruding": (4, "each"),
            "plate nut 8-32, two lugs": (4, "each"),
            "rivet 3/32 in, for plate nuts": (8, "each"),
        }
        notes = {s.item.number: s.item.note for s in shelf(book, evening(0)).stocks if s.item.note}
        assert list(notes) == ["MS20470AD4-5"]
        assert "2117 taken for granted" in notes["MS20470AD4-5"]
        waits = {
            s.job.title: [w.text for w in s.waits] for s in what_next(book, evening(0)) if s.waits
        }
        assert "5 of MS20470AD4-5 to order" in waits["doubler: rivet"]
        rivet = next(t for t in all_tasks(book) if t.title == "doubler: rivet")
        add_yearly(book, evening(0), "behind the doubler", cover="doubler", minutes=10)
        with book.read() as reader:
            (again,) = yearly_times(reader, evening(0))
        # Four screws in plate nuts, 20 s out and 30 s in.
        assert again.minutes == pytest.approx(10 + 4 * 50 / 60)
        assert rivet.first_hours == pytest.approx(0.25 + 5 * 0.03)
        # Fewer rivets in the drawing, and no screws: the book follows.
        text = DOUBLER.partition("[rivets.cover]")[0].replace("count = 5", "count = 4")
        path.write_text(text, encoding="utf-8")
        plan(book, evening(1), ["doubler"])
        assert needed(book)["MS20470AD4-5"] == (4, "each")
        assert needed(book)["plate nut 8-32, two lugs"] == (0, "each")
        before = needed(book)
        plan(book, evening(2), ["doubler"])
        assert needed(book) == before


def test_the_example_airplane(tmp_path: Path, shop_with) -> None:
    root = tmp_path / "example"
    shutil.copytree(TARN, root, ignore=shutil.ignore_patterns("out", ".blankwright"))
    shop_with(root)
    with book_at(root) as book:
        done = plan(book, evening(0))
        assert done.unread == ()
        found = needed(book)
        # Place vent-opening: two felts of 140 mm and an edge trim of 70 mm (and their thickness).
        assert found["felt strip"][0] == pytest.approx(0.280, abs=0.002)
        assert found["nylon strip"][0] == pytest.approx(0.070, abs=0.002)
        assert any(unit == "m²" for _, unit in found.values())
        assert any(s.can_be_done for s in what_next(book, evening(0)))
        move_item(book, evening(1), "felt strip", r.MoveKind.COUNTED, 1.0)
        stock = next(s for s in shelf(book, evening(1)).stocks if s.item.number == "felt strip")
        assert stock.to_order == 0.0
