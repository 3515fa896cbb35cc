"""A drawing that was looked at, as the page needs it."""

from __future__ import annotations

from typing import Any

from blankwright.jobs.bring_in import BroughtIn
from blankwright.jobs.bring_in_asked import Candidate, Seen
from blankwright.page.problem_json import problem_json

Json = dict[str, Any]


def brought_json(brought: BroughtIn) -> Json:
    """Return what was found in a drawing, and what is asked back."""
    return {
        "file": brought.file,
        "kind": brought.kind,
        "candidates": [_candidate(candidate) for candidate in brought.candidates],
        "refused": [
            {"name": name, "problems": [problem_json(p) for p in problems]}
            for name, problems in brought.refused
        ],
    }


def _candidate(candidate: Candidate) -> Json:
    return {
        "name": candidate.name,
        "told": list(candidate.told),
        "text": candidate.text,
        "ready": candidate.ready,
        "questions": [
            {"key": q.key, "ask": q.ask, "example": q.example} for q in candidate.questions
        ],
        "problems": [problem_json(p) for p in candidate.problems],
        "findings": [str(finding) for finding in candidate.findings],
        "seen": None if candidate.seen is None else _seen(candidate.seen),
    }


def _seen(seen: Seen) -> Json:
    """Return paths of the drawing, y down as the page draws."""
    points = [p for loop in seen.loops for p in loop]
    x0, x1 = min(p[0] for p in points), max(p[0] for p in points)
    y0, y1 = min(-p[1] for p in points), max(-p[1] for p in points)
    edge = 0.08 * max(x1 - x0, y1 - y0)
    return {
        "box": [x0 - edge, y0 - edge, x1 - x0 + 2 * edge, y1 - y0 + 2 * edge],
        "d": " ".join(
            "M" + "L".join(f"{x:.3f} {-y:.3f}" for x, y in loop) + "Z" for loop in seen.loops
        ),
        "bends": [
            {
                "name": name,
                "d": f"M{a[0]:.3f} {-a[1]:.3f}L{b[0]:.3f} {-b[1]:.3f}",
                "x": (a[0] + b[0]) / 2,
                "y": -(a[1] + b[1]) / 2,
            }
            for name, a, b in seen.bends
        ],
        "letter": 0.035 * max(x1 - x0, y1 - y0),
    }
