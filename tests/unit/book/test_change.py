"""Changing the book: all or nothing, and every row touched is in the history."""

import json

import pytest

from blankwright.base.errors import BadInput, NotPossible
from blankwright.book import records as r
from blankwright.book.history import history, one_change, take_back
from blankwright.book.store import Book
from book_fixtures import NOW, hours


def everything(book: Book) -> dict[str, tuple[r.Record, ...]]:
    from blankwright.book.tables import HISTORY, KINDS

    with book.read() as reader:
        return {name: reader.all(kind) for name, kind in KINDS.items() if name not in HISTORY}


def a_story(book: Book) -> None:
    with book.change("a tray", who="Ida", at=NOW) as change:
        part = change.add(r.Part, name="tray", title="Battery tray, größer")
        change.add(r.Task, title="cut", part_id=part, hours=0.5)


def test_what_is_kept_is_what_was_given(book: Book) -> None:
    with book.change("all kinds", who="Ida", at=NOW) as change:
        part = change.add(r.Part, name="tray", title="Wanne – 3/4″ ≥ 19 mm 機", cure_hours=0.1)
        task = change.add(
            r.Task,
            title="bend",
            kind=r.TaskKind.BEND,
            state=r.TaskState.DONE,
            part_id=part,
            done_at=NOW,
            by_hand=True,
            hours=1 / 3,
        )
    with book.read() as reader:
        assert reader.get(r.Part, part).title == "Wanne – 3/4″ ≥ 19 mm 機"
        assert reader.get(r.Task, task) == r.Task(
            id=task,
            title="bend",
            kind=r.TaskKind.BEND,
            state=r.TaskState.DONE,
            part_id=part,
            done_at=NOW,
            by_hand=True,
            hours=1 / 3,
        )


def test_an_error_leaves_nothing_behind(book: Book) -> None:
    a_story(book)
    before = everything(book)

    def stopped_half_way() -> None:
        with book.change("half", who="Ida", at=NOW) as change:
            change.add(r.Part, name="half")
            change.put(r.Task, 1, title="other")
            raise RuntimeError("stopped")

    with pytest.raises(RuntimeError, match="stopped"):
        stopped_half_way()
    assert everything(book) == before
    with book.read() as reader:
        assert [past.note.what for past in history(reader)] == ["a tray"]


def test_a_change_that_changes_nothing_is_no_change(book: Book) -> None:
    a_story(book)
    with book.change("the same again", who="Ida", at=NOW) as change:
        assert not change.put(r.Task, 1, title="cut", hours=0.5)
    with book.read() as reader:
        assert len(history(reader)) == 1


def test_history_holds_before_and_after(book: Book) -> None:
    a_story(book)
    with book.change("longer", who="Bo", at=NOW + hours(1)) as change:
        change.put(r.Task, 1, hours=0.75, title="cut")
    with book.read() as reader:
        newest = history(reader)[0]
        assert (newest.note.who, newest.note.what) == ("Bo", "longer")
        assert newest.note.at == NOW + hours(1)
        (row,) = newest.rows
        assert (row.table, row.row_id) == ("task", 1)
        assert json.loads(row.before or "") == {"hours": 0.5}
        assert json.loads(row.after or "") == {"hours": 0.75}
        assert [p.note.id for p in history(reader, table="part", row_id=1)] == [1]


def test_taking_back_undoes_and_taking_that_back_does_again(book: Book) -> None:
    a_story(book)
    first = everything(book)
    with book.change("much", who="Ida", at=NOW) as change:
        change.put(r.Task, 1, title="cut it", state=r.TaskState.DONE, done_at=NOW)
        extra = change.add(r.Part, name="cover")
        change.add(r.Need, task_id=1, kind=r.NeedKind.PART, needed_part_id=extra)
        change.put(r.Part, extra, title="Cover")
    second = everything(book)
    back = take_back(book, 2, who="Ida", at=NOW)
    assert everything(book) == first
    again = take_back(book, back, who="Ida", at=NOW)
    assert everything(book) == second
    with book.read() as reader:
        assert one_change(reader, 2).taken_back_by is None
        assert one_change(reader, back).taken_back_by == again
    take_back(book, again, who="Ida", at=NOW)
    assert everything(book) == first


def test_a_removal_comes_back_whole(book: Book) -> None:
    a_story(book)
    before = everything(book)
    with book.change("out", who="Ida", at=NOW) as change:
        change.remove(r.Task, 1)
        change.remove(r.Part, 1)
    take_back(book, 2, who="Ida", at=NOW)
    assert everything(book) == before


def test_taking_back_twice_is_refused(book: Book) -> None:
    a_story(book)
    take_back(book, 1, who="Ida", at=NOW)
    with pytest.raises(NotPossible, match="BOOK-021"):
        take_back(book, 1, who="Ida", at=NOW)


def test_what_was_changed_since_is_not_overwritten(book: Book) -> None:
    a_story(book)
    with book.change("title", who="Ida", at=NOW) as change:
        change.put(r.Task, 1, title="saw")
    with book.change("title again", who="Bo", at=NOW) as change:
        change.put(r.Task, 1, title="shear")
    before = everything(book)
    with pytest.raises(
        NotPossible, match="BOOK-022 change 2: task 1: it was changed since, by change 3"
    ):
        take_back(book, 2, who="Ida", at=NOW)
    assert everything(book) == before


def test_other_columns_changed_since_do_not_hinder(book: Book) -> None:
    a_story(book)
    with book.change("title", who="Ida", at=NOW) as change:
        change.put(r.Task, 1, title="saw")
    with book.change("hours", who="Bo", at=NOW) as change:
        change.put(r.Task, 1, hours=9.0)
    take_back(book, 2, who="Ida", at=NOW)
    with book.read() as reader:
        assert (reader.get(r.Task, 1).title, reader.get(r.Task, 1).hours) == ("cut", 9.0)


def test_taking_back_what_others_refer_to_is_refused(book: Book) -> None:
    with book.change("part", who="Ida", at=NOW) as change:
        change.add(r.Part, name="tray")
    with book.change("task", who="Ida", at=NOW) as change:
        change.add(r.Task, title="cut", part_id=1)
    with pytest.raises(NotPossible, match="BOOK-013"):
        take_back(book, 1, who="Ida", at=NOW)


def test_numbers_are_never_used_twice(book: Book) -> None:
    a_story(book)
    with book.change("out", who="Ida", at=NOW) as change:
        change.remove(r.Task, 1)
    with book.change("new", who="Ida", at=NOW) as change:
        assert change.add(r.Task, title="bend") == 2


@pytest.mark.parametrize(
    ("values", "code"),
    [
        ({"name": "a\x00b"}, "BOOK-011"),
        ({"name": "a\ud800b"}, "BOOK-011"),
        ({"name": "new", "cure_hours": float("nan")}, "BOOK-011"),
        ({"name": "new", "rivets": 2**31}, "BOOK-011"),
        ({"name": "tray"}, "BOOK-012"),
    ],
)
def test_what_cannot_be_kept_is_refused(book: Book, values: dict[str, object], code: str) -> None:
    a_story(book)
    with pytest.raises(BadInput, match=code), book.change("bad", who="Ida", at=NOW) as change:
        change.add(r.Part, **values)
    with pytest.raises(BadInput, match="BOOK-010"), book.change("bad", who="", at=NOW) as change:
        change.put(r.Part, 77, title="none")


def test_no_such_change(book: Book) -> None:
    with pytest.raises(BadInput, match="BOOK-020"):
        take_back(book, 5, who="Ida", at=NOW)
