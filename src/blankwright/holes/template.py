"""Drill templates and openings: a plate put among references of the structure, and its checks."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from enum import Enum
from types import MappingProxyType

from blankwright.base.findings import Finding, Level
from blankwright.develop.checks.common import PRACTICE, mm
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import FLIP_X
from blankwright.geom.vec import Point
from blankwright.handbook.edge import cut_out_to_bend, edge_distance
from blankwright.handbook.rivets import diameter_of
from blankwright.holes.placing import (
    Adjusted,
    Measured,
    PlacedLines,
    Wish,
    adjust,
    place,
)
from blankwright.part.mirror import mirrored
from blankwright.part.model import Part

_SHARP = math.radians(1)
"""A corner that turns by more than this is sharp [rad]."""

_SPLIT = 0.05
"""A wish that comes out farther off than this is told [mm]."""

_PARALLEL = 0.3
"""Lines out of parallel by more than this over the template are told [mm]; common practice."""


class Way(Enum):
    """Which way a reference runs, seen on the template the right way round."""

    UP = "up"
    ACROSS = "across"


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
        wishes: where the plate goes, likewise
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
        adjusted: references after adjustment, by the way they run
        lines: where each reference lies about the template, by the way it runs
        other_side: whether it is the mirrored one
    """

    template: Template
    adjusted: Mapping[Way, Adjusted]
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
    adjusted: dict[Way, Adjusted] = {}
    lines: dict[Way, PlacedLines] = {}
    for way in Way:
        names = [name for name, r in template.references.items() if r.way is way]
        adjusted[way] = adjust(names, template.measured.get(way, ()))
        lines[way] = place(adjusted[way], template.wishes.get(way, ()))
    return PlacedTemplate(template=template, adjusted=adjusted, lines=lines)


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


def check_template(placed: PlacedTemplate) -> Iterator[Finding]:
    """Report contradictions, what does not fit, and what an opening comes too near to."""
    template = placed.template
    for way in Way:
        yield from _measuring(placed, way)
    yield from _holes(template)
    if template.opening is not None:
        yield from _opening(placed, template.opening)


def _measuring(placed: PlacedTemplate, way: Way) -> Iterator[Finding]:
    for one in placed.adjusted[way].contradictions:
        suspects = (
            f"Measure {one.suspects[0]} again: without it the rest agree"
            if len(one.suspects) == 1
            else f"Measure {', '.join(one.suspects or one.others)} again"
        )
        yield Finding(
            code="TEMPLATE-010",
            level=Level.ASK,
            place=f"measured {one.name}",
            got=f"it says {mm(one.said)}, the others together say {mm(one.others_say)}: they"
            f" contradict one another by {mm(one.size)}",
            limit=f"{mm(one.allowed)}, what plus/minus explains",
            source=f"adjusted with {', '.join(one.others)}",
            fix=f"{suspects}. Until then every size on the card carries this error",
        )
    for split in placed.lines[way].splits:
        if split.off > _SPLIT and not split.wish.centered:
            low, high = split.comes_to
            worse = max((low, high), key=lambda d: abs(d - split.wish.distance))
            yield Finding(
                code="TEMPLATE-011",
                level=Level.NOTE,
                place=split.wish.label or f"reference {split.wish.reference}",
                got=f"it comes to {mm(abs(worse))}, the difference halved",
                limit=f"{mm(abs(split.wish.distance))} asked for",
                source="measured distances",
                fix="Make the plate to fit, or let it go in the middle as the card says",
            )
    for name in placed.lines[way].unlocated:
        yield Finding(
            code="TEMPLATE-012",
            level=Level.NOTE,
            place=f"reference {name}",
            got="nothing measured ties it to the template: the card gives no size from it",
            source="template file",
            fix="Measure from it to another reference",
        )
    lines = list(placed.lines[way].at.items())
    for i, (name, (low, high)) in enumerate(lines):
        for other, (other_low, other_high) in lines[i + 1 :]:
            out = (other_high - high) - (other_low - low)
            if abs(out) > _PARALLEL:
                yield Finding(
                    code="TEMPLATE-013",
                    level=Level.NOTE,
                    place=f"references {name} and {other}",
                    got=f"they are {mm(abs(out))} out of parallel over the template",
                    limit=mm(_PARALLEL),
                    source=PRACTICE,
                    fix="Set the template by the sizes at both ends; check the diagonals",
                )


def _holes(template: Template) -> Iterator[Finding]:
    x0, y0, x1, y1 = template.box
    width = template.tape.width
    strips = {
        "left": (x0, y0, x0 + width, y1),
        "right": (x1 - width, y0, x1, y1),
        "front": (x0, y0, x1, y0 + width),
        "back": (x0, y1 - width, x1, y1),
    }
    for hole in template.plate.holes:
        a, b, c, d = hole.loop.box
        for side in template.tape.edges:
            e, f, g, h = strips[side]
            if a < g and e < c and b < h and f < d:
                yield Finding(
                    code="TEMPLATE-014",
                    level=Level.ASK,
                    place=f"hole {hole.name}",
                    got=f"it lies under the tape at the {template.word(side)} side",
                    limit="clear of the tape",
                    source=PRACTICE,
                    fix="Make the plate longer there, or tape another side",
                    at=hole.center,
                )


def _opening(placed: PlacedTemplate, opening: OpeningCut) -> Iterator[Finding]:
    template = placed.template
    for reference in template.references.values():
        line = placed.line(reference.name)
        if line is None or reference.keep is None:
            continue
        gap = opening_distance(opening.loop, line, reference.way)
        if gap < reference.keep - 1e-3:
            yield Finding(
                code="TEMPLATE-015",
                level=Level.ASK,
                place=f"opening, {reference.name}",
                got=f"its edge comes within {mm(max(0.0, gap))} of the {reference.kind}"
                if gap > 0
                else f"it cuts into the {reference.kind}",
                limit=mm(reference.keep),
                source=reference.keep_source,
                fix="Move it or make it smaller; else ask the designer",
            )
    for corner in opening.sharp:
        yield Finding(
            code="TEMPLATE-016",
            level=Level.ASK,
            place="opening",
            got="it has a sharp corner, from which cracks start",
            limit="a radius in every corner",
            source=PRACTICE,
            fix="Round it as the drawing says",
            at=corner,
        )
    yield Finding(
        code="TEMPLATE-017",
        level=Level.ASK,
        place="opening",
        got="an opening takes strength from the structure; whether it needs a doubler, and which,"
        " is not worked out here",
        source="the drawing and its designer",
        fix="Take doubler and edge treatment from the drawing, or get the designer's word before"
        " cutting",
    )


def opening_distance(loop: Loop, line: Line, way: Way) -> float:
    """Return how far an opening's edge stays off an endless line [mm]; negative when it crosses.

    Args:
        loop: the opening
        line: the reference
        way: which way it runs
    """
    d = line.direction()
    offs = [vec.cross(d, vec.sub(p, line.start)) for p in loop.points(1e-4)]
    if min(offs) < 0 < max(offs):
        return -min(max(offs), -min(offs))
    return min(abs(off) for off in offs)


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
