"""Measurements flow from the log into part files, with date and reason; comments stay."""

import shutil
from pathlib import Path

import pytest

from blankwright.base.errors import BadInput, BlankwrightError
from blankwright.book import records as r
from blankwright.files.partfile import read_part
from blankwright.jobs.book_log import log
from blankwright.jobs.book_measured import Measured
from blankwright.jobs.book_open import BookAt, book_at, start_book
from blankwright.jobs.book_plan import plan
from blankwright.jobs.book_sizes import put_size
from blankwright.jobs.history import History
from blankwright.part.model import Origin
from book_story import TRAY, evening, make_project

TARN = Path(__file__).parents[3] / "examples" / "tarn200"


@pytest.fixture
def tray(tmp_path: Path, empty_sqlite: Path) -> BookAt:
    root = make_project(tmp_path / "tarn")
    shutil.copy(empty_sqlite, root / "book.sqlite")
    start_book(root, evening(0), builder="Ida Berg")
    with book_at(root) as book:
        plan(book, evening(0))
        return book


def measure(book: BookAt, size: str, value: str, plus_minus: str = "", part: str = "battery-tray"):
    one = Measured(part=part, size=size, value=value, plus_minus=plus_minus, reason='rubs "left"')
    log(book, evening(1), "", measured=[one])
    with book.read() as reader:
        return reader.all(r.Measurement)[-1].id


def part_text(book: BookAt, name: str = "battery-tray") -> str:
    return (book.project.root / "parts" / f"{name}.toml").read_text(encoding="utf-8")


def test_a_drawn_size_becomes_measured_and_the_blank_follows(tray: BookAt) -> None:
    number = measure(tray, "bay_width", '7-5/16"', "0.3 mm")
    done = put_size(tray, evening(2), number)
    assert (done.state, done.old, done.put_in_at) == (
        r.SizeState.IN_PART_FILE,
        "7-3/8 in",
        evening(2),
    )
    text = part_text(tray)
    assert "# between the tunnel frames" in text
    part = read_part(tray.project.root / "parts" / "battery-tray.toml")
    sizes = {size.name: size for size in part.sizes}
    bay = sizes["bay_width"]
    assert (bay.origin, bay.plus_minus) == (Origin.MEASURED, 0.3)
    assert bay.value == pytest.approx(7.3125 * 25.4)
    assert bay.note == '2026-01-13: rubs "left"'
    assert sizes["width"].value == pytest.approx(7.3125 * 25.4 - 1.5)
    assert 'drawn = "7-3/8 in"' in text
    # All other lines are as they were.
    changed = [line for line in text.splitlines() if line not in TRAY.splitlines()]
    assert len(changed) == 1


def test_putting_it_in_twice_changes_nothing(tray: BookAt) -> None:
    number = measure(tray, "bay_width", "186.4 mm")
    put_size(tray, evening(2), number)
    text = part_text(tray)
    again = put_size(tray, evening(3), number)
    assert (again.old, again.put_in_at) == ("7-3/8 in", evening(2))
    assert part_text(tray) == text


def test_a_crash_between_file_and_book_is_made_good(tray: BookAt) -> None:
    number = measure(tray, "bay_width", "186.4 mm")
    put_size(tray, evening(2), number)
    with tray.change("as if the tick was never made", evening(2)) as change:
        change.put(r.Measurement, number, state=r.SizeState.IN_BOOK, put_in_at=None)
    done = put_size(tray, evening(3), number)
    assert (done.state, done.put_in_at) == (r.SizeState.IN_PART_FILE, evening(3))


def test_a_second_measurement_replaces_the_first_and_undo_brings_it_back(tray: BookAt) -> None:
    put_size(tray, evening(2), measure(tray, "bay_width", "186.4 mm", "0.3 mm"))
    first = part_text(tray)
    put_size(tray, evening(4), measure(tray, "bay_width", "186.1 mm"))
    assert 'measured = "186.1 mm"' in part_text(tray)
    assert "plus_minus" not in part_text(tray)
    assert 'drawn = "7-3/8 in"' in part_text(tray)
    History(tray.project.root).undo()
    assert part_text(tray) == first


def test_a_formula_does_not_go_unasked(tray: BookAt) -> None:
    number = measure(tray, "width", "185 mm")
    with pytest.raises(BadInput, match=r"BOOK-064.*bay_width - 2"):
        put_size(tray, evening(2), number)
    assert part_text(tray) == TRAY
    done = put_size(tray, evening(2), number, replace_formula=True)
    assert done.old == "bay_width - 2*clear"


@pytest.mark.parametrize(
    ("size", "value", "code"),
    [("depth", "1 mm", "BOOK-063"), ("clear", "3 deg", "BOOK-065")],
)
def test_what_does_not_fit_is_refused_while_it_can_be_measured_again(
    tray: BookAt, size: str, value: str, code: str
) -> None:
    with pytest.raises(BadInput, match=code):
        measure(tray, size, value)
    path = tray.project.root / "parts" / "battery-tray.toml"
    path.write_text("title = ", encoding="utf-8")
    number = measure(tray, size, value)  # a file that is broken just now refuses nothing
    path.write_text(TRAY, encoding="utf-8")
    with pytest.raises(BlankwrightError, match=r"BOOK-063|PART|SIZE"):
        put_size(tray, evening(2), number)
    assert part_text(tray) == TRAY


@pytest.mark.parametrize("value", ["186", "186 furlongs", "", "twelve mm"])
def test_a_value_without_a_unit_is_never_logged_as_a_size(tray: BookAt, value: str) -> None:
    one = Measured(part="battery-tray", size="bay_width", value=value)
    with pytest.raises(BadInput):
        log(tray, evening(1), "", measured=[one])
    assert part_text(tray) == TRAY


def test_the_example_airplanes_tray_keeps_its_drawn_size(
    tmp_path: Path, empty_sqlite: Path
) -> None:
    root = tmp_path / "example"
    shutil.copytree(TARN, root)
    shutil.copy(empty_sqlite, root / "book.sqlite")
    start_book(root, evening(0), builder="Ida Berg")
    with book_at(root) as book:
        done = plan(book, evening(0))
        assert not done.unread
        assert len(done.parts) >= 8
        put_size(book, evening(2), measure(book, "bay_width", "186.1 mm", "0.2 mm"))
        text = part_text(book)
    assert 'drawn = "7-3/8 in", measured = "186.1 mm", plus_minus = "0.2 mm"' in text
    assert text.count("#") == (TARN / "parts" / "battery-tray.toml").read_text().count("#")
