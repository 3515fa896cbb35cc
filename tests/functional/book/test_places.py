"""Places ask for work too: measuring, neighbours first, strips, drilling up; sheet comes first."""

import shutil
from pathlib import Path

import pytest

from blankwright.base.errors import BadInput, NotPossible
from blankwright.book import records as r
from blankwright.jobs import book_tasks
from blankwright.jobs.book_hardware import move_item, shelf
from blankwright.jobs.book_log import log, log_page
from blankwright.jobs.book_measured import Measured, known_sizes
from blankwright.jobs.book_needs import needs_of
from blankwright.jobs.book_open import BookAt, book_at, start_book
from blankwright.jobs.book_plan import plan, state_part
from blankwright.jobs.book_sizes import put_size, waiting_sizes
from book_story import evening

TARN = Path(__file__).parents[3] / "examples" / "tarn200"
PARTS = ("battery-tray", "tunnel-angle", "access-cover", "bay-panel")
RACK = """\
[[sheets]]
name = "6061 040 half"
alloy = "6061-T6"
thickness = "0.040 in"
size = ["24 in", "24 in"]
count = 1
"""
PLACES = ("battery-bay", "tensioner-bay")


@pytest.fixture
def tarn(tmp_path: Path, address: str) -> BookAt:
    """Four parts of the example airplane with their two places, and a rack with one sheet."""
    root = tmp_path / "tarn"
    for folder, names in (("parts", PARTS), ("places", PLACES)):
        (root / folder).mkdir(parents=True)
        for name in names:
            shutil.copy(TARN / folder / f"{name}.toml", root / folder)
    shutil.copy(TARN / "blankwright.toml", root)
    (root / "rack.toml").write_text(RACK, encoding="utf-8")
    start_book(root, evening(0), address=address, builder="Ida Berg")
    with book_at(root, address) as book:
        assert plan(book, evening(0)).unread == ()
        yield book


def numbers(book: BookAt) -> dict[str, int]:
    return {t.title: t.id for t in book_tasks.all_tasks(book)}


def needs(book: BookAt, title: str) -> list[str]:
    return [said.partition(" ")[2] for _, said in needs_of(book, numbers(book)[title])]


def waits(book: BookAt, title: str) -> list[str]:
    found = {s.job.title: s.waits for s in book_tasks.what_next(book, evening(1))}
    return [w.text for w in found[title]]


def stock(book: BookAt, number: str):
    return next(s for s in shelf(book, evening(1)).stocks if s.item.number == number)


def kinds(book: BookAt, part: str) -> list[str]:
    return [t.title.partition(": ")[2] for t in book_tasks.all_tasks(book, part=part)]


def test_the_parts_round_it_are_made_before_a_part_is_tried(tarn: BookAt) -> None:
    bent = [number for title, number in numbers(tarn).items() if title.endswith(": bend")]
    said = [text for _, text in needs_of(tarn, numbers(tarn)["battery-tray: trial fit"])]
    assert len(bent) == 6  # tray, two angles, cover and its long variant, panel
    for hand in ("left", "right"):
        title = f"tunnel-angle-{hand}: bend"
        assert f"after {numbers(tarn)[title]} {title}" in said
    assert any("bay-panel: bend" in text for text in needs(tarn, "access-cover: trial fit"))
    # Nothing of this is asked of a part that is only there.
    assert not any("battery-tray" in text for text in needs(tarn, "tunnel-angle-left: trial fit"))
    # Planning once more, whole or for one part, changes nothing.
    with tarn.read() as reader:
        before = reader.all(r.Need), reader.all(r.Task)
    plan(tarn, evening(1))
    plan(tarn, evening(1), ["bay-panel"])
    plan(tarn, evening(1), ["battery-tray"])
    with tarn.read() as reader:
        assert (reader.all(r.Need), reader.all(r.Task)) == before


def test_a_place_that_is_gone_asks_for_nothing(tarn: BookAt) -> None:
    (tarn.project.root / "places" / "tensioner-bay.toml").write_text(
        (TARN / "places" / "battery-bay.toml").read_text(encoding="utf-8"), encoding="utf-8"
    )
    plan(tarn, evening(1))
    assert not any("bay-panel" in text for text in needs(tarn, "access-cover: trial fit"))
    states = {t.title: t.state for t in book_tasks.all_tasks(tarn)}
    assert states["access-cover: stick strips"] is r.TaskState.DROPPED


def test_strips_are_stuck_on_before_the_part_is_tried(tarn: BookAt) -> None:
    run = kinds(tarn, "access-cover")
    assert run[-3:] == ["stick strips", "trial fit", "inspect"]
    assert "in hand" in needs(tarn, "access-cover: stick strips")[-1]
    assert stock(tarn, "foam tape strip").needed == pytest.approx(0.150, abs=0.001)


def test_matched_holes_are_drilled_up_and_riveted(tarn: BookAt) -> None:
    assert kinds(tarn, "battery-tray")[-4:] == ["trial fit", "drill up", "rivet", "inspect"]
    task = next(t for t in book_tasks.all_tasks(tarn) if t.title == "battery-tray: drill up")
    assert task.note == "2 through left-angle; 2 through right-angle"
    # Two sheets of 0.040 in and 1½ times 3/16 in are 0.361 in; the next sixteenth is 6/16.
    rivets = stock(tarn, "MS20470AD6-6")
    assert (rivets.needed, rivets.item.grip) == (4, pytest.approx(2 * 0.040 * 25.4))
    assert "the drawing decides" in rivets.item.note


def test_a_place_is_measured_before_its_part_is_cut(tarn: BookAt) -> None:
    # Both places have measured sizes; no size of the angles was measured.
    assert "measure the place" not in kinds(tarn, "battery-tray")
    assert kinds(tarn, "tunnel-angle-left")[:2] == ["measure the place", "cut"]
    assert any("measure" in text for text in waits(tarn, "tunnel-angle-left: cut"))
    one = Measured(part="tunnel-angle", size="length", value="6.02 in", reason="frames")
    log(tarn, evening(1), "gauged", measured=[one])
    put_size(tarn, evening(1), 1)
    plan(tarn, evening(2))
    # It is measured: nothing waits for it any more, and the task that was made stays.
    assert not any("measure" in text for text in waits(tarn, "tunnel-angle-left: cut"))
    done = numbers(tarn)["tunnel-angle-left: measure the place"]
    assert book_tasks.finish_task(tarn, evening(2), done).state is r.TaskState.DONE


def test_a_size_of_a_place_flows_into_the_place_file(tarn: BookAt) -> None:
    assert {"battery-bay.bay", "tensioner-bay.gap", "battery-tray.bay_width"} <= set(
        known_sizes(tarn.project)
    )
    measured = [
        Measured(part="tensioner-bay", size="gap", value="0.7 mm", plus_minus="0.1 mm"),
        Measured(part="place battery-bay", size="clear", value="0.8 mm", reason="felt is thick"),
    ]
    entry = log(tarn, evening(1), "gauged over the tongue", measured=measured)
    (line,) = log_page(tarn).lines
    assert line.measured == ("place tensioner-bay", "place battery-bay")
    assert [said for _, said in waiting_sizes(tarn, entry)] == [
        "place tensioner-bay.gap = 0.7 mm",
        "place battery-bay.clear = 0.8 mm",
    ]
    done = put_size(tarn, evening(2), 1)
    assert (done.state, done.old) == (r.SizeState.IN_PART_FILE, "0.6 mm")
    put_size(tarn, evening(2), 2)
    assert waiting_sizes(tarn) == ()
    text = (tarn.project.root / "places" / "tensioner-bay.toml").read_text(encoding="utf-8")
    was = 'gap      = { measured = "0.6 mm", plus_minus = "0.15 mm", note = "over and under'
    assert was in (TARN / "places" / "tensioner-bay.toml").read_text(encoding="utf-8")
    assert was not in text
    assert 'measured = "0.7 mm", plus_minus = "0.1 mm", note = "2026-01-13: gauged over' in text
    assert "# The bay of the elevator cable tensioner." in text
    bay = (tarn.project.root / "places" / "battery-bay.toml").read_text(encoding="utf-8")
    assert 'drawn = "0.75 mm", measured = "0.8 mm", note = "2026-01-13: felt is thick"' in bay
    assert plan(tarn, evening(3)).unread == ()
    for wrong, code in (
        (Measured(part="tensioner-bay", size="width", value="3 mm"), "BOOK-063"),
        (Measured(part="tensioner-bay", size="gap", value="3 deg"), "BOOK-065"),
        (Measured(part="no-bay", size="gap", value="3 mm"), "BOOK-053"),
    ):
        with pytest.raises(BadInput, match=code):
            log(tarn, evening(4), "", measured=[wrong])


def test_cutting_waits_for_its_sheet(tarn: BookAt) -> None:
    # The rack has 6061-T6 of 0.040 in, 24 by 24 in, and no 6061-T4 at all.
    assert stock(tarn, "6061-T6 sheet 0.040 in").in_hand == pytest.approx(0.3716, abs=1e-4)
    assert waits(tarn, "battery-tray: cut") == []
    assert waits(tarn, "access-cover: cut")[-1].endswith("of 6061-T4 sheet 0.032 in to order")
    held = {h.stock.item.number: h for h in shelf(tarn, evening(1)).holdups}
    sheet = held["6061-T4 sheet 0.032 in"]
    assert numbers(tarn)["access-cover: cut"] in sheet.direct
    assert numbers(tarn)["access-cover: inspect"] in sheet.all_tasks
    with pytest.raises(NotPossible, match="BOOK-051"):
        book_tasks.finish_task(tarn, evening(1), numbers(tarn)["access-cover: cut"])
    move_item(tarn, evening(1), "6061-T4 sheet 0.032 in", r.MoveKind.ARRIVED, 0.5)
    assert waits(tarn, "access-cover: cut") == []


def test_what_a_task_takes_is_used_when_it_is_done(tarn: BookAt) -> None:
    before = stock(tarn, "6061-T6 sheet 0.040 in")
    taken = before.needed
    book_tasks.finish_task(tarn, evening(1), numbers(tarn)["battery-tray: cut"])
    after = stock(tarn, "6061-T6 sheet 0.040 in")
    assert after.used == pytest.approx(taken)
    assert after.in_hand == pytest.approx(before.in_hand - taken)
    # The rack file says the same as before: it is not counted again over what was cut.
    plan(tarn, evening(2))
    assert stock(tarn, "6061-T6 sheet 0.040 in").in_hand == pytest.approx(after.in_hand)
    rack = tarn.project.root / "rack.toml"
    text = rack.read_text(encoding="utf-8")
    rack.write_text(text.replace("count = 1", "count = 3"), encoding="utf-8")
    plan(tarn, evening(3))
    assert stock(tarn, "6061-T6 sheet 0.040 in").in_hand == pytest.approx(3 * 0.3716, abs=1e-3)
    with pytest.raises(NotPossible, match=r"BOOK-057 .*done already"):
        book_tasks.finish_task(tarn, evening(2), numbers(tarn)["battery-tray: cut"])


def test_a_sheet_that_is_too_small_must_be_bought_larger(tarn: BookAt) -> None:
    (tarn.project.root / "rack.toml").write_text(
        '[[sheets]]\nname = "scrap"\nalloy = "6061-T6"\nthickness = "0.040 in"\n'
        'size = ["100 mm", "900 mm"]\n',
        encoding="utf-8",
    )
    plan(tarn, evening(1))
    (number,) = (
        s.item.number for s in shelf(tarn, evening(1)).to_order if "least" in s.item.number
    )
    assert number.startswith("6061-T6 sheet 0.040 in, at least ")
    assert waits(tarn, "battery-tray: cut")[-1].endswith(f"{number} to order")


def test_a_bought_part_is_not_cut(tarn: BookAt) -> None:
    state_part(tarn, evening(1), "canopy-rail", rivets=24, bought=True, closes="seal")
    plan(tarn, evening(1), ["canopy-rail"])
    assert kinds(tarn, "canopy-rail") == ["trial fit", "rivet", "inspect"]
    with tarn.read() as reader:
        assert [s.title for s in reader.all(r.Stage)] == ["seal, before canopy-rail goes in"]
    # Nothing is closed up after all: the stage that nobody saw goes, its need with it.
    state_part(tarn, evening(2), "canopy-rail", closes="", bought=False)
    plan(tarn, evening(2), ["canopy-rail"])
    assert kinds(tarn, "canopy-rail") == ["trial fit", "rivet", "inspect", "cut", "deburr"]
    with tarn.read() as reader:
        assert reader.all(r.Stage) == ()


def test_what_cures_is_told_until_it_is_over(tarn: BookAt) -> None:
    state_part(tarn, evening(1), "seal", glue="sealant", cure_hours=48.0, bought=True)
    plan(tarn, evening(1), ["seal"])
    assert waits(tarn, "seal: inspect") == ["first: seal: glue, then 48 h to cure"]
    book_tasks.finish_task(tarn, evening(1), numbers(tarn)["seal: glue"], anyway="test")
    (cure,) = book_tasks.what_cures(tarn, evening(2))
    assert (cure.title, cure.until) == ("seal: glue", evening(3))
    assert book_tasks.what_cures(tarn, evening(3)) == ()


def test_begun_again_it_is_open_again(tarn: BookAt) -> None:
    number = numbers(tarn)["battery-tray: cut"]
    book_tasks.finish_task(tarn, evening(1), number)
    standing = book_tasks.begin_task(tarn, evening(2), number)
    assert (standing.job.begun, standing.waits) == (True, ())
    with tarn.read() as reader:
        task = reader.get(r.Task, number)
    assert (task.state, task.done_at, task.begun_at) == (r.TaskState.BEGUN, None, evening(1))
    used = stock(tarn, "6061-T6 sheet 0.040 in").used
    book_tasks.finish_task(tarn, evening(3), number)
    assert stock(tarn, "6061-T6 sheet 0.040 in").used == used  # once cut, the sheet is used once
