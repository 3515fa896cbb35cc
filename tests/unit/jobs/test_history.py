"""History: undo over restarts, crashes at every step, and changes by others."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from blankwright.base.errors import FileProblem
from blankwright.jobs.history import History
from browser_parts import link_or_skip

FILE = "parts/tray.toml"


@pytest.fixture
def root(tmp_path):
    (tmp_path / "parts").mkdir()
    (tmp_path / FILE).write_text("one")
    return tmp_path


def test_undo_and_redo_survive_a_restart(root):
    history = History(root)
    history.write(FILE, "two", "wall: 2 in")
    history.write(FILE, "three", "wall: 3 in")
    history = History(root)
    assert history.next_undo(FILE) == "wall: 3 in"
    assert history.undo(FILE) == (FILE, "wall: 3 in")
    assert (root / FILE).read_text() == "two"
    history = History(root)
    assert history.next_redo(FILE) == "wall: 3 in"
    assert history.undo(FILE) == (FILE, "wall: 2 in")
    assert history.undo(FILE) is None
    assert (root / FILE).read_text() == "one"
    assert History(root).redo(FILE) == (FILE, "wall: 2 in")
    assert (root / FILE).read_text() == "two"


def test_what_is_typed_in_one_go_is_taken_back_as_one(root):
    history = History(root)
    for text in ("1", "12", "123"):
        history.write(FILE, text, f"width: {text}", group="w-1")
    history.write(FILE, "123x", "other", group="w-2")
    history.undo(FILE)
    assert (root / FILE).read_text() == "123"
    history.undo(FILE)
    assert (root / FILE).read_text() == "one"
    assert history.redo(FILE) == (FILE, "width: 123")
    assert (root / FILE).read_text() == "123"


def test_a_new_change_forgets_what_was_taken_back(root):
    history = History(root)
    history.write(FILE, "two", "a")
    history.undo(FILE)
    history.write(FILE, "three", "b")
    assert history.next_redo(FILE) == ""
    assert history.redo(FILE) is None


def test_making_and_removing_a_file_can_be_taken_back(root):
    history = History(root)
    history.write("parts/new.toml", "new", "new part")
    history.undo()
    assert not (root / "parts/new.toml").exists()
    history.redo()
    assert (root / "parts/new.toml").read_text() == "new"
    history.write(FILE, None, "part removed")
    assert not (root / FILE).exists()
    assert history.undo() == (FILE, "part removed")
    assert (root / FILE).read_text() == "one"


def test_undo_of_the_project_goes_from_last_to_first(root):
    history = History(root)
    history.write(FILE, "two", "a")
    history.write("parts/b.toml", "b", "b")
    history.write(FILE, "three", "c")
    assert [history.undo()[1] for _ in range(3)] == ["c", "b", "a"]
    assert [history.redo()[1] for _ in range(3)] == ["a", "b", "c"]


def test_change_by_another_is_a_step_and_is_not_overwritten_unseen(root):
    history = History(root)
    history.write(FILE, "two", "a")
    (root / FILE).write_text("theirs")
    assert history.look(FILE)
    assert not history.look(FILE)
    assert history.undo(FILE) == (FILE, "changed outside")
    assert (root / FILE).read_text() == "two"
    (root / FILE).write_text("theirs again")
    history.write(FILE, "mine", "b")
    history.undo(FILE)
    assert (root / FILE).read_text() == "theirs again"


def test_two_programs_on_one_project_share_the_journal(root):
    one, two = History(root), History(root)
    one.write(FILE, "two", "by one")
    two.look(FILE)
    assert two.text(FILE) == "two"
    assert two.undo(FILE) == (FILE, "by one")
    assert not one.look(FILE)
    assert one.text(FILE) == "one"


def journal_lines(root):
    return (root / ".blankwright/history.jsonl").read_bytes().splitlines(keepends=True)


@pytest.mark.parametrize("cut", range(60))
def test_killed_while_writing_the_journal(root, cut):
    """Whatever is left of the last line, the file and the history agree afterwards."""
    history = History(root)
    history.write(FILE, "two", "a")
    journal = root / ".blankwright/history.jsonl"
    whole = journal.read_bytes()
    history.write(FILE, "three", "b")
    grown = journal.read_bytes()
    left = len(whole) + (len(grown) - len(whole)) * cut // 60
    journal.write_bytes(grown[:left])
    # The file is put in place only after its line is whole on the disk.
    reached = grown[:left].count(b"\n") > whole.count(b"\n")
    (root / FILE).write_text("three" if reached and cut % 2 else "two")
    history = History(root)
    history.look(FILE)
    assert history.text(FILE) == (root / FILE).read_text() == ("three" if reached else "two")
    history.undo(FILE)
    assert (root / FILE).read_text() == ("two" if reached else "one")


def test_killed_between_journal_and_file_finishes_the_change(root):
    history = History(root)
    history.write(FILE, "two", "a")
    entry = {"do": "set", "file": FILE, "text": "three", "label": "b", "group": ""}
    with (root / ".blankwright/history.jsonl").open("a") as journal:
        journal.write(json.dumps(entry) + "\n")
    History(root)
    assert (root / FILE).read_text() == "three"


def test_killed_and_then_changed_by_another_keeps_theirs(root):
    history = History(root)
    history.write(FILE, "two", "a")
    entry = {"do": "set", "file": FILE, "text": "three", "label": "b", "group": ""}
    with (root / ".blankwright/history.jsonl").open("a") as journal:
        journal.write(json.dumps(entry) + "\n")
    (root / FILE).write_text("theirs")
    history = History(root)
    assert (root / FILE).read_text() == "theirs"
    assert history.undo(FILE) == (FILE, "changed outside")
    assert (root / FILE).read_text() == "three"


def test_a_damaged_line_costs_one_step_only(root):
    history = History(root)
    for n in range(4):
        history.write(FILE, f"text {n}", f"step {n}")
    lines = journal_lines(root)
    lines[3] = b'{"do": "set", "fi\n'
    (root / ".blankwright/history.jsonl").write_bytes(b"".join(lines))
    history = History(root)
    assert history.text(FILE) == "text 3"
    assert history.undo(FILE) == (FILE, "step 3")


def test_nothing_outside_the_project_is_read_or_written(root):
    history = History(root)
    for file in ("../other.toml", "parts/../../other.toml"):
        with pytest.raises(FileProblem, match="PAGE-002"):
            history.write(file, "x", "y")
    link_or_skip(root / "parts/link.toml", root.parent / "other.toml")
    with pytest.raises(FileProblem, match="PAGE-002"):
        history.write("parts/link.toml", "x", "y")
    assert not (root.parent / "other.toml").exists()


def test_a_long_journal_is_tidied_without_changing_what_undo_gives(root, monkeypatch):
    history = History(root)
    for n in range(30):
        history.write(FILE, f"text {n}", f"step {n}", group=f"g{n // 3}")
    monkeypatch.setattr("blankwright.jobs.history._TIDY_BYTES", 1)
    monkeypatch.setattr("blankwright.jobs.history._KEEP_STEPS", 5)
    history = History(root)
    assert history.text(FILE) == "text 29"
    seen = []
    while history.undo(FILE):
        seen.append((root / FILE).read_text())
    assert seen == ["text 26", "text 23", "text 20", "text 17", "text 14"]


@settings(max_examples=60, derandomize=True, deadline=None)
@given(
    steps=st.lists(
        st.one_of(
            st.tuples(st.just("write"), st.integers(0, 3)),
            st.tuples(st.sampled_from(["undo", "redo", "restart"]), st.just(0)),
        ),
        max_size=25,
    )
)
def test_it_acts_as_two_plain_stacks(tmp_path_factory, steps):
    root = tmp_path_factory.mktemp("h")
    (root / "a.toml").write_text("start")
    history = History(root)
    history.look("a.toml")
    done, undone = ["start"], []
    for do, n in steps:
        if do == "write":
            text = f"text {n}"
            if history.write("a.toml", text, "x"):
                done.append(text)
                undone.clear()
        elif do == "undo":
            assert (history.undo("a.toml") is not None) == (len(done) > 1)
            if len(done) > 1:
                undone.append(done.pop())
        elif do == "redo":
            assert (history.redo("a.toml") is not None) == bool(undone)
            if undone:
                done.append(undone.pop())
        else:
            history = History(root)
        assert (root / "a.toml").read_text() == done[-1]
