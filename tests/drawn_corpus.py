"""The drawings of `tests/corpus/dxf`, brought in."""

from __future__ import annotations

import math
from pathlib import Path

from blankwright.develop.develop import develop_blank
from blankwright.files.partfile import read_part_text
from blankwright.jobs.bring_in import look_at
from blankwright.jobs.bring_in_asked import Asked, BendAsked

CORPUS = Path(__file__).parent / "corpus" / "dxf"
PLATE, HOLE = 100.0 * 60.0, math.pi * 25.0
STATED = Asked(
    alloy="6061-T6",
    thickness="1 mm",
    every_bend=BendAsked(up=True, angle="90 deg", radius="2 mm"),
)


def look(name, asked=STATED):
    data = (CORPUS / f"{name}.dxf").read_bytes()
    brought = look_at(data, f"{name}.dxf", asked)
    return brought.candidates[0], brought


def made(name, asked=STATED):
    candidate, brought = look(name, asked)
    assert candidate.ready, (candidate.questions, candidate.problems)
    part = read_part_text(candidate.text, name, drawings={brought.drawing: brought.data})
    return develop_blank(part), part


def codes(name, asked=STATED):
    candidate, _ = look(name, asked)
    return {problem.code for problem in candidate.problems}
