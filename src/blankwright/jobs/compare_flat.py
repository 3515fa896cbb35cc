"""A blank held against a flat drawing that somebody else made of the same part."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from blankwright.base.errors import BadInput, Problem
from blankwright.base.quantities import BadText, read_quantity
from blankwright.base.units import fixed, show_mm
from blankwright.develop.blank import Blank
from blankwright.develop.compare import Compared, compare
from blankwright.jobs.bring_in import read_drawing
from blankwright.jobs.bring_in_asked import Asked
from blankwright.jobs.bring_in_dxf import laid_out_of

if TYPE_CHECKING:
    from blankwright.drawing.model import Drawing

WITHIN = "0.1 mm"
"""How much may differ unless stated otherwise: twice what is scribed by hand. Common practice, no
source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A blank and a flat drawing held against one another.

    Args:
        blank: the blank
        compared: what differs
        within: how much may differ [mm]
        told: what was found, a line each
    """

    blank: Blank
    compared: Compared
    within: float
    told: tuple[str, ...]

    @property
    def agrees(self) -> bool:
        """Whether nothing differs by more than it may."""
        return not self.compared.differences


def hold_against(blank: Blank, path: Path, asked: Asked, within: str = WITHIN) -> Held:
    """Hold a blank against a flat drawing.

    Args:
        blank: the blank
        path: the flat drawing (DXF)
        asked: which lines of it are what, where that has to be stated
        within: how much may differ, with its unit

    Raises:
        FileProblem: when the drawing can't be read
        BadInput: when it is no flat drawing that makes sense
    """
    return hold_drawing(blank, read_drawing(path), path.name, asked, within)


def hold_drawing(blank: Blank, data: bytes, name: str, asked: Asked, within: str = WITHIN) -> Held:
    """Hold a blank against a flat drawing that has been read already.

    Args:
        blank: the blank
        data: what the flat drawing (DXF) holds
        name: what messages call it
        asked, within: as `hold_against`

    Raises:
        BadInput: as `hold_against`, and when it is too large
    """
    from blankwright.files.dxf_drawn.opening import MOST_BYTES, too_large

    if len(data) > MOST_BYTES:
        raise too_large(name, len(data), MOST_BYTES)
    limit = _length(within)
    laid, told = laid_out_of(data, name, asked)
    lines = [bend.line for bend in laid.bend_lines]
    compared = compare(blank, laid.outline, lines, limit)
    return Held(
        blank=blank,
        compared=compared,
        within=limit,
        told=(*told, *_said(blank, compared, limit)),
    )


def blank_of_solid(path: Path, asked: Asked) -> Blank:
    """Return the blank of the one sheet part in a STEP file, for comparing; nothing is kept.

    Raises:
        FileProblem: when it can't be read
        BadInput: when it holds no such solid
        NotPossible: when the solid is no sheet part
    """
    from blankwright.jobs.bring_in_step import one_blank

    return one_blank(read_drawing(path), path.name, asked)


def _length(text: str) -> float:
    try:
        value = read_quantity(text)
        if value.kind == "length" and value.value > 0:
            return value.value
    except BadText as error:
        raise BadInput(error.at("within")) from error
    raise BadInput(
        Problem(
            code="BRING-003", where="within", got=f"`{text}` is no length", allowed="such as 0.1 mm"
        )
    )


def _said(blank: Blank, compared: Compared, within: float) -> Sequence[str]:
    x0, y0, x1, y1 = compared.theirs.box
    move = compared.move
    rows = [
        f"their drawing was laid over the blank{', turned over' if move.flip else ''}:"
        f" turned by {fixed(math.degrees(move.angle), 2)}°, shifted by"
        f" ({fixed(move.dx, 2)}, {fixed(move.dy, 2)}) mm",
        f"blank {show_mm(blank.size[0])} × {show_mm(blank.size[1])},"
        f" theirs {show_mm(x1 - x0)} × {show_mm(y1 - y0)}",
        f"area {blank.outline.area:.2f} mm², theirs {compared.theirs.area:.2f} mm²",
        f"openings {len(blank.outline.holes)}, theirs {len(compared.theirs.holes)},"
        f" {compared.openings} agree",
    ]
    if compared.bend_lines:
        rows.append(
            f"bends {len(blank.bends)}, lines drawn {len(compared.bend_lines)},"
            f" {compared.bends} agree"
        )
    elif blank.bends:
        rows.append("their drawing shows no bend lines")
    rows.append(f"edges agree to {show_mm(compared.worst, 4)}, asked for {show_mm(within, 4)}")
    longer = any(difference.what == "outline" for difference in compared.differences)
    if longer and compared.k is not None and blank.bends:
        used = sorted({round(bend.k, 4) for bend in blank.bends})
        rows.append(
            f"with k = {compared.k:.4f} for all bends the areas would be the same; here"
            f" k = {' and '.join(f'{k:g}' for k in used[:4])}"
        )
    return rows


def picture_of(held: Held, title: str) -> Drawing:
    """Return the blank with their drawing laid over it: ours full, theirs dashed, what differs in
    rings."""
    from blankwright.drawing.layers import BEND_CENTER, BLANK_EDGE, HOLES, NOTES, VIEW_HIDDEN
    from blankwright.drawing.model import Drawing, Item, Ring, Stroke, Text
    from blankwright.geom.loop import Loop

    blank, compared = held.blank, held.compared
    x0, _, x1, _ = blank.outline.box
    letter = max(2.0, (x1 - x0) / 60)
    items: list[Item] = [Ring(layer=BLANK_EDGE, loop=blank.outline.outer)]
    items += [Ring(layer=HOLES, loop=loop) for loop in blank.outline.holes]
    items += [Stroke(layer=BEND_CENTER, edge=bend.center_line) for bend in blank.bends]
    items += [Ring(layer=VIEW_HIDDEN, loop=loop) for loop in compared.theirs.loops]
    items += [Stroke(layer=VIEW_HIDDEN, edge=line) for line in compared.bend_lines]
    for number, difference in enumerate(compared.differences, start=1):
        items.append(Ring(layer=NOTES, loop=Loop.circle(difference.at, letter)))
        at = (difference.at[0] + 1.2 * letter, difference.at[1] + 0.4 * letter)
        items.append(Text(layer=NOTES, text=str(number), at=at, height=letter))
    return Drawing(title=title, items=tuple(items))
