"""What any file of a blank must hold, whatever its form: the same questions for DXF and SVG."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from blankwright.base.errors import Problem
from blankwright.base.tolerance import PROOF
from blankwright.base.units import fixed
from blankwright.develop.blank import Blank
from blankwright.drawing.blank_drawing import BlankLook, bend_strokes
from blankwright.drawing.hole_table import cut_holes
from blankwright.drawing.layers import (
    BEND_CENTER,
    BEND_TANGENT,
    BLANK_EDGE,
    CENTER_MARKS,
    HOLES,
    SIGHT_LINE,
)
from blankwright.drawing.marks import center_marks
from blankwright.drawing.words import bend_words
from blankwright.files.edge_proof import edge_problems
from blankwright.geom.edges import Edge
from blankwright.geom.loop import Loop


def blank_problems(
    code: str,
    where: str,
    blank: Blank,
    loops: Mapping[str, Sequence[Loop]],
    edges: Mapping[str, Sequence[Edge]],
    look: BlankLook,
) -> list[Problem]:
    """Return what is wrong with a blank read back from a file; nothing when it is right.

    Args:
        code: code of the problems
        where: which file
        blank: as it should be
        loops: closed loops of the file by layer, in the blank's frame [mm]
        edges: single edges of the file by layer, in the blank's frame [mm]
        look: which lines it shows
    """
    problems: list[Problem] = []
    outlines = ((BLANK_EDGE.name, (blank.outline.outer,)), (HOLES.name, blank.outline.holes))
    for name, wanted in outlines:
        found = loops.get(name, ())
        place = f"{where}, layer {name}"
        if len(found) != len(wanted):
            problems.append(
                Problem(
                    code=code,
                    where=place,
                    got=f"{len(found)} closed loops",
                    allowed=f"{len(wanted)}",
                    fix="This is a bug of ours: nothing was written; please report it",
                )
            )
        if edges.get(name):
            problems.append(
                Problem(code=code, where=place, got="an edge that is part of no closed loop")
            )
        problems.extend(
            edge_problems(
                code,
                place,
                [edge for loop in found for edge in loop.edges],
                [edge for loop in wanted for edge in loop.edges],
            )
        )
        problems.extend(_area_problems(code, place, found, wanted))
    for layer in (BEND_TANGENT, BEND_CENTER, SIGHT_LINE):
        lines = [
            stroke.edge
            for bend in blank.bends
            for stroke in bend_strokes(blank, bend, look)
            if stroke.layer is layer
        ]
        problems.extend(
            edge_problems(code, f"{where}, layer {layer.name}", edges.get(layer.name, ()), lines)
        )
    crosses = [
        stroke.edge for hole in cut_holes(blank) for stroke in center_marks(hole.loop, hole.center)
    ]
    place = f"{where}, layer {CENTER_MARKS.name}"
    problems.extend(edge_problems(code, place, edges.get(CENTER_MARKS.name, ()), crosses))
    return problems


def note_problems(
    code: str, where: str, blank: Blank, words: Collection[str], look: BlankLook
) -> list[Problem]:
    """Return a problem for each bend whose direction, angle and radius are not written.

    Args:
        code: code of the problems
        where: which file
        blank: the blank
        words: texts of the file
        look: units of notes
    """
    return [
        Problem(
            code=code,
            where=where,
            got=f"the note of bend {bend.name} is missing",
            allowed=bend_words(bend, look.system),
            fix="This is a bug of ours: nothing was written; please report it",
        )
        for bend in blank.bends
        if bend_words(bend, look.system) not in words
    ]


def _area_problems(
    code: str, where: str, found: Sequence[Loop], wanted: Sequence[Loop]
) -> list[Problem]:
    """Compare areas: an edge drawn twice or a loop filled in would pass the distances."""
    got = sum(abs(loop.area) for loop in found)
    want = sum(abs(loop.area) for loop in wanted)
    limit = PROOF * sum(loop.length for loop in wanted) + 1e-9
    if abs(got - want) <= limit:
        return []
    return [
        Problem(
            code=code,
            where=where,
            got=f"the loops enclose {fixed(got, 3)} mm²",
            allowed=f"{fixed(want, 3)} mm² within {fixed(limit, 3)} mm²",
        )
    ]
