"""Edits held against what they should do, before they are accepted."""

from __future__ import annotations

import tomllib
from typing import Any

from blankwright.base.errors import BadInput, OurBug, Problem
from blankwright.files.partfile.positions import place_of
from blankwright.files.partfile.problems import PartProblem
from blankwright.files.partfile.reading import read_part_text
from blankwright.files.partfile.texts import comments


def _problems(text: str) -> tuple[PartProblem, ...]:
    try:
        read_part_text(text, "part", file="part file")
    except BadInput as error:
        return tuple(p for p in error.problems if isinstance(p, PartProblem))
    return ()


def accepted(
    old: str, new: str, steps: list[str | int] | None, meant: Any, *, checked: bool = True
) -> str:
    """Return the new text if it means what it should and brings no new problem."""
    if steps is not None:
        wanted = tomllib.loads(old)
        _apply(wanted, steps, meant)
        try:
            got = tomllib.loads(new)
        except tomllib.TOMLDecodeError as error:
            raise _bug(place_of(tuple(steps)), f"made a text that is not TOML: {error}") from error
        if _bare_of_empty(got) != _bare_of_empty(wanted):
            raise _bug(place_of(tuple(steps)), "changed more than its place")
        if meant is not None and comments(old) != comments(new):
            raise _bug(place_of(tuple(steps)), "lost a comment")
    if not checked:
        return new
    fresh = list(_problems(new))
    if fresh:
        known = {problem.identity for problem in _problems(old)}
        fresh = [problem for problem in fresh if problem.identity not in known]
    if fresh:
        raise BadInput(*fresh)
    return new


def _bug(place: str, got: str) -> OurBug:
    return OurBug(Problem(code="EDIT-003", where=place, got=f"an edit {got}; it was dropped"))


def _apply(data: Any, steps: list[str | int], meant: Any) -> None:
    """Make the same change in plain tables; nothing meant takes the key away."""
    for step in steps[:-1]:
        data = data[step - 1] if isinstance(step, int) else data.setdefault(step, {})
    last = steps[-1]
    if isinstance(last, int):
        data[last - 1] = meant
    elif meant is None:
        del data[last]
    else:
        data[last] = meant


def _bare_of_empty(data: Any) -> Any:
    """Drop empty tables: a group whose last member is removed loses its heading too."""
    if not isinstance(data, dict):
        return data
    inner = {key: _bare_of_empty(value) for key, value in data.items()}
    return {key: value for key, value in inner.items() if value != {}}
