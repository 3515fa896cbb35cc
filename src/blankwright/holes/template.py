"""Drill templates and openings: a plate put among references of the structure, and its checks."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from blankwright.geom import vec
from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import FLIP_X
from blankwright.geom.vec import Point
from blankwright.handbook.edge import cut_out_to_bend, edge_distance
from blankwright.handbook.rivets import diameter_of
from blankwright.holes.network import MeasuredDiagonal, Network, adjust_all
from blankwright.holes.placing import Measured, PlacedLines, Way, Wish
from blankwright.part.mirror import mirrored
from blankwright.part.model import Part

_SHARP = math.radians(1)
"""A corner that turns by more than this is sharp [rad]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference:
    """A line on the structure that the builder can measure from.

    Args:
        name: its name
        kind: ``rivet row``, ``frame edge``, ``skin edge``, ``centre line``, ``bend``, as typed
        way: which way it runs
        keep: least distance from it to an opening's edge [mm], or nothing to have none
        keep_source: where that comes from
        note: as typed
    """

    name: str
    kind: str
    way: Way
    keep: float | None = None
    keep_source: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningCut:
    """An opening to be cut in the structure.

    Args:
        loop: in the template's frame [mm]
        witness: where a small hole lets one look from the other side [mm]
        witness_drill: its drill
        in_plate: whether the plate has it cut out, to scribe along
    """

    loop: Loop
    witness: Point
    witness_drill: str
    in_plate: bool = False

    @property
    def corners(self) -> tuple[tuple[Point, float], ...]:
        """Centre and radius of each rounded corner [mm]."""
        return tuple(
            (edge.center, edge.radius)
            for edge in self.loop.edges
            if isinstance(edge, Arc) and not edge.is_circle
        )

    @property
    def sharp(self) -> tuple[Point, ...]:
        """Corners that are not rounded [mm]."""
        edges = self.loop.edges
        if self.loop.as_circle:
            return ()
        found = []
        for i, edge in enumerate(edges):
            after = edges[(i + 1) % len(edges)]
            a, b = edge.direction(1.0), after.direction(0.0)
            if abs(math.atan2(vec.cross(a, b), vec.dot(a, b))) > _SHARP:
                found.append(edge.end)
        return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tape:
    """Where tape holds the template down.

    Args:
        edges: names of the plate's sides
        width: of the strip [mm]
    """

    edges: tuple[str, ...] = ()
    width: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Template:
    """A template as stated, all sizes worked out.

    Args:
        name: short name, that of the file
        plate: the plate as a flat part, its holes at pilot size
        references: by name
        measured: distances among them, by the way that the references run
        diagonals: distances from crossing to crossing
        wishes: where the plate goes, by the way of the references
        words: what its sides are called: front, right, back, left
        tape: where it is held down
        mirror: whether one for the other side of the airplane is made too
        opening: an opening that it marks, or nothing
        paper: whether there is no plate: the print itself is the template
        thickness: of the structure, for openings near bends [mm]
        notes: as typed
    """

    name: str
    plate: Part
    references: Mapping[str, Reference]
    measured: Mapping[Way, tuple[Measured, ...]]
    wishes: Mapping[Way, tuple[Wish, ...]]
    diagonals: tuple[MeasuredDiagonal, ...] = ()
    words: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    tape: Tape = Tape()
    mirror: bool = False
    opening: OpeningCut | None = None
    paper: bool = False
    thickness: float = 0.0
    notes: tuple[str, ...] = ()

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Box of the plate [mm]."""
        return self.plate.root.outline.box

    def word(self, side: str) -> str:
        """Return what a side is called."""
        return self.words.get(side, side)


@dataclass(frozen=True, kw_only=True)
class PlacedTemplate:
    """A template with its references in its own frame.

    Args:
        template: as stated
        network: all that was measured, adjusted
        lines: where each reference lies about the template, by the way it runs
        other_side: whether it is the mirrored one
    """

    template: Template
    network: Network
    lines: Mapping[Way, PlacedLines]
    other_side: bool = False

    def line(self, name: str) -> Line | None:
        """Return a reference as a line beside the template, as long as it, or nothing [mm]."""
        reference = self.template.references[name]
        placed = self.lines[reference.way].at.get(name)
        if placed is None:
            return None
        x0, y0, x1, y1 = self.template.box
        low, high = placed
        if reference.way is Way.UP:
            return Line((low, y0), (high, y1))
        return Line((x0, low), (x1, high))


def place_template(template: Template) -> PlacedTemplate:
    """Adjust what was measured and put the template among its references."""
    names = {way: [name for name, r in template.references.items() if r.way is way] for way in Way}
    network = adjust_all(
        names, template.measured, template.diagonals, template.wishes, template.box
    )
    return PlacedTemplate(template=template, network=network, lines=network.lines)


_SWAP = {"left": "right", "right": "left"}


def other_side(placed: PlacedTemplate) -> PlacedTemplate:
    """Return the template for the other side of the airplane: the mirror image."""
    template = placed.template
    opening = template.opening
    if opening is not None:
        opening = replace(opening, loop=opening.loop.moved(FLIP_X), witness=FLIP_X(opening.witness))
    plate = mirrored(template.plate)
    flipped = replace(
        template,
        plate=replace(plate, name=f"{plate.name}-other-side"),
        opening=opening,
        tape=replace(template.tape, edges=tuple(_SWAP.get(e, e) for e in template.tape.edges)),
        words={_SWAP.get(side, side): word for side, word in template.words.items()},
    )
    up = placed.lines[Way.UP]
    turned = replace(
        up,
        at={name: (-low, -high) for name, (low, high) in up.at.items()},
        splits=tuple(
            replace(
                split,
                wish=replace(split.wish, edge=-split.wish.edge, distance=-split.wish.distance),
                comes_to=(-split.comes_to[0], -split.comes_to[1]),
            )
            for split in up.splits
        ),
    )
    across = placed.lines[Way.ACROSS]
    # Low and high of lines that run across change places with left and right.
    crossed = replace(across, at={name: (high, low) for name, (low, high) in across.at.items()})
    return replace(
        placed,
        template=flipped,
        lines={Way.UP: turned, Way.ACROSS: crossed},
        other_side=True,
    )


def keep_off(kind: str, rivet: str, thickness: float) -> tuple[float, str] | None:
    """Return how far an opening stays off a reference of a kind by the handbook [mm], or nothing.

    Args:
        kind: of the reference
        rivet: diameter of the rivets of a row, such as ``1/8``; empty when not stated
        thickness: of the structure [mm]
    """
    if kind == "rivet row" and rivet:
        limit = edge_distance(diameter_of(rivet))
        return limit.value, f"{limit.source} ({limit.rule})"
    if kind == "bend" and thickness:
        limit = cut_out_to_bend(thickness)
        return limit.value, f"{limit.source} ({limit.rule})"
    return None
