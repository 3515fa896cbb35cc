"""Proves an SVG file: reads it back by `svg_read` and measures it against the blank."""

from __future__ import annotations

from blankwright.base.errors import BadInput, OurBug, Problem
from blankwright.develop.blank import Blank
from blankwright.drawing.blank_drawing import FULL_LOOK, BlankLook
from blankwright.drawing.layers import BLANK_EDGE
from blankwright.files.blank_proof import blank_problems, note_problems
from blankwright.files.svg_read import read_svg
from blankwright.geom.edges import box_around
from blankwright.geom.move import Move


def prove_svg(data: bytes, blank: Blank, look: BlankLook = FULL_LOOK) -> None:
    """Read an SVG file back and measure it against the blank to 0.01 mm, both ways round.

    A page has no place in the shop, so the file is first laid on the blank by the lower left
    corner of its outline; size, shape and all else is then measured.

    Args:
        data: the file
        blank: what it must hold
        look: which of its lines it must show

    Raises:
        OurBug: when the file differs: by how much and where (SVG-003); when a
            bend's note is missing (SVG-004); when it can't be read
            (SVG-001, SVG-002)
    """
    try:
        file = read_svg(data)
    except BadInput as error:
        raise OurBug(*error.problems) from error
    outer = [edge for loop in file.loops.get(BLANK_EDGE.name, ()) for edge in loop.edges]
    if not outer:
        raise OurBug(Problem(code="SVG-003", where="SVG file", got="it holds no outline"))
    box, wanted = box_around([edge.box for edge in outer]), blank.outline.box
    move = Move.shift(wanted[0] - box[0], wanted[1] - box[1])
    loops = {name: [loop.moved(move) for loop in found] for name, found in file.loops.items()}
    edges = {name: [edge.moved(move) for edge in found] for name, found in file.edges.items()}
    problems = blank_problems("SVG-003", "SVG file", blank, loops, edges, look)
    words = {text for text, _ in file.texts}
    problems.extend(note_problems("SVG-004", "SVG file", blank, words, look))
    if problems:
        raise OurBug(*problems)
