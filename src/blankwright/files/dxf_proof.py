"""Proves a DXF file: reads it back by `dxf_read` and measures it against the blank."""

from __future__ import annotations

from blankwright.base.errors import BadInput, OurBug, Problem
from blankwright.develop.blank import Blank
from blankwright.drawing.blank_drawing import FULL_LOOK, BlankLook
from blankwright.files.blank_proof import blank_problems, note_problems
from blankwright.files.dxf_read import read_dxf


def prove_dxf(data: bytes, blank: Blank, look: BlankLook = FULL_LOOK) -> None:
    """Read a DXF file back and measure it against the blank to 0.01 mm, both ways round.

    Args:
        data: the file
        blank: what it must hold
        look: which of its lines it must show

    Raises:
        OurBug: when the file differs: by how much and where (DXF-003), has other units
            (DXF-004), lacks a bend's note (DXF-005), or can't be read (DXF-001, DXF-002)
    """
    try:
        file = read_dxf(data)
    except BadInput as error:
        raise OurBug(*error.problems) from error
    problems: list[Problem] = []
    if file.units != 4 or file.measurement != 1:
        problems.append(
            Problem(
                code="DXF-004",
                where="DXF file, header",
                got=f"units {file.units}, measurement {file.measurement}",
                allowed="units 4 (mm), measurement 1 (metric)",
            )
        )
    problems.extend(blank_problems("DXF-003", "DXF file", blank, file.loops, file.edges, look))
    # Signs that DXF takes for codes are written with a space between.
    words = {text.replace("% %", "%%").replace("^ ", "^") for text, _, _ in file.texts}
    problems.extend(note_problems("DXF-005", "DXF file", blank, words, look))
    if problems:
        raise OurBug(*problems)
