"""A book in mid-build, on both databases: what is next, waits, in hand, open, due."""

from dataclasses import replace
from pathlib import Path

import pytest

import book_story
from blankwright.base.errors import BadInput, NotPossible
from blankwright.book import records as r
from blankwright.jobs import book_deviations as dev
from blankwright.jobs import book_hardware as hw
from blankwright.jobs import book_inspection as ins
from blankwright.jobs import book_plan, book_tasks
from blankwright.jobs.book_hours import hours_by
from blankwright.jobs.book_log import log, log_page
from blankwright.jobs.book_needs import Needs, add_need, drop_need, needs_of
from blankwright.jobs.book_open import BookAt
from book_fixtures import hours
from book_story import evening, task


@pytest.fixture
def told(shop: BookAt) -> BookAt:
    book_story.ida(shop)
    return shop


def titles(book: BookAt, at: float = 9) -> tuple[list[str], dict[str, list[str]]]:
    found = book_tasks.what_next(book, evening(9, at))
    return (
        [s.job.title for s in found if s.can_be_done],
        {s.job.title: [w.text for w in s.waits] for s in found if not s.can_be_done},
    )


def test_tasks_follow_from_the_part_file_and_what_the_book_says(told: BookAt) -> None:
    of_tray = [
        (t.kind.value, t.position, t.setup) for t in book_tasks.all_tasks(told, part="battery-tray")
    ]
    assert of_tray == [
        ("measure", "", ""),
        ("cut", "", ""),
        ("drill", "", ""),
        ("deburr", "", ""),
        ("bend", "", "brake, 1/8 in radius"),
        ("trial fit", "upright", ""),
        ("bend last", "", ""),
        ("treat", "", ""),
        ("rivet", "upright", ""),
        ("inspect", "upright", ""),
    ]
    assert [t.kind.value for t in book_tasks.all_tasks(told, part="pan-cover")] == [
        "cut",
        "deburr",
        "trial fit",
        "glue",
        "rivet",
        "inspect",
    ]


def test_what_can_be_done_and_what_waits(told: BookAt) -> None:
    ready, waits = titles(told)
    assert ready == ["battery-tray: drill", "pan-cover: cut"]
    assert waits["pan-cover: glue"] == [
        "first: pan-cover: trial fit",
        "to be seen: control run, before pan-cover goes in",
    ]
    assert waits["pan-cover: rivet"] == [
        "first: pan-cover: glue, then 24 h to cure",
        "18 of MS21059L06 to order",
    ]
    assert waits["battery-tray: rivet"] == ["first: battery-tray: treat"]


def test_a_cure_runs_out_by_the_clock(told: BookAt) -> None:
    for name in ("cut", "deburr", "trial fit"):
        book_tasks.finish_task(told, evening(10), task(told, f"pan-cover: {name}"))
    ins.stage_seen(told, evening(10), 1, "club inspector", "nothing to remark")
    hw.move_item(told, evening(10), "MS21059L06", r.MoveKind.COUNTED, 18)
    book_tasks.finish_task(told, evening(10), task(told, "pan-cover: glue"))
    found = {s.job.title: s for s in book_tasks.what_next(told, evening(10, 23.9)) if s.waits}
    (wait,) = found["pan-cover: rivet"].waits
    assert (wait.text, wait.until) == ("cures: pan-cover: glue", evening(11))
    assert "pan-cover: rivet" in {
        s.job.title for s in book_tasks.what_next(told, evening(11)) if s.can_be_done
    }


def test_done_before_its_needs_only_with_a_reason(told: BookAt) -> None:
    number = task(told, "pan-cover: glue")
    with pytest.raises(NotPossible) as caught:
        book_tasks.finish_task(told, evening(10), number)
    assert [p.got for p in caught.value.problems] == [
        "first: pan-cover: trial fit",
        "to be seen: control run, before pan-cover goes in",
    ]
    done = book_tasks.finish_task(told, evening(10), number, anyway="glued at the meeting")
    assert "Done although it waited (first: pan-cover: trial fit;" in done.note
    assert done.note.endswith("glued at the meeting")


def test_hardware_is_counted_and_its_wait_holds_up(told: BookAt) -> None:
    shelf = hw.shelf(told, evening(9))
    sheet, rivets, nuts = shelf.stocks
    assert (sheet.item.number, sheet.item.unit) == ("6061-T6 sheet 0.040 in", "m²")
    assert (rivets.needed, rivets.in_hand, rivets.on_order, rivets.to_order) == (14, 100, 0, 0)
    assert (nuts.needed, nuts.in_hand, nuts.spare, nuts.to_order) == (18, 0, 1.8, 20)
    assert nuts.item.title == "plate nut, self-locking, two lugs, floating, 6-32"
    (held,) = shelf.holdups
    assert held.stock.item.number == "MS21059L06"
    assert held.direct == (task(told, "pan-cover: rivet"),)
    assert held.all_tasks == (task(told, "pan-cover: rivet"), task(told, "pan-cover: inspect"))
    hw.move_item(told, evening(9), "MS21059L06", r.MoveKind.ORDERED, 20, due=evening(20))
    _, waits = titles(told)
    assert waits["pan-cover: rivet"][1] == "18 of MS21059L06 on order"


def test_planning_again_leaves_peoples_work_alone(told: BookAt) -> None:
    number = task(told, "battery-tray: bend")
    book_tasks.change_task(told, evening(9), number, hours=9.0)
    before = book_tasks.all_tasks(told)
    again = book_plan.plan(told, evening(10))
    assert [(p.made, p.renewed, p.dropped) for p in again.parts] == [((), (), ()), ((), (), ())]
    assert book_tasks.all_tasks(told) == before


def test_a_changed_part_file_changes_its_open_tasks_only(told: BookAt, project: Path) -> None:
    path = project / "parts" / "battery-tray.toml"
    text = path.read_text(encoding="utf-8")
    head, _, rest = text.partition("[bends.lip]")
    path.write_text(head + rest[rest.index("[holes.mount]") :], encoding="utf-8")
    (tray, _cover) = book_plan.plan(told, evening(10)).parts
    dropped = [t.title for t in book_tasks.all_tasks(told) if t.id in tray.dropped]
    assert (tray.made, dropped) == ((), ["battery-tray: bend last"])
    _, waits = titles(told)
    assert waits["battery-tray: treat"] == ["first: battery-tray: trial fit"]
    path.write_text(text, encoding="utf-8")
    (tray, _cover) = book_plan.plan(told, evening(11)).parts
    _, waits = titles(told)
    assert waits["battery-tray: treat"] == ["first: battery-tray: bend last"]
    assert len(book_tasks.all_tasks(told, part="battery-tray")) == 10


def test_a_broken_part_file_leaves_its_tasks_alone(told: BookAt, project: Path) -> None:
    before = book_tasks.all_tasks(told)
    (project / "parts" / "battery-tray.toml").write_text("title = ", encoding="utf-8")
    done = book_plan.plan(told, evening(10))
    assert [name for name, _ in done.unread] == ["battery-tray"]
    assert book_tasks.all_tasks(told) == before


def test_the_shops_own_pace_is_learned(told: BookAt) -> None:
    for n in range(3):
        book_plan.state_part(told, evening(10), f"clip-{n}", major="Fuselage")
    book_plan.plan(told, evening(10))
    for n in range(3):
        number = task(told, f"clip-{n}: deburr")
        book_tasks.finish_task(told, evening(11), number, anyway="test")
        log(told, evening(11), "deburred", minutes=24, task=number)
    book_plan.plan(told, evening(12))
    by_title = {t.title: t for t in book_tasks.all_tasks(told)}
    # The first rate says 0.2 h for a part without holes; it took 0.4 h, three times.
    assert by_title["pan-cover: deburr"].first_hours == 0.2
    assert by_title["pan-cover: deburr"].hours == 0.4
    assert by_title["pan-cover: cut"].hours == 0.5


def test_hours_add_up(told: BookAt) -> None:
    for by in ("major part", "kind"):
        *lines, total = hours_by(told, by)
        assert total.taken == pytest.approx(80 / 60)
        assert sum(f.expected for f in lines) == pytest.approx(total.expected)
        done = [t.hours for t in book_tasks.all_tasks(told) if t.state is r.TaskState.DONE]
        assert total.expected - total.left == pytest.approx(sum(done))


def test_needs_in_a_circle_are_refused_and_nothing_is_kept(told: BookAt) -> None:
    first, last = task(told, "battery-tray: drill"), task(told, "battery-tray: rivet")
    before = needs_of(told, first)
    with pytest.raises(NotPossible, match=r"BOOK-030.*battery-tray: drill → "):
        add_need(told, evening(9), first, Needs(after=[last]))
    assert needs_of(told, first) == before


def test_needs_of_every_kind_by_hand(told: BookAt) -> None:
    number = book_tasks.add_task(told, evening(9), "close the belly", position="inverted")
    needs = Needs(
        after=[task(told, "pan-cover: rivet")],
        cure_hours=2.0,
        parts=["battery-tray"],
        hardware={"MS20470AD4-5": 30},
        stages=[1],
    )
    add_need(told, evening(9), number, needs)
    said = [text for _, text in needs_of(told, number)]
    assert said == [
        f"after {task(told, 'pan-cover: rivet')} pan-cover: rivet, and 2 h to cure",
        "part battery-tray finished",
        "30 of MS20470AD4-5 in hand",
        "seen: control run, before pan-cover goes in",
    ]
    _, waits = titles(told)
    assert len(waits["close the belly"]) == 1 + 8 + 1  # the cut tray is done; rivets are in hand
    needed = {s.item.number: s.needed for s in hw.shelf(told, evening(9)).stocks}
    assert needed["MS20470AD4-5"] == 44
    need = needs_of(told, number)[2][0]
    drop_need(told, evening(9), need)
    needed = {s.item.number: s.needed for s in hw.shelf(told, evening(9)).stocks}
    assert needed["MS20470AD4-5"] == 14


def test_open_deviations_are_shown_until_closed(told: BookAt) -> None:
    with told.read() as reader:
        first, second = dev.cases(reader)
    assert (first.deviation.id, first.is_open, second.is_open) == (2, True, False)
    with pytest.raises(NotPossible, match=r"BOOK-075.*the club's inspector was asked"):
        dev.close_deviation(told, evening(10), 2, "looks fine")
    dev.write_answer(told, evening(10), 2, "Drill the next one on pitch; leave this one.")
    with pytest.raises(BadInput, match="BOOK-073"):
        dev.close_deviation(told, evening(10), 2, " ")
    dev.close_deviation(told, evening(10), 2, "as the inspector said")
    with told.read() as reader:
        assert not any(case.is_open for case in dev.cases(reader))


def test_recurring_items_take_their_time_from_fasteners(told: BookAt) -> None:
    with told.read() as reader:
        (item,) = ins.yearly_times(reader, evening(9))
    # 18 screws in plate nuts: 20 s out and 30 s in each, and 20 minutes of looking.
    assert (item.off_minutes, item.on_minutes, item.minutes) == (6.0, 9.0, 35.0)
    assert item.due is not None
    assert item.due.date().isoformat() == "2027-01-31"
    with told.read() as reader:
        (later,) = ins.yearly_times(reader, item.due + hours(1))
    assert later.overdue


def test_the_log_is_paged_searched_and_whole(told: BookAt) -> None:
    page = log_page(told)
    assert [line.entry.id for line in page.lines] == [2, 1]
    first = page.lines[1]
    assert first.entry.who == "Ida Berg"
    assert [(p.width, p.height, p.caption) for p in first.photos] == [
        (640, 480, "blank on the bench"),
        (480, 640, "between the frames"),
    ]
    assert first.task is not None
    assert first.part is not None
    assert (first.part.name, first.entry.major) == ("battery-tray", "Fuselage")
    assert log_page(told, start=1).lines == (first,)
    assert [x.entry.id for x in log_page(told, text="BO LIND").lines] == [1]
    assert log_page(told, text="100%").total == 0
    assert [x.entry.id for x in log_page(told, part="pan-cover").lines] == [2]


def test_two_books_on_one_server_do_not_meet(
    told: BookAt, kind: str, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    from blankwright.jobs.book_open import book_at, start_book

    other = str(tmp_path / "bo.sqlite")
    if kind == "postgresql":
        other = request.getfixturevalue("server").address("bo_021")
    start_book(told.project.root, evening(0), address=other, builder="Bo Lind")
    with book_at(told.project.root, other) as book:
        book_story.bo(book)
        assert [t.title for t in book_tasks.all_tasks(book)] == [
            "wing rib 1",
            "wing rib 2",
            "wing rib 3",
        ]
        chain = book_tasks.chain_of(book, evening(9), 2.0)
        assert [link.task for link in chain.links] == [1, 2, 3]
        assert chain.length == 72.0
    assert len(book_tasks.all_tasks(told)) == 16
    assert replace(told, who="x").who == "x"
