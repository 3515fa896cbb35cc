"""The other hand of a part: what a mirror shows, seen again from the face side."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

from blankwright.geom.loop import Loop
from blankwright.geom.move import FLIP_X, Move
from blankwright.part.model import DrawnBend, DrawnFlat, DrawnHole, Part

_SWAP: Final = {
    "left": "right",
    "right": "left",
    "front_left": "front_right",
    "front_right": "front_left",
    "back_left": "back_right",
    "back_right": "back_left",
}


def mirrored(part: Part) -> Part:
    """Return the other hand of a part.

    The root flat is mirrored about its y axis, each leg about the middle of its bend. *Up* stays
    up. Bends, holes and flats keep their names; edges named ``left`` and ``right`` change places,
    as edges are named by where they are. Mirrored twice, a part is itself again.
    """
    moves = {part.root.name: FLIP_X}
    for bend in part.bends:
        moves[bend.leg.name] = FLIP_X.then(Move.shift(bend.end - bend.start, 0.0))
    root = _flat(part.root, FLIP_X)
    flats = {part.root.name: part.root} | {bend.leg.name: bend.leg for bend in part.bends}
    grain = part.sheet.grain
    return replace(
        part,
        sheet=replace(part.sheet, grain=None if grain is None else _turned(grain)),
        root=root,
        bends=tuple(_bend(bend, flats[bend.parent], moves[bend.leg.name]) for bend in part.bends),
        holes=tuple(_hole(hole, moves[hole.flat]) for hole in part.holes),
        hand=_SWAP.get(part.hand, part.hand),
    )


def _turned(grain: float) -> float:
    """Mirror a direction that has no sense: 0 stays 0, 30° becomes 150° [rad]."""
    return 0.0 if grain == 0.0 else math.pi - grain


def _flat(flat: DrawnFlat, move: Move) -> DrawnFlat:
    # A flip turns the order of travel; the first edge is kept first.
    loop = flat.outline.moved(move)
    edges = (loop.edges[-1], *loop.edges[:-1])
    names = (flat.edges[0], *reversed(flat.edges[1:]))
    return replace(flat, outline=Loop(edges), edges=tuple(_edge(name) for name in names))


def _edge(name: str) -> str:
    return _SWAP.get(name, name)


def _bend(bend: DrawnBend, parent: DrawnFlat, move: Move) -> DrawnBend:
    length = parent.outline.edges[parent.edges.index(bend.edge)].length
    return replace(
        bend,
        edge=_edge(bend.edge),
        start=length - bend.end,
        end=length - bend.start,
        leg=_flat(bend.leg, move),
    )


def _hole(hole: DrawnHole, move: Move) -> DrawnHole:
    return replace(hole, loop=hole.loop.moved(move), center=move(hole.center))
