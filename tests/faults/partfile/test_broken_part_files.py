"""200 and more broken part files, each with its one clear message, or the several that it has."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path

import pytest

from blankwright.base.errors import BadInput
from blankwright.files.partfile import PartProblem, read_part_text

_SPEC = importlib.util.spec_from_file_location("broken", Path(__file__).with_name("broken.py"))
assert _SPEC is not None
assert _SPEC.loader is not None
broken = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(broken)


def test_the_base_is_sound() -> None:
    part = read_part_text(broken.BASE, "tray")
    assert [bend.name for bend in part.bends] == ["left", "back", "lip"]


def test_there_are_200_cases_and_none_is_twice() -> None:
    changes = [(old, new) for old, new, _ in broken.ALL]
    assert len(set(changes)) == len(changes)
    assert sum(1 for _, _, expected in broken.ALL if expected) >= 200


@pytest.mark.parametrize(("old", "new", "expected"), broken.ALL, ids=lambda text: text[:40])
def test_broken(old: str, new: str, expected: str) -> None:
    assert broken.BASE.count(old) == 1, f"`{old}` is not once in the base"
    text = broken.BASE.replace(old, new)
    if not expected:
        read_part_text(text, "tray", file="tray.toml")
        return
    with pytest.raises(BadInput) as caught:
        read_part_text(text, "tray", file="tray.toml")
    problems = list(caught.value.problems)
    lines = expected.split("\n")
    more_allowed = lines[-1] == "*"  # what follows from it and can't be helped
    for line in lines[:-1] if more_allowed else lines:
        head, *phrases = line.split(" | ")
        code, _, place = head.strip().partition(" ")
        found = _find(problems, code, place.strip())
        assert found is not None, f"no {code} at {place!r} among:\n{caught.value}"
        problems.remove(found)
        for phrase in phrases:
            assert phrase.strip() in str(found), f"{phrase!r} is not in: {found}"
        _check_form(found, text)
    assert more_allowed or not problems, f"said too much:\n{caught.value}"


def _find(problems: list[PartProblem], code: str, place: str) -> PartProblem | None:
    return next((p for p in problems if p.code == code and p.place == place), None)


def _check_form(problem: PartProblem, text: str) -> None:
    """Every message names file and line, and the line holds what it is about."""
    said = str(problem)
    assert said.startswith(f"{problem.code} tray.toml")
    assert said.endswith((".", "?"))
    assert "Traceback" not in said
    assert "None" not in said
    if problem.line:
        assert f"line {problem.line}" in said
        assert 1 <= problem.line <= text.count("\n") + 1
        last = re.split(r"[.\[]", problem.place)[-1].strip('"]')
        if problem.place and not last.isdigit() and '"' not in problem.place:
            line = text.split("\n")[problem.line - 1]
            parents = [step.strip('"]') for step in re.split(r"[.\[]", problem.place)]
            assert any(step and step in line for step in parents), (problem.place, line)
