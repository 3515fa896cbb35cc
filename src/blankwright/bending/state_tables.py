"""Which pieces of the part meet a tool, for each state of the bends that their place hangs on.

For each way to make a bend, each stage of it (putting in, the stroke, taking out) and each flat
with what belongs to it, a table holds one row for each state of the bends between. A row says
whether the piece meets something that runs the whole length, or the bar where it must be; else how
far from each end of the bend the bar may reach. Rows are worked out when first asked for, many at
once.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum

import numpy as np

from blankwright.bending.motion import Bools, Ints, Kind, Motions
from blankwright.bending.pieces import Piece, Tree
from blankwright.bending.sections import Body, Role
from blankwright.bending.sweep import Sections, cut_shadows, meets, shadows, swept
from blankwright.bending.tools import Tool
from blankwright.bending.ways import Way
from blankwright.geom.pose import Array

FAR = 5000.0
"""Out of the tool's reach [mm]."""

_STRIPS = 16
"""A piece that meets the bar beside the bend is cut into so many stretches to see how near."""


class Stage(Enum):
    """A stage of one bend; the value is how a card words it."""

    STROKE = "the bend"
    IN_FRONT = "in from the front"
    IN_FRONT_LIFTED = "in from the front, bar lifted"
    IN_END = "in from the end"
    IN_BEHIND = "in from behind, bar lifted"
    OUT_FRONT = "out to the front"
    OUT_FRONT_LIFTED = "bar lifted, out to the front"
    OUT_END = "off the end"
    OUT_BEHIND = "bar lifted, out behind"


INS = (Stage.IN_FRONT, Stage.IN_FRONT_LIFTED, Stage.IN_END, Stage.IN_BEHIND)
OUTS = (Stage.OUT_FRONT, Stage.OUT_FRONT_LIFTED, Stage.OUT_END, Stage.OUT_BEHIND)


@dataclass(eq=False)
class Table:
    """Rows for the states of one path.

    Args:
        path: bends that the pieces' place hangs on, and their own
        known: whether each state has been worked out
        hit: whether a piece meets something there
        left: the bar must stay right of this [mm]
        right: the bar must stay left of this [mm]
    """

    path: tuple[int, ...]
    known: Bools
    hit: Bools
    left: Array
    right: Array

    @classmethod
    def empty(cls, path: tuple[int, ...]) -> Table:
        """Return a table with nothing known."""
        n = 1 << len(path)
        return cls(
            path=path,
            known=np.zeros(n, dtype=bool),
            hit=np.zeros(n, dtype=bool),
            left=np.full(n, -np.inf),
            right=np.full(n, np.inf),
        )


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Entry:
    """A piece as one lay has it.

    Args:
        piece: the piece
        points: its corners in the tool frame before the bends of `chain`; shape (2n, 3) [mm]
        start: flat at the bend on its side
        chain: bends from there to the piece's flat
        own: place of its own bend in the path of its table, -1 for a flat
        held: whether it is on the held side
        near: whether it is of a flat at the bend
    """

    piece: Piece
    points: Array
    start: int
    chain: tuple[int, ...]
    own: int
    held: bool
    near: bool


@dataclass
class _Rows:
    """Rows to be tried, gathered from everywhere."""

    points: list[Array] = field(default_factory=list)
    x: list[tuple[float, float]] = field(default_factory=list)
    body: list[int] = field(default_factory=list)
    kind: list[int] = field(default_factory=list)
    numbers: list[tuple[float, ...]] = field(default_factory=list)
    span: list[float] = field(default_factory=list)
    way: list[tuple[float, float]] = field(default_factory=list)
    owner: list[tuple[Table, int, int]] = field(default_factory=list)
