"""A problem as the page needs it."""

from __future__ import annotations

from typing import Any

from blankwright.base.errors import Problem

Json = dict[str, Any]


def problem_json(problem: Problem) -> Json:
    """Return a problem for the page."""
    return {
        "code": problem.code,
        "where": problem.where,
        "got": problem.got,
        "allowed": problem.allowed,
        "fix": problem.fix,
        "place": place_of(problem),
    }


def place_of(problem: Problem) -> str:
    """Return the place in the part file that a problem is about, or nothing."""
    return str(getattr(problem, "place", "") or "")
