"""A bug of ours in one part is told with its place; the other parts are still made."""

from __future__ import annotations

from blankwright.base.errors import BadInput, Problem
from blankwright.jobs import develop_parts
from blankwright.jobs.items import Item


def test_a_bug_in_one_part_is_its_own_outcome(monkeypatch, tmp_path):
    def make(project, item, tell):
        if item.path.stem == "bad":
            raise BadInput(Problem(code="PART-001", where="bad", got="it is wrong"))
        raise ZeroDivisionError("by nought")

    monkeypatch.setattr(develop_parts, "make_outputs", make)
    bug = develop_parts.develop_one(None, Item(path=tmp_path / "tray.toml"))
    assert bug.status == 3
    assert bug.problems[0].code == "BUG-001"
    assert "ZeroDivisionError: by nought" in bug.problems[0].got
    assert "test_develop_parts.py" in bug.problems[0].got
    assert develop_parts.develop_one(None, Item(path=tmp_path / "bad.toml")).status == 2
